"""Today: what was practised last, what a teacher wants by when, and when it is enough."""

from __future__ import annotations

import datetime as dt
import os
from dataclasses import replace
from functools import partial
from pathlib import Path
from uuid import UUID

import pytest
from past import practised, right
from real_house import RealHouse
from tui_desk import DECK, MORNING, Setup, drawn, text_of
from tui_user import BOTH, at_keys

from drill.memory.items import Answer, practice_day
from drill.memory.store import Store
from drill.practice.syllabus import build
from drill.tui.glyphs import UNICODE
from drill.tui.tally import Tally
from drill.tui.views.today import Today, suggested, today
from drill.wording.assigned import due_brief, due_words
from drill.wording.today import past_words

HERE = dt.date(2026, 3, 2)
OWN, FIRST = Path("my-practice.toml"), Path("first-year.toml")
VIEW = Today(
    (
        Tally(OWN, "My practice", 56, 20, 6, 18, 12, 9, 20, 4, known_by=dt.date(2026, 3, 14)),
        Tally(FIRST, "First year: four keys"),
    ),
    date="Monday, 2 March",
    ready=True,
    past="Practised on 12 days, last yesterday.",
    today=HERE,
    forecasts=((OWN, "12 of 56 cells by heart; at 21 prompts a day 51 about 20 March."),),
)


@BOTH
def test_today_as_it_is_drawn(size: tuple[int, int]) -> None:
    shown = drawn("today-known", partial(today, VIEW), size)
    assert "To be known by Saturday, 14 March: in 12 days" in shown


def test_the_days_of_the_past_are_told() -> None:
    days = tuple(HERE - dt.timedelta(days=ago) for ago in (9, 3, 1))
    assert past_words((), HERE) == ""
    assert past_words(days, HERE) == "Practised on 3 days, last yesterday."
    assert past_words(days[:2], HERE) == "Practised on 2 days, last 3 days ago."
    assert past_words((days[0], HERE), HERE) == "Practised on 2 days, today too."
    assert past_words((HERE,), HERE) == "Practised on 1 day, today."


def test_a_day_that_has_come_is_told() -> None:
    assert due_words(HERE, HERE).endswith(": today")
    assert due_words(HERE - dt.timedelta(days=1), HERE).endswith(": 1 day ago")
    assert due_words(HERE + dt.timedelta(days=1), HERE).endswith(": tomorrow")
    assert due_words(HERE + dt.timedelta(days=2), HERE).endswith(": in 2 days")
    assert ": done, as many are by heart" in due_words(HERE, HERE, met=True)


@pytest.mark.parametrize(
    ("days", "met", "told"),
    [
        (0, False, "due today"), (1, False, "due tomorrow"), (2, False, "due in 2 days"),
        (6, False, "due in 6 days"), (7, False, "due 9 Mar"), (400, False, "due 6 Apr 2027"),
        (-1, False, "1 day over"),
        (-9, False, "9 days over"), (-9, True, "done"), (None, False, "assigned"),
    ],
)  # fmt: skip
def test_a_row_tells_by_when(days: int | None, met: bool, told: str) -> None:
    day = None if days is None else HERE + dt.timedelta(days=days)
    assert due_brief(day, HERE, met=met) == told


LONG = "Say the signature aloud before you type, then the cell; slowly first. " * 3
ASSIGNED = Today(
    (*(
        Tally(Path(f"{n}.toml"), title, 56, 20, 6, 18, heart, 9, 20, 4, "",
              None if days is None else HERE + dt.timedelta(days=days),
              assigned=True, note=LONG if not n else "", met=met)
        for n, (title, days, met, heart) in enumerate([
            ("Autumn: flat keys from the first week, all of them", -3, False, 12),
            ("Old scales", -2, True, 56),
            ("Week 3", 0, False, 12),
            ("Week 4", 1, False, 12),
            ("Concert", 12, False, 12),
            ("Whenever you like", None, False, 12),
        ])
    ), Tally(OWN, "My practice", 56, 20, 6, 18, 12, 9, 20, 4)),
    date="Monday, 2 March", ready=True, past="Practised on 12 days, last yesterday.", today=HERE,
)  # fmt: skip


@BOTH
def test_what_is_assigned_stands_with_its_day_and_the_teacher_s_words(
    size: tuple[int, int],
) -> None:
    shown = drawn("today-assigned", partial(today, ASSIGNED), size)
    assert "To be known by Friday, 27 February: 3 days ago" in shown
    assert "From your teacher: Say the signature aloud" in shown
    assert max(map(len, shown.splitlines())) <= size[0]
    rows = {title: row for row in shown.splitlines() for title in ("Week 3", "Week 4", "Old")
            if title in row}  # fmt: skip
    assert "due today" in rows["Week 3"]
    assert "due tomorrow" in rows["Week 4"]
    assert "done" in rows["Old"]
    assert not any("due " in row or "assigned" in row for row in shown.splitlines()
                   if "My practice" in row)  # fmt: skip


WARM_UP = """title = "{title}"
{due}
instrument = "own"
patterns = ["return3"]
concert_keys = ["Bb"]
directions = ["up"]
note = "Signature first."
[goal]
right = 0.6
days = 2
[assignment]
id = "w"
line = "Slowly."
"""


def assigned(real: RealHouse) -> None:
    """Two assignments in concert keys for one's own horn: one due tomorrow, one some day."""
    folder = real.house.deck_folders[0]
    folder.mkdir(parents=True, exist_ok=True)
    real.house.places.settings.write_text('horn = "alto_sax"\n', encoding="utf-8")
    tomorrow = f"due = {HERE + dt.timedelta(days=1)}"
    for name, title, due in (("one", "First sheet", ""), ("two", "Second sheet", tomorrow)):
        text = WARM_UP.format(title=title, due=due)
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")


def test_two_assignments_in_concert_keys_are_listed_and_opened_on_ones_own_horn(home: Path) -> None:
    real = RealHouse(home)
    assigned(real)
    os.utime(real.house.places.decks / "one.toml", (2e9, 2e9))  # it came last
    with at_keys(real.trainer(first_deck="one")) as user:
        shown = user.see("Second sheet  due tomorrow", "▸ First sheet")
        rows = [row.strip(" ▸") for row in shown.splitlines()]
        found = [row.split("  ")[0] for row in rows if "sheet  " in row]
        assert found[0] == "Second sheet"  # what has a day comes first
        user.see("First sheet  assigned", "From your teacher: Slowly. Sig")
        user.press("enter")
        # Concert B flat is written G for an instrument in E flat (a major sixth higher).
        user.see("prompt 1", "G major", "one sharp")


def test_an_assignment_whose_goal_is_met_is_done(home: Path) -> None:
    real = RealHouse(home)
    assigned(real)
    deck = real.house.deck("two")
    with Store.open(real.house.log) as store:
        syllabus = build(deck)
        for day in range(4):
            for n, item in enumerate(syllabus.items * 3):
                at = MORNING - dt.timedelta(days=4 - day) + dt.timedelta(seconds=10 * n)
                row = Answer(str(UUID(int=1000 * day + n)), at, practice_day(at, dt.UTC), item.id,
                             True, deck.fingerprint, "two", seconds=3.0)  # fmt: skip
                store.append(row, item)
    with at_keys(real.trainer()) as user:
        shown = user.see("Second sheet  done", "3 March: done, as many are")
        assert "due tomorrow" not in shown


def test_an_assignment_for_ones_own_horn_says_that_none_is_named(home: Path) -> None:
    real = RealHouse(home)
    assigned(real)
    real.house.places.settings.write_text("", encoding="utf-8")
    with at_keys(real.trainer(first_deck="two"), 60, 20) as user:
        shown = user.see("▸ Second sheet", "is for your own")
        assert "due tomorrow" in shown
        # The day in a deck that ships is an example.
        assert all("due" not in row for row in shown.splitlines() if "Tricky keys" in row)


def test_the_deck_practised_last_is_offered_whatever_is_due() -> None:
    decks = (Tally(FIRST, "a", 10, due=9), Tally(OWN, "b", 10, due=0))
    assert suggested(decks, OWN, "first-year") == 1
    assert suggested(decks, None, "first-year") == 0
    assert suggested(decks, Path("gone.toml"), "my-practice") == 1
    assert suggested(decks, None, "none-of-them") == 0


def test_today_stands_on_the_deck_practised_last_and_stays(home: Path) -> None:
    setup = Setup(home)
    context = setup.context()
    other = context.folders[0] / "another.toml"
    other.write_text(DECK.replace("Two keys", "Another"), encoding="utf-8")
    practised(setup, days=(3, 1), say=right)
    trainer = setup.trainer(first_deck="another")
    with at_keys(trainer) as user:
        # The titles are there before anything is counted.
        shown = user.see("▸ Two keys", "Another")
        assert "two keys" not in shown
        user.see("Practised on 2 days, last yesterday.", "by heart;")
        assert trainer.studio.chosen is not None
        assert trainer.studio.chosen.stem == "two-keys"


@pytest.mark.parametrize(("width", "height"), [(80, 22), (60, 18)])
def test_a_notice_tells_where_a_damaged_file_is_to_its_end(width: int, height: int) -> None:
    said = (
        "The log was damaged: 11 of 23 answers could be read, 3 of them from the copy of the day; "
        "the damaged file is kept beside it as answers.damaged-20260302-103000.db"
    )
    shown = text_of(today(replace(VIEW, notice=said), UNICODE, width, height))
    assert said in " ".join(shown.split())
