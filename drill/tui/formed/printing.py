"""A page or worksheet of a deck as a form."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from drill.tui.formed.files import Wanted
from drill.tui.formed.filling import Filling, name_of
from drill.tui.views.form import Row
from drill.tui.ways import Program
from drill.wording.desk import (
    ASSIGN_ROWS,
    NO_DECK,
    NO_ROSTER,
    NO_ROSTER_YET,
    ONE,
    PRINT_CHOICES,
    PRINT_ROWS,
    ROWS,
    WHERE,
)

_ENDINGS = {"--pdf": ".pdf", "--svg": ".svg", "--musicxml": ".musicxml", "--midi": ".mid"}
_ENGRAVED = ("--pdf", "--svg")
"""Pages of music; files for other programs are of one horn."""
_NAMED = ("--horns=roster", "--horns=students")
"""Whom a roster names."""


class PrintForm(Filling):
    """A page of a deck."""

    title = ROWS["print"][0]

    def __init__(self, program: Program, deck: Path | None) -> None:
        super().__init__(program, {**PRINT_ROWS, "roster": ASSIGN_ROWS["roster"]}, deck)

    def choices(self, name: str) -> Mapping[str, str]:
        return PRINT_CHOICES[name]

    def rows(self) -> tuple[Row, ...]:
        deck = self.paths.get("deck")
        rows = [self.opened("deck", deck.stem if deck else ONE)]
        rows += [self.turned(name) for name in self._asked]
        rows += [self.opened("roster", name_of(self.roster, NO_ROSTER))] if self._by_roster else []
        return (*rows, self.written("file", self._path), self.act())

    @property
    def _asked(self) -> tuple[str, ...]:
        """What is turned, as far as it goes with the rest."""
        engraved, worksheet = self.value("format") in _ENGRAVED, bool(self.value("what"))
        more = (*(("for", "paper") if engraved else ()), *(("answers",) if worksheet else ()))
        return ("what", "format", *more)

    @property
    def _by_roster(self) -> bool:
        return "for" in self._asked and self.value("for") in _NAMED

    @property
    def _path(self) -> Path | None:
        deck = self.paths.get("deck")
        if deck is None:
            return self.paths.get("file")
        name = f"{deck.stem}{'-worksheet' if self.value('what') else ''}"
        return self.paths.get("file", Path.cwd() / name).with_suffix(_ENDINGS[self.value("format")])

    @property
    def file(self) -> Wanted:
        return Wanted(WHERE, (_ENDINGS[self.value("format")],), new=True)

    def do(self) -> str:
        deck, to = self.paths.get("deck"), self._path
        if deck is None or to is None:
            return NO_DECK
        if self._by_roster and self.roster is None:
            return NO_ROSTER_YET
        words = ["sheet", str(deck), "--no-replace"]
        words += [self.value(name) for name in self._asked if name != "format" and self.value(name)]
        words += [f"--roster={self.roster}"] if self._by_roster else []
        return self.write_to(words, self.value("format"), to, self.file)
