"""A chord symbol as MusicXML writes it: root, kind, bass, and the degrees that the kind lacks.

A degree that is added is counted from the major scale with a flat seventh, one that is altered
or taken away from the kind's own (MusicXML 4.0, ``degree-alter``).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from drill.terms import Name
from drill.theory.symbols import read_kind, symbol_parts

_KINDS = {
    "major": "1 3 5",
    "minor": "1 b3 5",
    "augmented": "1 3 #5",
    "diminished": "1 b3 b5",
    "dominant": "1 3 5 b7",
    "major-seventh": "1 3 5 7",
    "minor-seventh": "1 b3 5 b7",
    "diminished-seventh": "1 b3 b5 bb7",
    "augmented-seventh": "1 3 #5 b7",
    "half-diminished": "1 b3 b5 b7",
    "major-minor": "1 b3 5 7",
    "major-sixth": "1 3 5 6",
    "minor-sixth": "1 b3 5 6",
    "dominant-ninth": "1 3 5 b7 9",
    "major-ninth": "1 3 5 7 9",
    "minor-ninth": "1 b3 5 b7 9",
    "dominant-11th": "1 3 5 b7 9 11",
    "major-11th": "1 3 5 7 9 11",
    "minor-11th": "1 b3 5 b7 9 11",
    "dominant-13th": "1 3 5 b7 9 11 13",
    "major-13th": "1 3 5 7 9 11 13",
    "minor-13th": "1 b3 5 b7 9 11 13",
    "suspended-second": "1 2 5",
    "suspended-fourth": "1 4 5",
    "power": "1 5",
}
"""The kinds of MusicXML 4.0 (``kind-value``) by their degrees."""
_DEGREE = re.compile(r"(bb|b|##|#|)(\d+)")
_ALTERS = {"bb": -2, "b": -1, "": 0, "#": 1, "##": 2}


@dataclass
class Degree:
    """A degree that the kind does not have as it is."""

    value: int
    alter: int
    type: str
    """``add``, ``alter`` or ``subtract``."""


@dataclass
class Harmony:
    """A chord as a notation program reads it."""

    root: Name
    kind: str
    text: str
    """The kind as it is printed: ``m7♭5``."""
    bass: Name | None
    degrees: tuple[Degree, ...]


def harmony_of(symbol: str) -> Harmony:
    """The chord of a symbol that ``theory.symbols`` printed."""
    root, printed, bass = symbol_parts(symbol)
    kind, degrees = _nearest(read_kind(printed, symbol))
    return Harmony(root, kind, printed.replace("b", "♭").replace("#", "♯"), bass, degrees)


@cache
def _nearest(formula: tuple[str, ...]) -> tuple[str, tuple[Degree, ...]]:
    """The kind from which the fewest degrees lead to a formula, the first of equals.

    A seventh that is added counts for more, since readers differ on what it is counted from:
    music21 takes it for a major one on a suspended fourth.
    """
    found = ((kind, tuple(_changes(text.split(), formula))) for kind, text in _KINDS.items())
    return min(found, key=lambda each: sum(3 if d.value == 7 else 1 for d in each[1]))


def _changes(kind: list[str], formula: tuple[str, ...]) -> Iterator[Degree]:
    """What has to be done to a kind's degrees."""
    has, wants = dict(map(_parts, kind)), dict(map(_parts, formula))
    for value in sorted(has.keys() | wants.keys()):
        if value not in has:
            yield Degree(value, wants[value] + (1 if value == 7 else 0), "add")
        elif value not in wants:
            yield Degree(value, 0, "subtract")
        elif has[value] != wants[value]:
            yield Degree(value, wants[value] - has[value], "alter")


def _parts(degree: str) -> tuple[int, int]:
    match = _DEGREE.fullmatch(degree)
    assert match is not None  # a formula of the table, or one that was read
    return int(match[2]), _ALTERS[match[1]]
