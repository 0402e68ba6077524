"""One student's answers, counted and replayed in one pass.

Conventions: *asked* and *right* count the answers that teach (not retyped, not broken
off, not of the closing round); *time* counts every answer, a single one up to
``LONGEST`` seconds, so that a prompt left open over lunch is no practice.  Recall is what
the model predicts at an instant, from these answers alone, for the cells that were asked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime

from drill.memory.items import Answer, Item, microseconds
from drill.memory.model import learn, predict
from drill.memory.state import State
from drill.memory.tempo import THREE_UP_ONE_DOWN, Held, Try, stair_at
from drill.reports.naming import degree_of
from drill.reports.results import in_time

LONGEST = 120.0
"""Seconds of one answer that count as time spent."""

CellCount = tuple[str, str, str, int, int]
"""Key, shape, degree (empty where there is none), asked, right."""
SlipCount = tuple[str, str, str, int]
"""Slip, key, shape, how often."""


@dataclass(frozen=True, slots=True)
class Square:
    """What is known of one key and one shape."""

    key: str
    """As items name it: ``G:major``."""
    shape: str
    """As items name it: ``1-2-3-1/up``."""
    cells: int
    """Different cells asked."""
    asked: int
    right: int
    recall: float
    """Mean predicted recall of those cells, 0 to 1."""
    seconds: float
    last: int
    """Microseconds since 1970 of the last answer."""
    tempo: float | None
    """The fastest tempo at which it was locked in, in the last practice in which it was; None: not
    yet."""

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
    cells: int
    """Different cells asked that the deck asks."""
    deck_cells: int
    """Cells of the deck, or decks; 0 when unknown."""
    recall: float | None
    """Mean predicted recall of the cells asked; None without any."""
    seconds: float
    days: int
    """Different practice days."""
    first: int | None
    """Microseconds since 1970 of the first answer; None without any."""
    last: int | None
    goal: float
    """Share of cells that the deck wants, 0 to 1."""
    squares: tuple[Square, ...]
    counts: tuple[CellCount, ...]
    slips: tuple[SlipCount, ...]
    files: tuple[str, ...] = ()

    @property
    def share(self) -> float | None:
        """Share of right answers; None where none counts."""
        return self.right / self.asked if self.asked else None

    @property
    def tempo(self) -> float | None:
        """The fastest locked-in tempo over all squares; None where there is none."""
        return max((each.tempo for each in self.squares if each.tempo is not None), default=None)


_NEVER = datetime(1, 1, 1, tzinfo=UTC)


@dataclass(slots=True)
class _Cell:
    """One item's counts while they grow."""

    item: Item
    asked: int = 0
    right: int = 0
    seconds: float = 0.0
    last: datetime = _NEVER


@dataclass(slots=True)
class _Square:
    cells: int = 0
    asked: int = 0
    right: int = 0
    recall: float = 0.0
    seconds: float = 0.0
    last: datetime = _NEVER


@dataclass(slots=True)
class _Growing:
    """All counts of one student while they grow."""

    state: State = field(default_factory=State)
    cells: dict[str, _Cell] = field(default_factory=dict)
    slips: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    days: set[str] = field(default_factory=set)
    held: dict[tuple[str, str], Held] = field(default_factory=dict)
    bouts: set[str] = field(default_factory=set)
    retyped: int = 0
    first: datetime | None = None

    def take(self, answers: Iterable[Answer], items: Mapping[str, Item]) -> None:
        """Count each answer and learn from it."""
        cells, days, state = self.cells, self.days, self.state
        for answer in answers:
            cell = cells.get(answer.item)
            if cell is None:
                item = items.get(answer.item)
                if item is None:
                    continue
                cell = cells[answer.item] = _Cell(item)
            seconds, at = answer.seconds, answer.at
            if seconds is not None:
                cell.seconds += seconds if seconds < LONGEST else LONGEST
            cell.last = max(cell.last, at)
            if self.first is None or at < self.first:
                self.first = at
            days.add(answer.day)
            if not answer.teaches:
                self.retyped += 1
                continue
            learn(state, cell.item, answer)
            cell.asked += 1
            if answer.right:
                cell.right += 1
            elif answer.slip:
                self.slips[answer.slip, cell.item.key, cell.item.shape] += 1
            if answer.tempo is not None:
                self._in_time(cell.item, answer, answer.tempo)

    def _in_time(self, item: Item, answer: Answer, tempo: float) -> None:
        """Remember the tempo at which a pattern is locked in, as the tempo drill does.

        A bout is one try, told by the first of its cells.
        """
        timed = in_time(answer)
        if timed is None or timed.bout in self.bouts:
            return
        self.bouts.add(timed.bout)
        where, day = (item.key, item.shape), date.fromisoformat(answer.day)
        one = Try(item.shape, item.key, tempo, timed.passed, day, timed.practice)
        before = self.held.get(where) or Held(stair_at(tempo), (day, timed.practice))
        self.held[where] = before.told(one, THREE_UP_ONE_DOWN)


def study(
    name: str,
    answers: Iterable[Answer],
    items: Mapping[str, Item],
    now: datetime,
    *,
    asked: frozenset[str] = frozenset(),
    deck_cells: int = 0,
    goal: float = 0.9,
    files: tuple[str, ...] = (),
) -> Study:
    """What a student's answers say at ``now``; they must come in the log's order.

    ``asked`` are the ids of items that the deck asks.  Answers to items that are not in
    ``items`` are passed over.
    """
    growing = _Growing()
    growing.take(answers, items)
    cells = growing.cells
    squares, recalls = _squares(growing, now)
    counted = [cell for cell in cells.values() if cell.asked]
    return Study(
        name=name,
        asked=sum(cell.asked for cell in counted),
        right=sum(cell.right for cell in counted),
        retyped=growing.retyped,
        cells=sum(cell.item.id in asked for cell in counted),
        deck_cells=deck_cells,
        recall=sum(recalls) / len(recalls) if recalls else None,
        seconds=sum(cell.seconds for cell in cells.values()),
        days=len(growing.days),
        first=None if growing.first is None else microseconds(growing.first),
        last=microseconds(max(cell.last for cell in cells.values())) if cells else None,
        goal=goal,
        squares=squares,
        counts=_counts(counted),
        slips=tuple((*where, count) for where, count in sorted(growing.slips.items())),
        files=files,
    )


def _squares(growing: _Growing, now: datetime) -> tuple[tuple[Square, ...], list[float]]:
    """Every key and shape that was asked, and the predicted recall of each cell."""
    squares: dict[tuple[str, str], _Square] = {}
    recalls: list[float] = []
    for cell in growing.cells.values():
        square = squares.setdefault((cell.item.key, cell.item.shape), _Square())
        square.seconds += cell.seconds
        square.last = max(square.last, cell.last)
        if not cell.asked:
            continue
        square.cells += 1
        square.asked += cell.asked
        square.right += cell.right
        recalls.append(predict(growing.state, cell.item, now).p)
        square.recall += recalls[-1]
    made = []
    for (key, shape), each in sorted(squares.items()):
        held = growing.held.get((key, shape))
        made.append(
            Square(
                key, shape, each.cells, each.asked, each.right,
                each.recall / each.cells if each.cells else 0.0,
                each.seconds, microseconds(each.last), held.locked_bpm if held else None,
            )
        )  # fmt: skip
    return tuple(made), recalls


def _counts(cells: Iterable[_Cell]) -> tuple[CellCount, ...]:
    """Asked and right by key, shape and degree."""
    found: dict[tuple[str, str, str], tuple[int, int]] = {}
    for cell in cells:
        where = (cell.item.key, cell.item.shape, degree_of(cell.item))
        asked, right = found.get(where, (0, 0))
        found[where] = (asked + cell.asked, right + cell.right)
    return tuple((*where, asked, right) for where, (asked, right) in sorted(found.items()))
