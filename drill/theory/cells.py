"""Cells as players write them in digits: the grammar, and every reason to refuse.

``1-2-3-1``; separators are space, comma or hyphen, and three or more single
digits may be run together.  ``7.`` is the 7 below, ``1'`` (or ``8``) the 1
above; ``l1`` and ``u1`` the chromatic neighbours a half step below and above
(``ll1`` and ``uu1`` two half steps); ``b3`` and ``#4`` in root mode only.  ``7.'`` is
the note below the 1 above: so the eighth note of a scale of eight is written.
"""

from __future__ import annotations

import re

from drill.errors import TheoryError
from drill.terms import Item, Mode, Shape

MOST_NOTES = 16
LARGEST_DEGREE = 15
LONGEST = 200
"""Characters; sixteen notes with every mark have fewer."""

_ALLOWED = set("0123456789b#lu'., -")
_SIGNS = str.maketrans("♭♯’", "b#'")
_SEPARATORS = re.compile(r"[ ,-]+")
_ITEM = re.compile(r"(bb|b|##|#|ll|l|uu|u|)(\d+)(\.'{1,2}|'{0,2}|\.{0,2})")
_SINGLE = re.compile(r"(bb|b|##|#|ll|l|uu|u|)(\d)(\.'{1,2}|'{1,2}|\.{1,2}|)")


class CellError(TheoryError):
    """A typed cell that cannot be read; ``reason`` is the kind of fault in a word or two."""

    def __init__(self, reason: str, text: str) -> None:
        super().__init__(f"{reason}: {text}")
        self.reason = reason
        self.text = text


def parse_cell(text: str, mode: Mode = Mode.KEY) -> Shape:
    """The shape that a typed cell stands for.

    ``mode`` says whether accidentals before a digit are allowed (root mode).
    Raises CellError with the reason, in a player's words.
    """
    plain = text.strip().translate(_SIGNS)
    if not plain:
        raise CellError("empty", "type a cell, e.g. 1-2-3-1")
    if len(plain) > LONGEST:
        raise CellError(
            "too long", f"{len(plain)} characters; a cell has {MOST_NOTES} notes at most"
        )
    for place, char in enumerate(text.lstrip().translate(_SIGNS), 1):
        if char not in _ALLOWED and not char.isspace():
            raise CellError("character", f"{char!r} at position {place} does not belong in a cell")
    plain = re.sub(r"\s", " ", plain)
    _refuse_minus(plain)
    if plain[-1] in "-," or plain[0] in "-,":
        raise CellError("separator", "no hyphen or comma before the first note or after the last")
    if _SEPARATORS.search(plain):
        items = tuple(_item(token, mode) for token in _SEPARATORS.split(plain))
    else:
        items = _compact(plain, mode)
    if len(items) > MOST_NOTES:
        raise CellError("too long", f"{len(items)} notes; a cell has at most {MOST_NOTES}")
    return items


def _refuse_minus(plain: str) -> None:
    if re.search(r"(^|[ ,])-\d", plain):
        raise CellError("minus", "for a note below 1 write a dot after it, e.g. 7.")


def _item(token: str, mode: Mode) -> Item:
    """One item that stands between separators."""
    match = _ITEM.fullmatch(token)
    if not match:
        if late := re.fullmatch(r"(\d+)(bb|b|##|#)", token):
            raise CellError("order", f"the accidental goes before the digit, {late[2]}{late[1]}")
        raise CellError("unreadable", token)
    modifier, digits, marks = match.groups()
    degree = int(digits)
    if degree == 0:
        raise CellError("zero", "there is no 0; the note below 1 is 7.")
    below = marks.startswith(".'")
    if below and (mode is Mode.ROOT or not 2 <= degree <= 7):
        raise CellError("unreadable", f"{token}: 2.' to 7.' count down from the octave of a scale")
    octave = len(marks) - below if "'" in marks else -len(marks)
    if degree > LARGEST_DEGREE or not -14 <= degree - 1 + 7 * (octave - below) <= 14:
        raise CellError("range", f"{token} is more than two octaves away (largest is 15)")
    if modifier[:1] in ("b", "#") and mode is Mode.KEY:
        raise CellError(
            "key mode",
            "the key signature decides accidentals here; "
            "use l or u for half-step neighbours, or root mode",
        )
    return Item(degree, octave, modifier, below)


def _compact(plain: str, mode: Mode) -> Shape:
    """Single digits run together: three items or more, one digit each."""
    if re.fullmatch(r"(bb|b|##|#|ll|l|uu|u|)\d(\.'{1,2}|'{0,2}|\.{0,2})", plain):
        raise CellError("too short", "one note is a scale, not a cell")
    if re.fullmatch(r"\d+(bb|b|##|#)", plain):
        _item(plain, mode)
    tokens: list[str] = []
    place = 0
    while place < len(plain):
        match = _SINGLE.match(plain, place)
        if not match:
            raise CellError("unreadable", plain)
        tokens.append(match[0])
        place = match.end()
    if len(tokens) == 2:
        raise CellError(
            "ambiguous", f"{tokens[0]}-{tokens[1]}, or one note? put a hyphen between notes"
        )
    if "10" in plain:
        raise CellError("ambiguous", "10 inside a run of digits; put hyphens between notes")
    dotted = [token.endswith(".") for token in tokens]
    if all(dotted[:-1]):
        raise CellError("dots", "a dot means an octave lower; put hyphens between notes")
    return tuple(_item(token, mode) for token in tokens)
