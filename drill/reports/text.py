"""A report for the terminal: plain text, nothing told by colour.

No line is wider than the columns there are.  Words are broken at spaces; the columns of a table
that find no room beside the others follow below them, with the names of the rows once more.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from string import ascii_uppercase

from drill.memory.levels import Level
from drill.reports.report import (
    NUMBERS,
    Column,
    Form,
    Mark,
    Paragraph,
    Report,
    Table,
    TableStyle,
    Value,
)
from drill.reports.widths import fitted, width, wrap
from drill.shown import harmless
from drill.wording import reports as words
from drill.wording.figures import days_ago, duration, one_decimal, percent
from drill.wording.levels import level_label
from drill.wording.slips import slip_label
from drill.wording.squares import key_text

COLUMNS = 79
"""Where nothing says how many there are, and at most."""
FEWEST = 40
"""A terminal that has fewer breaks lines itself."""
_NAME = 30
"""Columns of the first column of a table at most."""
_WORDS = 26
"""Columns of another column of words at most; more where there are few columns."""
_LONG_HEAD = 12
"""A head of a map that is longer gets a letter."""


def text(report: Report, columns: int = COLUMNS) -> str:
    """The whole report in so many columns, each line ended."""
    wide = max(FEWEST, min(columns, COLUMNS))
    parts = [_head(report, wide)]
    for part in report.parts:
        if isinstance(part, Table):
            parts.append(_table(part, report, wide))
        elif isinstance(part, Paragraph):
            parts.append(_note(part, wide))
    own = "\n".join("\n".join(part) + "\n" for part in parts if part)
    return "\n".join([own, *(text(each, columns) for each in report.inner)])


def wrapped(line: str, columns: int, hang: int = 2) -> list[str]:
    """The line in so many columns; what follows its first part is set in by ``hang``."""
    return wrap(harmless(line), columns, hang)


def said(value: Value, form: Form, report: Report) -> str:  # noqa: C901, PLR0911 - a form each
    """A value in words."""
    if isinstance(value, Mark):
        return value.main
    if value is None:
        return days_ago(None, report.made, report.zone) if form is Form.INSTANT else "-"
    if form in (Form.SHARE, Form.BAR):
        return f"{percent(value)} %"
    if form is Form.COUNT:
        return f"{value:,.0f}"
    if form in (Form.NUMBER, Form.LENGTH):
        return one_decimal(value)
    if form is Form.KEY:
        return key_text(value)
    if form is Form.SECONDS:
        return duration(value)
    if form is Form.INSTANT:
        return days_ago(value, report.made, report.zone)
    if form is Form.FLAG:
        return words.YES if value else words.NO
    if form is Form.LEVEL:
        return f"{report.signs[list(Level).index(value)]} {level_label(value)}"
    if form is Form.SLIP:
        return slip_label(value)
    if form is Form.LIST:
        return ", ".join(value) or "-"
    return str(value) or "-"


def _head(report: Report, columns: int) -> list[str]:
    lines = wrapped(f"{report.kind}: {report.title}" if report.kind else report.title, columns)
    facts = [
        f"{each.head} {said(each.value, each.form, report)}" for each in report.figures if each.head
    ]
    if facts:
        lines += wrapped("; ".join(facts) + ".", columns)
    for line in report.lead:
        lines += wrapped(line, columns)
    return lines


def _note(note: Paragraph, columns: int) -> list[str]:
    lines = [note.title] if note.title else []
    for line in note.lines:
        lines += wrapped(line, columns)
    return lines


def _table(table: Table, report: Report, wide: int) -> list[str]:
    if table.style is TableStyle.DATA:
        return []
    if not table.items:
        return wrapped(table.empty, wide) if table.empty else []
    lines = wrapped(table.title, wide)
    if table.style is TableStyle.STACKED:
        lines += _stacked(table, report, wide)
    else:
        lines += _columns(table, report, wide)
    more = len(table.items) - len(table.rows)
    if more > 0:
        lines += wrapped(words.has_all(more, table.left_out, table.in_csv), wide)
    if table.how:
        lines += wrapped(table.how, wide)
    for command in table.after or ():
        lines += command_lines(command, wide)
    return lines


def _stacked(table: Table, report: Report, wide: int) -> Iterator[str]:
    name, *others = table.shown
    facts = [each for each in others if each.form is not Form.COMMAND]
    commands = [each for each in others if each.form is Form.COMMAND]
    for number, item in enumerate(table.rows, start=1):
        yield from wrapped(f"{number:>2}. {said(name.value(item), name.form, report)}", wide, 4)
        parts = [
            f"{each.head.lower()} {words}"
            for each in facts
            if (words := said(each.value(item), each.form, report)) != "-"
        ]
        yield from wrapped("    " + "; ".join(parts), wide, 4)
        for each in commands:
            yield from command_lines(str(each.value(item)), wide)


def letters(number: int) -> str:
    """A letter for a column: A to Z, then AA."""
    return ("" if number < 26 else letters(number // 26 - 1)) + ascii_uppercase[number % 26]


def _columns(table: Table, report: Report, room: int) -> Iterator[str]:
    """Rows by columns, in as many blocks as the width asks for."""
    name, *others = table.shown
    commands = [each for each in others if each.form is Form.COMMAND]
    columns = [each for each in others if each.form is not Form.COMMAND]
    heads = [each.head for each in columns]
    if table.style is TableStyle.GRID and max(map(width, heads), default=0) > _LONG_HEAD:
        yield from wrapped(
            "; ".join(f"{letters(at)} {head}" for at, head in enumerate(heads)), room, 2
        )
        heads = [letters(at) for at in range(len(heads))]
    names = [harmless(said(name.value(item), name.form, report)) for item in table.rows]
    cells = [
        [harmless(said(each.value(item), each.form, report)) for each in columns]
        for item in table.rows
    ]
    left = min(max(map(width, (name.head, *names))), _NAME, room // 2)
    most = min(max(_WORDS, (room - left) // max(1, len(columns)) - 2), room - left - 2)
    wide = [
        max(width(head), *(min(width(row[at]), most) for row in cells))
        for at, head in enumerate(heads)
    ]
    for start, some in enumerate(_blocks(wide, room - left)):
        if start:
            yield ""
        first = f"{fitted(name.head, left)}"
        yield (first + _line(columns, heads, wide, some)).rstrip()
        for item, called, row in zip(table.rows, names, cells, strict=True):
            yield (fitted(called, left) + _line(columns, row, wide, some)).rstrip()
            for each in commands if not start else ():
                yield from command_lines(str(each.value(item)), room)


def _blocks(wide: Sequence[int], room: int) -> Iterator[list[int]]:
    """Which columns stand side by side."""
    block: list[int] = []
    used = 0
    for at, columns in enumerate(wide):
        if block and used + columns + 2 > room:
            yield block
            block, used = [], 0
        block.append(at)
        used += columns + 2
    yield block


def _line(
    columns: Sequence[Column], words: Sequence[str], wide: Sequence[int], some: Sequence[int]
) -> str:
    parts = []
    for at in some:
        word = fitted(words[at], wide[at])
        if columns[at].form in NUMBERS:
            word = " " * (wide[at] - width(words[at])) + words[at]
        parts.append(f"  {word}")
    return "".join(parts)


def command_lines(command: str, columns: int = COLUMNS) -> list[str]:
    """A command to copy, within the width; broken where a shell lets it be."""
    lines, line = [], "     "
    for word in map(shlex.quote, shlex.split(command)):
        if width(line) + width(word) + 1 > columns - 3 and line.strip():
            lines.append(f"{line} \\")
            line = "        "
        line += f" {word}"
    return [*lines, line]
