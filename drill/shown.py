"""Text from elsewhere made harmless to print: no control characters, no surprises.

A deck, a log and a file's name are somebody else's.  What they say may reach a terminal, so
control characters (escape sequences above all), marks that turn the writing direction, signs
that nobody can see and halves of characters are refused in a deck's text and spelled out in
whatever is printed.
"""

from __future__ import annotations

import re

_CONTROL = "\x00-\x1f\x7f-\x9f"
"""C0, delete and C1 (ISO/IEC 6429)."""
_BREAKS = "\u2028\u2029"
_HALVES = "\ud800-\udfff"
_UNSEEN = (
    "\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u202a-\u202e"
    "\u2060-\u206f\u3164\ufe00-\ufe0d\ufeff\uffa0\ufff0-\ufffb"
    "\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e0fff"
)
"""The default ignorable code points of the Unicode character database (from memory): marks of
direction (Unicode Standard Annex 9), zero width, fillers, tags; and the interlinear marks.
The two selectors of text or picture style, U+FE0E and U+FE0F, hide nothing and stay."""

_HARMFUL = re.compile(f"[{_CONTROL}{_BREAKS}{_HALVES}{_UNSEEN}]")
_WRITTEN = re.compile(f"\r\n|{_HARMFUL.pattern}")
_LONGEST = 60


def is_harmful(character: str) -> bool:
    """True where printing the character could move or hide other text, or cannot be seen."""
    return _HARMFUL.match(character) is not None


def first_harmful(text: str, allowed: str = "") -> str | None:
    """The first character that must not be printed; None where there is none."""
    return next((c for c in _HARMFUL.findall(text) if c not in allowed), None)


def code_point(character: str) -> str:
    """The character by number: ``U+001B``."""
    return f"U+{ord(character):04X}"


def harmless(text: str) -> str:
    """The text with each harmful character spelled out: ``\\x1b``."""
    return _HARMFUL.sub(lambda met: met[0].encode("unicode_escape").decode("ascii"), text)


def printable(text: str) -> str:
    """What is written to a stream, lines and tabs as they are, the rest spelled out as JSON does.

    ``\\u001b`` reads the same in a line of text and in a text of JSON, so that one rule serves
    every output; a character beyond the first 65,536 takes two such halves.
    """
    return _WRITTEN.sub(_as_json, text)


def _as_json(met: re.Match[str]) -> str:
    character = met[0]
    if character in ("\n", "\t", "\r\n"):
        return character
    code = ord(character)
    if code < 0x10000:
        return f"\\u{code:04x}"
    return f"\\u{0xD800 + (code - 0x10000 >> 10):04x}\\u{0xDC00 + (code - 0x10000 & 0x3FF):04x}"


def in_cells(text: str) -> str:
    """The text with a question mark for each harmful character: as wide as it was."""
    return _HARMFUL.sub("?", text)


def quoted(text: str) -> str:
    """The text in double quotes, harmless and at most 60 characters long."""
    return f'"{harmless(text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…")}"'


def counted(number: int, word: str, plural: str = "") -> str:
    """A number with its word: ``1 answer``, ``4,812 answers``; ``plural`` where no s does."""
    return f"{number:,} {word if number == 1 else plural or word + 's'}"
