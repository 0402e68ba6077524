"""A student's answers for the teacher as a form."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from drill.decks.load import load
from drill.errors import DrillError
from drill.files import file_name_of
from drill.reports.results import SUFFIX
from drill.tui.formed.files import Wanted
from drill.tui.formed.filling import Filling
from drill.tui.views.form import Row
from drill.tui.ways import Program
from drill.wording.desk import EDITIONS, HAND_ROWS, NO_DECK, NO_NAME, ONE, ROWS, WHERE

_FILE = Wanted(WHERE, (SUFFIX,), new=True)


class HandInForm(Filling):
    """A student's answers to one deck, for the teacher."""

    title = ROWS["hand"][0]
    file = _FILE

    def __init__(self, program: Program, deck: Path | None) -> None:
        super().__init__(program, HAND_ROWS, deck)
        self._assigned: dict[Path, str] = {}
        """Whom each deck that was looked at was given to; empty for nobody by name."""

    def choices(self, name: str) -> Mapping[str, str]:
        del name
        return EDITIONS

    def rows(self) -> tuple[Row, ...]:
        deck = self.paths.get("deck")
        return (
            self.opened("deck", deck.stem if deck else ONE),
            self.typed("name", self._name),
            self.typed("line"),
            self.turned("earlier"),
            self.written("file", self._path(deck)),
            self.act(),
        )

    @property
    def _name(self) -> str:
        """As typed, as the deck was given, or as it was handed in before."""
        given = self._given_to(self.paths.get("deck"))
        return self.texts.get("name") or given or self._program.studio.wishes.student

    def _given_to(self, deck: Path | None) -> str:
        if deck is not None and deck not in self._assigned:
            self._assigned[deck] = ""
            with suppress(DrillError):  # the command will say what is wrong with it
                given = load(deck).assignment
                self._assigned[deck] = given.name if given else ""
        return self._assigned[deck] if deck else ""

    def _path(self, deck: Path | None) -> Path | None:
        if "file" in self.paths or deck is None:
            return self.paths.get("file")
        return Path.cwd() / f"{file_name_of(self._name or 'answers', deck.stem)}{SUFFIX}"

    def do(self) -> str:
        deck, name = self.paths.get("deck"), self._name
        settings = self._program.studio.context.settings
        if deck is None:
            return NO_DECK
        if not name:
            return NO_NAME
        if settings is not None and self.texts.get("name"):
            settings.put("student", name)  # so that it stands there the next time
            self._program.follow()
        words = ["hand-in", "--deck", str(deck), f"--name={name}"]
        words += [f"--line={self.texts.get('line', '')}", *filter(None, [self.value("earlier")])]
        return self.write_to(words, "--out", self._path(deck) or Path(), _FILE)
