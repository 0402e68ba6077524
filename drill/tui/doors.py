"""From where somebody wants to go to the screen: the one place that knows all the screens.

Each is loaded when its door is first opened; so are the ways to most of them, which neither the
first frame of Today nor the first prompt waits for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drill.tui.sheet import Sheet
    from drill.tui.ways import LaterWay, Program, Way


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
    from drill.tui.practices import ToPractice, ToStand

    match way:
        case ToPractice():
            from drill.tui.screens.opening import OpeningScreen

            return OpeningScreen(program, way)
        case ToStand(seat, draft):
            from drill.tui.screens.stand import StandScreen

            return StandScreen(program, seat, draft)
        case _:
            return _other_door(way, program)


def _other_door(way: LaterWay, program: Program) -> Sheet:  # noqa: C901, PLR0911, PLR0912 - a way each
    """A screen that no start waits for."""
    from drill.tui import ways

    match way:
        case ways.ToToday():
            from drill.tui.screens.today import TodayScreen

            return TodayScreen(program)
        case ways.ToTime(deck):
            from drill.tui.screens.time import TimeScreen

            return TimeScreen(program, deck)
        case ways.ToSummary(over):
            from drill.tui.screens.summary import SummaryScreen

            return SummaryScreen(program, over)
        case ways.ToDecks(chosen):
            from drill.tui.screens.decks import DecksScreen

            return DecksScreen(program, chosen)
        case ways.ToMap(deck):
            from drill.tui.screens.map import MapScreen

            return MapScreen(program, deck)
        case ways.ToTrips(deck):
            from drill.tui.screens.trips import TripsScreen

            return TripsScreen(program, deck)
        case ways.ToHelp():
            from drill.tui.screens.helping import HelpScreen

            return HelpScreen(program, way)
        case ways.ToErrand():
            from drill.tui.screens.errand import ErrandScreen

            return ErrandScreen(program, way)
        case ways.ToReport():
            from drill.tui.screens.report import ReportScreen

            return ReportScreen(program, way)
        case ways.ToOwn(deck):
            from drill.tui.formed.own import OwnForm

            return open_door(ways.ToForm(OwnForm(program, deck)), program)
        case ways.ToSettings():
            from drill.tui.formed.settings import SettingsForm

            desk = program.studio.context.settings
            assert desk is not None  # whoever asks has looked
            return open_door(ways.ToForm(SettingsForm(program, desk)), program)
        case ways.ToTake():
            from drill.tui.screens.take import TakeScreen

            return TakeScreen(program, way)
        case ways.ToTapping():
            from drill.tui.screens.tapping import TapScreen

            return TapScreen(program)
        case ways.ToTeacher():
            from drill.tui.formed.teacher import TeacherForm

            errands = program.studio.context.errands
            assert errands is not None
            return open_door(ways.ToForm(TeacherForm(program, errands)), program)
        case ways.ToForm(formed):
            from drill.tui.screens.form import FormScreen

            return FormScreen(program, formed)
        case ways.ToStart():
            from drill.tui.formed.start import Starting
            from drill.tui.screens.pick import StartScreen

            return StartScreen(program, Starting(program).first())
        case ways.ToAsk(asked):
            from drill.tui.screens.pick import StartScreen

            return StartScreen(program, asked)
        case ways.ToPick():
            from drill.tui.screens.pick import PickScreen

            return PickScreen(program, way)
        case ways.ToQuestion():
            from drill.tui.screens.asking import ConfirmScreen

            return ConfirmScreen(program, way)
