"""The tables of a class about its keys and patterns, and what to teach next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from drill.reports.classroom import Classroom, ClassSquare, Lesson
from drill.reports.classstudents import HEARD, MOST_ROWS, ON_THE_HORN, horn_columns, share_of
from drill.reports.naming import Counted
from drill.reports.report import (
    Column,
    Form,
    Mark,
    Style,
    Table,
    shape_columns,
)
from drill.reports.study import Square, Study
from drill.wording.figures import count, percent
from drill.wording.slips import slip_label
from drill.wording.squares import horn_text, key_text, shape_name

MOST_NAMED = 4
"""Students named beside something to teach."""


def counted_words(room: Classroom) -> str:
    """In which keys the class is counted."""
    kinds = {key.concert for key in room.keys}
    if kinds == {True}:
        return "Keys are concert keys, over all horns."
    horns = ", ".join(dict.fromkeys(horn_text(key.horn) for key in room.keys if key.horn))
    if kinds == {False}:
        return f"Keys are written keys ({horns})."
    return f"Keys are concert keys where the deck names them so, else written ones ({horns})."


def lesson_title(lesson: Lesson, room: Classroom) -> str:
    """What it is about: ``concert Gb major, 1-2-3-1 down``."""
    return f"{key_name(lesson.square.counted, room)}, {shape_name(lesson.square.shape)}"


def key_name(key: Counted, room: Classroom) -> str:
    """A key with how it is counted; with the horn where there are several."""
    if key.concert or len({each.horn for each in room.keys}) > 1:
        return str(key)
    return f"written {key_text(key.key)}"


def teach_table(room: Classroom) -> Table:
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
            *key_columns(lambda e: e.square.counted),
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


def key_columns(key: Any) -> tuple[Column, ...]:
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
        Column("players", "", lambda e: e.players),
        *horn_columns(),
    )


def keys_table(room: Classroom) -> Table:
    return Table(
        "keys",
        "",
        (*key_columns(lambda e: e.counted), *shape_columns(lambda e: e.shape), *_numbers()),
        room.totals,
        style=Style.DATA,
    )


def squares_table(room: Classroom) -> Table:
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


def map_table(room: Classroom) -> Table:
    """What is predicted of each key and pattern."""

    def mark(here: ClassSquare) -> Mark | None:
        if not here.students:
            return None
        rest = (f"{percent(here.share)} % right", f"{here.short} of {here.students} below")
        return Mark(here.recall, f"{percent(here.recall)} %", rest)

    how = (
        f"{counted_words(room)} Recall predicted for the day of this report; on a page, the "
        "larger the square, the less."
    )
    return _map("map", "Keys by patterns", room, mark, how)


def horn_map(room: Classroom) -> Table | None:
    """What was heard of each key and pattern; None where nothing was handed in."""

    def mark(here: ClassSquare) -> Mark | None:
        if not here.notes:
            return None
        rest = (f"{count(here.players, 'student')}",)
        return Mark(here.heard / here.notes, f"{here.heard} of {here.notes}", rest)

    if not any(each.notes for each in room.totals):
        return None
    return _map("map-on-the-horn", f"{ON_THE_HORN}: keys by patterns", room, mark, HEARD)


def _map(
    name: str, title: str, room: Classroom, mark: Callable[[ClassSquare], Mark | None], how: str
) -> Table:
    """A map of the keys as they are counted, by patterns."""
    found = {(each.counted, each.shape): each for each in room.totals}

    def cell(shape: str) -> Any:
        return lambda key: mark(found[key, shape]) if (key, shape) in found else None

    columns = (Column("", str(shape_name(shape)), cell(shape), Form.MARK) for shape in room.shapes)
    key = Column("", "Key", lambda e: key_name(e, room))
    return Table(name, title, (key, *columns), room.keys, how=how, style=Style.GRID)


def key_recalls(student: Study) -> dict[Counted, float]:
    """Mean predicted recall of the cells asked in each key."""
    sums: dict[Counted, tuple[float, int]] = {}
    for each in student.squares:
        if each.cells:
            total, cells = sums.get(each.place.counted, (0.0, 0))
            sums[each.place.counted] = (total + each.recall * each.cells, cells + each.cells)
    return {key: total / cells for key, (total, cells) in sums.items()}


def student_keys(room: Classroom) -> tuple[Table, ...]:
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
        some.sort(key=lambda each: (share_of(each) or 0.0, each.name))
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


def cells_table(room: Classroom) -> Table:
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
            Column("played_notes", "", lambda e: e[1].notes if e[1] else 0),
            Column("played_right", "", lambda e: e[1].heard if e[1] else 0),
            Column("seconds", "", lambda e: e[1].seconds if e[1] else 0.0, Form.SECONDS),
            Column("last", "", of("last"), Form.INSTANT),
        ),
        _Cells(room.students),
        style=Style.DATA,
    )
