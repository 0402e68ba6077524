"""The tables of a class about its students: who knows what by heart, deck by deck, horn by horn."""

from __future__ import annotations

from collections.abc import Sequence

from drill.reports.classroom import Classroom, Section
from drill.reports.naming import Place
from drill.reports.report import (
    Column,
    Form,
    Style,
    Table,
)
from drill.reports.study import Study, TaskDone
from drill.wording.slips import slip_label
from drill.wording.squares import horn_text, key_text

MOST_ROWS = 60
"""Students shown one by one; of a larger gathering those with the fewest cells by heart."""


ON_THE_HORN = "On the horn"
HEARD = (
    "On the horn: notes that the program heard as asked, in the newest take of each run; no mark."
)


def deck_names(student: Study) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each.task.name for each in student.tasks))


def share_of(student: Study) -> float | None:
    return student.by_heart / student.of if student.of else None


def horn_columns(head: str = "") -> tuple[Column, ...]:
    """What was heard on the horn: of how many notes played, how many as asked."""
    words = Column("", head, lambda e: f"{e.heard} of {e.notes}" if e.notes else None)
    return (
        Column("played_notes", "", lambda e: e.notes),
        Column("played_right", "", lambda e: e.heard),
        *((words,) if head else ()),
    )


def students_table(room: Classroom) -> Table:
    some = room.students
    if len(some) > MOST_ROWS:
        some = tuple(sorted(some, key=lambda each: (share_of(each) or 0.0, each.name)))
    then = (
        Column("by_heart_then", f"On {room.since}", lambda e: e.by_heart_then, Form.COUNT),
        Column("", "More", lambda e: e.by_heart - e.by_heart_then, Form.COUNT),
    )
    ids = any(each.id for each in some)
    grouped = any(each.group for each in some)
    due = any(deck.due for deck in room.decks)
    played = any(each.takes for each in some)
    return Table(
        "students",
        "Who knows what by heart",
        (
            Column("name", "Student", lambda e: e.name, Form.NAME),
            Column("id", "Id" if ids else "", lambda e: e.id),
            Column("group", "Group" if grouped else "", lambda e: e.group),
            Column("horn", "", lambda e: "; ".join(e.horns)),
            Column("", "Horn", lambda e: tuple(map(horn_text, e.horns)), Form.LIST),
            Column("deck", "", lambda e: "; ".join(deck_names(e))),
            Column("by_heart", "By heart", lambda e: e.by_heart, Form.COUNT),
            Column("of", "Of", lambda e: e.of, Form.COUNT),
            Column("share", "Share", share_of, Form.SHARE),
            Column("takes", "", lambda e: len(e.takes)),
            *horn_columns(ON_THE_HORN if played else ""),
            *(then if room.since else ()),
            Column("goal", "", lambda e: e.goal if e.tasks else None),
            Column("needed", "Goal", lambda e: e.needed if e.tasks else None, Form.COUNT),
            Column("goal_met_on", "Met on", lambda e: e.met_on or None, Form.DAY),
            Column("on_time", "On time" if due else "", lambda e: e.on_time, Form.FLAG),
            Column("days", "Days", lambda e: e.days, Form.COUNT),
            Column("seconds", "Time", lambda e: e.seconds, Form.SECONDS),
            Column("first", "", lambda e: e.first, Form.INSTANT),
            Column("last", "Last", lambda e: e.last, Form.INSTANT),
            Column("asked", "", lambda e: e.asked),
            Column("right", "", lambda e: e.right),
            Column("", "Right", lambda e: e.share, Form.SHARE),
            Column("retyped", "", lambda e: e.retyped),
            Column("cells", "", lambda e: e.cells),
            Column("recall", "Recall", lambda e: e.recall, Form.SHARE),
            Column("locked_in_tempo", "", lambda e: e.tempo),
            Column("weakest", "", lambda e: tuple(map(_weak, e.weakest))),
            Column("slips", "", lambda e: tuple(slip_label(slip) for slip, _ in e.worst_slips)),
            Column("line", "", lambda e: e.line),
            Column("files", "", lambda e: e.files),
        ),
        some,
        how="By heart: right and not slow on as many days as the deck asks, and still expected to "
        "be right. Goal: the cells that are to be by heart. Met on: the first day on which they "
        "were. Recall: predicted for the day of this report, for the cells that were asked."
        + (f" {HEARD}" if played else ""),
        most=MOST_ROWS,
        left_out="more by heart",
    )


def _weak(place: Place) -> str:
    """A key of a student, as the class counts it."""
    return key_text(place.counted.key)


def weakest_table(room: Classroom) -> Table:
    """What each needs most."""
    return Table(
        "weakest",
        "Weakest keys and slips, one by one",
        (
            Column("", "Student", lambda e: e.name, Form.NAME),
            Column("", "Weakest keys", lambda e: tuple(map(_weak, e.weakest[:2])), Form.LIST),
            Column("", "Slips made most", _slips_of, Form.LIST),
            Column("", "Tempo", lambda e: e.tempo, Form.COUNT),
        ),
        [each for each in room.students if each.asked],
        how="Lowest recall first. Tempo: locked in, beats a minute.",
        most=MOST_ROWS,
    )


def _slips_of(student: Study) -> tuple[str, ...]:
    return tuple(f"{slip_label(slip)} ({times})" for slip, times in student.worst_slips[:1])


def tasks_table(room: Classroom) -> Table:
    """Deck by deck, one row for each student and deck."""
    rows = [(each, done) for each in room.students for done in each.tasks]
    several = len(rows) > len(room.started)

    def when(row: tuple[Study, TaskDone]) -> bool | None:
        return row[1].on_time(room.day)

    return Table(
        "assignments",
        "Deck by deck",
        (
            Column("student", "Student", lambda e: e[0].name, Form.NAME),
            Column("id", "", lambda e: e[0].id),
            Column("group", "", lambda e: e[0].group),
            Column("horn", "", lambda e: e[1].task.horn),
            Column("", "Horn", lambda e: horn_text(e[1].task.horn)),
            Column("deck", "Deck", lambda e: e[1].task.name),
            Column("title", "", lambda e: e[1].task.title),
            Column("by_heart", "By heart", lambda e: e[1].by_heart, Form.COUNT),
            Column("of", "Of", lambda e: e[1].task.cells, Form.COUNT),
            Column("goal", "", lambda e: e[1].task.share),
            Column("needed", "Goal", lambda e: e[1].task.needed, Form.COUNT),
            Column("goal_met_on", "Met on", lambda e: e[1].met_on or None, Form.DAY),
            Column("due", "Due", lambda e: e[1].task.due or None, Form.DAY),
            Column("on_time", "On time", when, Form.FLAG),
            Column("asked", "", lambda e: e[1].asked),
            Column("right", "", lambda e: e[1].right),
            Column("cells", "", lambda e: e[1].cells),
        ),
        rows,
        style=Style.PLAIN if several else Style.DATA,
        most=4 * MOST_ROWS,
    )


def sections_table(name: str, title: str, head: str, sections: Sequence[Section]) -> Table:
    late = any(each.late or each.on_time for each in sections)
    name_of = horn_text if name == "horns" else str
    return Table(
        name,
        title,
        (
            Column(name[:-1], "", lambda e: e.name),
            Column("", head, lambda e: name_of(e.name)),
            Column("students", "Students", lambda e: e.students, Form.COUNT),
            Column("started", "Started", lambda e: e.started, Form.COUNT),
            Column("goal_met", "Goal met", lambda e: e.goal_met, Form.COUNT),
            Column("on_time", "On time" if late else "", lambda e: e.on_time, Form.COUNT),
            Column("late", "Late" if late else "", lambda e: e.late, Form.COUNT),
            Column("by_heart", "", lambda e: e.by_heart),
            Column("of", "", lambda e: e.of),
            Column("", "By heart", lambda e: e.by_heart / e.of if e.of else None, Form.BAR),
            Column("asked", "", lambda e: e.asked),
            Column("right", "", lambda e: e.right),
            Column("", "Right", lambda e: e.right / e.asked if e.asked else None, Form.SHARE),
            Column("weakest", "Weakest for most", lambda e: str(e.weakest) if e.weakest else None),
        ),
        sections,
        style=Style.PLAIN if len(sections) > 1 else Style.DATA,
        most=MOST_ROWS,
    )
