"""A class: who knows what by heart, everybody's keys and patterns, and what to teach next.

Keys are *counted* in concert where the deck was assigned in concert keys, over all horns;
otherwise as written, horn by horn.  *Short* is a student whose predicted recall of a key
and pattern lies below the share of cells that the deck's goal asks for.  *Need* adds up
what each of them is short of: it is the number of students' worth of recall that teaching
this could win, and it ranks what to teach.  A key and pattern that a student never met
says nothing about that student.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from drill.reports.gathering import Copies, DeckSeen, Found, Remark, Why
from drill.reports.naming import Counted, Place, shape_order
from drill.reports.people import Person
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
    students: int
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
class _Square:
    place: Place
    students: int = 0
    short: int = 0
    need: float = 0.0
    cells: int = 0
    by_heart: int = 0
    asked: int = 0
    right: int = 0
    recall: float = 0.0
    players: int = 0
    notes: int = 0
    heard: int = 0
    whom: list[tuple[float, str]] = field(default_factory=list)
    """What each is short of, with the name."""

    def add(self, square: Square, goal: float, name: str) -> None:
        self.players += square.notes > 0
        self.notes += square.notes
        self.heard += square.heard
        if not square.cells:
            return
        missing = goal - square.recall
        self.students += 1
        self.short += missing > 0
        self.need += max(0.0, missing)
        self.cells += square.cells
        self.by_heart += square.by_heart
        self.asked += square.asked
        self.right += square.right
        self.recall += square.recall
        if missing > 0 and name:
            self.whom.append((-missing, name))

    def made(self, shape: str) -> ClassSquare:
        return ClassSquare(
            self.place, shape, self.students, self.short, self.need, self.cells, self.by_heart,
            self.asked, self.right, self.recall / self.students if self.students else None,
            self.players, self.notes, self.heard,
        )  # fmt: skip


@dataclass(slots=True)
class _Growing:
    """Totals of a class while students are added."""

    squares: dict[tuple[Place, str], _Square] = field(default_factory=dict)
    totals: dict[tuple[Counted, str], _Square] = field(default_factory=dict)
    counts: dict[tuple[Place, str, str], list[int]] = field(default_factory=dict)
    slips: Counter[tuple[str, Place, str]] = field(default_factory=Counter)
    slip_students: Counter[str] = field(default_factory=Counter)
    key_students: Counter[Counted] = field(default_factory=Counter)

    def add(self, student: Study) -> None:
        for square in student.squares:
            if square.cells or square.notes:
                place, shape = square.place, square.shape
                own = self.squares.setdefault((place, shape), _Square(place))
                own.add(square, student.goal, "")
                whole = self.totals.setdefault((place.counted, shape), _Square(place))
                whole.add(square, student.goal, student.name)
        places = {each.place for each in student.squares if each.cells}
        self.key_students.update({Counted(place.horn, place.written) for place in places})
        self.key_students.update({Counted("", place.concert) for place in places if place.concert})
        for each in student.counts:
            count = self.counts.setdefault((each.place, each.shape, each.degree), [0, 0, 0])
            count[0] += each.asked
            count[1] += each.right
            count[2] += 1
        for slip in student.slips:
            self.slips[slip.slip, slip.place, slip.shape] += slip.times
        self.slip_students.update({each.slip for each in student.slips})


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
    for each in map(copies.check, found):
        said += each.remarks
        if each.study is not None and (wanted is None or wanted(each.study)):
            growing.add(each.study)
            students.append(replace(each.study, counts=(), slips=()))
            decks.update({deck.key: deck for deck in each.decks})
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
        squares=tuple(
            each.made(shape)
            for (_, shape), each in sorted(growing.squares.items(), key=_written_order)
        ),
        totals=tuple(
            each.made(shape)
            for (_, shape), each in sorted(growing.totals.items(), key=_counted_order)
        ),
        counts=tuple(CellCount(*where, *some) for where, some in sorted(growing.counts.items())),
        slip_counts=tuple(SlipCount(*where, n) for where, n in sorted(growing.slips.items())),
        key_students=dict(growing.key_students),
        slips=_shared(growing),
        lessons=_lessons(growing),
        horns=_sections(students, lambda each: each.horns),
        groups=_sections(students, lambda each: (each.group,) if each.group else ()),
        remarks=tuple(said),
        day=day or now.date().isoformat(),
        since=since,
    )


def _written_order(each: tuple[tuple[Place, str], _Square]) -> tuple[object, ...]:
    (place, shape), _ = each
    return Counted(place.horn, place.written).sort_key, shape_order(shape)


def _counted_order(each: tuple[tuple[Counted, str], _Square]) -> tuple[object, ...]:
    (key, shape), _ = each
    return key.sort_key, shape_order(shape)


# -- people


def _absent(students: Sequence[Study], roster: Sequence[Person]) -> list[Person]:
    """Those on the roster of whom there is nothing, each once."""
    ids = {each.id.casefold() for each in students if each.id}
    names = {name_key(each.name) for each in students if not each.id}
    found: dict[str, Person] = {}
    for person in roster:
        there = person.id.casefold() in ids if person.id else name_key(person.name) in names
        if not there:
            found.setdefault(person.id.casefold() or name_key(person.name), person)
    return list(found.values())


def _strangers(students: Sequence[Study], roster: Sequence[Person]) -> tuple[str, ...]:
    if not roster:
        return ()
    ids = {person.id.casefold() for person in roster if person.id}
    names = {name_key(person.name) for person in roster if not person.id}
    return tuple(
        each.name
        for each in students
        if not (each.id.casefold() in ids if each.id else name_key(each.name) in names)
    )


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
        name,
        len(some),
        sum(each.last is not None for each in some),
        sum(bool(each.met_on) for each in some),
        sum(each.on_time is True for each in some),
        sum(each.on_time is False for each in some),
        sum(each.by_heart for each in some),
        sum(each.of for each in some),
        sum(each.asked for each in some),
        sum(each.right for each in some),
        worst,
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


def _lessons(growing: _Growing) -> tuple[Lesson, ...]:
    """What to teach, the greatest need first."""
    ranked = sorted(
        ((where, each) for where, each in growing.totals.items() if each.need > 0),
        key=lambda pair: (-pair[1].need, pair[0][0].sort_key, shape_order(pair[0][1])),
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
        _lesson(where[1], each, slips.get(where, Counter()), degrees.get(where, {}))
        for where, each in ranked[:MOST_LESSONS]
    )


def _lesson(
    shape: str, square: _Square, slips: Counter[str], degrees: dict[str, tuple[int, int]]
) -> Lesson:
    slip, times = max(slips.items(), key=lambda each: (each[1], each[0]), default=("", 0))
    known = [
        (right / asked, -asked, degree)
        for degree, (asked, right) in degrees.items()
        if degree and asked >= FEWEST_ASKED
    ]
    weakest = min(known, default=None)
    whom = tuple(name for _, name in sorted(square.whom))
    made = square.made(shape)
    if weakest is None or weakest[0] == 1.0:
        return Lesson(made, whom, slip, times, "", 0, 0)
    return Lesson(made, whom, slip, times, weakest[2], *degrees[weakest[2]])
