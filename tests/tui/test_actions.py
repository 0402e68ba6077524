"""One table: every key once on a screen, every action a method, the last line never cut."""

from __future__ import annotations

from collections import Counter

import pytest

from drill.tui.actions import ACTIONS, Place, at, key_line, keys_of, shown_key
from drill.tui.glyphs import ASCII, UNICODE
from drill.tui.screens.asking import ConfirmScreen
from drill.tui.screens.base import Sheet
from drill.tui.screens.decks import DecksScreen
from drill.tui.screens.helping import HelpScreen
from drill.tui.screens.map import MapScreen
from drill.tui.screens.settings import SettingsScreen
from drill.tui.screens.stand import StandScreen
from drill.tui.screens.summary import SummaryScreen
from drill.tui.screens.time import TimeScreen
from drill.tui.screens.today import TodayScreen
from drill.tui.text import plain

SCREENS: dict[Place, type[Sheet]] = {
    Place.TODAY: TodayScreen,
    Place.STAND: StandScreen,
    Place.TIME: TimeScreen,
    Place.SUMMARY: SummaryScreen,
    Place.TIME: TimeScreen,
    Place.DECKS: DecksScreen,
    Place.MAP: MapScreen,
    Place.SETTINGS: SettingsScreen,
    Place.HELP: HelpScreen,
    Place.CONFIRM: ConfirmScreen,
}


def test_ids_are_unique() -> None:
    assert max(Counter(action.id for action in ACTIONS).values()) == 1


@pytest.mark.parametrize("place", Place)
def test_a_key_does_one_thing_on_a_screen(place: Place) -> None:
    keys = Counter(key for action in at(place) for key in action.keys)
    assert [key for key, times in keys.items() if times > 1] == []


@pytest.mark.parametrize("place", Place)
def test_every_action_is_a_method_of_its_screen(place: Place) -> None:
    for action in at(place):
        assert hasattr(SCREENS[place], f"action_{action.method}"), action.id


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
    if width >= 60 and place not in (Place.HELP, Place.CONFIRM):
        assert "help" in text


def test_a_key_of_the_player_s_own_is_shown() -> None:
    mute = next(action for action in ACTIONS if action.id == "mute")
    assert keys_of(mute, {"mute": "f1, x"}) == ("f1", "x")
    assert "F1 sound" in plain(key_line(Place.STAND, 80, UNICODE, {"mute": "f1"}, {}))


def test_arrows_have_a_name_in_ascii() -> None:
    assert [shown_key(key, ASCII) for key in ("up", "left")] == ["^", "left"]
