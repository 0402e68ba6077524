"""How many columns of a terminal a text takes, and texts fitted to so many."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable


def width(text: str) -> int:
    """Columns that a text takes in a terminal (Unicode Standard Annex 11)."""
    return sum(map(_columns, text))


def _columns(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def fitted(text: str, columns: int) -> str:
    """The text in just so many columns: filled up with spaces, or cut with an ellipsis."""
    if width(text) <= columns:
        return text + " " * (columns - width(text))
    kept, used = "", 0
    for character in text:
        if used + _columns(character) > columns - 1:
            break
        kept += character
        used += _columns(character)
    return kept + "…" + " " * (columns - 1 - used)


def wrap(text: str, columns: int, hang: int = 0) -> list[str]:
    """The text in lines of at most so many columns, those after the first set in by ``hang``; a
    word that is wider is broken."""
    lines, line, used = [], "", 0
    gap = len(text) - len(text.lstrip(" "))
    line, used = text[:gap], gap
    for word in text.split():
        rest = word
        if line.strip() and used + 1 + width(rest) > columns:
            lines.append(line)
            line, used = " " * hang, hang
        while not line.strip() and used + width(rest) > columns:
            head = _begin(rest, columns - used)
            lines.append(line + head)
            line, used, rest = " " * hang, hang, rest[len(head) :]
        space = " " if line.strip() else ""
        line, used = f"{line}{space}{rest}", used + len(space) + width(rest)
    return [*lines, line]


def set_apart(parts: Iterable[str], columns: int, hang: int = 4) -> list[str]:
    """The parts with two spaces between, in lines of at most so many columns, those after the
    first set in by ``hang``; a part is broken only where it is wider than a line."""
    lines = [""]
    for part in parts:
        line = f"{lines[-1]}  {part}" if lines[-1].strip() else lines[-1] + part
        if width(line) > columns and lines[-1].strip():
            lines.append(line := " " * hang + part)
        lines[-1:] = wrap(line, columns, hang) if width(line) > columns else [line]
    return lines


def _begin(word: str, columns: int) -> str:
    """The beginning of a word that fits; at least one character."""
    kept, used = "", 0
    for character in word:
        used += _columns(character)
        if kept and used > columns:
            break
        kept += character
    return kept
