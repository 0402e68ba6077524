"""A class: everybody's keys and patterns, shared slips, and what to teach next.

*Short* is a student whose predicted recall of a key and pattern lies below the share of
cells that the deck's goal asks for.  *Need* adds up what each of them is short of: it is
the number of students' worth of recall that teaching this could win, and it ranks what
to teach.  A key and pattern that a student never met says nothing about that student.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from drill.reports.gathering import Copies, DeckSeen, Found, Remark, Why
from drill.reports.naming import key_order, shape_order
from drill.reports.results import name_key
from drill.reports.tally import CellCount, SlipCount, Square, Study

MOST_LESSONS = 10
FEWEST_ASKED = 4
"""Answers on one degree before it is named as the weakest."""


@dataclass(frozen=True, slots=True)
class ClassSquare:
    """What a class knows of one key and one shape."""

    key: str
    shape: str
    students: int
    """Students who were asked it."""
    short: int
    """Of them, those below the goal."""
    need: float
    """What those are short of, added up: 1.0 is one student who knows none of it."""
    asked: int
    right: int
    recall: float
    """Mean over the students, 0 to 1."""

    @property
    def share(self) -> float | None:
        """Share of right answers; None where none counts."""
        return self.right / self.asked if self.asked else None


@dataclass(frozen=True, slots=True)
class SharedSlip:
    """A slip and how many make it."""

    slip: str
    students: int
    count: int
    key: str
    """The key in which it is made most often, as items name it."""
    key_count: int


@dataclass(frozen=True, slots=True)
class Lesson:
    """Something to teach, with the numbers behind it."""

    square: ClassSquare
    slip: str
    """The slip made most often in it; empty where none was named."""
    slip_count: int
    degree: str
    """The degree answered wrong most often by share; empty where too little was asked."""
    degree_asked: int
    degree_right: int


@dataclass(frozen=True, slots=True)
class Classroom:
    """A whole report."""

    made: datetime
    students: tuple[Study, ...]
    """By name; their counts and slips are added up below and no longer theirs."""
    not_started: tuple[str, ...]
    """Names of the roster without an answer, and students who handed in none; in order."""
    strangers: tuple[str, ...]
    """Students who are not on the roster; empty without one."""
    decks: tuple[DeckSeen, ...]
    squares: tuple[ClassSquare, ...]
    counts: tuple[CellCount, ...]
    """Key, shape, degree, asked, right: over all students."""
    slip_counts: tuple[SlipCount, ...]
    """Slip, key, shape, how often: over all students."""
    slips: tuple[SharedSlip, ...]
    """Those that most students make first."""
    lessons: tuple[Lesson, ...]
    """What to teach next, the greatest need first."""
    remarks: tuple[Remark, ...]

    @property
    def asked(self) -> int:
        return sum(student.asked for student in self.students)

    @property
    def right(self) -> int:
        return sum(student.right for student in self.students)

    @property
    def seconds(self) -> float:
        return sum(student.seconds for student in self.students)

    @property
    def recall(self) -> float | None:
        """Mean of the students' recall; None without any."""
        known = [each.recall for each in self.students if each.recall is not None]
        return sum(known) / len(known) if known else None

    @property
    def unreadable(self) -> tuple[Remark, ...]:
        """The files that are damaged, foreign or hostile."""
        return tuple(each for each in self.remarks if each.why is Why.UNREADABLE)

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of the squares, in the order of their signatures."""
        return tuple(sorted({each.key for each in self.squares}, key=key_order))

    @property
    def shapes(self) -> tuple[str, ...]:
        """Shapes of the squares, in order."""
        return tuple(sorted({each.shape for each in self.squares}, key=shape_order))


@dataclass(slots=True)
class _Square:
    students: int = 0
    short: int = 0
    need: float = 0.0
    asked: int = 0
    right: int = 0
    recall: float = 0.0

    def add(self, square: Square, goal: float) -> None:
        missing = goal - square.recall
        self.students += 1
        self.short += missing > 0
        self.need += max(0.0, missing)
        self.asked += square.asked
        self.right += square.right
        self.recall += square.recall


@dataclass(slots=True)
class _Growing:
    """Totals of a class while students are added."""

    squares: dict[tuple[str, str], _Square] = field(default_factory=dict)
    counts: dict[tuple[str, str, str], list[int]] = field(default_factory=dict)
    slips: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    slip_students: Counter[str] = field(default_factory=Counter)

    def add(self, student: Study) -> None:
        for square in student.squares:
            if square.cells:
                where = (square.key, square.shape)
                self.squares.setdefault(where, _Square()).add(square, student.goal)
        for key, shape, degree, asked, right in student.counts:
            count = self.counts.setdefault((key, shape, degree), [0, 0])
            count[0] += asked
            count[1] += right
        for slip, key, shape, times in student.slips:
            self.slips[slip, key, shape] += times
        self.slip_students.update({slip for slip, *_ in student.slips})


def classroom(
    found: Iterable[Found],
    now: datetime,
    *,
    roster: Sequence[str] = (),
    remarks: Sequence[Remark] = (),
) -> Classroom:
    """The report of a class at ``now``, from its students one after the other.

    ``roster`` are the names of all who should have handed in, empty for none; ``remarks``
    what was said about files before.
    """
    growing, copies = _Growing(), Copies()
    students: list[Study] = []
    said = list(remarks)
    decks: dict[str, DeckSeen] = {}
    for each in map(copies.check, found):
        said += each.remarks
        if each.study is not None:
            growing.add(each.study)
            students.append(replace(each.study, counts=(), slips=()))
            decks.update({deck.fingerprint: deck for deck in each.decks})
    students.sort(key=lambda student: (name_key(student.name), student.name))
    started = {name_key(student.name) for student in students if student.last is not None}
    known = {name_key(name) for name in roster}
    absent = dict.fromkeys(name for name in roster if name_key(name) not in started)
    absent.update(
        dict.fromkeys(each.name for each in students if each.last is None) if not roster else {}
    )
    squares = tuple(
        ClassSquare(
            key, shape, each.students, each.short, each.need, each.asked, each.right,
            each.recall / each.students,
        )
        for (key, shape), each in growing.squares.items()
    )  # fmt: skip
    return Classroom(
        made=now,
        students=tuple(students),
        not_started=tuple(absent),
        strangers=tuple(
            each.name for each in students if roster and name_key(each.name) not in known
        ),
        decks=tuple(decks.values()),
        squares=tuple(
            sorted(squares, key=lambda each: (key_order(each.key), shape_order(each.shape)))
        ),
        counts=tuple(
            (*where, asked, right) for where, (asked, right) in sorted(growing.counts.items())
        ),
        slip_counts=tuple((*where, times) for where, times in sorted(growing.slips.items())),
        slips=_shared(growing),
        lessons=_lessons(squares, growing),
        remarks=tuple(said),
    )


def _shared(growing: _Growing) -> tuple[SharedSlip, ...]:
    """Each slip with how many make it and where most, the most widespread first."""
    by_key: dict[str, Counter[str]] = {}
    for (slip, key, _), times in growing.slips.items():
        by_key.setdefault(slip, Counter())[key] += times
    shared = []
    for slip, keys in by_key.items():
        key, most = min(keys.items(), key=lambda each: (-each[1], key_order(each[0])))
        students = growing.slip_students[slip]
        shared.append(SharedSlip(slip, students, sum(keys.values()), key, most))
    return tuple(sorted(shared, key=lambda each: (-each.students, -each.count, each.slip)))


def _lessons(squares: Iterable[ClassSquare], growing: _Growing) -> tuple[Lesson, ...]:
    """What to teach, the greatest need first."""
    ranked = sorted(
        (each for each in squares if each.need > 0),
        key=lambda each: (-each.need, each.recall, key_order(each.key), shape_order(each.shape)),
    )
    slips: dict[tuple[str, str], tuple[int, str]] = {}
    for (slip, key, shape), times in sorted(growing.slips.items()):
        slips[key, shape] = max(slips.get((key, shape), (0, "")), (times, slip))
    return tuple(_lesson(each, slips, growing) for each in ranked[:MOST_LESSONS])


def _lesson(
    square: ClassSquare, slips: dict[tuple[str, str], tuple[int, str]], growing: _Growing
) -> Lesson:
    times, slip = slips.get((square.key, square.shape), (0, ""))
    degrees = [
        (right / asked, -asked, degree)
        for (key, shape, degree), (asked, right) in growing.counts.items()
        if (key, shape) == (square.key, square.shape) and degree and asked >= FEWEST_ASKED
    ]
    weakest = min(degrees, default=None)
    if weakest is None or weakest[0] == 1.0:
        return Lesson(square, slip, times, "", 0, 0)
    asked, right = growing.counts[square.key, square.shape, weakest[2]]
    return Lesson(square, slip, times, weakest[2], asked, right)


def read_roster(text: str) -> tuple[str, ...]:
    """The names of a roster, one a line; empty lines and lines that begin with ``#`` do not
    count.  Raises DataError for a name that is none."""
    from drill.reports.results import clean_name

    lines = (line.strip() for line in text.lstrip("\ufeff").splitlines())
    return tuple(
        dict.fromkeys(clean_name(line) for line in lines if line and not line.startswith("#"))
    )
