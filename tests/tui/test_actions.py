"""One table: every key once on a screen, every action a method, the last line never cut."""

from __future__ import annotations

import errno
import threading
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from tui_desk import Setup

from drill.practice.machine import summary
from drill.tui.actions import ACTIONS, Place, at, key_line, keys_of, shown_key
from drill.tui.digest import Digest
from drill.tui.doors import open_door
from drill.tui.draft import Draft
from drill.tui.formed.own import OwnForm
from drill.tui.glyphs import ASCII, UNICODE
from drill.tui.practices import Over, ToPractice, ToStand
from drill.tui.sheet import Sheet
from drill.tui.text import plain
from drill.tui.trainer import Trainer
from drill.tui.views.pick import Pick
from drill.tui.ways import (
    ToDecks,
    ToErrand,
    ToForm,
    ToHelp,
    ToMap,
    ToPick,
    ToQuestion,
    ToReport,
    ToStart,
    ToSummary,
    ToTake,
    ToTapping,
    ToTime,
    ToToday,
    ToTrips,
    Way,
)
from drill.wording.keys import TYPING


@pytest.fixture
def trainer(home: Path) -> Iterator[Trainer]:
    setup = Setup(home)
    trainer = setup.trainer()
    yield trainer
    trainer.studio.close()


def ways(trainer: Trainer) -> dict[Place, Way]:
    """A way to each screen."""
    seats, plan = trainer.studio.open_seats(), trainer.studio.plan
    seat = seats.sit(ToPractice("two-keys"), plan, silent=False)
    deck = seat.desk.syllabus.deck
    return {
        Place.TODAY: ToToday(),
        Place.STAND: ToStand(seat, Draft()),
        Place.TIME: ToTime(deck),
        Place.TAPPING: ToTapping(),
        Place.TAKE: ToTake(deck, seat.desk.syllabus.runs[0]),
        Place.SUMMARY: ToSummary(Over(seat, seat.state, summary(seat.state), Digest())),
        Place.DECKS: ToDecks(None),
        Place.MAP: ToMap(deck),
        Place.TRIPS: ToTrips(deck),
        Place.FORM: ToForm(OwnForm(trainer)),
        Place.ERRAND: ToErrand("Decks", ("decks",)),
        Place.REPORT: ToReport("Class", lambda: None),  # type: ignore[arg-type,return-value]
        Place.PICK: ToPick(Pick("Horn", ()), lambda _: ""),
        Place.START: ToStart(),
        Place.HELP: ToHelp(Place.MAP),
        Place.CONFIRM: ToQuestion("Leave?", "", lambda: None, ("yes", "no")),
        Place.OPENING: ToPractice("two-keys"),
    }


def test_ids_are_unique() -> None:
    assert max(Counter(action.id for action in ACTIONS).values()) == 1


@pytest.mark.parametrize("place", Place)
def test_a_key_does_one_thing_on_a_screen(place: Place) -> None:
    keys = Counter(key for action in at(place) for key in action.keys)
    assert [key for key, times in keys.items() if times > 1] == []


def test_every_action_is_one_of_its_screen_s_and_every_screen_has_its_place(
    trainer: Trainer,
) -> None:
    found = ways(trainer)
    assert set(found) == set(Place)
    for place, way in found.items():
        screen = open_door(way, trainer)
        assert screen.PLACE is place
        assert {action.verb for action in at(place)} <= set(screen.acts())


def test_no_key_that_a_terminal_or_a_multiplexer_keeps() -> None:
    """ctrl+b is a multiplexer's prefix, ctrl+s and ctrl+q flow control, alt and other function
    keys are often taken by the window (common practice)."""
    for action in ACTIONS:
        for key in action.keys:
            assert key not in {"ctrl+b", "ctrl+s", "ctrl+q", "ctrl+i", "ctrl+m", "ctrl+h", "ctrl+j"}
            assert "alt" not in key
            assert key == "f1" or not (key.startswith("f") and key[1:].isdecimal())


@pytest.mark.parametrize("place", Place)
@pytest.mark.parametrize("width", [36, 40, 60, 80, 132])
@pytest.mark.parametrize("glyphs", [UNICODE, ASCII])
def test_the_last_line_fits_and_keeps_the_way_back(place, width, glyphs) -> None:  # type: ignore[no-untyped-def]
    text = plain(key_line(place, width, glyphs, {}, {}))
    assert len(text) <= width
    if place is not Place.CONFIRM:
        assert any(word in text for word in ("back", "end", "quit"))
    if width >= 60 and place not in (Place.HELP, Place.CONFIRM, Place.OPENING):
        assert "help" in text


@pytest.mark.parametrize("place", Place)
def test_on_a_tiny_screen_the_last_line_loses_words_and_never_passes_the_edge(place: Place) -> None:
    for width in range(4, 36):
        text = plain(key_line(place, width, UNICODE, {}, {}))
        assert len(text) <= width
    whole = plain(key_line(place, 30, UNICODE, {}, {})).split()
    assert whole


def test_a_key_of_the_player_s_own_is_shown() -> None:
    mute = next(action for action in ACTIONS if action.id == "mute")
    assert keys_of(mute, {"mute": "f1, x"}) == ("f1", "x")
    assert "F1 sound" in plain(key_line(Place.STAND, 80, UNICODE, {"mute": "f1"}, {}))


def test_arrows_have_a_name_in_ascii() -> None:
    assert [shown_key(key, ASCII) for key in ("up", "left")] == ["^", "left"]


@pytest.mark.parametrize("place", [Place.STAND, Place.MAP, Place.FORM])
def test_the_last_line_has_as_many_words_as_fit_with_a_column_either_side(place: Place) -> None:
    whole = plain(key_line(place, 400, UNICODE, {}, {})).strip()
    assert plain(key_line(place, len(whole) + 2, UNICODE, {}, {})).strip() == whole
    assert plain(key_line(place, len(whole) + 1, UNICODE, {}, {})).strip() != whole


def test_the_help_of_the_stand_says_how_notes_are_typed_and_no_other_does(trainer: Trainer) -> None:
    def shown(place: Place) -> str:
        screen = open_door(ToHelp(place), trainer)
        assert isinstance(screen, Sheet)
        return " ".join(" ".join(map(plain, screen.lines(80, 200))).split())

    first = " ".join(TYPING.splitlines()[0].split())[:40]
    assert first in shown(Place.STAND)
    assert first not in shown(Place.MAP)


def test_an_error_in_a_thread_is_reported_and_a_terminal_that_is_gone_is_not(
    trainer: Trainer, home: Path
) -> None:
    def lost(error: OSError) -> list[Path]:
        trainer._lost_in_thread(
            threading.ExceptHookArgs((type(error), error, None, threading.current_thread()))
        )
        return list((home / "log").glob("*"))

    assert lost(OSError(errno.EIO, "gone")) == []
    assert len(lost(OSError(errno.ENOSPC, "full"))) == 1
