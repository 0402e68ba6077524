"""Cells as players write them in digits: the grammar, and every reason to refuse.

``1-2-3-1``; separators are space, comma or hyphen, and three or more single
digits may be run together.  ``7.`` is the 7 below, ``1'`` (or ``8``) the 1
above; ``l1`` and ``u1`` the chromatic neighbours a half step below and above
(``ll1`` and ``uu1`` two half steps); ``b3`` and ``#4`` in root mode only.  ``7.'`` is
the note below the 1 above: so the eighth note of a scale of eight is written.
"""

from __future__ import annotations

import re

from drill.terms import Digit, Mode, Shape
from drill.theory import faults
from drill.theory.faults import CellError

MOST_NOTES = 16
LARGEST_DEGREE = 15
LONGEST = 200
"""Characters; sixteen notes with every mark have fewer."""

_ALLOWED = set("0123456789b#lu'., -")
_SIGNS = str.maketrans("♭♯’", "b#'")
_SEPARATORS = re.compile(r"[ ,-]+")
_ITEM = re.compile(r"(bb|b|##|#|ll|l|uu|u|)(\d+)(\.'{1,2}|'{0,2}|\.{0,2})")
_SINGLE = re.compile(r"(bb|b|##|#|ll|l|uu|u|)(\d)(\.'{1,2}|'{1,2}|\.{1,2}|)")


def parse_cell(text: str, mode: Mode = Mode.KEY) -> Shape:
    """The shape that a typed cell stands for.

    ``mode`` says whether accidentals before a digit are allowed (root mode).
    Raises CellError with the reason, in a player's words.
    """
    plain = text.strip().translate(_SIGNS)
    if not plain:
        raise CellError("empty", faults.NO_CELL)
    if len(plain) > LONGEST:
        raise faults.too_long(len(plain), "characters", MOST_NOTES)
    for place, char in enumerate(text.lstrip().translate(_SIGNS), 1):
        if char not in _ALLOWED and not char.isspace():
            raise faults.stray(char, place)
    plain = re.sub(r"\s", " ", plain)
    _refuse_minus(plain)
    if plain[-1] in "-," or plain[0] in "-,":
        raise CellError("separator", faults.LATE_SEPARATOR)
    if _SEPARATORS.search(plain):
        items = tuple(_item(token, mode) for token in _SEPARATORS.split(plain))
    else:
        items = _compact(plain, mode)
    if len(items) > MOST_NOTES:
        raise faults.too_long(len(items), "notes", MOST_NOTES)
    return items


def _refuse_minus(plain: str) -> None:
    if re.search(r"(^|[ ,])-\d", plain):
        raise CellError("minus", faults.BELOW)


def _item(token: str, mode: Mode) -> Digit:
    """One item that stands between separators."""
    match = _ITEM.fullmatch(token)
    if not match:
        if late := re.fullmatch(r"(\d+)(bb|b|##|#)", token):
            raise faults.late_accidental(late[2] + late[1])
        raise CellError("unreadable", token)
    modifier, digits, marks = match.groups()
    degree = int(digits)
    if degree == 0:
        raise CellError("zero", faults.NO_ZERO)
    below = marks.startswith(".'")
    if below and (mode is Mode.ROOT or not 2 <= degree <= 7):
        raise faults.not_from_octave(token)
    octave = len(marks) - below if "'" in marks else -len(marks)
    if degree > LARGEST_DEGREE or not -14 <= degree - 1 + 7 * (octave - below) <= 14:
        raise faults.too_far(token)
    if modifier[:1] in ("b", "#") and mode is Mode.KEY:
        raise CellError(faults.KEY_MODE, faults.SIGNATURE_DECIDES)
    return Digit(degree, octave, modifier, below)


def _compact(plain: str, mode: Mode) -> Shape:
    """Single digits run together: three items or more, one digit each."""
    if re.fullmatch(r"(bb|b|##|#|ll|l|uu|u|)\d(\.'{1,2}|'{0,2}|\.{0,2})", plain):
        raise CellError("too short", faults.ONE_NOTE)
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
        raise faults.two_or_one(tokens[0], tokens[1])
    if "10" in plain:
        raise CellError("ambiguous", faults.TEN)
    dotted = [token.endswith(".") for token in tokens]
    if all(dotted[:-1]):
        raise CellError("dots", faults.DOTS)
    return tuple(_item(token, mode) for token in tokens)
