"""A page or worksheet of a deck as a form."""

from __future__ import annotations

from pathlib import Path

from drill.shown import harmless
from drill.tui.formed.assigning import ROSTERS
from drill.tui.formed.files import Wanted, deck_list, file_list, file_row, took
from drill.tui.formed.filling import kept
from drill.tui.formed.saving import rename
from drill.tui.views.form import Kind, Row
from drill.tui.ways import Program, ToErrand
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

_FORMATS = (("--pdf", ".pdf"), ("--svg", ".svg"), ("--musicxml", ".musicxml"), ("--midi", ".mid"))
"""Option and ending of each."""
_ENGRAVED = 2
"""So many of them are pages of music."""
_FOR = ("", "roster", "students", "all")
"""What ``--horns`` takes; empty for one horn."""


class PrintForm:
    """A page of a deck."""

    title = ROWS["print"][0]
    said = ""

    def __init__(self, program: Program, deck: Path | None) -> None:
        self._program = program
        self._deck = deck
        self._file: Path | None = None
        self._turned = {"what": 0, "format": 0, "for": 0, "paper": 0, "answers": 0}

    def rows(self) -> tuple[Row, ...]:
        left_out = set() if self._turned["what"] == 1 else {"answers"}
        left_out |= set() if self._engraved else {"for", "paper"}
        names = [name for name in self._turned if name not in left_out]
        label, told = ASSIGN_ROWS["roster"]
        known = self._roster
        shown = harmless(known.name) if known else NO_ROSTER
        roster = [Row("roster", label, shown, Kind.OPEN, told)] if self._by_roster else []
        return (
            Row("deck", PRINT_ROWS["deck"][0], self._deck.stem if self._deck else ONE, Kind.OPEN),
            *(
                Row(
                    name,
                    PRINT_ROWS[name][0],
                    PRINT_CHOICES[name][self._turned[name]],
                    Kind.TURN,
                    PRINT_ROWS[name][1],
                )
                for name in names
            ),
            *roster,
            file_row(self._path(), PRINT_ROWS["file"]),
            Row("do", PRINT_ROWS["do"][0], kind=Kind.ACT),
        )

    @property
    def _engraved(self) -> bool:
        """Whether it is music on a page: files for other programs are of one horn."""
        return self._turned["format"] < _ENGRAVED

    @property
    def _by_roster(self) -> bool:
        return self._engraved and _FOR[self._turned["for"]] in ("roster", "students")

    @property
    def _roster(self) -> Path | None:
        return self._program.studio.desk.get("roster")

    def _path(self) -> Path | None:
        if self._deck is None:
            return self._file
        name = f"{self._deck.stem}{'-worksheet' if self._turned['what'] else ''}"
        suffix = _FORMATS[self._turned["format"]][1]
        return (self._file or Path.cwd() / name).with_suffix(suffix)

    def turn(self, name: str, by: int) -> str:
        self._turned[name] = (self._turned[name] + by) % len(PRINT_CHOICES[name])
        return ""

    def put(self, name: str, text: str) -> str:
        del name, text
        return ""

    def press(self, name: str) -> str:
        if name == "deck":
            self._program.go(deck_list(self._program, took(self, self._program, "_deck")))
            return ""
        option, suffix = _FORMATS[self._turned["format"]]
        if name == "roster":
            desk, back = self._program.studio.desk, self._program.back
            self._program.go(file_list(self._program, ROSTERS, Path.cwd(), kept(desk, name, back)))
            return ""
        if name == "file":
            wanted = Wanted(WHERE, (suffix,), new=True)
            self._program.go(
                file_list(self._program, wanted, Path.cwd(), took(self, self._program, "_file"))
            )
            return ""
        if self._deck is None:
            return NO_DECK
        words = ["sheet", str(self._deck), "--no-replace"]
        words += ["--paper", ("a4", "letter")[self._turned["paper"]]]
        if self._by_roster and self._roster is None:
            return NO_ROSTER_YET
        parts = _FOR[self._turned["for"]] if self._engraved else ""
        words += [f"--horns={parts}"] if parts else []
        words += [f"--roster={self._roster}"] if self._by_roster else []
        if self._turned["what"]:
            words += ["--worksheet", ("--answers", "--no-answers")[self._turned["answers"]]]
        self._program.go(self._words(tuple(words), option, self._path()))
        return ""

    def _words(self, words: tuple[str, ...], option: str, to: Path | None) -> ToErrand:
        assert to is not None  # a deck is chosen, so there is a name
        wanted = Wanted(WHERE, (to.suffix,), new=True)
        again = rename(
            self._program, wanted, to.parent, lambda path: self._words(words, option, path)
        )
        return ToErrand(self.title, (*words, f"{option}={to}"), another=again)
