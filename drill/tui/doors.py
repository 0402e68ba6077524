"""From where somebody wants to go to the screen: the one place that knows all the screens.

Each is loaded when its door is first opened; so are the ways to most of them, which neither the
first frame of Today nor the first prompt waits for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from drill.tui.sheet import Sheet
    from drill.tui.ways import Program, Way

_BY_VALUES: Mapping[str, tuple[str, str]] = {
    "ToStand": ("stand", "StandScreen"),
    "ToToday": ("today", "TodayScreen"),
    "ToTime": ("time", "TimeScreen"),
    "ToSummary": ("summary", "SummaryScreen"),
    "ToDecks": ("decks", "DecksScreen"),
    "ToMap": ("map", "MapScreen"),
    "ToTrips": ("trips", "TripsScreen"),
    "ToTapping": ("tapping", "TapScreen"),
    "ToForm": ("form", "FormScreen"),
    "ToAsk": ("pick", "StartScreen"),
}
"""Module and class of the screens that are handed what stands in their way, by its name."""
_BY_WAY: Mapping[str, tuple[str, str]] = {
    "ToPractice": ("opening", "OpeningScreen"),
    "ToHelp": ("helping", "HelpScreen"),
    "ToErrand": ("errand", "ErrandScreen"),
    "ToReport": ("report", "ReportScreen"),
    "ToTake": ("take", "TakeScreen"),
    "ToPick": ("pick", "PickScreen"),
    "ToQuestion": ("asking", "ConfirmScreen"),
}
"""Those that are handed the way itself."""
_BY_FORM: Mapping[str, tuple[str, str]] = {
    "ToOwn": ("own", "OwnForm"),
    "ToSettings": ("settings", "SettingsForm"),
    "ToTeacher": ("teacher", "TeacherForm"),
}
"""The forms of those that are drawn by the one screen, handed what stands in their way."""


def first_door(program: Program) -> Sheet:
    """The screen of the start: questions, Today, or the deck that was named."""
    context = program.studio.context
    if context.deck is not None:
        from drill.tui.practices import ToPractice

        return open_door(ToPractice(context.deck, walk=context.walk), program)
    if context.ask_first:
        from drill.tui.ways import ToStart

        return open_door(ToStart(), program)
    from drill.tui.screens.today import TodayScreen

    return TodayScreen(program)


def open_door(way: Way, program: Program) -> Sheet:
    """The screen that a way leads to."""
    name = type(way).__name__
    values = [getattr(way, each.name) for each in fields(way)]
    if place := _BY_VALUES.get(name) or _BY_WAY.get(name):
        handed = values if name in _BY_VALUES else [way]
        screen: Sheet = _made("screens", *place, program, *handed)
        return screen
    from drill.tui import ways

    if name in _BY_FORM:
        return open_door(ways.ToForm(_made("formed", *_BY_FORM[name], program, *values)), program)
    from drill.tui.formed.start import Starting

    return open_door(ways.ToAsk(Starting(program).first()), program)


def _made(room: str, module: str, name: str, *handed: object) -> Any:
    return getattr(import_module(f"drill.tui.{room}.{module}"), name)(*handed)
