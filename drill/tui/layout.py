"""Lines of text laid out on a page: cut, broken at spaces, moved in, set at both sides."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line, width_of


def cut(parts: Iterable[Stretch], width: int, ellipsis: str = "…") -> Line:
    """The line, cut to a width; an ellipsis stands where text was left out."""
    parts = tuple(parts)
    if width_of(parts) <= width:
        return parts
    room = max(0, width - len(ellipsis))
    kept: list[Stretch] = []
    for part in parts:
        text = part.text[:room]
        room -= len(text)
        if text:
            kept.append(Stretch(text, part.role))
    if not kept:
        return line(Stretch(ellipsis[:width], Role.DIM))
    last = kept[-1]
    return (*kept[:-1], Stretch(last.text.rstrip() + ellipsis, last.role))


def tail(text: str, width: int, ellipsis: str) -> str:
    """The end of a text that is being typed; an ellipsis stands where its beginning is left out."""
    if len(text) <= width:
        return text
    return ellipsis + text[len(text) - max(0, width - len(ellipsis)) :]


def spread(left: Line, right: Line, width: int, ellipsis: str = "…") -> Line:
    """One line with a part at each side; the right one gives way where both do not fit."""
    gap = width - width_of(left) - width_of(right)
    if not right or gap < 2:
        return cut(left, width, ellipsis)
    return (*left, Stretch(" " * gap), *right)


def top(title: str, right: str, width: int, ellipsis: str) -> Line:
    """The first line of a page: its title, and a word at the right; empty for none."""
    told = line(Stretch(f"{right} ", Role.DIM)) if right else ()
    return spread(line(Stretch(f" {title}", Role.TITLE)), told, width, ellipsis)


def indent(parts: Line, by: int) -> Line:
    """The line moved to the right; a blank one stays blank."""
    return (Stretch(" " * by), *parts) if parts else parts


_JOINED = "\u00a0"
"""A space that no line is broken at."""


def unbroken(text: str) -> str:
    """The text as ``paragraph`` keeps it on one line."""
    return text.replace(" ", _JOINED)


def paragraph(text: str, width: int, role: Role = Role.PLAIN) -> Lines:
    """A text broken at spaces into lines of at most that width, but not before a per cent sign."""
    rows = textwrap.wrap(text.replace(" %", f"{_JOINED}%"), max(width, 8))
    return tuple(line(Stretch(row.replace(_JOINED, " "), role)) for row in rows)


def block(text: str, width: int, role: Role = Role.PLAIN, by: int = 1) -> list[Line]:
    """A paragraph for each line of a text, on a page of that width, moved to the right."""
    parts = text.splitlines()
    return [indent(row, by) for part in parts for row in paragraph(part, width - by - 1, role)]


def hung(head: Stretch, text: str, width: int) -> list[Line]:
    """A paragraph on a page of that width that begins beside its head and goes on as far in."""
    rows = paragraph(text, width - len(head.text) - 1) or ((),)
    return [line(head, *rows[0]), *(indent(row, len(head.text)) for row in rows[1:])]


def shortened(rows: Sequence[Line], most: int, width: int, ellipsis: str) -> list[Line]:
    """The first lines of a text; an ellipsis ends them where there are more."""
    kept = list(rows[: max(most, 0)])
    if kept and len(kept) < len(rows):
        kept[-1] = cut((*kept[-1], Stretch(" " * width)), width - 1, ellipsis)
    return kept


def footed(rows: Sequence[Line], foot: Sequence[Line], height: int) -> Lines:
    """A page of that height with lines at its end, which stay where there is not room for all."""
    room = height - len(foot)
    return (*rows[:room], *[BLANK] * (room - len(rows)), *foot)[:height]


def window(at: int, count: int, room: int) -> range:
    """As many of so many rows as fit; the one stood on is among them, in the middle if it can."""
    first = max(0, min(at - room // 2, count - room))
    return range(first, min(count, first + room))
