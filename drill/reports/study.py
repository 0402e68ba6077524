"""What is known of one student, as values: tasks, squares, counts.

A *task* is one deck on one horn.  Its goal is met on the first practice day at whose last
answer the share of its cells that the deck asks for is by heart.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from drill.memory.levels import ByHeart, cells_wanted
from drill.reports.naming import KeyPlace
from drill.reports.takes import TakeResult


@dataclass(frozen=True, slots=True)
class CellCount:
    """How often the cells of one degree were asked."""

    place: KeyPlace
    shape: str
    degree: str
    """Empty where there is none."""
    asked: int
    right: int
    students: int = 1


@dataclass(frozen=True, slots=True)
class SlipCount:
    """How often a slip was made."""

    slip: str
    place: KeyPlace
    shape: str
    times: int


@dataclass(frozen=True, slots=True)
class Task:
    """One deck on one horn, as a student handed it in."""

    key: str
    """The same for every student who was given it."""
    name: str
    title: str
    horn: str
    """Instrument id."""
    concert: Mapping[str, str]
    """Written keys with the concert keys in which they sound, as far as they are known."""
    assigned_in_concert: bool
    asked: frozenset[str]
    """Ids of the items in the file that the deck asks; nothing in a ``TaskDone``."""
    cells: int
    """Cells of the deck; 0 when unknown."""
    goal: ByHeart
    share: float
    """Share of the cells that are to be by heart, 0 to 1."""
    due: str = ""
    """ISO date; empty for none."""
    text: str = ""
    """The deck file's own text; nothing in a ``TaskDone``."""

    @property
    def needed(self) -> int:
        """How many cells have to be by heart; at least 1."""
        return max(1, cells_wanted(self.share, self.cells))

    def place(self, key: str) -> KeyPlace:
        """Where a written key of this deck stands."""
        return KeyPlace(self.horn, key, self.concert.get(key, ""), self.assigned_in_concert)


@dataclass(frozen=True, slots=True)
class TaskDone:
    """How far a student has come with a task."""

    task: Task
    asked: int
    right: int
    cells: int
    """Different cells asked that the deck asks."""
    by_heart: int
    by_heart_then: int
    """At the earlier day that is compared; 0 where none is."""
    met_on: str
    """The practice day on which the goal was first met (ISO); empty: not yet."""

    def on_time(self, day: str) -> bool | None:
        """Whether the goal was met in time, on that day; None while there is still time, or
        where there is no date."""
        if not self.task.due:
            return None
        if self.met_on:
            return self.met_on <= self.task.due
        return False if day > self.task.due else None


def newest(takes: Iterable[TakeResult]) -> tuple[TakeResult, ...]:
    """Of the takes of each run of a deck, oldest first, the last."""
    return tuple({(each.deck, each.title): each for each in takes}.values())


@dataclass(frozen=True, slots=True)
class StudySquare:
    """What is known of one key and one shape."""

    place: KeyPlace
    shape: str
    """As items name it: ``1-2-3-1/up``."""
    cells: int
    """Different cells asked."""
    asked: int
    right: int
    by_heart: int
    recall: float
    """Mean predicted recall of those cells, 0 to 1."""
    seconds: float
    last: int
    """Microseconds since 1970 of the last answer; of the last take where there is none."""
    tempo: float | None
    """The fastest tempo at which it was locked in, in the last practice in which it was; None: not
    yet."""
    notes: int = 0
    """Notes of the newest take of each run of it; 0 where it was not played."""
    heard: int = 0
    """Of them, those heard as asked."""

    @property
    def share(self) -> float | None:
        """Share of right answers; None where none counts."""
        return self.right / self.asked if self.asked else None


@dataclass(frozen=True, slots=True)
class Study:
    """What is known of one student."""

    name: str
    asked: int
    right: int
    retyped: int
    """Answers that do not count: retyped, broken off, or of the closing round."""
    recall: float | None
    """Mean predicted recall of the cells asked; None without any."""
    seconds: float
    days: int
    """Different practice days."""
    undated: int
    """Answers that a wrong clock dated: they count, and not where a date is needed."""
    first: int | None
    """Microseconds since 1970 of the first answer; None without any."""
    last: int | None
    tasks: tuple[TaskDone, ...]
    squares: tuple[StudySquare, ...]
    counts: tuple[CellCount, ...]
    slips: tuple[SlipCount, ...]
    day: str = ""
    """The day of the report (ISO)."""
    files: tuple[str, ...] = ()
    id: str = ""
    group: str = ""
    own_horn: str = ""
    """The horn by the roster; empty where it is not said."""
    own_due: str = ""
    """The day the deck of one who has not started was due (ISO); empty for none, or unknown."""
    own_of: int = 0
    """Cells of the deck of one who has not started; 0 when unknown."""
    line: str = ""
    """The student's line to the teacher."""
    weakest: tuple[KeyPlace, ...] = ()
    """Keys with the lowest recall first, at most three."""
    worst_slips: tuple[tuple[str, int], ...] = ()
    """The most frequent first, at most three."""
    takes: tuple[TakeResult, ...] = ()
    """What was heard on the horn, oldest first."""

    @property
    def newest_takes(self) -> tuple[TakeResult, ...]:
        """The newest take of each run: what counts as heard."""
        return newest(self.takes)

    @property
    def notes(self) -> int:
        """Notes of those takes."""
        return sum(each.notes for each in self.newest_takes)

    @property
    def heard(self) -> int:
        """Of them, those heard as asked."""
        return sum(each.right for each in self.newest_takes)

    @property
    def share(self) -> float | None:
        """Share of right answers; None where none counts."""
        return self.right / self.asked if self.asked else None

    @property
    def tempo(self) -> float | None:
        """The fastest locked-in tempo over all squares; None where there is none."""
        return max((each.tempo for each in self.squares if each.tempo is not None), default=None)

    @property
    def cells(self) -> int:
        """Different cells asked that the decks ask."""
        return sum(each.cells for each in self.tasks)

    @property
    def of(self) -> int:
        """Cells of the decks; 0 when unknown."""
        return sum(each.task.cells for each in self.tasks) or self.own_of

    @property
    def by_heart(self) -> int:
        """Cells by heart now."""
        return sum(each.by_heart for each in self.tasks)

    @property
    def by_heart_then(self) -> int:
        """Cells by heart on the earlier day."""
        return sum(each.by_heart_then for each in self.tasks)

    @property
    def needed(self) -> int:
        """Cells that are to be by heart."""
        return sum(each.task.needed for each in self.tasks)

    @property
    def goal(self) -> float:
        """Share of cells that the decks want, 0 to 1; the highest of them."""
        return max((each.task.share for each in self.tasks), default=0.9)

    @property
    def met_on(self) -> str:
        """The day on which the last of the goals was met (ISO); empty: not all yet."""
        days = [each.met_on for each in self.tasks]
        return max(days) if days and all(days) else ""

    @property
    def on_time(self) -> bool | None:
        """Whether all goals were met in time; None while there is time, or without any date."""
        if not self.tasks:
            return False if self.own_due and self.own_due < self.day else None
        said = [done for each in self.tasks if (done := each.on_time(self.day)) is not None]
        open_ = [each for each in self.tasks if each.task.due and each.on_time(self.day) is None]
        if False in said:
            return False
        return True if said and not open_ else None

    @property
    def horns(self) -> tuple[str, ...]:
        """Instrument ids, each once; of one who has not started, the roster's."""
        played = tuple(dict.fromkeys(each.task.horn for each in self.tasks if each.task.horn))
        return played or ((self.own_horn,) if self.own_horn else ())
