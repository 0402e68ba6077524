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
from drill.reports.gathering import Why
from drill.reports.report import (
    Column,
    Figure,
    Form,
    Note,
    Report,
    Style,
    Table,
)
from drill.wording.figures import count, percent

MOST_REMARKS = 40


def class_report(room: Classroom, zone: tzinfo | None = None) -> Report:
    """The whole report; dates are those of ``zone``, None for UTC."""
    parts = (
        teach_table(room),
        students_table(room),
        weakest_table(room),
        tasks_table(room),
        sections_table("horns", "Horn by horn", "Horn", room.horns),
        sections_table("groups", "Group by group", "Group", room.groups),
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
        _notes(room),
    )
    return Report(
        room.day,
        "Class report",
        room.made,
        _figures(room),
        tuple(part for part in parts if part is not None),
        lead_lines(room),
        zone,
    )


def _figures(room: Classroom) -> tuple[Figure, ...]:
    started, goals = room.started, sum(bool(each.met_on) for each in room.students)
    by_heart, of = (
        sum(getattr(each, name) for each in room.students) for name in ("by_heart", "of")
    )
    return (
        Figure("day", "", room.day),
        Figure("since", "", room.since or None),
        Figure("", "students", len(room.students), Form.COUNT),
        Figure("", "started", len(started), Form.COUNT),
        Figure("goal_met", "goal met", goals, Form.COUNT),
        Figure("by_heart", "", by_heart),
        Figure("of", "", of),
        Figure("", "cells by heart", f"{by_heart:,} of {of:,}"),
        Figure("asked", "answers", room.asked, Form.COUNT),
        Figure("right", "", room.right),
        Figure("", "right", room.right / room.asked if room.asked else None, Form.SHARE),
        Figure("recall", "recall", room.recall, Form.SHARE),
        Figure("played_notes", "", sum(each.notes for each in room.students)),
        Figure("played_right", "", sum(each.heard for each in room.students)),
        Figure("seconds", "time spent", room.seconds, Form.SECONDS),
        Figure("counted", "", counted_words(room)),
        Figure("not_started", "", room.not_started),
        Figure("not_on_roster", "", room.strangers),
    )


def lead_lines(room: Classroom) -> tuple[str, ...]:
    lines = []
    for deck in room.decks[:8]:
        due = f", due {deck.due}" if deck.due else ""
        lines.append(f"{deck.title} ({deck.name}): goal {percent(deck.right)} % by heart{due}.")
    if len(room.decks) > 8:
        lines.append(f"And {count(len(room.decks) - 8, 'deck')} more.")
    return (*lines, counted_words(room)) if room.keys else tuple(lines)


# -- the rest


def _slips(room: Classroom) -> Table:
    return Table(
        "slips",
        "Slips they share",
        (
            Column("slip", "Slip", lambda e: e.slip, Form.SLIP),
            Column("students", "Students", lambda e: e.students, Form.COUNT),
            Column("count", "Times", lambda e: e.count, Form.COUNT),
            *key_columns(lambda e: e.key),
            Column("key_count", "", lambda e: e.key_count),
            Column("", "Most often in", lambda e: f"{key_name(e.key, room)} ({e.key_count})"),
        ),
        room.slips,
        most=15,
    )


def _lines(room: Classroom) -> Table:
    return Table(
        "lines",
        "What they write",
        (
            Column("student", "Student", lambda e: e.name, Form.NAME),
            Column("line", "Line", lambda e: e.line),
        ),
        [each for each in room.students if each.line],
    )


def _missing(room: Classroom) -> Note | None:
    lines = [
        f"{title} ({len(names)}): {', '.join(names)}"
        for title, names in (
            ("Not started", room.not_started),
            ("Not on the roster", room.strangers),
        )
        if names
    ]
    return Note("absent", "Who is missing", tuple(lines)) if lines else None


def _files(room: Classroom) -> Table:
    return Table(
        "files",
        "Files to look at",
        (
            Column("file", "File", lambda e: e.file),
            Column("counts", "", lambda e: str(e.why)),
            Column("reason", "", lambda e: e.reason),
            Column("", "What", lambda e: f"{e.why}: {e.reason}"),
        ),
        sorted(room.remarks, key=lambda each: list(Why).index(each.why)),
        style=Style.STACKED,
        most=MOST_REMARKS,
    )


def _decks(room: Classroom) -> Table:
    return Table(
        "decks",
        "",
        (
            Column("name", "", lambda e: e.name),
            Column("title", "", lambda e: e.title),
            Column("fingerprint", "", lambda e: e.key),
            Column("goal", "", lambda e: e.right),
            Column("due", "", lambda e: e.due or None),
        ),
        room.decks,
        style=Style.DATA,
    )


def _notes(room: Classroom) -> Note:
    return Note("notes", "How to read this", (READING,))


READING = (
    "Right: the share of right answers; a cell typed once more after a slip, or asked "
    "once more at the end of a practice, does not count. Recall and by heart are what the "
    "model of memory says, from the answers handed in and nothing else; they fall with "
    "days away. A results file is a record, not an examination: it shows damage, not who "
    "sat at the keyboard."
)
