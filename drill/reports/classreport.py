"""A class as a report: who knows what by heart, who is on time, what to teach next."""

from __future__ import annotations

from datetime import tzinfo

from drill.reports.classkeys import (
    cells_table,
    counted_words,
    horn_map,
    key_columns,
    key_name,
    keys_table,
    map_table,
    squares_table,
    student_keys,
    teach_table,
)
from drill.reports.classroom import Classroom
from drill.reports.classstudents import sections_table, students_table, tasks_table, weakest_table
from drill.reports.finding import WhyNot
from drill.reports.report import Column, Figure, Form, Paragraph, Report, Table, TableStyle, fields
from drill.wording import reports as words
from drill.wording.figures import out_of
from drill.wording.reports import FigureHead, Head, ReportKind, Title

MOST_REMARKS = 40


def class_report(room: Classroom, zone: tzinfo | None = None) -> Report:
    """The whole report; dates are those of ``zone``, None for UTC."""
    parts = (
        teach_table(room),
        students_table(room),
        weakest_table(room),
        tasks_table(room),
        sections_table("horns", Title.HORNS, Head.HORN, room.horns),
        sections_table("groups", Title.GROUPS, Head.GROUP, room.groups),
        map_table(room),
        horn_map(room),
        *student_keys(room),
        _slips(room),
        _lines(room),
        _missing(room),
        _files(room),
        keys_table(room),
        squares_table(room),
        cells_table(room),
        _decks(room),
        Paragraph("notes", Title.READING, (words.READING,)),
    )
    told = tuple(part for part in parts if part is not None)
    return Report(
        room.day, ReportKind.CLASS, room.made, _figures(room), told, lead_lines(room), zone
    )


def _figures(room: Classroom) -> tuple[Figure, ...]:
    return (
        Figure("day", "", room.day),
        Figure("since", "", room.since or None),
        Figure("", FigureHead.STUDENTS, len(room.students), Form.COUNT),
        Figure("", FigureHead.STARTED, len(room.started), Form.COUNT),
        Figure("goal_met", FigureHead.GOAL_MET, room.goal_met, Form.COUNT),
        Figure("by_heart", "", room.total("by_heart")),
        Figure("of", "", room.total("of")),
        Figure("", FigureHead.BY_HEART, out_of(room.total("by_heart"), room.total("of"))),
        Figure("asked", FigureHead.ANSWERS, room.asked, Form.COUNT),
        Figure("right", "", room.right),
        Figure("", FigureHead.RIGHT, room.share, Form.SHARE),
        Figure("recall", FigureHead.RECALL, room.recall, Form.SHARE),
        Figure("played_notes", "", room.total("notes")),
        Figure("played_right", "", room.total("heard")),
        Figure("seconds", FigureHead.TIME, room.seconds, Form.SECONDS),
        Figure("counted", "", counted_words(room)),
        Figure("not_started", "", room.not_started),
        Figure("not_on_roster", "", room.strangers),
    )


def lead_lines(room: Classroom) -> tuple[str, ...]:
    """The decks with their goals, and in which keys they are counted."""
    most, decks = words.MOST_DECKS, room.decks
    lines = [words.deck_line(each.title, each.name, each.share, each.due) for each in decks[:most]]
    if len(decks) > most:
        lines.append(words.more_decks(len(decks) - most))
    return (*lines, counted_words(room)) if room.keys else tuple(lines)


# -- the rest


def _slips(room: Classroom) -> Table:
    return Table(
        "slips",
        Title.SLIPS,
        (
            Column("slip", Head.SLIP, lambda e: e.slip, Form.SLIP),
            Column("students", Head.STUDENTS, lambda e: e.students, Form.COUNT),
            Column("count", Head.TIMES, lambda e: e.count, Form.COUNT),
            *key_columns(lambda e: e.key),
            *fields("key_count"),
            Column(
                "", Head.MOST_OFTEN_IN, lambda e: words.times(key_name(e.key, room), e.key_count)
            ),
        ),
        room.slips,
        most=15,
    )


def _lines(room: Classroom) -> Table:
    return Table(
        "lines",
        Title.LINES,
        (
            Column("student", Head.STUDENT, lambda e: e.name, Form.NAME),
            Column("line", Head.LINE, lambda e: e.line),
        ),
        [each for each in room.students if each.line],
    )


def _missing(room: Classroom) -> Paragraph | None:
    absent = [words.absent_line(room.not_started)] if room.not_started else []
    strange = [words.strangers_line(room.strangers)] if room.strangers else []
    return Paragraph("absent", Title.ABSENT, (*absent, *strange)) if absent or strange else None


def _files(room: Classroom) -> Table:
    return Table(
        "files",
        Title.FILES,
        (
            Column("file", Head.FILE, lambda e: e.file),
            Column("counts", "", lambda e: str(e.why)),
            *fields("reason"),
            Column("", Head.WHAT, lambda e: f"{e.why}: {e.reason}"),
        ),
        sorted(room.remarks, key=lambda each: list(WhyNot).index(each.why)),
        style=TableStyle.STACKED,
        most=MOST_REMARKS,
    )


def _decks(room: Classroom) -> Table:
    due = Column("due", "", lambda e: e.due or None)
    columns = (*fields("name", "title", fingerprint="key", goal="share"), due)
    return Table("decks", "", columns, room.decks, style=TableStyle.DATA)
