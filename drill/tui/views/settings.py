"""Settings as lines: each with its value and where it came from, the chosen one explained."""

from __future__ import annotations

from dataclasses import dataclass

from drill.tui.context import Setting
from drill.tui.glyphs import Glyphs
from drill.tui.text import BLANK, Line, Lines, Role, Span, cut, indent, line, paragraph

_NAME = 24


@dataclass(frozen=True, slots=True)
class Settings:
    """What stands on Settings."""

    rows: tuple[Setting, ...] = ()
    chosen: int = 0
    editing: str | None = None
    """A value being typed; None while none is."""
    notice: str = ""


def settings(view: Settings, glyphs: Glyphs, width: int, height: int) -> Lines:
    """The screen without its last line."""
    rows: list[Line] = [line(Span(" Settings", Role.TITLE)), BLANK]
    if not view.rows:
        return (*rows, line(Span(f" {glyphs.text(view.notice)}", Role.NOTICE)))
    told = _told(view, glyphs, width)
    room = max(1, height - len(rows) - len(told) - 1)
    first = max(0, min(view.chosen - room // 2, len(view.rows) - room))
    for index, row in enumerate(view.rows[first : first + room], start=first):
        rows.append(_row(view, row, index == view.chosen, glyphs, width))
    rows += [BLANK] * (height - len(rows) - len(told))
    return (*rows, *told)[:height]


def _row(view: Settings, row: Setting, here: bool, glyphs: Glyphs, width: int) -> Line:
    role = Role.CHOSEN if here else Role.PLAIN
    parts = [
        Span(f" {glyphs.pointer} " if here else "   ", Role.KEY),
        Span(f"{glyphs.text(row.name):<{_NAME}} ", role),
    ]
    if here and view.editing is not None:
        parts += [Span(glyphs.text(view.editing)), Span(" ", Role.CARET)]
    else:
        value = glyphs.text(row.value) or glyphs.dash
        parts += [Span(f"{value:<18} ", role), Span(glyphs.text(row.origin), Role.DIM)]
    return cut(parts, width, glyphs.ellipsis)


def _told(view: Settings, glyphs: Glyphs, width: int) -> list[Line]:
    """What the chosen setting does, or what became of a change."""
    if view.notice:
        told = paragraph(glyphs.text(view.notice), width - 2, Role.NOTICE)
        return [indent(row, 1) for row in told[:2]]
    row = view.rows[view.chosen]
    rows = [indent(each, 1) for each in paragraph(glyphs.text(row.help), width - 2, Role.DIM)[:2]]
    if row.choices:
        listed = glyphs.text(", ".join(row.choices))
        rows += [indent(each, 1) for each in paragraph(listed, width - 2)[:1]]
    return rows
