"""The screen for playing in time, with a clock that the test moves."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from silent_player import SilentPlayer
from textual import events
from tui_desk import DECK, Setup, text_of
from tui_user import SMALL, User, at_keys

from drill.practice.time.bout import Result, Setting
from drill.settings.values import Remap
from drill.sound.take import Take
from drill.terms import Note
from drill.tui.glyphs import ASCII, UNICODE
from drill.tui.screens.time import TimeScreen
from drill.tui.text import plain
from drill.tui.trainer import Trainer
from drill.tui.views.time import InTime, Phase, in_time, strip
from drill.tui.widgets.strokes import StrokePage
from drill.tui.words import Words


class Clock:
    """Seconds that pass when told."""

    def __init__(self) -> None:
        self.now = 500.0

    def __call__(self) -> float:
        return self.now


class Silent(SilentPlayer):
    """A silent player in the shape that the other tests of the screens use."""

    news: list[str] = []  # noqa: RUF012 - not used here
    lost: str | None = None
    """What is to be told once of a device."""

    def poll(self) -> str | None:
        said, self.lost = self.lost, None
        return said


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """Keys are read at the instant that the test set, however busy the machine is."""
    clock = Clock()
    monkeypatch.setattr(StrokePage, "read_at", lambda self, event: clock())
    return clock


@pytest.fixture
def setup(home: Path, clock: Clock) -> Setup:
    return Setup(home, player=Silent(clock))  # type: ignore[arg-type]


@pytest.fixture
def trainer(setup: Setup, clock: Clock) -> Trainer:
    return setup.trainer(monotonic=clock)


def opened(user: User) -> TimeScreen:
    user.see("Two keys", "about")
    user.press("t", sees=("tempo 72", "Enter starts the click"))
    return user.on(TimeScreen)


def bout(user: User, screen: TimeScreen, clock: Clock, off: Any) -> None:
    """Play the open bout, ``off(n)`` seconds after the beat with note n."""
    user.press("enter", sees="count-in")
    assert screen.rehearsal is not None
    began, open_bout = clock.now, screen.rehearsal.bout
    assert open_bout is not None
    for n, (note, due) in enumerate(zip(open_bout.notes, open_bout.due, strict=True)):
        clock.now = began + due + off(n)
        user.press(*_keys(note))
    clock.now = began + open_bout.over_s + 0.01
    user.see("played at")


def _keys(note: Note) -> list[str]:
    return [note.letter.lower(), *["up"] * note.alter, *["down"] * -note.alter]


def test_a_bout_on_the_beat_is_locked_in_and_kept(setup: Setup, clock: Clock, user: User) -> None:
    screen = opened(user)
    bout(user, screen, clock, lambda n: 0.01 * (n % 2) - 0.02)
    shown = user.shown
    assert "✓ locked in   every note right" in shown
    assert "15 ms before the beat" in shown
    assert "played at 72; next tempo 72, the same again" in shown
    assert "1 of 1 locked in" in shown
    user.press("escape", sees="Two keys")
    assert setup.room is not None
    assert len(setup.player.played) == 1


def test_the_end_says_that_it_is_enough_for_today(home: Path, clock: Clock) -> None:
    setup = Setup(
        home, player=Silent(clock),  # type: ignore[arg-type]
        plan=lambda plan: replace(plan, prompts=7),
    )  # fmt: skip
    trainer = setup.trainer(monotonic=clock)
    deck = home / "decks" / "two-keys.toml"
    deck.write_text(DECK.replace('"G", "Bb"', '"G"').replace('"up", "down"', '"up"'), "utf-8")

    with at_keys(trainer, 60, 20) as user:
        screen = opened(user)
        bout(user, screen, clock, lambda n: 0.0)
        user.golden("time-end", user.see("that is the practice", "Enough"))


def test_another_practice_after_the_end_counts_its_own_bouts(home: Path, clock: Clock) -> None:
    setup = Setup(
        home, player=Silent(clock),  # type: ignore[arg-type]
        plan=lambda plan: replace(plan, prompts=7),
    )  # fmt: skip
    with at_keys(setup.trainer(monotonic=clock, keys=(Remap("onward", ("f5",)),))) as user:
        screen = opened(user)
        bout(user, screen, clock, lambda n: 0.0)
        user.see("that is the practice: 1 of 1 locked in; f5 goes on")
        user.press("f5", sees="Enter starts the click")
        bout(user, screen, clock, lambda n: 0.0)
        user.see("that is the practice: 1 of 1 locked in")
        assert "2 of 2" not in user.shown


def test_a_deck_that_lets_nothing_new_in_says_so_in_time(home: Path, clock: Clock) -> None:
    setup = Setup(home, player=Silent(clock))  # type: ignore[arg-type]
    trainer = setup.trainer(monotonic=clock)
    deck = home / "decks" / "two-keys.toml"
    deck.write_text(f"{DECK}\n[practice]\nnew_cells = 0\n", "utf-8")
    with at_keys(trainer) as user:
        user.see("Two keys")
        user.press("t", sees="nothing to ask: no cell of this deck was asked before")


def test_a_click_that_was_given_up_is_not_kept_as_heard(home: Path, clock: Clock) -> None:
    """Not muted, and yet nothing sounds: a device that failed a moment ago."""

    class Failed(Silent):
        def play(self, take: Take, *, stale_s: float = 0.0) -> bool:
            return False

    setup = Setup(home, player=Failed(clock))  # type: ignore[arg-type]
    with at_keys(setup.trainer(monotonic=clock)) as user:
        bout(user, opened(user), clock, lambda n: 0.0)
        assert setup.room is not None
        assert {json.loads(row.details)["sound"] for row in setup.room.answers()} == {False}


@SMALL
def test_late_and_missing_notes_have_their_row_and_sign(
    setup: Setup, clock: Clock, user: User
) -> None:
    screen = opened(user)
    bout(user, screen, clock, lambda n: 0.3 if n == 4 else 0.0)
    rows = user.shown.splitlines()
    assert any("≈ right, but late" in row for row in rows)
    marks = {row[1:7].strip(): row[7:] for row in rows if row[1:6].strip() in _STRIP}
    assert marks["late"].strip() == "●"
    assert marks["on"].count("●") == 27
    assert marks["early"].strip() == ""
    assert marks["notes"].count("·") == 28
    assert any(row.startswith(" played at 72; next tempo") and "slower" in row for row in rows)
    assert rows[-1].strip().startswith("enter again")
    assert setup.room is not None


_STRIP = ("early", "on", "late", "notes")


def test_where_the_beat_is_only_seen_it_is_judged_as_closely(
    setup: Setup, trainer: Trainer, clock: Clock
) -> None:
    setup.player.mute()

    with at_keys(trainer) as user:
        screen = opened(user)
        bout(user, screen, clock, lambda n: 0.3 if n == 4 else 0.0)
        shown = user.shown
        assert "≈ right, but late" in shown
        assert "give or take" not in shown  # nothing sounds that could be late


def test_escape_breaks_a_bout_off_without_a_trace(setup: Setup, clock: Clock, user: User) -> None:
    opened(user)
    user.press("enter", sees=("count-in", "break off"))
    clock.now += 4.0
    user.press("g", "a", sees=("[1]", "on 1", "G    A"))
    user.press("escape", sees=("broken off: nothing was marked", "tempo 72"))
    assert setup.room is not None
    assert list(setup.room.answers()) == []
    user.press("right", sees="tempo 76")
    user.press("l", sees="letters alone")
    user.press("e", sees="two notes a beat")


def test_a_device_that_is_lost_in_a_bout_is_told(setup: Setup, trainer: Trainer) -> None:
    player = cast("Silent", setup.player)

    with at_keys(trainer) as user:
        opened(user)
        user.press("enter", sees="count-in")
        player.lost = "No sound: the device is gone."
        user.see("No sound: the device is gone.")


def test_the_beat_is_shown_where_the_sound_is_off(
    setup: Setup, trainer: Trainer, clock: Clock
) -> None:
    setup.player.mute()

    with at_keys(trainer) as user:
        opened(user)
        user.press("enter", sees=("count-in", "[1]"))
        clock.now += 60 / 72 + 0.01
        user.see("[2]")
        clock.now += 60 / 72 * 4
        user.see("bar 1", "[2]")
    assert setup.player.played == []


def test_a_held_space_bar_measures_the_terminal(setup: Setup, clock: Clock, user: User) -> None:
    opened(user)
    user.press("space")
    clock.now += 0.5
    for gap in (31, 75, 20, 52, 90, 33, 61, 15, 48, 82, 40):
        clock.now += gap / 1000
        user.press("space")
    shown = user.see("keys and terminal add about")
    assert "add about 10 ms" not in shown
    assert setup.room is not None


def test_a_practice_of_time_alone_begins_here(setup: Setup, clock: Clock) -> None:
    from dataclasses import replace

    setup.plan = lambda plan: replace(plan, kinds=("time",))
    with at_keys(setup.trainer(monotonic=clock)) as user:
        user.see("Two keys", "about")
        user.press("enter", sees=("tempo 72", "Enter starts the click"))


def test_a_key_is_stamped_where_it_was_read() -> None:
    """The event's own age comes off the clock."""
    page = StrokePage(lambda width, height: (), lambda stroke: None, lambda: 100.0)
    event = events.Key("c", "c")
    event.time -= 0.25
    assert page.read_at(event) == pytest.approx(99.75, abs=0.05)


@pytest.mark.parametrize("glyphs", [UNICODE, ASCII])
def test_the_opening_says_what_is_going_on(glyphs: Any) -> None:
    from drill.theory.language import Language

    words = Words(Language.ENGLISH, glyphs)
    shown = text_of(in_time(InTime("Two keys", Phase.OPENING), words, 60, 19))
    assert "opening the deck" in shown
    if glyphs is ASCII:
        assert shown.isascii()


def test_what_the_command_line_says_of_time_is_how_it_begins(setup: Setup, clock: Clock) -> None:
    asked = Setting(notes_per_beat=2, letters=True)
    trainer = setup.trainer(monotonic=clock, timing=lambda wishes: asked, tempo=60)

    with at_keys(trainer) as user:
        user.see("Two keys", "about")
        user.press("t", sees=("tempo 60", "two notes a beat", "letters alone"))


def test_the_strip_of_marks_is_set_wide_where_it_fits() -> None:
    """28 notes in 7 cells: two columns a note, a gap between cells and 8 for the row's name."""
    result = SimpleNamespace(
        bout=SimpleNamespace(cell_of=tuple(n // 4 for n in range(28))),
        side=lambda n: 1 if n == 5 else 0,
        notes=[SimpleNamespace(off_s=None if n == 9 else 0.0, right=n != 7) for n in range(28)],
    )

    def rows(width: int) -> list[str]:
        return [plain(row) for row in strip(cast("Result", result), UNICODE, width)]

    early, on, late, notes = rows(70)
    assert on.startswith(" on    ● ● ● ●  ●   ● ●")
    assert late.rstrip() == " late" + " " * 13 + "●"
    assert early.strip() == "early"
    assert notes.startswith(f" notes · · · ·  · · · {UNICODE.wrong}  · {UNICODE.missing} · ·")
    assert rows(69)[1].startswith(" on    ●●●● ● ●●")


def test_while_one_taps_along_nothing_else_begins(setup: Setup, user: User) -> None:
    screen = opened(user)
    user.press("c", sees=("tap along with the click", "break off"))
    count = len(setup.player.played)
    assert screen.rehearsal is not None
    bout = screen.rehearsal.bout
    user.press("enter", "full_stop", "tab", "right", "c")
    assert screen.rehearsal.beat is None
    assert screen.rehearsal.bout is bout
    assert len(setup.player.played) == count
    user.press("escape", sees=("broken off", "enter play"))
    user.press("escape", sees="Today")
