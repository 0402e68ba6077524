"""A class report as data: CSV for a spreadsheet, JSON for programs.

CSV: UTF-8 with a byte-order mark, which spreadsheets need to read names right; rows end
as in RFC 4180.  A text that a spreadsheet would take for a formula gets an apostrophe in
front (common practice).
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

from drill.memory.items import instant
from drill.reports.classroom import Classroom, ClassSquare, Lesson
from drill.reports.naming import key_text, shape_name
from drill.reports.tally import Square, Study

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠", "|", "%")
"""What makes a spreadsheet calculate, full-width forms and old command separators too."""

COLUMNS = (
    "student", "key", "pattern", "cells", "asked", "right", "share_right",
    "recall", "locked_in_tempo", "minutes", "last_practised",
)  # fmt: skip


def safe(text: str) -> str:
    """The text so that no spreadsheet calculates it."""
    return "'" + text if text.lstrip().startswith(_FORMULA) else text


def csv_lines(room: Classroom) -> Iterator[str]:
    """The report as CSV: a row for each student, key and pattern; one of a student who has none.

    Shares are 0 to 1; the time is minutes; the date is an ISO instant in UTC.
    """
    yield "\ufeff" + _row(COLUMNS)
    for student in room.students:
        for square in student.squares:
            # Never a bare 1-3-5, which a spreadsheet takes for a day in March.
            pattern = str(shape_name(square.shape))
            yield _row(
                (
                    safe(student.name), safe(key_text(square.key)), safe(pattern),
                    square.cells, square.asked, square.right, _number(square.share),
                    _number(square.recall if square.cells else None), _number(square.tempo),
                    f"{square.seconds / 60:.2f}", _iso(square.last),
                )
            )  # fmt: skip
    for name_only in room.not_started:
        yield _row((safe(name_only), "", "", 0, 0, 0, *[""] * 5))


def _row(values: Iterable[object]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow(values)
    return out.getvalue()


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.4f}".rstrip("0").rstrip(".")


def _iso(micros: int | None) -> str | None:
    return None if micros is None else instant(micros).isoformat(timespec="seconds")


def json_lines(room: Classroom) -> Iterator[str]:
    """The report as one object of JSON, a student a line, so that a district is never held whole.

    Shares are 0 to 1, None where nothing was asked; instants are ISO 8601 in UTC.
    """
    head = {
        "made": _when(room.made),
        "asked": room.asked,
        "right": room.right,
        "recall": room.recall,
        "seconds": room.seconds,
        "decks": [
            {
                "name": deck.name,
                "title": deck.title,
                "fingerprint": deck.fingerprint,
                "goal": deck.right,
                "due": deck.due or None,
            }
            for deck in room.decks
        ],
        "not_started": room.not_started,
        "not_on_roster": room.strangers,
        "squares": [class_square_object(each) for each in room.squares],
        "slips": [
            {
                "slip": each.slip,
                "students": each.students,
                "count": each.count,
                "key": key_text(each.key),
                "key_count": each.key_count,
            }
            for each in room.slips
        ],
        "teach": [_lesson_object(each) for each in room.lessons],
        "files": [
            {"file": each.file, "counts": str(each.why), "reason": each.reason}
            for each in room.remarks
        ],
    }
    yield _text(head)[:-1] + ', "students": ['
    for number, student in enumerate(room.students):
        yield ("," if number else "") + "\n" + _text(student_object(student))
    yield "\n]}\n"


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _when(at: datetime) -> str:
    return at.isoformat(timespec="seconds")


def class_square_object(each: ClassSquare) -> dict[str, Any]:
    """A key and pattern of a class as an object of JSON."""
    return {
        **_place(each.key, each.shape),
        "students": each.students,
        "below_goal": each.short,
        "need": each.need,
        "asked": each.asked,
        "right": each.right,
        "share_right": each.share,
        "recall": each.recall,
    }


def _place(key: str, shape: str) -> dict[str, str]:
    name = shape_name(shape)
    return {
        "key": key_text(key),
        "pattern": name.cell,
        "direction": name.direction,
        "more": name.more,
    }


def _lesson_object(lesson: Lesson) -> dict[str, Any]:
    return {
        **class_square_object(lesson.square),
        "slip": lesson.slip or None,
        "slip_count": lesson.slip_count,
        "degree": int(lesson.degree) if lesson.degree else None,
        "degree_asked": lesson.degree_asked,
        "degree_right": lesson.degree_right,
    }


def student_object(student: Study) -> dict[str, Any]:
    """A student as an object of JSON."""
    return {
        "name": student.name,
        "asked": student.asked,
        "right": student.right,
        "share_right": student.share,
        "recall": student.recall,
        "goal": student.goal,
        "retyped": student.retyped,
        "cells": student.cells,
        "deck_cells": student.deck_cells or None,
        "locked_in_tempo": student.tempo,
        "seconds": student.seconds,
        "days": student.days,
        "first": _iso(student.first),
        "last": _iso(student.last),
        "files": student.files,
        "squares": [_square_object(each) for each in student.squares],
    }


def _square_object(each: Square) -> dict[str, Any]:
    return {
        **_place(each.key, each.shape),
        "cells": each.cells,
        "asked": each.asked,
        "right": each.right,
        "share_right": each.share,
        "recall": each.recall if each.cells else None,
        "locked_in_tempo": each.tempo,
        "seconds": each.seconds,
        "last": _iso(each.last),
    }
