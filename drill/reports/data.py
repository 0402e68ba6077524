"""A report as data: CSV for a spreadsheet, JSON for programs.

CSV: UTF-8 with a byte-order mark, which spreadsheets need to read names right; rows end
as in RFC 4180.  A text that a spreadsheet would take for a formula gets an apostrophe in
front (common practice).
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from typing import Any

from drill.memory.items import instant
from drill.reports.report import Form, Mark, Report, Table, Value
from drill.wording.squares import key_text

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠", "|", "%")
"""What makes a spreadsheet calculate, full-width forms and old command separators too."""


def safe(text: str) -> str:
    """The text so that no spreadsheet calculates it."""
    return "'" + text if text.lstrip().startswith(_FORMULA) else text


def plain(value: Value, form: Form) -> Any:
    """A value as JSON has it: keys in words, instants in ISO 8601, seconds as they are."""
    if value is None:
        return None
    if form is Form.KEY:
        return key_text(value)
    if form is Form.INSTANT:
        return instant(value).isoformat(timespec="seconds")
    if form is Form.LEVEL:
        return str(value)
    if isinstance(value, Mark):
        return value.recall
    return list(value) if isinstance(value, tuple) else value


# -- CSV


def csv_lines(table: Table) -> Iterator[str]:
    """A table as CSV.  Shares are 0 to 1; times are minutes; instants are ISO 8601 in UTC."""
    columns = table.kept
    yield "\ufeff" + _row("minutes" if c.form is Form.SECONDS else c.name for c in columns)
    for item in table.items:
        yield _row(_cell(each.value(item), each.form) for each in columns)


def _cell(value: Value, form: Form) -> str:
    value = plain(value, form)
    if value is None:
        return ""
    if form is Form.FLAG:
        return "yes" if value else "no"
    if form is Form.SECONDS:
        return f"{value / 60:.2f}"
    if isinstance(value, float):
        return f"{value:.4f}".rstrip("0").rstrip(".")
    if isinstance(value, list):
        return safe("; ".join(map(str, value)))
    return safe(str(value)) if isinstance(value, str) else str(value)


def _row(values: Iterable[object]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow(values)
    return out.getvalue()


# -- JSON


def json_lines(report: Report) -> Iterator[str]:
    """The report as one object of JSON, a row a line, so that a district is never held whole.

    Shares are 0 to 1, None where nothing was asked; instants are ISO 8601 in UTC.
    """
    head: dict[str, Any] = {"made": report.made.isoformat(timespec="seconds")}
    for figure in report.figures:
        if figure.name:
            _put(head, figure.name, plain(figure.value, figure.form))
    tables = [each for each in report.tables if each.kept]
    for table in tables:
        if "." in table.name:
            _put(head, table.name, list(_objects(table)))
        if table.after is not None:
            _put(head, f"{table.name}_drill", list(table.after))
    yield _text(head)[:-1]
    for table in tables:
        if "." not in table.name:
            yield f", {_text(table.name)}: ["
            for number, row in enumerate(_objects(table)):
                yield ("," if number else "") + "\n" + _text(row)
            yield "\n]"
    yield "}\n"


def _objects(table: Table) -> Iterator[dict[str, Any]]:
    columns = table.kept
    for item in table.items:
        yield {each.name: plain(each.value(item), each.form) for each in columns}


def _put(head: dict[str, Any], name: str, value: Any) -> None:
    """Set a value whose name may lead through objects in objects."""
    *outer, last = name.split(".")
    for each in outer:
        head = head.setdefault(each, {})
    head[last] = value


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
