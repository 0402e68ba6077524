"""From where somebody wants to go to the screen: the one place that knows all the screens.

Each is loaded when its door is first opened.
"""

from __future__ import annotations

from drill.tui.practices import ToPractice
from drill.tui.sheet import Sheet
from drill.tui.ways import (
    Program,
    ToAsk,
    ToDecks,
    ToErrand,
    ToForm,
    ToHelp,
    ToMap,
    ToOwn,
    ToPick,
    ToQuestion,
    ToReport,
    ToSettings,
    ToStand,
    ToStart,
    ToSummary,
    ToTake,
    ToTapping,
    ToTeacher,
    ToTime,
    ToToday,
    ToTrips,
    Way,
)


def open_door(way: Way, program: Program) -> Sheet:  # noqa: C901, PLR0911, PLR0912 - a way each
    """The screen that a way leads to."""
    match way:
        case ToToday():
            from drill.tui.screens.today import TodayScreen

            return TodayScreen(program)
        case ToPractice():
            from drill.tui.screens.opening import OpeningScreen

            return OpeningScreen(program, way)
        case ToStand(seat, draft):
            from drill.tui.screens.stand import StandScreen

            return StandScreen(program, seat, draft)
        case ToTime(deck):
            from drill.tui.screens.time import TimeScreen

            return TimeScreen(program, deck)
        case ToSummary(over):
            from drill.tui.screens.summary import SummaryScreen

            return SummaryScreen(program, over)
        case ToDecks(chosen):
            from drill.tui.screens.decks import DecksScreen

            return DecksScreen(program, chosen)
        case ToMap(deck):
            from drill.tui.screens.map import MapScreen

            return MapScreen(program, deck)
        case ToTrips(deck):
            from drill.tui.screens.trips import TripsScreen

            return TripsScreen(program, deck)
        case ToHelp():
            from drill.tui.screens.helping import HelpScreen

            return HelpScreen(program, way)
        case ToErrand():
            from drill.tui.screens.errand import ErrandScreen

            return ErrandScreen(program, way)
        case ToReport():
            from drill.tui.screens.report import ReportScreen

            return ReportScreen(program, way)
        case ToOwn(deck):
            from drill.tui.formed.own import OwnForm

            return open_door(ToForm(OwnForm(program, deck)), program)
        case ToSettings():
            from drill.tui.formed.settings import SettingsForm

            desk = program.studio.context.settings
            assert desk is not None  # whoever asks has looked
            return open_door(ToForm(SettingsForm(program, desk)), program)
        case ToTake():
            from drill.tui.screens.take import TakeScreen

            return TakeScreen(program, way)
        case ToTapping():
            from drill.tui.screens.tapping import TapScreen

            return TapScreen(program)
        case ToTeacher():
            from drill.tui.formed.teacher import TeacherForm

            errands = program.studio.context.errands
            assert errands is not None
            return open_door(ToForm(TeacherForm(program, errands)), program)
        case ToForm(formed):
            from drill.tui.screens.form import FormScreen

            return FormScreen(program, formed)
        case ToStart():
            from drill.tui.formed.start import Starting
            from drill.tui.screens.pick import StartScreen

            return StartScreen(program, Starting(program).first())
        case ToAsk(asked):
            from drill.tui.screens.pick import StartScreen

            return StartScreen(program, asked)
        case ToPick():
            from drill.tui.screens.pick import PickScreen

            return PickScreen(program, way)
        case ToQuestion():
            from drill.tui.screens.asking import ConfirmScreen

            return ConfirmScreen(program, way)
