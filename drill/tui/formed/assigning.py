"""An assignment for each of a class, as a form."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from drill.errors import DrillError
from drill.reports.people import KNOWN, Person
from drill.reports.rosterfile import roster_of
from drill.shown import harmless
from drill.tui.formed.filling import FOLDERS, Filling, day_fault, options
from drill.tui.seats import glance
from drill.tui.views.form import Row
from drill.tui.views.pick import Choice, Pick
from drill.tui.ways import Program, ToPick
from drill.wording.desk import (
    ASSIGN,
    ASSIGN_ROWS,
    EVERYBODY,
    FOR_EACH,
    NO_DECK,
    NO_ROSTER,
    NO_ROSTER_YET,
    ONE,
    each_told,
)
from drill.wording.figures import out_of

_ALL = ""


class AssignForm(Filling):
    """A deck for a class, with its day."""

    title = ASSIGN

    def __init__(self, program: Program, deck: Path | None) -> None:
        super().__init__(program, ASSIGN_ROWS, deck)
        self._only = _ALL
        self._read: tuple[Path, tuple[Person, ...]] | None = None

    def rows(self) -> tuple[Row, ...]:
        """Raises DrillError for a roster that cannot be read."""
        deck = self.paths.get("deck")
        try:
            self._people()
        except DrillError:
            self._program.studio.desk.pop("roster", None)  # else the form could not be left right
            raise
        due = glance(deck).due if deck else None
        return (
            self.opened("deck", deck.stem if deck else ONE),
            self.opened("roster", self._roster_told()),
            self.turned("by"),
            self.opened("only", self._only.replace("=", " ") or EVERYBODY),
            self.typed("due", due.isoformat() if due else ""),
            self.typed("line"),
            self.typed("id", deck.stem if deck else ""),
            self.written("folder", self._folder()),
            self.act(),
        )

    def choices(self, name: str) -> Mapping[str, str]:
        more = {column: each_told(column) for column in self._columns() if column not in FOR_EACH}
        return {**FOR_EACH, **more}

    def press(self, name: str) -> str | None:
        if name == "only":
            self._program.go(self._only_list())
            return None
        return super().press(name)

    def do(self) -> str:
        deck, roster = self.paths.get("deck"), self.roster
        if deck is None:
            return NO_DECK
        if roster is None:
            return NO_ROSTER_YET
        if fault := day_fault(self.texts.get("due", "")):
            return fault
        words = ["assign", str(deck), f"--roster={roster}", f"--by={self.value('by')}"]
        words += [f"--only={self._only}"] if self._only else []
        words += options(self.texts, "due", "line", "id")
        return self.write_to(words, "--out-dir", self._folder() or Path(), FOLDERS)

    def _folder(self) -> Path | None:
        """Where the files go: as chosen, else called after the deck and its day."""
        deck = self.paths.get("deck")
        if "folder" in self.paths or deck is None:
            return self.paths.get("folder")
        due = self.texts.get("due", "")
        today = self._program.studio.context.utc_now().astimezone().date().isoformat()
        return Path.cwd() / f"{deck.stem}-{due if due and not day_fault(due) else today}"

    # The roster.

    def _people(self) -> tuple[Person, ...]:
        """Who is on the roster, read once.  Raises DrillError."""
        path = self.roster
        if path is None:
            return ()
        if self._read is None or self._read[0] != path:
            self._only = _ALL  # who is on one roster may not be on another
            self._read = path, roster_of(str(path))
        return self._read[1]

    def _roster_told(self) -> str:
        path = self.roster
        return NO_ROSTER if path is None else f"{harmless(path.name)} ({len(self._people())})"

    def _columns(self) -> tuple[str, ...]:
        """Columns in which some people have the same value."""
        people = self._people()
        more = tuple(name for name, _ in people[0].more) if people else ()
        return tuple(each for each in (*KNOWN[2:], *more) if any(one.value(each) for one in people))

    def _only_list(self) -> ToPick:
        people, rows = self._people(), [Choice(_ALL, EVERYBODY)]
        for column in self._columns():
            for value in dict.fromkeys(one.value(column) for one in people):
                count = sum(one.value(column) == value for one in people)
                if value:
                    told = f"{harmless(column)} {harmless(value)}"
                    rows.append(Choice(f"{column}={value}", told, out_of(count, len(people))))

        def done(ids: tuple[str, ...]) -> None:
            self._only = ids[0]
            self._program.back()

        return ToPick(Pick(ASSIGN_ROWS["only"][0], tuple(rows)), done)
