"""Today: what was practised last, what a teacher wants by when, and when it is enough."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from past import practised, right
from tui_desk import DECK, Setup, golden, play, text_of, until

from drill.theory.engine import Engine
from drill.tui.glyphs import ASCII, UNICODE
from drill.tui.tally import Tally
from drill.tui.views.today import Today, due_words, past_words, suggested, today

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


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20)])
def test_today_as_it_is_drawn(width: int, height: int) -> None:
    shown = text_of(today(VIEW, UNICODE, width, height - 1))
    golden(f"today-known-{width}x{height}", shown)
    assert "To be known by Saturday, 14 March: in 12 days" in shown
    assert text_of(today(VIEW, ASCII, width, height - 1)).isascii()


def test_the_days_of_the_past_are_told() -> None:
    days = tuple(HERE - dt.timedelta(days=ago) for ago in (9, 3, 1))
    assert past_words((), HERE) == ""
    assert past_words(days, HERE) == "Practised on 3 days, last yesterday."
    assert past_words(days[:2], HERE) == "Practised on 2 days, last 3 days ago."
    assert past_words((HERE,), HERE) == "Practised on 1 day, today too."


def test_a_day_that_has_come_is_told() -> None:
    assert due_words(HERE, HERE).endswith(": today")
    assert due_words(HERE - dt.timedelta(days=1), HERE).endswith(": 1 day ago")
    assert due_words(HERE + dt.timedelta(days=1), HERE).endswith(": in 1 day")


def test_the_deck_practised_last_is_offered_whatever_is_due() -> None:
    decks = (Tally(FIRST, "a", 10, due=9), Tally(OWN, "b", 10, due=0))
    assert suggested(decks, OWN, "first-year") == 1
    assert suggested(decks, None, "first-year") == 0
    assert suggested(decks, Path("gone.toml"), "my-practice") == 1
    assert suggested(decks, None, "none-of-them") == 0


def test_today_stands_on_the_deck_practised_last_and_stays(
    home: Path, spelling_engine: Engine
) -> None:
    setup = Setup(home, spelling_engine)
    context = setup.context()
    other = context.folders[0] / "another.toml"
    other.write_text(DECK.replace("Two keys", "Another"), encoding="utf-8")
    practised(setup, days=(3, 1), say=right)
    trainer = setup.trainer(first_deck="another")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            # The titles are there before anything is counted.
            shown = await until(pilot, trainer, "▸ Two keys", "Another")
            assert "two keys" not in shown
            await until(pilot, trainer, "Practised on 2 days, last yesterday.", "by heart;")
            assert trainer.studio.chosen is not None
            assert trainer.studio.chosen.stem == "two-keys"
        trainer.studio.close()

    play(scenario())
