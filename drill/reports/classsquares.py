"""What a class knows of each key and pattern, which slips it shares, and what to teach next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

from drill.reports.naming import CountedKey, KeyPlace, shape_order
from drill.reports.study import CellCount, SlipCount, Study, StudySquare

MOST_LESSONS = 10
FEWEST_ASKED = 4
"""Answers on one degree before it is named as the weakest."""


@dataclass(frozen=True, slots=True)
class ClassSquare:
    """What some students know of one key and one shape."""

    place: KeyPlace
    shape: str
    students: int
    """Students who were asked it."""
    short: int
    """Of them, those below the goal."""
    need: float
    """What those are short of, added up: 1.0 is one student who knows none of it."""
    cells: int
    """Cells asked, over all students."""
    by_heart: int
    """Of them, those by heart."""
    asked: int
    right: int
    recall: float | None
    """Mean over the students who were asked, 0 to 1; None: it was only played."""
    players: int = 0
    """Students who handed in a take of it."""
    notes: int = 0
    """Notes of the newest take of each of their runs."""
    heard: int = 0
    """Of them, those heard as asked."""

    @property
    def share(self) -> float | None:
        """Share of right answers; None where none counts."""
        return self.right / self.asked if self.asked else None

    @property
    def counted(self) -> CountedKey:
        """The key under which the class counts it."""
        return self.place.counted


@dataclass(frozen=True, slots=True)
class SharedSlip:
    """A slip and how many make it."""

    slip: str
    students: int
    count: int
    key: CountedKey
    """The key in which it is made most often."""
    key_count: int


@dataclass(frozen=True, slots=True)
class Lesson:
    """Something to teach, with the numbers behind it."""

    square: ClassSquare
    """Over all horns where it is counted in concert."""
    for_whom: tuple[str, ...]
    """Those below the goal, the furthest from it first."""
    slip: str
    """The slip made most often in it; empty where none was named."""
    slip_count: int
    degree: str
    """The degree answered wrong most often by share; empty where too little was asked."""
    degree_asked: int
    degree_right: int


@dataclass(slots=True)
class GrowingClass:
    """What is added up while students come, who let it go afterwards."""

    counts: dict[tuple[KeyPlace, str, str], list[int]] = field(default_factory=dict)
    slips: Counter[tuple[str, KeyPlace, str]] = field(default_factory=Counter)
    slip_students: Counter[str] = field(default_factory=Counter)

    def add(self, student: Study) -> Study:
        """The student without what was added up."""
        for each in student.counts:
            count = self.counts.setdefault((each.place, each.shape, each.degree), [0, 0, 0])
            count[0] += each.asked
            count[1] += each.right
            count[2] += 1
        for slip in student.slips:
            self.slips[slip.slip, slip.place, slip.shape] += slip.times
        self.slip_students.update({each.slip for each in student.slips})
        return replace(student, counts=(), slips=())


@dataclass(frozen=True, slots=True)
class AllKnown:
    """All of it, of a class."""

    squares: tuple[ClassSquare, ...]
    """Horn by horn, in written keys."""
    totals: tuple[ClassSquare, ...]
    """By key as it is counted: in concert over all horns, or as written."""
    counts: tuple[CellCount, ...]
    """Over all students."""
    slip_counts: tuple[SlipCount, ...]
    """Over all students."""
    key_students: Mapping[CountedKey, int]
    """How many were asked each key: written on each horn, and in concert over all of them."""
    slips: tuple[SharedSlip, ...]
    """Those that most students make first."""
    lessons: tuple[Lesson, ...]
    """What to teach next, the greatest need first."""

    @staticmethod
    def of(students: Sequence[Study], growing: GrowingClass) -> AllKnown:
        """What these students know, whose counts were added to ``growing``."""
        written = _parts(students, lambda place: place)
        counted = _parts(students, lambda place: place.counted)
        totals = {where: _square(where[1], some) for where, some in counted.items()}
        return AllKnown(
            tuple(_square(at[1], written[at]) for at in sorted(written, key=_written_order)),
            tuple(totals[at] for at in sorted(totals, key=_counted_order)),
            tuple(CellCount(*where, *some) for where, some in sorted(growing.counts.items())),
            tuple(SlipCount(*where, n) for where, n in sorted(growing.slips.items())),
            _key_students(written),
            _shared(growing),
            _lessons(totals, counted, growing),
        )


def _written_order(at: tuple[KeyPlace, str]) -> tuple[object, ...]:
    return CountedKey(at[0].horn, at[0].written).sort_key, shape_order(at[1])


def _counted_order(at: tuple[CountedKey, str]) -> tuple[object, ...]:
    return at[0].sort_key, shape_order(at[1])


# -- keys and patterns

_Parts = list[tuple[float, Study, StudySquare]]
"""What students know of one key and shape, each with the goal."""
_K = TypeVar("_K", KeyPlace, CountedKey)


def _parts(
    students: Iterable[Study], key: Callable[[KeyPlace], _K]
) -> dict[tuple[_K, str], _Parts]:
    """The squares of all students, together where their keys are the same and their shapes."""
    found: dict[tuple[_K, str], _Parts] = {}
    for student in students:
        goal = student.goal
        for square in student.squares:
            if square.cells or square.notes:
                where = key(square.place), square.shape
                found.setdefault(where, []).append((goal, student, square))
    return found


def _square(shape: str, parts: _Parts) -> ClassSquare:
    """The sums over some students."""
    squares = [square for _, _, square in parts]
    asked = [(goal, square) for goal, _, square in parts if square.cells]
    missing = [goal - square.recall for goal, square in asked]
    recall = sum(square.recall for _, square in asked)
    return ClassSquare(
        place=squares[0].place,
        shape=shape,
        students=len(asked),
        short=sum(each > 0 for each in missing),
        need=sum(max(0.0, each) for each in missing),
        recall=recall / len(asked) if asked else None,
        players=sum(square.notes > 0 for square in squares),
        **_sums(squares, "cells", "by_heart", "asked", "right", "notes", "heard"),
    )


def _sums(some: Sequence[object], *names: str) -> dict[str, int]:
    """Each attribute, added up."""
    return {name: sum(getattr(each, name) for each in some) for name in names}


def _key_students(written: Mapping[tuple[KeyPlace, str], _Parts]) -> dict[CountedKey, int]:
    """How many were asked each key, written on each horn, and in concert over all of them."""
    people: dict[CountedKey, set[int]] = {}
    for (place, _), parts in written.items():
        some = {id(student) for _, student, square in parts if square.cells}
        people.setdefault(CountedKey(place.horn, place.written), set()).update(some)
        if place.concert:
            people.setdefault(CountedKey("", place.concert), set()).update(some)
    return {key: len(some) for key, some in people.items()}


def _shared(growing: GrowingClass) -> tuple[SharedSlip, ...]:
    """Each slip with how many make it and where most, the most widespread first."""
    by_key: dict[str, Counter[CountedKey]] = {}
    for (slip, place, _), times in growing.slips.items():
        by_key.setdefault(slip, Counter())[place.counted] += times
    shared = []
    for slip, keys in by_key.items():
        key, most = min(keys.items(), key=lambda each: (-each[1], each[0].sort_key))
        students = growing.slip_students[slip]
        shared.append(SharedSlip(slip, students, sum(keys.values()), key, most))
    return tuple(sorted(shared, key=lambda each: (-each.students, -each.count, each.slip)))


def _lessons(
    totals: Mapping[tuple[CountedKey, str], ClassSquare],
    parts: Mapping[tuple[CountedKey, str], _Parts],
    growing: GrowingClass,
) -> tuple[Lesson, ...]:
    """What to teach, the greatest need first."""
    ranked = sorted(
        (where for where, each in totals.items() if each.need > 0),
        key=lambda where: (-totals[where].need, *_counted_order(where)),
    )
    slips: dict[tuple[CountedKey, str], Counter[str]] = {}
    for (slip, place, shape), times in growing.slips.items():
        slips.setdefault((place.counted, shape), Counter())[slip] += times
    degrees: dict[tuple[CountedKey, str], dict[str, tuple[int, int]]] = {}
    for (place, shape, degree), (asked, right, _) in growing.counts.items():
        some = degrees.setdefault((place.counted, shape), {})
        before = some.get(degree, (0, 0))
        some[degree] = (before[0] + asked, before[1] + right)
    return tuple(
        _lesson(totals[where], parts[where], slips.get(where, {}), degrees.get(where, {}))
        for where in ranked[:MOST_LESSONS]
    )


def _lesson(
    square: ClassSquare,
    parts: _Parts,
    slips: Mapping[str, int],
    degrees: Mapping[str, tuple[int, int]],
) -> Lesson:
    missing = [(of.recall - goal, each.name) for goal, each, of in parts if of.cells]
    whom = tuple(name for short, name in sorted(missing) if short < 0 and name)
    slip, times = max(slips.items(), key=lambda each: (each[1], each[0]), default=("", 0))
    known = [
        (right / asked, -asked, degree)
        for degree, (asked, right) in degrees.items()
        if degree and asked >= FEWEST_ASKED
    ]
    share, _, degree = min(known, default=(1.0, 0, ""))
    if share == 1.0:
        return Lesson(square, whom, slip, times, "", 0, 0)
    return Lesson(square, whom, slip, times, degree, *degrees[degree])
