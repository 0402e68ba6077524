"""How figures are written in every report: percent, time spent, days away, widths."""

from __future__ import annotations

import unicodedata
from datetime import date, datetime, tzinfo

from drill.memory.items import instant


def percent(share: float | None) -> str:
    """A share as whole percent without the sign: ``62``; ``-`` for None."""
    return "-" if share is None else f"{100 * share:.0f}"


def duration(seconds: float) -> str:
    """Time spent: ``45 s``, ``12 min``, ``3 h 05``."""
    if seconds < 60:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02}"


def day_of(micros: int, zone: tzinfo | None) -> date:
    """The local date of an instant in microseconds since 1970; ``zone`` None is UTC."""
    at = instant(micros)
    return (at.astimezone(zone) if zone else at).date()


def days_ago(micros: int | None, now: datetime, zone: tzinfo | None) -> str:
    """When it was, in local days: ``today``, ``3 days ago``; ``never`` for None."""
    if micros is None:
        return "never"
    today = (now.astimezone(zone) if zone else now).date()
    days = (today - day_of(micros, zone)).days
    if days <= 0:
        return "today"
    return "yesterday" if days == 1 else f"{days} days ago"


def tempo(bpm: float | None) -> str:
    """Beats a minute; ``-`` for None."""
    return "-" if bpm is None else f"{bpm:.0f}"


def count(number: int, word: str) -> str:
    """A number with its word: ``1 answer``, ``4,812 answers``."""
    return f"{number:,} {word}{'' if number == 1 else 's'}"


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


def _begin(word: str, columns: int) -> str:
    """The beginning of a word that fits; at least one character."""
    kept, used = "", 0
    for character in word:
        used += _columns(character)
        if kept and used > columns:
            break
        kept += character
    return kept
