"""What the screens have done by commands: the same work, its words handed back."""

from __future__ import annotations

import argparse
import contextlib
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from drill.errors import DrillError, ExitCode, TakenError
from drill.opening.tools import Tools

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.hearing.line import Line
    from drill.reports.people import Person
    from drill.reports.report import Report
    from drill.sound.capture import Samples
    from drill.terms import Run
    from drill.tui.outside import Done, Taken


@dataclass(frozen=True, slots=True)
class CommandErrands:
    """One player's commands."""

    tools: Tools

    def run(self, words: Sequence[str]) -> Done:
        """Do what a command does; what it said, or what was wrong."""
        from drill.commands.table import module_of
        from drill.tui.outside import Done

        out, err = io.StringIO(), io.StringIO()
        tools = replace(self.tools, source=io.StringIO(), out=out, err=err, on_screen=True)
        try:
            with contextlib.redirect_stderr(err), contextlib.redirect_stdout(out):
                args = _args(*words)
                code = int(module_of(words[0]).run(args, tools))
        except SystemExit:
            return Done(False, _told(out, err))
        except DrillError as error:
            taken = error.path if isinstance(error, TakenError) else None
            return Done(False, _told(out, err) + str(error), taken)
        except OSError as error:
            return Done(
                False, f"{_told(out, err)}{error.filename or ''}: {error.strerror or error}"
            )
        return Done(code == ExitCode.OK, _told(out, err))

    @property
    def _tools(self) -> Tools:
        return replace(self.tools, on_screen=True)

    @property
    def taken_in(self) -> Path:
        """The folder of what students handed in and was taken in; it may not be there yet."""
        return self.tools.house.places.results

    def roster(self, path: Path) -> tuple[Person, ...]:
        """The people of a roster file.  Raises DrillError."""
        from drill.commands.class_ import roster_of

        return roster_of(str(path))

    def class_results(self, places: Sequence[Path], roster: Path | None = None) -> Report:
        """The class report of results files and folders, of what was taken in for none.

        ``roster`` adds names and those who have not begun; None for no roster.
        Raises DrillError.
        """
        from drill.commands.class_ import room_of
        from drill.reports.classreport import class_report

        args = _args("class", *map(str, places), *_roster(roster))
        return class_report(room_of(args, self._tools), self.tools.house.zone)

    def plan(self, folder: Path, roster: Path | None, results: Sequence[Path]) -> Report:
        """What of a folder of assignments is out, due, in and missing; what could not be read
        stands under its figures.  Raises DrillError.
        """
        from drill.commands.plan import plan_of

        taken = [word for each in results for word in ("--results", str(each))]
        args = _args("plan", str(folder), *_roster(roster), *taken)
        report, unread = plan_of(args, self._tools)
        told = (each.removeprefix("drill: ") for each in unread)
        return replace(report, lead=(*report.lead, *told))

    def line(self, deck: Deck, run: Run, tempo: float | None) -> tuple[Line, float | None]:
        """A deck's run as a take is held against it, and its tempo: the deck's for None.

        Raises DrillError.
        """
        from drill.opening.asked_line import line_of
        from drill.opening.choosing import deck_choices

        found = deck_choices(deck)
        mine = tuple(each for each in found.choices if each.run == run)
        return line_of(replace(found, choices=mine), tempo, 2, None)

    def held(self) -> float | None:
        """What the system holds of what our microphone heard, in seconds; None if nobody knows."""
        from drill.practice.time.echoes import held_by

        return held_by(self.tools.environment)()

    def hear(
        self,
        deck: Deck,
        line: Line,
        tempo: float | None,
        samples: Samples,
        first_beat_s: float | None,
        *,
        kept: bool = False,
    ) -> Taken:
        """What was heard of a take, and what is said of it.  Raises DrillError."""
        from drill.commands.take import said_of
        from drill.hearing.hear import hear
        from drill.opening.asked_line import told_to_the_ear
        from drill.sound.capture import RATE
        from drill.tui.outside import Taken

        settings = self.tools.settings()
        heard = hear(
            samples, RATE, told_to_the_ear(line, deck.instrument, settings.a4, first_beat_s)
        )
        return Taken(line, heard, tuple(said_of(line, heard, tempo, settings.names, kept=kept)))

    def keep_result(self, deck: Deck, taken: Taken) -> None:
        """Keep what was said of a take, and no sound, for the deck's next hand-in.

        Raises DrillError.
        """
        from drill.commands.take import keep_result

        keep_result(deck, taken.line, taken.heard, taken.told, self.tools)


def _args(command: str, *words: str) -> argparse.Namespace:
    from drill.commands.table import module_of, parser_of

    return parser_of(command, module_of(command)).parse_args(words)


def _roster(path: Path | None) -> tuple[str, ...]:
    return () if path is None else ("--roster", str(path))


def _told(out: io.StringIO, err: io.StringIO) -> str:
    """Everything said, without the program's name before each line."""
    lines = (out.getvalue() + err.getvalue()).splitlines()
    return "".join(f"{line.removeprefix('drill: ')}\n" for line in lines)
