"""Which notes are tongued and which slurred, and what an articulation does to a note."""

from __future__ import annotations

import random
from dataclasses import dataclass
from itertools import pairwise

from drill.sound.take import MF
from drill.terms import Tonguing

SLUR_S = 0.02
"""Overlap of slurred notes; 10 to 30 ms is common practice."""


@dataclass(frozen=True, slots=True)
class MarkEffect:
    """What an articulation does to a note."""

    fraction: float
    """Of the written length that sounds; a slurred note also overlaps the next."""
    velocity: int = 0
    """Added to the velocity."""


TONGUED = MarkEffect(0.88)
SLURRED = TENUTO = MarkEffect(1.0)
ACCENT = MarkEffect(0.95, 20)
REPEATED = MarkEffect(0.85)
"""The same pitch again, tongued so that both are heard."""
EVERY = {
    Tonguing.TENUTO: TENUTO,
    Tonguing.STACCATO: MarkEffect(0.5, 4),
    Tonguing.STACCATISSIMO: MarkEffect(0.3, 6),
    Tonguing.PORTATO: MarkEffect(0.7),
    Tonguing.ACCENT: ACCENT,
    Tonguing.MARCATO: MarkEffect(0.7, 30),
}
"""What marks every note; the others are tongued or slurred.  The values are common practice, in
line with measured piano and saxophone playing."""


@dataclass(frozen=True, slots=True)
class Slot:
    """A note where it is written."""

    midi: int
    beat: float
    length: float
    cell: int
    """Which cell of the phrase, -1 for the held tonic."""
    place: int
    """Which note of the cell."""
    velocity: int = MF


def articulations(slots: list[Slot], tonguing: Tonguing) -> list[MarkEffect]:
    """How each note ends and is struck when no slur joins it to the next."""
    every = EVERY.get(tonguing, TONGUED)
    marks = [every] * len(slots)
    for index, slot in enumerate(slots):
        if slot.cell < 0:
            # The held tonic is held, whatever came before.
            marks[index] = TENUTO
        elif tonguing is Tonguing.FIRST_ACCENTED and slot.place == 0:
            marks[index] = ACCENT
        elif every is TONGUED and _repeats(slots, index):
            marks[index] = REPEATED
    return marks


def _repeats(slots: list[Slot], index: int) -> bool:
    """Whether the next note is the same pitch."""
    return index + 1 < len(slots) and slots[index].midi == slots[index + 1].midi


def slurs(slots: list[Slot], tonguing: Tonguing, rng: random.Random) -> list[bool]:
    """Whether each note is slurred into the next; a repeated pitch never is."""
    sizes: dict[int, int] = {}
    for slot in slots:
        sizes[slot.cell] = slot.place + 1
    joins = []
    for slot, after in pairwise(slots):
        touching = abs(slot.beat + slot.length - after.beat) < 1e-6
        same_cell = slot.cell == after.cell
        joins.append(
            touching
            and slot.midi != after.midi
            and _joined(slot.place, sizes[slot.cell], same_cell, tonguing, rng)
        )
    return [*joins, False] if slots else []


def _joined(place: int, size: int, same_cell: bool, tonguing: Tonguing, rng: random.Random) -> bool:
    """Whether a note of a cell is slurred into the one after it."""
    if tonguing is Tonguing.SLURRED or not same_cell:
        return tonguing is Tonguing.SLURRED
    match tonguing:
        case Tonguing.TWO_AND_TWO:
            return place % 4 == 0
        case Tonguing.ONE_AND_THREE:
            return place > 0
        case Tonguing.THREE_AND_ONE:
            return place < size - 2
        case Tonguing.RANDOM:
            return rng.random() < 0.5
    return False
