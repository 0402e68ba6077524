"""The published check values in ``tests/reference``, and other libraries as witnesses.

Each witness moves a name by a degree of the major scale with its own interval
arithmetic, which is neither music21's nor ours.  A name is given back in ASCII.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from functools import cache
from pathlib import Path

from drill.terms import Name
from drill.theory.spelling import degree_interval

HERE = Path(__file__).resolve().parent
REFERENCE = HERE.parent / "reference"

QUALITIES = {
    "1": "P1", "#1": "A1", "b2": "m2", "2": "M2", "#2": "A2", "b3": "m3", "3": "M3",
    "b4": "d4", "4": "P4", "#4": "A4", "b5": "d5", "5": "P5", "#5": "A5", "b6": "m6",
    "6": "M6", "#6": "A6", "bb7": "d7", "b7": "m7", "7": "M7",
}  # fmt: skip
"""Interval names (quality and number) of degrees above the tonic: common practice."""


def table(name: str, folder: Path = REFERENCE) -> list[dict[str, str]]:
    """The rows of one table."""
    with (folder / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def called(what: str, library: str) -> dict[str, str]:
    """The instruments or scales that a library knows: our ids, and what it calls them."""
    rows = table("called_elsewhere", HERE)
    return {row["id"]: row[library] for row in rows if row["what"] == what and row[library]}


def simple(token: str) -> str:
    """A degree within the octave: ``#9`` is ``#2``."""
    digits = token.lstrip("b#")
    return token[: -len(digits)] + str((int(digits) - 1) % 7 + 1)


@cache
def by_mingus(tonic: str, token: str) -> str:
    from mingus.core import intervals

    return str(intervals.from_shorthand(tonic, simple(token)))


@cache
def by_musthe(tonic: str, token: str) -> str:
    from musthe import Interval, Note

    return str(Note(tonic + "4") + Interval(QUALITIES[simple(token)]))


@cache
def by_abjad(tonic: str, token: str) -> str:
    import abjad

    start = abjad.NamedPitch(f"{tonic}4")
    end = start + abjad.NamedInterval("+" + QUALITIES[simple(token)])
    letter, signs = end.name[0], end.name[1:].rstrip("',")
    return str(letter.upper() + signs.replace("s", "#").replace("f", "b"))


WITNESSES: dict[str, Callable[[str, str], str]] = {
    "mingus": by_mingus,
    "musthe": by_musthe,
    "abjad": by_abjad,
}
"""Three libraries that were written apart from one another and from music21."""


@cache
def moved_by_music21(name: Name, steps: int, semitones: int) -> str | None:
    """The name that music21 finds an interval away; None where it needs more than four signs."""
    from music21 import exceptions21, interval, pitch

    try:
        # The octave keeps a descending interval off music21's negative octaves.
        start = pitch.Pitch(str(name).replace("b", "-") + "5")
        generic = steps + 1 if steps >= 0 else steps - 1
        step = interval.intervalFromGenericAndChromatic(generic, semitones)
        end = step.transposePitch(start, maxAccidental=None)
    except exceptions21.Music21Exception:
        return None
    return str(end.name).replace("-", "b")


def by_music21(tonic: Name, token: str) -> str | None:
    """The name that music21 finds on a degree, within the octave."""
    return moved_by_music21(tonic, *degree_interval(simple(token)))
