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
    from drill.reports.report import Report
    from drill.tui.outside import Done, Recorded, Taken


@dataclass(frozen=True, slots=True)
class CommandErrands:
    """One player's commands; see ``tui.outside.Errands`` for what each is."""

    tools: Tools

    def run(self, words: Sequence[str]) -> Done:
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
        return self.tools.house.places.results

    def class_results(self, places: Sequence[Path], roster: Path | None = None) -> Report:
        from drill.commands.class_ import room_of
        from drill.reports.classreport import class_report

        args = _args("class", *map(str, places), *_roster(roster))
        return class_report(room_of(args, self._tools), self.tools.house.zone)

    def plan(self, folder: Path, roster: Path | None, results: Sequence[Path]) -> Report:
        """What could not be read stands under its figures."""
        from drill.commands.plan import plan_of

        taken = [word for each in results for word in ("--results", str(each))]
        args = _args("plan", str(folder), *_roster(roster), *taken)
        report, unread = plan_of(args, self._tools)
        told = (each.removeprefix("drill: ") for each in unread)
        return replace(report, lead=(*report.lead, *told))

    def held(self) -> float | None:
        from drill.practice.time.echoes import held_by

        return held_by(self.tools.environment)()

    def hear(self, take: Recorded) -> Taken:
        from drill.commands.take import said_of
        from drill.hearing.hear import hear
        from drill.opening.asked_line import line_of, told_to_the_ear
        from drill.opening.choosing import deck_choices
        from drill.sound.capture import RATE
        from drill.tui.outside import Taken

        found = deck_choices(take.deck)
        mine = tuple(each for each in found.choices if each.run == take.run)
        line, tempo = line_of(replace(found, choices=mine), take.tempo, 2, None)
        settings, horn = self.tools.settings(), take.deck.instrument
        asked = told_to_the_ear(line, horn, settings.a4, take.first_beat_s)
        heard = hear(take.samples, RATE, asked)
        told = said_of(line, heard, tempo, settings.names, kept=take.kept)
        return Taken(line, heard, tuple(told))

    def keep_result(self, deck: Deck, taken: Taken) -> None:
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
