"""A student's answers for the teacher as a form."""

from __future__ import annotations

from pathlib import Path

from drill.files import file_name
from drill.reports.results import SUFFIX
from drill.tui.formed.files import Wanted, deck_list, file_list, file_row, took
from drill.tui.formed.saving import rename
from drill.tui.views.form import Kind, Row
from drill.tui.ways import Program, ToErrand
from drill.wording.desk import HAND_ROWS, NO_DECK, NO_NAME, ONE, ROWS, WHERE


class HandInForm:
    """A student's answers to one deck, for the teacher."""

    title = ROWS["hand"][0]
    said = ""

    def __init__(self, program: Program, deck: Path | None) -> None:
        self._program, self._deck = program, deck
        self._file: Path | None = None
        self._line = ""
        desk = program.studio.context.settings
        known = {each.name: each.value for each in desk.settings()} if desk else {}
        self._name = known.get("student", "")

    def rows(self) -> tuple[Row, ...]:
        called, line, told = HAND_ROWS["name"], HAND_ROWS["line"][0], self._line
        return (
            Row("deck", HAND_ROWS["deck"][0], self._deck.stem if self._deck else ONE, Kind.OPEN),
            Row("name", called[0], self._name, Kind.TEXT, called[1], self._name),
            Row("line", line, told, Kind.TEXT, text=told),
            file_row(self._path(), HAND_ROWS["file"]),
            Row("do", HAND_ROWS["do"][0], kind=Kind.ACT),
        )

    def _path(self) -> Path | None:
        if self._file is not None or self._deck is None:
            return self._file
        return Path.cwd() / f"{file_name(self._name) or 'answers'}-{self._deck.stem}{SUFFIX}"

    def turn(self, name: str, by: int) -> str:
        del name, by
        return ""

    def put(self, name: str, text: str) -> str:
        if name == "name":
            self._name = text
        else:
            self._line = text
        return ""

    def press(self, name: str) -> str:
        if name == "deck":
            self._program.go(deck_list(self._program, took(self, self._program, "_deck")))
        elif name == "file":
            wanted = Wanted(WHERE, (SUFFIX,), new=True)
            self._program.go(
                file_list(self._program, wanted, Path.cwd(), took(self, self._program, "_file"))
            )
        elif self._deck is None:
            return NO_DECK
        elif not self._name:
            return NO_NAME
        else:
            words = ["hand-in", "--deck", str(self._deck), f"--name={self._name}"]
            words.append(f"--line={self._line}")
            self._program.go(self._words(tuple(words), self._path() or Path()))
        return ""

    def _words(self, words: tuple[str, ...], to: Path) -> ToErrand:
        wanted = Wanted(WHERE, (SUFFIX,), new=True)
        again = rename(self._program, wanted, to.parent, lambda path: self._words(words, path))
        return ToErrand(self.title, (*words, f"--out={to}"), another=again)
