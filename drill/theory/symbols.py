"""Chord symbols as charts write them: read in every usual spelling, printed in one.

``Cm7``, ``C-7``, ``Cmi7``, ``Cmin7``; ``Cmaj7``, ``CM7``, ``CΔ``; ``Cø``, ``Cm7b5``; ``C°7``,
``Cdim7``; ``Gsus4``; alterations ``Bb7b9``, ``C7(#9,b13)``, ``C7-9``; ``add9``, ``no11``; a slash
names the bass: ``C/E`` is the first inversion, ``Gm7/C`` stands over a foreign bass.

The reader is ours: music21's takes ``C-7`` for a C flat chord, adds an eleventh to ``C7b9b13``,
drops the alteration of ``C13b9`` and refuses ``CΔ``, ``Cø`` and ``Cmaj9`` (tests/theory judges
each difference from it and from two other libraries).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache

from drill.terms import LETTERS, Digit, Mode, Name, Shape, shape_text
from drill.theory import faults
from drill.theory.cells import parse_cell
from drill.theory.chords import CHORDS, inverted
from drill.theory.spelling import MAJOR_SEMITONES, degree_interval, degree_name, parse_name

LONGEST = 30
"""Characters of one symbol."""

_SIGNS = str.maketrans({
    "♭": "b", "♯": "#", "−": "-", "–": "-", "°": "o", "º": "o", "Ø": "ø", "△": "Δ", "∆": "Δ",
})  # fmt: skip
_SYMBOL = re.compile(r"([A-G])(##|#|bb|b|x|)(.*?)(?:/([A-G])(##|#|bb|b|x|))?")
_BODY = re.compile(
    r"(?P<minor>minor|min|Min|mi|Mi|m(?!aj|a\d|a$)|-)?"
    r"(?P<kind>maj|Maj|ma|Ma|M|Δ|dim|o|ø|aug|\+|dom)?"
    r"(?P<size>6/9|69|13|11|9|7|6|5)?"
    r"(?P<rest>.*)"
)
_CHANGE = re.compile(
    r"sus(?P<sus>[24]|)|(?P<sign>b|#|-|\+)(?P<to>13|11|9|5)|add(?P<add>b?\d+|#\d+)"
    r"|(?:no|omit)(?P<no>13|11|9|7|5|3)|(?P<major>maj7|M7|Δ7?)"
)
_WRITTEN = {"maj": "", "min": "m", "mM7": "m(maj7)", "aug": "+", "13no11": "13(no11)"}
"""How chords are printed after the root, where it is not their id."""


@dataclass(frozen=True, slots=True)
class Symbol:
    """A chord symbol: what stands on which root, over which bass."""

    root: Name
    chord: str
    """What is printed after the root: ``m7``, ``7b9``, empty for a major triad."""
    shape: Shape
    """Degrees on the root, rising; an inversion where the bass is a note of the chord."""
    bass: Name | None = None
    """The note after the slash; None is the root."""

    def __str__(self) -> str:
        return f"{self.root}{self.chord}" + (f"/{self.bass}" if self.bass else "")


def read_symbol(text: str) -> Symbol:
    """The chord that a symbol stands for.  Raises TheoryError, in a player's words."""
    plain = text.strip().translate(_SIGNS)
    match = _SYMBOL.fullmatch(plain) if len(plain) <= LONGEST else None
    if not match or plain.startswith("/"):
        raise faults.unread("a chord symbol", text)
    letter, sign, body, bass_letter, bass_sign = match.groups()
    root = parse_name(letter + sign)
    formula = read_kind(body, text)
    shape = parse_cell("-".join(formula), Mode.ROOT) if len(formula) > 1 else (Digit(1),)
    made = Symbol(root, written(formula, body), shape)
    if bass_letter is None:
        return made
    return over(made, parse_name(bass_letter + bass_sign))


def over(symbol: Symbol, bass: Name) -> Symbol:
    """The chord over a bass: an inversion, or the bass note below the whole chord."""
    if bass == symbol.root:
        return symbol
    names = [degree_name(symbol.root, item.degree_text) for item in symbol.shape]
    if bass in names:
        return replace(symbol, shape=inverted(symbol.shape, names.index(bass)), bass=bass)
    token = degree_between(symbol.root, bass)
    (low,) = parse_cell(f"{token}.-1", Mode.ROOT)[:1]
    return replace(symbol, shape=(low, *symbol.shape), bass=bass)


def degree_between(root: Name, other: Name) -> str:
    """The degree of the major scale on a root that another name is: E flat on C is ``b3``."""
    steps = (LETTERS.index(other.letter) - LETTERS.index(root.letter)) % 7
    away = (other.pitch_class - root.pitch_class - MAJOR_SEMITONES[steps] + 6) % 12 - 6
    return ("#" * away if away > 0 else "b" * -away) + str(steps + 1)


def read_kind(body: str, text: str) -> tuple[str, ...]:
    """The degrees of what stands after a root; ``text`` is the whole symbol, for messages."""
    plain = re.sub(r"[\s(),]", "", body)
    match = _BODY.fullmatch(plain)
    assert match is not None  # every part is optional
    third, fifth, seventh = "3", "5", "b7"
    kind, size, rest = match["kind"] or "", match["size"] or "", match["rest"]
    minor = bool(match["minor"])
    if minor:
        third = "b3"
    if minor and kind in ("dim", "o", "ø", "aug", "+", "dom"):
        raise faults.symbol_unread(text)
    if kind in ("dim", "o"):
        third, fifth, seventh = "b3", "b5", "bb7"
    elif kind == "ø":
        third, fifth, size = "b3", "b5", size or "7"
    elif kind in ("aug", "+"):
        fifth = "#5"
    elif kind:
        seventh = "b7" if kind == "dom" else "7"
        if kind == "Δ" or (minor and kind != "dom"):
            size = size or "7"
    if size == "5":
        if minor or kind or rest:
            raise faults.symbol_unread(text)
        return ("1", "5")
    degrees = ["1", third, fifth, *_stack(size, seventh)]
    _change(degrees, rest, text)
    return tuple(sorted(dict.fromkeys(degrees), key=degree_interval))


def _stack(size: str, seventh: str) -> list[str]:
    """What a figure adds to the triad."""
    if size in ("69", "6/9"):
        return ["6", "9"]
    if size == "6":
        return ["6"]
    if not size:
        return []
    return [seventh, *(str(each) for each in (9, 11, 13) if each <= int(size))]


def _change(degrees: list[str], rest: str, text: str) -> None:
    """Works the alterations, additions and omissions of a symbol into its degrees."""
    at = 0
    altered: set[str] = set()
    while at < len(rest):
        match = _CHANGE.match(rest, at)
        if match is None or match.end() == at:
            raise faults.symbol_unread(text)
        at = match.end()
        if match["sus"] is not None:
            degrees[1] = match["sus"] or "4"
        elif match["to"]:
            sign = {"-": "b", "+": "#"}.get(match["sign"], match["sign"])
            plain = match["to"]
            if plain in degrees and plain not in altered:
                degrees[degrees.index(plain)] = sign + plain
            else:
                degrees.append(sign + plain)
            altered.add(plain)
        elif match["add"]:
            degrees.append({"2": "9", "4": "11"}.get(match["add"], match["add"]))
        elif match["no"]:
            gone = [each for each in degrees if each.lstrip("b#") == match["no"]]
            if not gone:
                raise faults.symbol_unread(text)
            degrees.remove(gone[0])
        elif "b7" in degrees or "7" in degrees:
            raise faults.symbol_unread(text)
        else:
            degrees.append("7")


@cache
def _by_formula() -> dict[tuple[str, ...], str]:
    return {kind.formula: kind.id for kind in CHORDS.values()}


def written(formula: tuple[str, ...], body: str = "") -> str:
    """What is printed after the root: the usual way for a chord of the table, else as typed."""
    known = _by_formula().get(formula)
    if known is not None:
        return _WRITTEN.get(known, known)
    return re.sub(r"Δ7?(?!\d)", "maj7", re.sub(r"\s", "", body)).replace("Δ", "maj")


@cache
def _by_shape() -> dict[str, tuple[str, int]]:
    """Chords and inversions by their cells as printed."""
    found: dict[str, tuple[str, int]] = {}
    for kind in CHORDS.values():
        shape = parse_cell("-".join(kind.formula), Mode.ROOT)
        for inversion in range(len(shape)):
            text = shape_text(inverted(shape, inversion))
            found.setdefault(text, (_WRITTEN.get(kind.id, kind.id), inversion))
    return found


def symbol_of(root: Name, shape: Shape) -> str:
    """The symbol of a cell that is a chord or an inversion of one; empty where it is none."""
    known = _by_shape().get(shape_text(shape))
    if known is None:
        return ""
    chord, inversion = known
    bass = f"/{degree_name(root, shape[0].degree_text)}" if inversion else ""
    return f"{root}{chord}{bass}"


def symbol_parts(symbol: str) -> tuple[Name, str, Name | None]:
    """Root, kind and bass of a symbol that this module printed."""
    match = _SYMBOL.fullmatch(symbol)
    assert match is not None  # it was printed here
    letter, sign, body, bass_letter, bass_sign = match.groups()
    bass = parse_name(bass_letter + bass_sign) if bass_letter else None
    return parse_name(letter + sign), body, bass
