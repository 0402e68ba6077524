"""Chords by function in a key: ``ii7``, ``V7``, ``viiø7``, ``bII7``, ``V7/ii``.

Capital numerals are major, small ones minor; what follows is read as after the root of a
symbol, as players write it: ``V7`` and also ``I7`` and ``VI7`` are dominant sevenths, ``Imaj7``
is the major one, ``im6`` and ``i6`` add a sixth.  In minor (where ``i`` is the tonic) III, VI
and VII stand on the lowered degrees.  Figures of inversion (``V65``, ``ii42``, ``V43/V``) and
``N6``, ``It6``, ``Ger65``, ``Fr43``, ``Cad64`` are read by music21: see ``library``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from drill.terms import Digit, Mode, Name, Shape
from drill.theory import faults
from drill.theory.cells import parse_cell
from drill.theory.spelling import MAJOR_SEMITONES, degree_interval
from drill.theory.symbols import degree_between, read_kind, symbol_of, symbol_parts, written

NUMERALS = ("I", "II", "III", "IV", "V", "VI", "VII")

_ALL = "VII|VI|V|IV|III|II|I"
_ANY = f"{_ALL}|{_ALL.lower()}"
_FUNCTION = re.compile(rf"(b|#|♭|♯|)({_ANY})(.*?)(?:/(b|#|♭|♯|)({_ANY}))?")
_FIGURED = re.compile(
    rf"(?:N6|It6|Ger65|Ger6|Fr43|Cad64|(?:b|#|)(?:{_ANY})(?:o|ø|\+)?(?:64|65|43|42))"
    rf"(?:/(?:b|#|)(?:{_ANY}))?"
)


@dataclass(frozen=True, slots=True)
class Function:
    """A chord of a key."""

    text: str
    """As it is shown: ``V7/ii``."""
    root: str
    """Its root as a degree of the major scale on the tonic: ``b3``, ``6``."""
    chord: str
    """What a symbol has after the root: ``m7``."""
    shape: Shape


def looks_like_function(text: str) -> bool:
    """Whether a word begins as a Roman numeral does."""
    plain = text.strip()
    return bool(_FUNCTION.fullmatch(plain) or _FIGURED.fullmatch(plain))


def is_minor(texts: tuple[str, ...]) -> bool:
    """Whether a line of functions is in minor: its tonic chord is small."""
    tonics = [match[2] for text in texts if (match := _FUNCTION.fullmatch(text)) and not match[1]]
    return "i" in tonics and "I" not in tonics


def read_function(text: str, *, minor: bool = False) -> Function:
    """The chord that a function is.  Raises TheoryError, in a player's words."""
    plain = text.strip().translate(str.maketrans("♭♯°", "b#o"))
    if _FIGURED.fullmatch(plain):
        return _by_figure(plain, minor=minor)
    match = _FUNCTION.fullmatch(plain)
    if not match:
        raise faults.unread("a chord function", text)
    sign, numeral, body, target_sign, target = match.groups()
    small = numeral.islower()
    if small and not re.match(r"m(?!aj)|ø|o|dim|-", body):
        body = "m" + body
    formula = read_kind(body, text)
    degree = _degree(sign, numeral, body, minor=minor and target is None)
    if target is not None:
        degree = _above(_degree(target_sign, target, "", minor=minor), degree)
    shape = parse_cell("-".join(formula), Mode.ROOT)
    return Function(plain, degree, written(formula, body), shape)


def _degree(sign: str, numeral: str, body: str, *, minor: bool) -> str:
    """The degree of the major scale that a numeral is on.

    In minor, III, VI and VII are the lowered ones where they are capitals and no sign says
    otherwise; a diminished vii stands on the leading tone.
    """
    number = NUMERALS.index(numeral.upper()) + 1
    if minor and not sign and number in (3, 6, 7) and numeral.isupper() and "o" not in body:
        return f"b{number}"
    return f"{sign}{number}"


def _above(target: str, degree: str) -> str:
    """A degree counted from another: the 5 of 2 is 6."""
    both = zip(degree_interval(target), degree_interval(degree), strict=True)
    steps, semitones = map(sum, both)
    octaves, place = divmod(steps, 7)
    away = semitones - 12 * octaves - MAJOR_SEMITONES[place]
    return ("#" * away if away > 0 else "b" * -away) + str(place + 1)


def _by_figure(text: str, *, minor: bool) -> Function:
    """A function in figures: its notes rise from the bass."""
    from drill.theory.library import figured  # loads music21

    root, names = figured(text, minor=minor)
    degree = degree_between(Name("C"), root)
    shape: list[Digit] = []
    height = 0
    for name in names:
        token = degree_between(root, name)
        sign, number = token[:-1], int(token[-1])
        # Each note stands above the one before it.
        octave = 0
        while number + 7 * octave <= height:
            octave += 1
        height = number + 7 * octave
        shape.append(Digit(number, octave, sign))
    symbol = symbol_of(root, tuple(shape))
    if not symbol:
        return Function(text, degree, "", tuple(shape))
    return Function(text, degree, symbol_parts(symbol)[1], tuple(shape))


def numeral_of(degree: str, chord: str) -> str:
    """A chord's function as it is written in a key: ``ii7`` for an m7 on 2."""
    sign, number = degree[:-1], int(degree[-1])
    numeral = NUMERALS[number - 1]
    if chord == "m7b5":
        return f"{sign}{numeral.lower()}ø7"
    if chord in ("dim", "dim7"):
        return f"{sign}{numeral.lower()}o{chord[3:]}"
    if chord.startswith("m6"):  # i6 could be taken for an inversion
        return f"{sign}{numeral.lower()}{chord}"
    if re.match(r"m(?!aj)", chord):
        return f"{sign}{numeral.lower()}{chord[1:]}"
    return f"{sign}{numeral}{chord}"
