"""A student's own page, and a class without names."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import tzinfo
from typing import Any

from drill.reports.classkeys import key_recalls
from drill.reports.classreport import lead_lines
from drill.reports.classroom import Classroom
from drill.reports.classstudents import HEARD, ON_THE_HORN, tasks_table
from drill.reports.naming import Counted
from drill.reports.report import (
    Column,
    Figure,
    Form,
    Mark,
    Report,
    Style,
    Table,
)
from drill.reports.study import Square, Study
from drill.wording.figures import percent
from drill.wording.squares import horn_text


def student_report(student: Study, room: Classroom, zone: tzinfo | None = None) -> Report:
    """One student's own page, to print for the end of term."""
    keys: dict[Counted, list[Square]] = {}
    for square in student.squares:
        keys.setdefault(square.place.counted, []).append(square)
    shown = sorted(keys, key=lambda key: key.sort_key)

    def total(name: str) -> Any:
        return lambda key: sum(getattr(each, name) for each in keys[key])

    def recall(key: Counted) -> Mark | None:
        value = key_recalls(student).get(key)
        return None if value is None else Mark(value, f"{percent(value)} %")

    def heard(key: Counted) -> str | None:
        notes = total("notes")(key)
        return f"{total('heard')(key)} of {notes}" if notes else None

    written = Column("", "Written", lambda key: keys[key][0].place.written, Form.KEY)
    concert = any(key.concert for key in shown)
    only = replace(room, students=(student,))
    return Report(
        student.name,
        ", ".join([*map(horn_text, student.horns), *filter(None, (student.group, student.id))]),
        room.made,
        (
            Figure("by_heart", "", student.by_heart),
            Figure("of", "", student.of),
            Figure("", "cells by heart", f"{student.by_heart} of {student.of}"),
            Figure("needed", "goal", student.needed if student.tasks else None, Form.COUNT),
            Figure("goal_met_on", "goal met on", student.met_on or "not yet"),
            Figure("days", "practice days", student.days, Form.COUNT),
            Figure("seconds", "time spent", student.seconds, Form.SECONDS),
            Figure("right", "right", student.share, Form.SHARE),
        ),
        (
            replace(tasks_table(only), style=Style.PLAIN, title="Assignments"),
            Table(
                "keys",
                "Keys",
                (
                    Column("", "Key", str),
                    *((written,) if concert else ()),
                    Column("", "By heart", total("by_heart"), Form.COUNT),
                    Column("", "Asked", total("cells"), Form.COUNT),
                    Column("", "Answers", total("asked"), Form.COUNT),
                    Column("", "Right", total("right"), Form.COUNT),
                    Column("", "Recall", recall, Form.MARK),
                    *((Column("", ON_THE_HORN, heard),) if student.takes else ()),
                ),
                shown,
                empty="Not started yet.",
            ),
            Table(
                "slips",
                "Slips made most",
                (
                    Column("", "Slip", lambda e: e[0], Form.SLIP),
                    Column("", "Times", lambda e: e[1], Form.COUNT),
                ),
                student.worst_slips,
            ),
            Table(
                "takes",
                ON_THE_HORN,
                (
                    Column("", "Run", lambda e: e.title),
                    Column("", "Played", lambda e: e.made.date().isoformat(), Form.DAY),
                    Column("", "Heard as asked", lambda e: f"{e.right} of {e.notes}"),
                    Column("", "Said", lambda e: " ".join(e.said)),
                ),
                student.newest_takes,
                how=HEARD,
                style=Style.STACKED,
            ),
        ),
        tuple(f"{each.task.title}." for each in student.tasks),
        zone,
    )


def student_pages(room: Classroom, zone: tzinfo | None = None) -> Report:
    """Every student's own page, one after the other, each on a sheet of its own."""
    pages = tuple(student_report(each, room, zone) for each in room.students)
    figures = (Figure("", "students", len(pages), Form.COUNT),)
    return Report(
        room.day, "Student pages", room.made, figures, (), lead_lines(room), zone, inner=pages
    )


def nameless(room: Classroom, how: str) -> Classroom:
    """The class with initials or ids in the place of names, and nothing else that tells who."""
    names: dict[str, str] = {}
    seen: dict[str, int] = {}

    def new(student: Study) -> str:
        short = student.id if how == "ids" and student.id else _initials(student.name)
        seen[short] = seen.get(short, 0) + 1
        return short if seen[short] == 1 else f"{short} {seen[short]}"

    students = []
    for each in room.students:
        names[each.name] = called = new(each)
        students.append(
            replace(each, name=called, id=each.id if how == "ids" else "", line="", files=())
        )

    def renamed(some: Iterable[str]) -> tuple[str, ...]:
        return tuple(names.get(each, _initials(each)) for each in some)

    return replace(
        room,
        students=tuple(sorted(students, key=lambda each: each.name)),
        not_started=renamed(room.not_started),
        strangers=renamed(room.strangers),
        lessons=tuple(replace(each, for_whom=renamed(each.for_whom)) for each in room.lessons),
        remarks=(),
    )


def _initials(name: str) -> str:
    """``B. Q.``; the first letter of each word."""
    return " ".join(f"{word[:1]}." for word in name.split())
