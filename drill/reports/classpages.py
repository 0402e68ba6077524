"""A student's own page, and a class without names."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import tzinfo

from drill.reports.classkeys import key_recalls
from drill.reports.classreport import lead_lines
from drill.reports.classroom import Classroom
from drill.reports.classstudents import tasks_table
from drill.reports.naming import CountedKey
from drill.reports.report import Column, Figure, Form, Mark, Report, Table, TableStyle
from drill.reports.study import Study, StudySquare
from drill.wording import reports as words
from drill.wording.figures import out_of, percent
from drill.wording.reports import FigureHead, Head, ReportKind, Title
from drill.wording.squares import horn_text


def student_report(student: Study, room: Classroom, zone: tzinfo | None = None) -> Report:
    """One student's own page, to print for the end of term."""
    return Report(
        student.name,
        ", ".join([*map(horn_text, student.horns), *filter(None, (student.group, student.id))]),
        room.made,
        (
            Figure("", FigureHead.BY_HEART, out_of(student.by_heart, student.of)),
            Figure(
                "needed", FigureHead.GOAL, student.needed if student.tasks else None, Form.COUNT
            ),
            Figure("goal_met_on", FigureHead.GOAL_MET_ON, student.met_on or words.NOT_YET),
            Figure("days", FigureHead.DAYS, student.days, Form.COUNT),
            Figure("seconds", FigureHead.TIME, student.seconds, Form.SECONDS),
            Figure("right", FigureHead.RIGHT, student.share, Form.SHARE),
        ),
        (
            _assignments(student, room),
            _keys(student),
            Table(
                "slips",
                Title.SLIPS_MOST,
                (
                    Column("", Head.SLIP, lambda e: e[0], Form.SLIP),
                    Column("", Head.TIMES, lambda e: e[1], Form.COUNT),
                ),
                student.worst_slips,
            ),
            Table(
                "takes",
                Head.ON_THE_HORN,
                (
                    Column("", Head.RUN, lambda e: e.title),
                    Column("", Head.PLAYED, lambda e: e.made.date().isoformat(), Form.DAY),
                    Column("", Head.HEARD, lambda e: out_of(e.right, e.notes), Form.OF),
                    Column("", Head.SAID, lambda e: " ".join(e.said)),
                ),
                student.newest_takes,
                how=words.ON_THE_HORN,
                style=TableStyle.STACKED,
            ),
        ),
        tuple(f"{each.task.title}." for each in student.tasks),
        zone,
    )


def _assignments(student: Study, room: Classroom) -> Table:
    """Deck by deck: the deck first, and no column that says whose page it is."""
    table = tasks_table(replace(room, students=(student,)))
    others = [each for each in table.columns if each.form is not Form.NAME]
    others.sort(key=lambda each: each.name != "deck")
    return replace(table, style=TableStyle.PLAIN, title=Title.ASSIGNMENTS, columns=tuple(others))


def _keys(student: Study) -> Table:
    """A student's keys, as the class counts them."""
    keys: dict[CountedKey, list[StudySquare]] = {}
    for square in student.squares:
        keys.setdefault(square.place.counted, []).append(square)
    recalls = key_recalls(student)

    def total(name: str, head: str) -> Column:
        return Column(
            "", head, lambda key: sum(getattr(each, name) for each in keys[key]), Form.COUNT
        )

    def recall(key: CountedKey) -> Mark | None:
        return Mark(recalls[key], f"{percent(recalls[key])} %") if key in recalls else None

    def heard(key: CountedKey) -> str | None:
        notes = sum(each.notes for each in keys[key])
        return out_of(sum(each.heard for each in keys[key]), notes) if notes else None

    concert = any(key.concert for key in keys)
    written = Column("", Head.WRITTEN, lambda key: keys[key][0].place.written, Form.KEY)
    return Table(
        "keys",
        Title.KEYS,
        (
            Column("", Head.KEY, str),
            *((written,) if concert else ()),
            total("by_heart", Head.BY_HEART),
            total("cells", Head.ASKED),
            total("asked", Head.ANSWERS),
            total("right", Head.RIGHT),
            Column("", Head.RECALL, recall, Form.MARK),
            *((Column("", Head.ON_THE_HORN, heard, Form.OF),) if student.takes else ()),
        ),
        sorted(keys, key=lambda key: key.sort_key),
        empty=words.NOT_STARTED,
    )


def student_pages(room: Classroom, zone: tzinfo | None = None) -> Report:
    """Every student's own page, one after the other, each on a sheet of its own."""
    pages = tuple(student_report(each, room, zone) for each in room.students)
    figures = (Figure("", FigureHead.STUDENTS, len(pages), Form.COUNT),)
    lead = lead_lines(room)
    return Report(room.day, ReportKind.PAGES, room.made, figures, (), lead, zone, inner=pages)


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
