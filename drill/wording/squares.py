"""What horns, keys and patterns are called, from the names that items of memory carry.

An item's key is ``G:major``; its shape is the cell with what else tells it apart and its
direction: ``1-2-3-1/up``, ``1-3~by2~mirror/down``; a question the other way round has
the shape ``?signature``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from drill.errors import TheoryError
from drill.memory.kinds import TURNED
from drill.terms import Descent, Key
from drill.theory.scales import SCALES, key_label
from drill.theory.spelling import parse_name
from drill.wording.settings import KINDS_SHORT


@dataclass(frozen=True, slots=True)
class ShapeName:
    """A shape, taken apart for a table."""

    cell: str
    """``1-2-3-1``, or what is asked where no cell is."""
    direction: str
    """``up``, ``down``, or empty."""
    more: str
    """What else tells it apart; empty for a plain or mirrored pattern."""

    def __str__(self) -> str:
        return " ".join(part for part in (self.cell, self.direction, self.more) if part)


def horn_text(horn: str) -> str:
    """A horn's name by its id; the id itself where it is not in the program's table."""
    from drill.theory.instruments import INSTRUMENTS  # the table alone, no engine

    return INSTRUMENTS[horn].name if horn in INSTRUMENTS else horn


@lru_cache(maxsize=4096)
def key_of(name: str) -> Key | None:
    """The key of an item's ``G:major``; None where it is none."""
    tonic, _, scale = name.partition(":")
    try:
        return Key(parse_name(tonic), scale) if scale in SCALES else None
    except TheoryError:
        return None


@lru_cache(maxsize=4096)
def key_text(name: str) -> str:
    """The key as players say it: ``G major``."""
    key = key_of(name)
    return key_label(key) if key else name


@lru_cache(maxsize=4096)
def shape_name(shape: str) -> ShapeName:
    """A shape, taken apart."""
    if shape.startswith(TURNED):
        question = shape.removeprefix(TURNED)
        return ShapeName(KINDS_SHORT.get(question, question), "", "")
    parts, direction = apart(shape)
    more = [part for part in parts[1:] if part != Descent.MIRROR]
    return ShapeName(parts[0], direction, ", ".join(more))


def apart(shape: str) -> tuple[list[str], str]:
    """The parts before the direction, and the direction."""
    body, _, direction = shape.rpartition("/")
    return body.split("~"), direction
