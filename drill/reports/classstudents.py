"""The tables of a class about its students: who knows what by heart, deck by deck, horn by horn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from drill.reports.classroom import Classroom, GroupSection
from drill.reports.naming import KeyPlace
from drill.reports.report import Column, Form, Table, TableStyle, fields
from drill.reports.study import Study
from drill.wording import reports as words
from drill.wording.figures import out_of
from drill.wording.reports import Head, Title
from drill.wording.slips import slip_label
from drill.wording.squares import horn_text, key_text

MOST_ROWS = 60
"""Students shown one by one; of a larger gathering those with the fewest cells by heart."""


def share_of(student: Study) -> float | None:
    """Share of cells by heart, 0 to 1; None where it is unknown how many there are."""
    return student.by_heart / student.of if student.of else None


def first_of(students: Sequence[Study]) -> Sequence[Study]:
    """The students as they are; of a larger gathering those with the fewest by heart first."""
    if len(students) <= MOST_ROWS:
        return students
    return sorted(students, key=lambda each: (share_of(each) or 0.0, each.name))


def horn_columns(
    heard: Callable[[Any], Any] = lambda each: each, head: str = ""
) -> tuple[Column, ...]:
    """What was heard on the horn, of whatever has ``notes`` and ``heard``: of how many notes
    played, how many as asked."""

    def said(each: Any) -> str | None:
        found = heard(each)
        return out_of(found.heard, found.notes) if found and found.notes else None

    return (
        Column("played_notes", "", lambda e: found.notes if (found := heard(e)) else 0),
        Column("played_right", "", lambda e: found.heard if (found := heard(e)) else 0),
        Column("", head, said, Form.OF),
    )


def students_table(room: Classroom) -> Table:
    """The students one by one; of a large gathering some."""
    some = first_of(room.students)
    then = (
        Column("by_heart_then", words.then_head(room.since), lambda e: e.by_heart_then, Form.COUNT),
        Column("", Head.MORE, lambda e: e.by_heart - e.by_heart_then, Form.COUNT),
    )
    played = any(each.takes for each in some)
    due = any(deck.due for deck in room.decks)
    return Table(
        "students",
        Title.BY_HEART,
        (
            Column("name", Head.STUDENT, lambda e: e.name, Form.NAME),
            Column("id", Head.ID if any(each.id for each in some) else "", lambda e: e.id),
            Column("group", Head.GROUP if any(e.group for e in some) else "", lambda e: e.group),
            Column("horn", "", lambda e: "; ".join(e.horns)),
            Column("", Head.HORN, lambda e: tuple(map(horn_text, e.horns)), Form.LIST),
            Column("deck", "", lambda e: "; ".join(dict.fromkeys(d.task.name for d in e.tasks))),
            Column("by_heart", Head.BY_HEART, lambda e: e.by_heart, Form.COUNT),
            Column("of", Head.OF, lambda e: e.of, Form.COUNT),
            Column("share", Head.SHARE, share_of, Form.SHARE),
            Column("takes", "", lambda e: len(e.takes)),
            *horn_columns(head=Head.ON_THE_HORN if played else ""),
            *(then if room.since else ()),
            Column("goal", "", lambda e: e.goal if e.tasks else None),
            Column("needed", Head.GOAL, lambda e: e.needed if e.tasks else None, Form.COUNT),
            Column("goal_met_on", Head.MET_ON, lambda e: e.met_on or None, Form.DAY),
            Column("on_time", Head.ON_TIME if due else "", lambda e: e.on_time, Form.FLAG),
            Column("days", Head.DAYS, lambda e: e.days, Form.COUNT),
            Column("seconds", Head.TIME, lambda e: e.seconds, Form.SECONDS),
            Column("first", "", lambda e: e.first, Form.INSTANT),
            Column("last", Head.LAST, lambda e: e.last, Form.INSTANT),
            *fields("asked", "right"),
            Column("", Head.RIGHT, lambda e: e.share, Form.SHARE),
            *fields("retyped", "cells"),
            Column("recall", Head.RECALL, lambda e: e.recall, Form.SHARE),
            *fields(locked_in_tempo="tempo"),
            Column("weakest", "", lambda e: tuple(map(_weak, e.weakest))),
            Column("slips", "", lambda e: tuple(slip_label(slip) for slip, _ in e.worst_slips)),
            *fields("line", "files"),
        ),
        some,
        how=f"{words.BY_HEART} {words.ON_THE_HORN}" if played else words.BY_HEART,
        most=MOST_ROWS,
        left_out=words.MORE_BY_HEART,
        in_csv="--csv",
    )


def _weak(place: KeyPlace) -> str:
    """A key of a student, as the class counts it."""
    return key_text(place.counted.key)


def weakest_table(room: Classroom) -> Table:
    """What each needs most."""

    def slips(student: Study) -> tuple[str, ...]:
        return tuple(words.slip_times(*each) for each in student.worst_slips[:1])

    return Table(
        "weakest",
        Title.WEAKEST,
        (
            Column("", Head.STUDENT, lambda e: e.name, Form.NAME),
            Column("", Head.WEAKEST_KEYS, lambda e: tuple(map(_weak, e.weakest[:2])), Form.LIST),
            Column("", Head.SLIPS_MOST, slips, Form.LIST),
            Column("", Head.TEMPO, lambda e: e.tempo, Form.COUNT),
        ),
        [each for each in room.students if each.asked],
        how=words.WEAKEST,
        most=MOST_ROWS,
        in_csv="--csv",
    )


def tasks_table(room: Classroom) -> Table:
    """Deck by deck, one row for each student and deck."""
    rows = [(each, done) for each in room.students for done in each.tasks]
    several = len(rows) > len(room.started)
    return Table(
        "assignments",
        Title.DECKS,
        (
            Column("student", Head.STUDENT, lambda e: e[0].name, Form.NAME),
            Column("id", "", lambda e: e[0].id),
            Column("group", "", lambda e: e[0].group),
            Column("horn", "", lambda e: e[1].task.horn),
            Column("", Head.HORN, lambda e: horn_text(e[1].task.horn)),
            Column("deck", Head.DECK, lambda e: e[1].task.name),
            Column("title", "", lambda e: e[1].task.title),
            Column("by_heart", Head.BY_HEART, lambda e: e[1].by_heart, Form.COUNT),
            Column("of", Head.OF, lambda e: e[1].task.cells, Form.COUNT),
            Column("goal", "", lambda e: e[1].task.share),
            Column("needed", Head.GOAL, lambda e: e[1].task.needed, Form.COUNT),
            Column("goal_met_on", Head.MET_ON, lambda e: e[1].met_on or None, Form.DAY),
            Column("due", Head.DUE, lambda e: e[1].task.due or None, Form.DAY),
            Column("on_time", Head.ON_TIME, lambda e: e[1].on_time(room.day), Form.FLAG),
            Column("asked", "", lambda e: e[1].asked),
            Column("right", "", lambda e: e[1].right),
            Column("cells", "", lambda e: e[1].cells),
        ),
        rows,
        style=TableStyle.PLAIN if several else TableStyle.DATA,
        most=4 * MOST_ROWS,
    )


def sections_table(name: str, title: str, head: str, sections: Sequence[GroupSection]) -> Table:
    """Students together: the horns', or the groups'."""
    late = any(each.late or each.on_time for each in sections)

    def by_heart(section: GroupSection) -> float | None:
        of = section.total("of")
        return section.total("by_heart") / of if of else None

    def weakest(section: GroupSection) -> str | None:
        return str(section.weakest) if section.weakest else None

    name_of = horn_text if name == "horns" else str
    return Table(
        name,
        title,
        (
            Column(name[:-1], "", lambda e: e.name),
            Column("", head, lambda e: name_of(e.name)),
            Column("students", Head.STUDENTS, lambda e: len(e.students), Form.COUNT),
            Column("started", Head.STARTED, lambda e: len(e.started), Form.COUNT),
            Column("goal_met", Head.GOAL_MET, lambda e: e.goal_met, Form.COUNT),
            Column("on_time", Head.ON_TIME if late else "", lambda e: e.on_time, Form.COUNT),
            Column("late", Head.LATE if late else "", lambda e: e.late, Form.COUNT),
            Column("by_heart", "", lambda e: e.total("by_heart")),
            Column("of", "", lambda e: e.total("of")),
            Column("", Head.BY_HEART, by_heart, Form.BAR),
            *fields("asked", "right"),
            Column("", Head.RIGHT, lambda e: e.share, Form.SHARE),
            Column(
                "weakest", Head.WEAKEST_FOR_MOST, lambda e: str(e.weakest) if e.weakest else None
            ),
        ),
        sections,
        style=TableStyle.PLAIN if len(sections) > 1 else TableStyle.DATA,
        most=MOST_ROWS,
    )
