"""Text from a file made harmless to print: no control characters, no surprises.

A deck is somebody else's file.  What it says may reach a terminal, so control
characters (escape sequences above all), marks that turn the writing direction
and halves of characters are refused in a deck's text and spelled out in messages.
"""

from __future__ import annotations

import unicodedata

_TURNING = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Marks that change the writing direction (Unicode Standard Annex 9)."""

_LONGEST = 60


def is_harmful(character: str) -> bool:
    """True where printing the character could move or hide other text."""
    return character in _TURNING or unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp")


def first_harmful(text: str, allowed: str = "") -> str | None:
    """The first character that must not be printed; None where there is none."""
    return next((c for c in text if c not in allowed and is_harmful(c)), None)


def code_point(character: str) -> str:
    """The character by number: ``U+001B``."""
    return f"U+{ord(character):04X}"


def harmless(text: str) -> str:
    """The text with each harmful character spelled out: ``\\x1b``."""
    return "".join(c.encode("unicode_escape").decode("ascii") if is_harmful(c) else c for c in text)


def quoted(text: str) -> str:
    """The text in double quotes, harmless and at most 60 characters long."""
    return f'"{harmless(text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…")}"'
