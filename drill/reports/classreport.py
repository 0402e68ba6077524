"""A class as a report: who knows what by heart, who is on time, what to teach next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import tzinfo
from typing import Any

from drill.reports.classroom import Classroom, ClassSquare, Lesson, Section
from drill.reports.figures import count, percent
from drill.reports.gathering import Why
from drill.reports.naming import Counted, Place, horn_text, key_text, shape_name
from drill.reports.report import (
    Column,
    Figure,
    Form,
    Mark,
    Note,
    Report,
    Style,
    Table,
    shape_columns,
)
from drill.reports.tally import Square, Study, TaskDone
from drill.wording.slips import slip_label

MOST_ROWS = 60
"""Students shown one by one; of a larger gathering those with the fewest cells by heart."""
MOST_REMARKS = 40
MOST_NAMED = 4
"""Students named beside something to teach."""


def class_report(room: Classroom, zone: tzinfo | None = None) -> Report:
    """The whole report; dates are those of ``zone``, None for UTC."""
    parts = (
        _teach(room),
        _students(room),
        _weakest(room),
        _tasks(room),
        _sections("horns", "Horn by horn", "Horn", room.horns),
        _sections("groups", "Group by group", "Group", room.groups),
        _map(room),
        *_student_keys(room),
        _slips(room),
        _lines(room),
        _missing(room),
        _files(room),
        _keys(room),
        _squares(room),
        _cells(room),
        _decks(room),
        _notes(room),
    )
    return Report(
        room.day,
        "Class report",
        room.made,
        _figures(room),
        tuple(part for part in parts if part is not None),
        _lead(room),
        zone,
    )


def counted_words(room: Classroom) -> str:
    """In which keys the class is counted."""
    kinds = {key.concert for key in room.keys}
    if kinds == {True}:
        return "Keys are concert keys, over all horns."
    horns = ", ".join(dict.fromkeys(horn_text(key.horn) for key in room.keys if key.horn))
    if kinds == {False}:
        return f"Keys are written keys ({horns})."
    return f"Keys are concert keys where the deck names them so, else written ones ({horns})."


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
        Figure("seconds", "time spent", room.seconds, Form.SECONDS),
        Figure("counted", "", counted_words(room)),
        Figure("not_started", "", room.not_started),
        Figure("not_on_roster", "", room.strangers),
    )


def _lead(room: Classroom) -> tuple[str, ...]:
    lines = []
    for deck in room.decks[:8]:
        due = f", due {deck.due}" if deck.due else ""
        lines.append(f"{deck.title} ({deck.name}): goal {percent(deck.right)} % by heart{due}.")
    if len(room.decks) > 8:
        lines.append(f"And {count(len(room.decks) - 8, 'deck')} more.")
    return (*lines, counted_words(room)) if room.keys else tuple(lines)


# -- students


def deck_names(student: Study) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each.task.name for each in student.tasks))


def _share(student: Study) -> float | None:
    return student.by_heart / student.of if student.of else None


def _students(room: Classroom) -> Table:
    some = room.students
    if len(some) > MOST_ROWS:
        some = tuple(sorted(some, key=lambda each: (_share(each) or 0.0, each.name)))
    then = (
        Column("by_heart_then", f"On {room.since}", lambda e: e.by_heart_then, Form.COUNT),
        Column("", "More", lambda e: e.by_heart - e.by_heart_then, Form.COUNT),
    )
    ids = any(each.id for each in some)
    grouped = any(each.group for each in some)
    due = any(deck.due for deck in room.decks)
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
            Column("share", "Share", _share, Form.SHARE),
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
        "were. Recall: predicted for the day of this report, for the cells that were asked.",
        most=MOST_ROWS,
        left_out="more by heart",
    )


def _weak(place: Place) -> str:
    """A key of a student, as the class counts it."""
    return key_text(place.counted.key)


def _weakest(room: Classroom) -> Table:
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


def _tasks(room: Classroom) -> Table:
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


def _sections(name: str, title: str, head: str, sections: Sequence[Section]) -> Table:
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


# -- keys and patterns


def lesson_title(lesson: Lesson, room: Classroom) -> str:
    """What it is about: ``concert Gb major, 1-2-3-1 down``."""
    return f"{_named(lesson.square.counted, room)}, {shape_name(lesson.square.shape)}"


def _named(key: Counted, room: Classroom) -> str:
    """A key with how it is counted; with the horn where there are several."""
    if key.concert or len({each.horn for each in room.keys}) > 1:
        return str(key)
    return f"written {key_text(key.key)}"


def _teach(room: Classroom) -> Table:
    def whom(lesson: Lesson) -> tuple[str, ...]:
        more = len(lesson.for_whom) - MOST_NAMED
        named = lesson.for_whom[:MOST_NAMED]
        return (*named, f"and {more} more") if more > 0 else named

    def weakest(lesson: Lesson) -> str | None:
        if not lesson.degree:
            return None
        return f"{lesson.degree} ({lesson.degree_right} of {lesson.degree_asked} right)"

    def slip(lesson: Lesson) -> str | None:
        return f"{slip_label(lesson.slip)} ({lesson.slip_count})" if lesson.slip else None

    return Table(
        "teach",
        "To teach next, the greatest need first",
        (
            Column("", "What", lambda e: lesson_title(e, room)),
            *_key_columns(lambda e: e.square.counted),
            *shape_columns(lambda e: e.square.shape),
            Column("need", "Need", lambda e: e.square.need, Form.LENGTH),
            Column("below_goal", "", lambda e: e.square.short),
            Column("", "Below goal", lambda e: f"{e.square.short} of {e.square.students} students"),
            Column("students", "", lambda e: e.square.students),
            Column("recall", "Recall", lambda e: e.square.recall, Form.SHARE),
            Column("", "Right", lambda e: f"{e.square.right} of {e.square.asked}"),
            Column("asked", "", lambda e: e.square.asked),
            Column("right", "", lambda e: e.square.right),
            Column("", "Weakest on", weakest),
            Column("degree", "", lambda e: int(e.degree) if e.degree else None),
            Column("degree_asked", "", lambda e: e.degree_asked),
            Column("degree_right", "", lambda e: e.degree_right),
            Column("", "Most often", slip),
            Column("slip", "", lambda e: e.slip or None),
            Column("slip_count", "", lambda e: e.slip_count),
            Column("for", "", lambda e: e.for_whom),
            Column("", "For", whom, Form.LIST),
        ),
        room.lessons,
        how="Need adds up how far each student below the goal is from it: 1.0 is one student's "
        "whole recall.",
        style=Style.STACKED,
        empty="Nothing lies below the goal in what was asked." if room.asked else "",
    )


def _key_columns(key: Any) -> tuple[Column, ...]:
    """A key as data, with how it is counted."""
    return (
        Column("key", "", lambda e: key(e).key, Form.KEY),
        Column("counted", "", lambda e: "concert" if key(e).concert else "written"),
        Column("horn", "", lambda e: key(e).horn or None),
    )


def _numbers() -> tuple[Column, ...]:
    return (
        Column("students", "", lambda e: e.students),
        Column("below_goal", "", lambda e: e.short),
        Column("need", "", lambda e: e.need),
        Column("cells", "", lambda e: e.cells),
        Column("by_heart", "", lambda e: e.by_heart),
        Column("asked", "", lambda e: e.asked),
        Column("right", "", lambda e: e.right),
        Column("share_right", "", lambda e: e.share),
        Column("recall", "", lambda e: e.recall),
    )


def _keys(room: Classroom) -> Table:
    return Table(
        "keys",
        "",
        (*_key_columns(lambda e: e.counted), *shape_columns(lambda e: e.shape), *_numbers()),
        room.totals,
        style=Style.DATA,
    )


def _squares(room: Classroom) -> Table:
    return Table(
        "squares",
        "",
        (*_place_columns(lambda e: e.place), *shape_columns(lambda e: e.shape), *_numbers()),
        room.squares,
        style=Style.DATA,
    )


def _place_columns(place: Any) -> tuple[Column, ...]:
    return (
        Column("horn", "", lambda e: place(e).horn),
        Column("written_key", "", lambda e: place(e).written, Form.KEY),
        Column("concert_key", "", lambda e: place(e).concert or None, Form.KEY),
    )


def _map(room: Classroom) -> Table:
    found: dict[tuple[Counted, str], ClassSquare] = {
        (each.counted, each.shape): each for each in room.totals
    }

    def cell(shape: str) -> Any:
        def value(key: Counted) -> Mark | None:
            here = found.get((key, shape))
            if here is None:
                return None
            rest = (f"{percent(here.share)} % right", f"{here.short} of {here.students} below")
            return Mark(here.recall, f"{percent(here.recall)} %", rest)

        return value

    columns = (Column("", str(shape_name(shape)), cell(shape), Form.MARK) for shape in room.shapes)
    return Table(
        "map",
        "Keys by patterns",
        (Column("", "Key", lambda e: _named(e, room)), *columns),
        room.keys,
        how=f"{counted_words(room)} Recall predicted for the day of this report; on a page, the "
        "larger the square, the less.",
        style=Style.GRID,
    )


def key_recalls(student: Study) -> dict[Counted, float]:
    """Mean predicted recall of the cells asked in each key."""
    sums: dict[Counted, tuple[float, int]] = {}
    for each in student.squares:
        if each.cells:
            total, cells = sums.get(each.place.counted, (0.0, 0))
            sums[each.place.counted] = (total + each.recall * each.cells, cells + each.cells)
    return {key: total / cells for key, (total, cells) in sums.items()}


def _student_keys(room: Classroom) -> tuple[Table, ...]:
    """Students by keys; one table for the concert keys, one for each horn's written ones."""
    horns = dict.fromkeys(key.horn for key in room.keys)
    return tuple(_keys_of_some(room, horn, len(horns) > 1) for horn in horns)


def _keys_of_some(room: Classroom, horn: str, several: bool) -> Table:
    keys = [key for key in room.keys if key.horn == horn]
    some = [
        each for each in room.students
        if any(square.place.counted.horn == horn for square in each.squares)
    ]  # fmt: skip
    if len(some) > MOST_ROWS:
        some.sort(key=lambda each: (_share(each) or 0.0, each.name))
    recalls = {id(each): key_recalls(each) for each in some[:MOST_ROWS]}
    one_scale = len({key.key.partition(":")[2] for key in keys}) == 1

    def cell(key: Counted) -> Any:
        def value(student: Study) -> Mark | None:
            recall = recalls[id(student)].get(key)
            return None if recall is None else Mark(recall, percent(recall))

        return value

    def head(key: Counted) -> str:
        return key.key.partition(":")[0] if one_scale else key_text(key.key)

    kind = f"written keys, {horn_text(horn)}" if horn else "concert keys"
    return Table(
        f"recalls-{horn or 'concert'}" if several else "recalls",
        f"Students by keys: {kind}",
        (
            Column("", "Student", lambda e: e.name, Form.NAME),
            *(Column("", head(key), cell(key), Form.MARK) for key in keys),
        ),
        some,
        how="Predicted recall in percent, over the patterns asked.",
        style=Style.GRID,
        most=MOST_ROWS,
        left_out="more by heart",
    )


class _Cells(Sequence[tuple[Study, Square]]):
    """Every student's squares, one after the other, without a list of them all."""

    def __init__(self, students: Sequence[Study]) -> None:
        self.students = students

    def __len__(self) -> int:
        return sum(max(1, len(each.squares)) for each in self.students)

    def __iter__(self) -> Any:
        for student in self.students:
            for square in student.squares or (None,):
                yield student, square

    def __getitem__(self, at: Any) -> Any:
        return list(self)[at]


def _cells(room: Classroom) -> Table:
    """The long table: a row for each student, key and pattern, one of a student who has none."""

    def of(name: str) -> Any:
        return lambda e: None if e[1] is None else getattr(e[1], name)

    def key(name: str) -> Any:
        return lambda e: None if e[1] is None else getattr(e[1].place, name) or None

    return Table(
        "cells",
        "",
        (
            Column("student", "", lambda e: e[0].name),
            Column("id", "", lambda e: e[0].id),
            Column("group", "", lambda e: e[0].group),
            Column("horn", "", key("horn")),
            Column("written_key", "", key("written"), Form.KEY),
            Column("concert_key", "", key("concert"), Form.KEY),
            # Never a bare 1-3-5, which a spreadsheet takes for a day in March.
            Column("pattern", "", lambda e: None if e[1] is None else str(shape_name(e[1].shape))),
            Column("cells", "", lambda e: e[1].cells if e[1] else 0),
            Column("by_heart", "", lambda e: e[1].by_heart if e[1] else 0),
            Column("asked", "", lambda e: e[1].asked if e[1] else 0),
            Column("right", "", lambda e: e[1].right if e[1] else 0),
            Column("share_right", "", of("share")),
            Column("recall", "", lambda e: e[1].recall if e[1] and e[1].cells else None),
            Column("locked_in_tempo", "", of("tempo")),
            Column("seconds", "", lambda e: e[1].seconds if e[1] else 0.0, Form.SECONDS),
            Column("last", "", of("last"), Form.INSTANT),
        ),
        _Cells(room.students),
        style=Style.DATA,
    )


# -- the rest


def _slips(room: Classroom) -> Table:
    return Table(
        "slips",
        "Slips they share",
        (
            Column("slip", "Slip", lambda e: e.slip, Form.SLIP),
            Column("students", "Students", lambda e: e.students, Form.COUNT),
            Column("count", "Times", lambda e: e.count, Form.COUNT),
            *_key_columns(lambda e: e.key),
            Column("key_count", "", lambda e: e.key_count),
            Column("", "Most often in", lambda e: f"{_named(e.key, room)} ({e.key_count})"),
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


# -- a student's own page, and no names


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
            replace(_tasks(only), style=Style.PLAIN, title="Assignments"),
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
        ),
        tuple(f"{each.task.title}." for each in student.tasks),
        zone,
    )


def student_pages(room: Classroom, zone: tzinfo | None = None) -> Report:
    """Every student's own page, one after the other, each on a sheet of its own."""
    pages = tuple(student_report(each, room, zone) for each in room.students)
    figures = (Figure("", "students", len(pages), Form.COUNT),)
    return Report(room.day, "Student pages", room.made, figures, (), _lead(room), zone, inner=pages)


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
