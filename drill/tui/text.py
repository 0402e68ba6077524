"""Lines of text with a role for each stretch: what every view gives and every page draws.

A role names what a stretch *is*; ``themes`` says how it looks, and no role is told
from another by colour alone.  Widths are terminal cells.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """What a stretch of text is."""

    PLAIN = "plain"
    DIM = "dim"
    STRONG = "strong"
    TITLE = "title"
    STAFF = "staff"
    """Staff lines, clef and bar lines."""
    HEAD = "head"
    """A note head of what was typed, or of the right cell."""
    GIVEN = "given"
    """A note head or name that was given."""
    RIGHT = "right"
    NEAR = "near"
    """Right sound, wrong name."""
    WRONG = "wrong"
    KEY = "key"
    """The name of a key to press."""
    CHOSEN = "chosen"
    """The row that the arrows stand on; a pointer stands before it."""
    CARET = "caret"
    """Where the next character goes."""
    NOTICE = "notice"


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of text with one role; every character is one cell wide."""

    text: str
    role: Role = Role.PLAIN


Line = tuple[Stretch, ...]
Lines = tuple[Line, ...]

BLANK: Line = ()


def line(*parts: Stretch | str) -> Line:
    """A line of stretches; a bare text is plain."""
    return tuple(part if isinstance(part, Stretch) else Stretch(part) for part in parts if part)


def width_of(parts: Iterable[Stretch]) -> int:
    """Cells that a line takes."""
    return sum(len(part.text) for part in parts)


def plain(parts: Iterable[Stretch]) -> str:
    """The text of a line without its roles."""
    return "".join(part.text for part in parts)
