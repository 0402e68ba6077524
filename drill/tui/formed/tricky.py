"""A deck of what goes wrong, as a form."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path

from drill.decks.load import SUFFIX as DECK
from drill.decks.mine import horns
from drill.files import file_name
from drill.tui.formed.files import Wanted
from drill.tui.formed.filling import FOLDERS, Filling, day_fault, horn_list, name_of, options
from drill.tui.outside import Errands
from drill.tui.views.form import Row
from drill.tui.ways import Program
from drill.wording.desk import (
    ASSIGN_ROWS,
    COUNTED,
    DECK_FOR,
    ELSEWHERE,
    NO_PLACE,
    NO_ROSTER,
    OF_THE_ANSWERS,
    ONE,
    OWN,
    TAKEN_IN,
    TRICKY,
    TRICKY_ROWS,
    TRICKY_TITLE,
    WHERE,
)

_FILE = Wanted(WHERE, (DECK,), new=True)
_FROM = {"taken": TAKEN_IN, "own": OWN, "place": ELSEWHERE}
_WORST = {str(count): str(count) for count in (5, *range(6, 16), *range(1, 5))}


class TrickyForm(Filling):
    """The keys that go wrong most, as a deck or one for each."""

    title = TRICKY
    file = _FILE

    def __init__(self, program: Program, errands: Errands) -> None:
        super().__init__(program, {**TRICKY_ROWS, "roster": ASSIGN_ROWS["roster"]})
        self._errands = errands
        self._horn = ""

    def choices(self, name: str) -> Mapping[str, str]:
        table = {"from": _FROM, "for": DECK_FOR, "worst": _WORST, "count": COUNTED}
        return table[name]

    def rows(self) -> tuple[Row, ...]:
        place, whose = self.paths.get("place"), self.value("from")
        horn = next((each.name for each in horns() if each.id == self._horn), OF_THE_ANSWERS)
        rows = [self.turned("from")]
        if whose == "place":
            rows.append(self.opened("place", name_of(place, ONE)))
        if whose != "own":
            rows.append(self.turned("for"))
        if whose != "own" and self.value("for") == "group":
            rows.append(self.opened("roster", name_of(self.roster, NO_ROSTER)))
        rows += [self.turned("worst"), self.turned("count"), self.opened("instrument", horn)]
        rows += [self.typed("title", TRICKY_TITLE), self.typed("due"), self.typed("note")]
        rows.append(self.written("folder" if self._several else "file", self._target))
        return (*rows, self.act())

    def press(self, name: str) -> str | None:
        if name == "instrument":
            title, taken = TRICKY_ROWS[name][0], partial(setattr, self, "_horn")
            self._program.go(horn_list(self._program, title, OF_THE_ANSWERS, taken))
            return None
        return super().press(name)

    def do(self) -> str:
        whose, place = self.value("from"), self.paths.get("place")
        if whose == "place" and place is None:
            return NO_PLACE
        if fault := day_fault(self.texts.get("due", "")):
            return fault
        words = ["deck", "tricky"]
        words += {"own": [], "taken": [str(self._errands.taken_in)], "place": [str(place)]}[whose]
        words += [f"--worst={self.value('worst')}", *filter(None, [self.value("count")])]
        words += options(self.texts, "title", "due", "note")
        words += [f"--instrument={self._horn}"] if self._horn else []
        words += [f"--by={self.value('for')}"] if self._several else []
        words += [f"--roster={self.roster}"] if self.roster and whose != "own" else []
        option, wanted = ("--out-dir", FOLDERS) if self._several else ("--out", _FILE)
        return self.write_to(words, option, self._target, wanted)

    @property
    def _several(self) -> bool:
        """Whether a deck for each is written."""
        return self.value("from") != "own" and self.value("for") != ""

    @property
    def _target(self) -> Path:
        """Where it goes: as chosen, else one deck among the player's own, several to a folder."""
        name = file_name(self.texts.get("title", "")) or "tricky-keys"
        if self._several:
            return self.paths.get("folder", Path.cwd() / name)
        folder = self._program.studio.context.folders[0]
        return self.paths.get("file", folder / f"{name}{DECK}")
