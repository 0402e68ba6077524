"""Decks: look through them, run by run, and begin one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from textual import work

from drill.decks.schema import Deck
from drill.errors import DrillError
from drill.terms import Direction
from drill.tui.actions import Place
from drill.tui.practices import ToPractice
from drill.tui.sheet import Acts, RowSheet, moved
from drill.tui.text import Lines
from drill.tui.views.decks import Decks, decks
from drill.tui.views.today import suggested
from drill.tui.ways import Program, ToMap, ToOwn, ToTake, Way
from drill.wording.screens import NO_DECKS


class DecksScreen(RowSheet):
    """Every deck, one in view."""

    PLACE = Place.DECKS

    def __init__(self, program: Program, chosen: Path | None) -> None:
        super().__init__(program)
        self._chosen = chosen
        self._paths: tuple[Path, ...] = ()
        self._all = Decks()
        self._view: Decks = self._all
        self._way = Direction.UP

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self.call_after_refresh(self.read_deck)

    @work(exclusive=True, exit_on_error=False)
    async def read_deck(self) -> None:
        """Read and spell the deck in view; again after another screen, which may have kept it."""
        if self._paths and self.studio.chosen is not None:
            self._chosen = self.studio.chosen

        def job() -> tuple[tuple[Path, ...], Path | None, Decks]:
            seats = self.studio.open_seats()
            paths = seats.paths()
            if not paths:
                return paths, None, Decks(problem=NO_DECKS)
            path = self._chosen
            if path not in paths:  # asked for before Today had listed them, or the file is gone
                first = self.studio.context.first_deck
                path = paths[suggested(self.studio.known(paths), seats.last(), first)]
            names = tuple(each.stem for each in paths)
            view = Decks(names=names, chosen=paths.index(path))
            try:
                deck = seats.deck(path)
                made = seats.syllabus(deck)
            except DrillError as error:
                return paths, path, replace(view, problem=str(error))
            view = replace(view, deck=deck, horn=made.horn, runs=made.runs, remarks=made.remarks)
            return paths, path, view

        self._paths, self._chosen, self._all = await self.studio.backroom.do(job)
        self._turn(self._way)

    def _turn(self, way: Direction) -> None:
        """Show the runs of one direction; the other where there is none of that."""
        runs = tuple(run for run in self._all.runs if run.direction is way)
        if not runs and self._all.runs:
            way = self._all.runs[0].direction
            runs = tuple(run for run in self._all.runs if run.direction is way)
        self._way = way
        run = min(self._view.run, max(0, len(runs) - 1))
        self._view = replace(self._all, runs=runs, run=run)
        self.redraw()

    def say(self, notice: str) -> None:
        self.show(problem=notice)

    def lines(self, width: int, height: int) -> Lines:
        return decks(self._view, self.studio.words, width, height)

    def words_instead(self) -> dict[str, str]:
        return {"record.decks": ""} if self.studio.context.errands is None else {}

    # What its keys do.

    def acts(self) -> Acts:
        return {
            **super().acts(),
            "left": partial(self._leaf, -1),
            "right": partial(self._leaf, 1),
            "direction": self._direction,
            "edit": self._edit,
            "record": self._record,
            "begin": partial(self._open, ToPractice),
            "map": partial(self._open, ToMap),
        }

    def walk(self, verb: str) -> None:
        if self._paths:
            here = self._chosen  # the one in view may be one that is left already
            at = self._paths.index(here) if here in self._paths else self._view.chosen
            at = moved(verb, at, len(self._paths))
            self._chosen = self._paths[at]
            self.studio.choose(self._paths[at])
            self._view = replace(self._view, run=0)
            self.read_deck()

    def _leaf(self, by: int) -> None:
        if self._view.runs:
            self.show(run=(self._view.run + by) % len(self._view.runs))

    def _direction(self) -> None:
        if self._view.deck is not None:
            self._turn(Direction.DOWN if self._way is Direction.UP else Direction.UP)

    @property
    def _deck(self) -> Deck | None:
        """The chosen deck; None where it cannot be used, or another is still in view."""
        view = self._view
        read = bool(self._paths) and self._paths[view.chosen] == self._chosen
        return view.deck if read else None

    def _edit(self) -> None:
        if self._deck is not None:
            self.program.go(ToOwn(self._deck))

    def _record(self) -> None:
        view, deck = self._view, self._deck
        if deck is not None and view.runs and self.studio.context.errands is not None:
            self.program.go(ToTake(deck, view.runs[view.run]))

    def _open(self, way: Callable[[Path], Way]) -> None:
        if self._chosen is not None and self._view.deck is not None:
            self.program.go(way(self._chosen))
