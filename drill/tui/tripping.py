"""What trips a player in a deck, as rows: each is a picture, a sentence, and a practice of it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from drill.memory.items import Answer
from drill.memory.trips import LEAST_MISSES
from drill.practice.syllabus import Entry, Syllabus
from drill.reports.naming import key_order
from drill.reports.progress import Progress
from drill.theory.spelling import parse_name
from drill.tui.words import Words
from drill.wording.figures import out_of
from drill.wording.known import (
    SECTIONS,
    broke_told,
    degree_in,
    degree_told,
    note_in,
    slow_told,
    taken_told,
    weeks_told,
)
from drill.wording.sentence import Sentence, sentence, written
from drill.wording.slips import slip_label
from drill.wording.squares import key_of

MOST = 6
"""Rows of a section."""
WEEKS = 16
"""Weeks of a curve."""


@dataclass(frozen=True, slots=True)
class Trip:
    """One row."""

    label: str
    told: str
    share: float | None = None
    """How long its bar is, 0 to 1; None for none."""
    curve: tuple[float | None, ...] = ()
    """Share of right answers week by week, the oldest first; None for a week without any."""
    items: frozenset[str] = frozenset()
    """The cells of a practice of just that; empty where there is none."""


@dataclass(frozen=True, slots=True)
class TripSection:
    """Rows of one kind."""

    kind: str
    trips: tuple[Trip, ...]

    @property
    def title(self) -> str:
        """Its heading."""
        return SECTIONS[self.kind][0]

    @property
    def empty(self) -> str:
        """What is said where there is no row."""
        return SECTIONS[self.kind][1]


def sections(
    made: Progress, syllabus: Syllabus, answers: Sequence[Answer], words: Words
) -> tuple[TripSection, ...]:
    """Everything that trips, the most frequent first, then every key over the weeks."""
    cells = {item: entry for item, entry in syllabus.entries.items() if not entry.back}
    known = [each for each in answers if each.item in cells and each.teaches]
    return (
        TripSection("accidentals", _accidentals(made, cells, words)),
        TripSection("degrees", _degrees(made, cells, words)),
        TripSection("mixed", _mixed(made, cells, words)),
        TripSection("slips", _slips(known)),
        TripSection("slow", _slow(made, cells, words)),
        TripSection("keys", _keys(made, known, cells, words)),
    )


def _of(cells: Mapping[str, Entry], keys: Iterable[str]) -> frozenset[str]:
    wanted = set(keys)
    return frozenset(name for name, entry in cells.items() if entry.item.key in wanted)


def _key(name: str) -> Sentence:
    key = key_of(name)
    return written(key) if key else sentence(name)


def _accidentals(made: Progress, cells: Mapping[str, Entry], words: Words) -> tuple[Trip, ...]:
    rows = []
    for row in made.trips.accidentals[:MOST]:
        fact = f"{row.key}:{row.note}"
        items = frozenset(name for name, entry in cells.items() if fact in entry.item.facts)
        label = words.said(note_in(parse_name(row.note), key_of(row.key), row.key))
        rows.append(Trip(label, out_of(row.missed, row.asked), row.share, items=items))
    return tuple(rows)


def _degrees(made: Progress, cells: Mapping[str, Entry], words: Words) -> tuple[Trip, ...]:
    broken = [row for row in made.trips.degrees if row.broken or row.missed >= LEAST_MISSES]
    broken.sort(key=lambda row: (-row.broken, -row.missed))
    rows = []
    for row in broken[:MOST]:
        items = frozenset(
            name
            for name, entry in cells.items()
            if entry.cell.label == row.label and entry.cell.direction is row.direction
        )
        label = words.said(degree_told(row.label, row.direction.value))
        told = broke_told(row.missed, row.asked, row.broken, row.runs)
        rows.append(Trip(label, told, row.missed / row.asked if row.asked else 0.0, items=items))
    return tuple(rows)


def _mixed(made: Progress, cells: Mapping[str, Entry], words: Words) -> tuple[Trip, ...]:
    rows = []
    for row in made.trips.mixed[:MOST]:
        others = [(_key(key), times) for key, times in row.others]
        told = words.said(taken_told(row.missed, row.asked, others))
        items = _of(cells, (row.key, *(key for key, _ in row.others)))
        rows.append(Trip(words.said(_key(row.key)), told, row.share, items=items))
    return tuple(rows)


def _slips(known: Sequence[Answer]) -> tuple[Trip, ...]:
    where: dict[str, set[str]] = defaultdict(set)
    counted: Counter[str] = Counter()
    for answer in known:
        if answer.slip is not None:
            where[answer.slip].add(answer.item)
            counted[answer.slip] += 1
    total = sum(counted.values())
    return tuple(
        Trip(slip_label(slip), out_of(count, total), count / total, items=frozenset(where[slip]))
        for slip, count in counted.most_common(MOST)
    )


def _slow(made: Progress, cells: Mapping[str, Entry], words: Words) -> tuple[Trip, ...]:
    rows = []
    for row in made.trips.slowest[:MOST]:
        items = frozenset(
            name
            for name, entry in cells.items()
            if (entry.item.key, entry.item.shape) == (row.key, row.shape)
            and entry.cell.label == row.label
        )
        label = words.said(degree_in(row.label, _key(row.key)))
        rows.append(Trip(label, slow_told(row.seconds, row.times), items=items))
    return tuple(rows)


def _keys(
    made: Progress, known: Sequence[Answer], cells: Mapping[str, Entry], words: Words
) -> tuple[Trip, ...]:
    by_key: dict[str, list[Answer]] = defaultdict(list)
    for answer in known:
        by_key[cells[answer.item].item.key].append(answer)
    tempos = {
        row.key: max((s.tempo for s in row.squares if s.tempo is not None), default=None)
        for row in made.keys
    }
    rows = []
    for key in sorted(by_key, key=key_order):
        mine = by_key[key]
        right = sum(answer.right for answer in mine)
        told = weeks_told(right, len(mine), tempos.get(key))
        rows.append(
            Trip(
                words.said(_key(key)), told, curve=curve(mine, made.today), items=_of(cells, (key,))
            )
        )
    return tuple(rows)


def curve(answers: Iterable[Answer], today: str) -> tuple[float | None, ...]:
    """Share of right answers in each of the last weeks, from the first that has any."""
    this = date.fromisoformat(today)
    monday = this - timedelta(days=this.weekday())
    asked, right = Counter[int](), Counter[int]()
    for answer in answers:
        try:
            day = date.fromisoformat(answer.day)
        except ValueError:
            continue
        ago = (monday - (day - timedelta(days=day.weekday()))).days // 7
        if 0 <= ago < WEEKS:
            asked[ago] += 1
            right[ago] += answer.right
    if not asked:
        return ()
    return tuple(
        right[ago] / asked[ago] if asked[ago] else None for ago in range(max(asked), -1, -1)
    )
