"""The tables of a class about its keys and patterns, and what to teach next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from drill.reports.classroom import Classroom
from drill.reports.classsquares import ClassSquare, Lesson
from drill.reports.classstudents import MOST_ROWS, first_of, horn_columns
from drill.reports.naming import CountedKey
from drill.reports.report import Column, Form, Mark, Table, TableStyle, fields, shape_columns
from drill.reports.study import Study, StudySquare
from drill.shown import counted
from drill.wording import reports as words
from drill.wording.figures import out_of, percent
from drill.wording.reports import Head, Title
from drill.wording.squares import key_text, shape_name


def counted_words(room: Classroom) -> str:
    """In which keys the class is counted."""
    kinds = {key.concert for key in room.keys}
    horns = dict.fromkeys(key.horn for key in room.keys if key.horn)
    return words.counted_words(True in kinds, False in kinds, horns)


def key_name(key: CountedKey, room: Classroom) -> str:
    """A key with how it is counted; with the horn where there are several."""
    if key.concert or len({each.horn for each in room.keys}) > 1:
        return str(key)
    return words.written(key.key)


def teach_table(room: Classroom) -> Table:
    """What to teach next, with the numbers behind it."""

    def title(lesson: Lesson) -> str:
        return f"{key_name(lesson.square.counted, room)}, {shape_name(lesson.square.shape)}"

    def below(lesson: Lesson) -> str:
        return out_of(lesson.square.short, lesson.square.students, "students")

    def right(lesson: Lesson) -> str:
        return out_of(lesson.square.right, lesson.square.asked)

    def weakest(lesson: Lesson) -> str | None:
        right = out_of(lesson.degree_right, lesson.degree_asked, "right")
        return f"{lesson.degree} ({right})" if lesson.degree else None

    def slip(lesson: Lesson) -> str | None:
        return words.slip_times(lesson.slip, lesson.slip_count) if lesson.slip else None

    return Table(
        "teach",
        Title.TEACH,
        (
            Column("", Head.WHAT, title),
            *key_columns(lambda e: e.square.counted),
            *shape_columns(lambda e: e.square.shape),
            Column("need", Head.NEED, lambda e: e.square.need, Form.LENGTH),
            *fields(of="square", below_goal="short", students="students"),
            Column("", Head.BELOW_GOAL, below, Form.OF),
            Column("recall", Head.RECALL, lambda e: e.square.recall, Form.SHARE),
            Column("", Head.RIGHT, right, Form.OF),
            *fields("asked", "right", of="square"),
            Column("", Head.WEAKEST_ON, weakest),
            Column("degree", "", lambda e: int(e.degree) if e.degree else None),
            *fields("degree_asked", "degree_right"),
            Column("", Head.MOST_OFTEN, slip),
            Column("slip", "", lambda e: e.slip or None),
            *fields("slip_count"),
            Column("for", "", lambda e: e.for_whom),
            Column("", Head.FOR, lambda e: words.named(e.for_whom), Form.LIST),
        ),
        room.lessons,
        how=words.NEED,
        style=TableStyle.STACKED,
        empty=words.ALL_KNOWN if room.asked else "",
    )


def key_columns(key: Any) -> tuple[Column, ...]:
    """A key as data, with how it is counted."""
    return (
        Column("key", "", lambda e: key(e).key, Form.KEY),
        Column("counted", "", lambda e: "concert" if key(e).concert else "written"),
        Column("horn", "", lambda e: key(e).horn or None),
    )


_NUMBERS = (
    *fields("students", below_goal="short"),
    *fields("need", "cells", "by_heart", "asked", "right", share_right="share", recall="recall"),
    *fields("players"),
    *horn_columns(),
)
"""What is known of a key and pattern, as data."""


def keys_table(room: Classroom) -> Table:
    """The class key by key, as data."""
    columns = (*key_columns(lambda e: e.counted), *shape_columns(lambda e: e.shape), *_NUMBERS)
    return Table("keys", "", columns, room.totals, style=TableStyle.DATA)


def squares_table(room: Classroom) -> Table:
    """Each written key and pattern, as data."""
    place = (
        *fields(horn="place.horn"),
        Column("written_key", "", lambda e: e.place.written, Form.KEY),
        Column("concert_key", "", lambda e: e.place.concert or None, Form.KEY),
    )
    columns = (*place, *shape_columns(lambda e: e.shape), *_NUMBERS)
    return Table("squares", "", columns, room.squares, style=TableStyle.DATA)


# -- maps


def map_table(room: Classroom) -> Table:
    """What is predicted of each key and pattern."""

    def mark(here: ClassSquare) -> Mark | None:
        if not here.students:
            return None
        rest = words.square_rest(here.share, here.short, here.students)
        return Mark(here.recall, f"{percent(here.recall)} %", rest)

    return _map("map", Title.MAP, room, mark, f"{counted_words(room)} {words.MAP}")


def horn_map(room: Classroom) -> Table | None:
    """What was heard of each key and pattern; None where nothing was handed in."""

    def mark(here: ClassSquare) -> Mark | None:
        if not here.notes:
            return None
        said, rest = out_of(here.heard, here.notes), counted(here.players, "student")
        return Mark(here.heard / here.notes, said, (rest,))

    if not any(each.notes for each in room.totals):
        return None
    return _map("map-on-the-horn", Title.HORN_MAP, room, mark, words.ON_THE_HORN)


def _map(
    name: str, title: str, room: Classroom, mark: Callable[[ClassSquare], Mark | None], how: str
) -> Table:
    """A map of the keys as they are counted, by patterns."""
    found = {(each.counted, each.shape): each for each in room.totals}

    def cell(shape: str) -> Any:
        return lambda key: mark(found[key, shape]) if (key, shape) in found else None

    columns = (Column("", str(shape_name(shape)), cell(shape), Form.MARK) for shape in room.shapes)
    key = Column("", Head.KEY, lambda e: key_name(e, room))
    return Table(name, title, (key, *columns), room.keys, how=how, style=TableStyle.GRID)


def key_recalls(student: Study) -> dict[CountedKey, float]:
    """Mean predicted recall of the cells asked in each key."""
    sums: dict[CountedKey, tuple[float, int]] = {}
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
    some = first_of([
        each for each in room.students
        if any(square.place.counted.horn == horn for square in each.squares)
    ])  # fmt: skip
    recalls = {id(each): key_recalls(each) for each in some[:MOST_ROWS]}
    one_scale = len({key.key.partition(":")[2] for key in keys}) == 1

    def column(key: CountedKey) -> Column:
        def cell(student: Study) -> Mark | None:
            recall = recalls[id(student)].get(key)
            return None if recall is None else Mark(recall, percent(recall))

        head = key.key.partition(":")[0] if one_scale else key_text(key.key)
        return Column("", head, cell, Form.MARK)

    return Table(
        f"recalls-{horn or 'concert'}" if several else "recalls",
        words.recalls_title(horn),
        (Column("", Head.STUDENT, lambda e: e.name, Form.NAME), *map(column, keys)),
        some,
        how=words.RECALLS,
        style=TableStyle.GRID,
        most=MOST_ROWS,
        left_out=words.MORE_BY_HEART,
        in_csv="--csv-cells",
    )


# -- the long table


class _Cells(Sequence[tuple[Study, StudySquare | None]]):
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

    def of(name: str, none: Any = None) -> Any:
        return lambda e: none if e[1] is None else getattr(e[1], name)

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
            *(Column(name, "", of(name, 0)) for name in ("cells", "by_heart", "asked", "right")),
            Column("share_right", "", of("share")),
            Column("recall", "", lambda e: e[1].recall if e[1] and e[1].cells else None),
            Column("locked_in_tempo", "", of("tempo")),
            *horn_columns(lambda e: e[1]),
            Column("seconds", "", of("seconds", 0.0), Form.SECONDS),
            Column("last", "", of("last"), Form.INSTANT),
        ),
        _Cells(room.students),
        style=TableStyle.DATA,
    )
