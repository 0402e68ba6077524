"""A class: who knows what by heart, everybody's keys and patterns, and what to teach next.

Keys are *counted* in concert where the deck was assigned in concert keys, over all horns;
otherwise as written, horn by horn.  *Short* is a student whose predicted recall of a key
and pattern lies below the share of cells that the deck's goal asks for.  *Need* adds up
what each of them is short of: it is the number of students' worth of recall that teaching
this could win, and it ranks what to teach.  A key and pattern that a student never met
says nothing about that student.
"""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TypeVar

from drill.reports.finding import Remark, Why
from drill.reports.gathering import DeckSeen, Found
from drill.reports.naming import Counted, Place, shape_order
from drill.reports.people import Person, whose
from drill.reports.repeats import Copies
from drill.reports.results import name_key
from drill.reports.study import CellCount, SlipCount, Square, Study

MOST_LESSONS = 10
FEWEST_ASKED = 4
"""Answers on one degree before it is named as the weakest."""


@dataclass(frozen=True, slots=True)
class ClassSquare:
    """What some students know of one key and one shape."""

    place: Place
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
    def counted(self) -> Counted:
        return self.place.counted


@dataclass(frozen=True, slots=True)
class SharedSlip:
    """A slip and how many make it."""

    slip: str
    students: int
    count: int
    key: Counted
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


@dataclass(frozen=True, slots=True)
class Section:
    """Some of the students together: a horn's, or a group's."""

    name: str
    """Instrument id, or the group."""
    students: tuple[Study, ...]
    started: int
    goal_met: int
    on_time: int
    late: int
    """Goal not met by the day it was due, or met after it."""
    by_heart: int
    of: int
    asked: int
    right: int
    weakest: Counted | None
    """The key that is the weakest of most of them; None where no key was asked enough."""


@dataclass(frozen=True, slots=True)
class Classroom:
    """A whole report."""

    made: datetime
    students: tuple[Study, ...]
    """By name, those of the roster who have not started among them; their counts and slips are
    added up below and no longer theirs."""
    not_started: tuple[str, ...]
    """Names of those without an answer, in order."""
    strangers: tuple[str, ...]
    """Students who are not on the roster; empty without one."""
    decks: tuple[DeckSeen, ...]
    squares: tuple[ClassSquare, ...]
    """Horn by horn, in written keys."""
    totals: tuple[ClassSquare, ...]
    """By key as it is counted: in concert over all horns, or as written."""
    counts: tuple[CellCount, ...]
    """Over all students."""
    slip_counts: tuple[SlipCount, ...]
    """Over all students."""
    key_students: Mapping[Counted, int]
    """How many were asked each key: written on each horn, and in concert over all of them."""
    slips: tuple[SharedSlip, ...]
    """Those that most students make first."""
    lessons: tuple[Lesson, ...]
    """What to teach next, the greatest need first."""
    horns: tuple[Section, ...]
    groups: tuple[Section, ...]
    """Empty where nobody has one."""
    remarks: tuple[Remark, ...]
    day: str = ""
    """The day of the report (ISO)."""
    since: str = ""
    """The earlier day that is compared (ISO); empty for none."""

    @property
    def started(self) -> tuple[Study, ...]:
        return tuple(each for each in self.students if each.last is not None)

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
    def keys(self) -> tuple[Counted, ...]:
        """Keys as they are counted: concert first, then horn by horn, flats to sharps."""
        return tuple(sorted({each.counted for each in self.totals}, key=lambda k: k.sort_key))

    @property
    def shapes(self) -> tuple[str, ...]:
        """Shapes of the squares, in order."""
        return tuple(sorted({each.shape for each in self.squares}, key=shape_order))


@dataclass(slots=True)
class _Growing:
    """What is added up while students come, who let it go afterwards."""

    counts: dict[tuple[Place, str, str], list[int]] = field(default_factory=dict)
    slips: Counter[tuple[str, Place, str]] = field(default_factory=Counter)
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


@contextmanager
def _no_collection() -> Iterator[None]:
    """No search for circles while values gather that have none: it would look through all of them
    again and again, and a report of twice the students would take more than twice the time."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


def classroom(
    found: Iterable[Found],
    now: datetime,
    *,
    roster: Sequence[Person] = (),
    remarks: Sequence[Remark] = (),
    day: str = "",
    since: str = "",
    wanted: Callable[[Study], bool] | None = None,
) -> Classroom:
    """The report of a class at ``now``, from its students one after the other.

    ``roster`` are all who should have handed in, empty for none; ``remarks`` what was said
    about files before; ``wanted`` says which students count (None: all).
    """
    growing, copies = _Growing(), Copies()
    students: list[Study] = []
    said = list(remarks)
    decks: dict[str, DeckSeen] = {}
    with _no_collection():
        for each in map(copies.check, found):
            said += each.remarks
            if each.study is not None and (wanted is None or wanted(each.study)):
                students.append(growing.add(each.study))
                decks.update({deck.key: deck for deck in each.decks})
    written = _parts(students, lambda place: place)
    counted = _parts(students, lambda place: place.counted)
    totals = {where: _square(where[1], some) for where, some in counted.items()}
    strangers = _strangers(students, roster)
    cells = _cells_of_one_deck(students)
    due = max((deck.due for deck in decks.values()), default="") if cells else ""
    today = day or now.date().isoformat()
    missing = (_unstarted(each, cells, due, today) for each in _absent(students, roster))
    students += [each for each in missing if wanted is None or wanted(each)]
    students.sort(key=lambda each: (name_key(each.name), each.name, each.id))
    return Classroom(
        made=now,
        students=tuple(students),
        not_started=tuple(dict.fromkeys(each.name for each in students if each.last is None)),
        strangers=strangers,
        decks=tuple(decks.values()),
        squares=tuple(_square(at[1], written[at]) for at in sorted(written, key=_written_order)),
        totals=tuple(totals[at] for at in sorted(totals, key=_counted_order)),
        counts=tuple(CellCount(*where, *some) for where, some in sorted(growing.counts.items())),
        slip_counts=tuple(SlipCount(*where, n) for where, n in sorted(growing.slips.items())),
        key_students=_key_students(written),
        slips=_shared(growing),
        lessons=_lessons(totals, counted, growing),
        horns=_sections(students, lambda each: each.horns),
        groups=_sections(students, lambda each: (each.group,) if each.group else ()),
        remarks=tuple(said),
        day=today,
        since=since,
    )


def _written_order(at: tuple[Place, str]) -> tuple[object, ...]:
    return Counted(at[0].horn, at[0].written).sort_key, shape_order(at[1])


def _counted_order(at: tuple[Counted, str]) -> tuple[object, ...]:
    return at[0].sort_key, shape_order(at[1])


# -- keys and patterns

_Parts = list[tuple[float, Study, Square]]
"""What students know of one key and shape, each with the goal."""
_K = TypeVar("_K", Place, Counted)


def _parts(students: Iterable[Study], key: Callable[[Place], _K]) -> dict[tuple[_K, str], _Parts]:
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


def _key_students(written: Mapping[tuple[Place, str], _Parts]) -> dict[Counted, int]:
    """How many were asked each key, written on each horn, and in concert over all of them."""
    people: dict[Counted, set[int]] = {}
    for (place, _), parts in written.items():
        some = {id(student) for _, student, square in parts if square.cells}
        people.setdefault(Counted(place.horn, place.written), set()).update(some)
        if place.concert:
            people.setdefault(Counted("", place.concert), set()).update(some)
    return {key: len(some) for key, some in people.items()}


# -- people


def _absent(students: Iterable[Study], roster: Sequence[Person]) -> list[Person]:
    """Those on the roster of whom there is nothing, each once."""
    there = {whose(each) for each in students}
    found: dict[tuple[str, str], Person] = {}
    for each in roster:
        if whose(each) not in there:
            found.setdefault(whose(each), each)
    return list(found.values())


def _strangers(students: Iterable[Study], roster: Sequence[Person]) -> tuple[str, ...]:
    """Those who are not on the roster, where there is one."""
    known = {whose(each) for each in roster}
    return tuple(each.name for each in students if known and whose(each) not in known)


def _cells_of_one_deck(students: Iterable[Study]) -> dict[str, int]:
    """The cells of the deck on each horn, and on any (empty); nothing where there are several
    decks, for then nobody can tell what those who are missing were given."""
    tasks = [each.task for student in students for each in student.tasks]
    if len({task.key for task in tasks}) != 1:
        return {}
    found = {task.horn: task.cells for task in tasks}
    return {**found, "": max(found.values())}


def _unstarted(person: Person, cells: Mapping[str, int], due: str, day: str) -> Study:
    """A student of whom there is nothing."""
    return Study(
        name=person.name, asked=0, right=0, retyped=0, recall=None, seconds=0.0, days=0, undated=0,
        first=None, last=None, tasks=(), squares=(), counts=(), slips=(), id=person.id,
        group=person.group, own_horn=person.horn,
        own_of=cells.get(person.horn, cells.get("", 0)), own_due=due, day=day,
    )  # fmt: skip


def _sections(
    students: Iterable[Study], names: Callable[[Study], tuple[str, ...]]
) -> tuple[Section, ...]:
    """The students of each name together, in the order of the names."""
    found: dict[str, list[Study]] = {}
    for student in students:
        for name in names(student):
            found.setdefault(name, []).append(student)
    return tuple(_section(name, found[name]) for name in sorted(found, key=name_key))


def _section(name: str, some: Sequence[Study]) -> Section:
    weak = Counter(place.counted for each in some for place in each.weakest[:1])
    worst = min(weak.items(), key=lambda e: (-e[1], e[0].sort_key), default=(None, 0))[0]
    return Section(
        name=name,
        students=tuple(some),
        started=sum(each.last is not None for each in some),
        goal_met=sum(bool(each.met_on) for each in some),
        on_time=sum(each.on_time is True for each in some),
        late=sum(each.on_time is False for each in some),
        weakest=worst,
        **_sums(some, "by_heart", "of", "asked", "right"),
    )


# -- what they share


def _shared(growing: _Growing) -> tuple[SharedSlip, ...]:
    """Each slip with how many make it and where most, the most widespread first."""
    by_key: dict[str, Counter[Counted]] = {}
    for (slip, place, _), times in growing.slips.items():
        by_key.setdefault(slip, Counter())[place.counted] += times
    shared = []
    for slip, keys in by_key.items():
        key, most = min(keys.items(), key=lambda each: (-each[1], each[0].sort_key))
        students = growing.slip_students[slip]
        shared.append(SharedSlip(slip, students, sum(keys.values()), key, most))
    return tuple(sorted(shared, key=lambda each: (-each.students, -each.count, each.slip)))


def _lessons(
    totals: Mapping[tuple[Counted, str], ClassSquare],
    parts: Mapping[tuple[Counted, str], _Parts],
    growing: _Growing,
) -> tuple[Lesson, ...]:
    """What to teach, the greatest need first."""
    ranked = sorted(
        (where for where, each in totals.items() if each.need > 0),
        key=lambda where: (-totals[where].need, *_counted_order(where)),
    )
    slips: dict[tuple[Counted, str], Counter[str]] = {}
    for (slip, place, shape), times in growing.slips.items():
        slips.setdefault((place.counted, shape), Counter())[slip] += times
    degrees: dict[tuple[Counted, str], dict[str, tuple[int, int]]] = {}
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
