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
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from drill.reports.classsquares import AllKnown, GrowingClass
from drill.reports.finding import FileRemark, WhyNot
from drill.reports.gathering import Found
from drill.reports.naming import CountedKey, shape_order
from drill.reports.people import Person, whose
from drill.reports.repeats import Copies
from drill.reports.results import name_key
from drill.reports.study import Study, Task


class Together:
    """Some students together, added up."""

    __slots__ = ()
    students: tuple[Study, ...]

    def total(self, name: str) -> Any:
        """An attribute of all of them, added up."""
        return sum(getattr(each, name) for each in self.students)

    @property
    def started(self) -> tuple[Study, ...]:
        """Those who have answered anything."""
        return tuple(each for each in self.students if each.last is not None)

    @property
    def goal_met(self) -> int:
        """How many met their goals."""
        return sum(bool(each.met_on) for each in self.students)

    @property
    def on_time(self) -> int:
        """How many met the goal by the day it was due."""
        return sum(each.on_time is True for each in self.students)

    @property
    def late(self) -> int:
        """How many did not meet the goal by the day it was due, or met it after it."""
        return sum(each.on_time is False for each in self.students)

    @property
    def asked(self) -> int:
        """Answers that count."""
        return int(self.total("asked"))

    @property
    def right(self) -> int:
        """Right answers among them."""
        return int(self.total("right"))

    @property
    def seconds(self) -> float:
        """Seconds practised."""
        return float(self.total("seconds"))

    @property
    def share(self) -> float | None:
        """Share of right answers; None where none counts."""
        return self.right / self.asked if self.asked else None

    @property
    def recall(self) -> float | None:
        """Mean of the students' recall; None without any."""
        known = [each.recall for each in self.students if each.recall is not None]
        return sum(known) / len(known) if known else None

    @property
    def weakest(self) -> CountedKey | None:
        """The key that is the weakest of most; None where no key was asked enough."""
        weak = Counter(place.counted for each in self.students for place in each.weakest[:1])
        return min(weak.items(), key=lambda e: (-e[1], e[0].sort_key), default=(None, 0))[0]


@dataclass(frozen=True, slots=True)
class GroupSection(Together):
    """A horn's students, or a group's."""

    name: str
    """Instrument id, or the group."""
    students: tuple[Study, ...]


@dataclass(frozen=True, slots=True)
class Classroom(AllKnown, Together):
    """A whole report."""

    made: datetime
    students: tuple[Study, ...]
    """By name, those of the roster who have not started among them; their counts and slips are
    added up below and no longer theirs."""
    not_started: tuple[str, ...]
    """Names of those without an answer, in order."""
    strangers: tuple[str, ...]
    """Students who are not on the roster; empty without one."""
    decks: tuple[Task, ...]
    horns: tuple[GroupSection, ...]
    groups: tuple[GroupSection, ...]
    """Empty where nobody has one."""
    remarks: tuple[FileRemark, ...]
    day: str = ""
    """The day of the report (ISO)."""
    since: str = ""
    """The earlier day that is compared (ISO); empty for none."""

    @property
    def unreadable(self) -> tuple[FileRemark, ...]:
        """The files that are damaged, foreign or hostile."""
        return tuple(each for each in self.remarks if each.why is WhyNot.UNREADABLE)

    @property
    def keys(self) -> tuple[CountedKey, ...]:
        """Keys as they are counted: concert first, then horn by horn, flats to sharps."""
        return tuple(sorted({each.counted for each in self.totals}, key=lambda k: k.sort_key))

    @property
    def shapes(self) -> tuple[str, ...]:
        """Shapes of the squares, in order."""
        return tuple(sorted({each.shape for each in self.squares}, key=shape_order))


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
    remarks: Sequence[FileRemark] = (),
    day: str = "",
    since: str = "",
    wanted: Callable[[Study], bool] | None = None,
) -> Classroom:
    """The report of a class at ``now``, from its students one after the other.

    ``roster`` are all who should have handed in, empty for none; ``remarks`` what was said
    about files before; ``wanted`` says which students count (None: all).
    """
    growing, copies = GrowingClass(), Copies()
    students: list[Study] = []
    said = list(remarks)
    decks: dict[str, Task] = {}
    with _no_collection():
        for each in map(copies.check, found):
            said += each.remarks
            if each.study is not None and (wanted is None or wanted(each.study)):
                students.append(growing.add(each.study))
                decks.update({deck.key: deck for deck in each.decks})
    known = AllKnown.of(students, growing)
    strangers = _strangers(students, roster)
    cells = _cells_of_one_deck(students)
    due = max((deck.due for deck in decks.values()), default="") if cells else ""
    today = day or now.date().isoformat()
    missing = (_unstarted(each, cells, due, today) for each in _absent(students, roster))
    students += [each for each in missing if wanted is None or wanted(each)]
    students.sort(key=lambda each: (name_key(each.name), each.name, each.id))
    return Classroom(
        **{each.name: getattr(known, each.name) for each in fields(known)},
        made=now,
        students=tuple(students),
        not_started=tuple(dict.fromkeys(each.name for each in students if each.last is None)),
        strangers=strangers,
        decks=tuple(decks.values()),
        horns=_sections(students, lambda each: each.horns),
        groups=_sections(students, lambda each: (each.group,) if each.group else ()),
        remarks=tuple(said),
        day=today,
        since=since,
    )


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
) -> tuple[GroupSection, ...]:
    """The students of each name together, in the order of the names."""
    found: dict[str, list[Study]] = {}
    for student in students:
        for name in names(student):
            found.setdefault(name, []).append(student)
    return tuple(GroupSection(name, tuple(found[name])) for name in sorted(found, key=name_key))
