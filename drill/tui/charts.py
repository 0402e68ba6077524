"""The numbers of the Map: a deck's cells gathered in squares of a key and a pattern.

Columns are signatures in the order of the circle of fifths, so that C major and A minor
share one; rows are a pattern with its direction and its scale.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from drill.memory.items import Answer
from drill.memory.levels import Level, level
from drill.memory.model import predict
from drill.memory.state import State as Memory
from drill.practice.looking import goal_of
from drill.practice.syllabus import Entry, Syllabus
from drill.reports.progress import standing
from drill.terms import Direction, Key, Note
from drill.theory.scales import signature


@dataclass(frozen=True, slots=True)
class ChartRow:
    """A pattern in one direction and one scale."""

    cell: str
    """In digits."""
    name: str
    direction: Direction
    scale: str


@dataclass(frozen=True, slots=True)
class MapSquare:
    """What is known of a pattern in a key."""

    key: Key
    row: ChartRow
    items: tuple[str, ...]
    asked: int
    slips: int
    recall: float
    """Predicted share right now, the mean over the cells."""
    level: Level
    """That of the cells that were asked."""
    tried: int
    """How many cells were asked."""
    tempo: float | None = None
    """Beats a minute at which its run was locked in last; None: not yet."""
    horn_tempo: float | None = None
    """The same on the horn: the run was played along with the click."""
    played: tuple[int, int] = (0, 0)
    """On the horn: cells that were right when last played, and cells that were played."""


@dataclass(frozen=True, slots=True)
class Chart:
    """A deck's squares."""

    title: str
    rows: tuple[ChartRow, ...]
    columns: tuple[int, ...]
    """Sharps (positive) or flats of each column's signature."""
    squares: dict[tuple[int, int], MapSquare]
    """By row and column number; a key that the deck does not ask has none."""


@dataclass(frozen=True, slots=True)
class CellChart:
    """One cell of an opened square."""

    label: str
    notes: tuple[Note, ...]
    level: Level
    asked: int
    slips: int
    recall: float
    named: tuple[tuple[str, int], ...]
    """Slips by name, the most frequent first."""


def chart(
    syllabus: Syllabus,
    memory: Memory,
    now: datetime,
    tempos: Mapping[tuple[str, str], float] | None = None,
    played: Mapping[str, bool] | None = None,
    horn_tempos: Mapping[tuple[str, str], float] | None = None,
) -> Chart:
    """The squares of a deck; ``tempos`` are those locked in, by key and shape (None: none), and
    ``horn_tempos`` those on the horn; ``played`` whether a cell was right when last played there.
    """
    grouped: dict[tuple[ChartRow, Key], list[Entry]] = defaultdict(list)
    for entry in syllabus.entries.values():
        if not entry.back:
            grouped[_row(entry), entry.run.key].append(entry)
    rows = tuple(dict.fromkeys(row for row, _ in grouped))
    columns = tuple(sorted({signature(key) for _, key in grouped}))
    squares = {}
    for (row, key), entries in grouped.items():
        place = (rows.index(row), columns.index(signature(key)))
        square = _square(row, key, entries, syllabus, memory, now)
        item = entries[0].item
        heard = [played[each] for each in square.items if each in played] if played else []
        squares[place] = replace(
            square,
            tempo=(tempos or {}).get((item.key, item.shape)),
            horn_tempo=(horn_tempos or {}).get((item.key, item.shape)),
            played=(sum(heard), len(heard)),
        )
    return Chart(syllabus.deck.title, rows, columns, squares)


def _row(entry: Entry) -> ChartRow:
    pattern, cell = entry.run.pattern, entry.cell
    return ChartRow(pattern.text, pattern.name, cell.direction, entry.run.key.scale)


def _square(
    row: ChartRow, key: Key, entries: list[Entry], syllabus: Syllabus, memory: Memory, now: datetime
) -> MapSquare:
    known = standing(memory, [entry.item for entry in entries], now, goal_of(syllabus.deck))
    items = tuple(entry.item.id for entry in entries)
    return MapSquare(
        key, row, items, known.asked, known.slips, known.recall, known.level, known.tried
    )


def opened(
    syllabus: Syllabus, items: Iterable[str], memory: Memory, now: datetime, log: Iterable[Answer]
) -> tuple[CellChart, ...]:
    """The cells of a square, with the slips that the log names."""
    wanted = list(items)
    named: dict[str, Counter[str]] = defaultdict(Counter)
    for answer in log:
        if answer.slip and answer.teaches and answer.item in set(wanted):
            named[answer.item][answer.slip] += 1
    goal = goal_of(syllabus.deck)
    found = []
    for item in wanted:
        entry = syllabus.entries[item]
        record = memory.record(entry.item)
        found.append(
            CellChart(
                entry.cell.called,
                entry.cell.notes,
                level(memory, entry.item, now, goal),
                record.asked,
                record.slips,
                predict(memory, entry.item, now).p,
                tuple(named[item].most_common(2)),
            )
        )
    return tuple(found)
