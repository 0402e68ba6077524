"""Keys and patterns as reports count and sort them, from the names that items carry."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from drill.decks.schema import Deck
from drill.errors import TheoryError
from drill.memory.items import Item
from drill.terms import Descent, Direction, Ending, Mode, Pattern
from drill.theory.keys import concert_key, written_key
from drill.theory.patterns import PATTERNS, free_pattern, same_cell
from drill.theory.scales import SCALES, signature
from drill.wording import reports as words
from drill.wording.squares import apart, key_of, shape_name


@dataclass(frozen=True, slots=True, order=True)
class KeyPlace:
    """A written key on a horn, with the concert key in which it sounds."""

    horn: str
    """Instrument id; empty where it is not known."""
    written: str
    """As items name it: ``G:major``."""
    concert: str
    """The same way; empty where it is not known."""
    assigned_in_concert: bool = False
    """Whether the deck named concert keys, so that sections are counted together in them."""

    @property
    def counted(self) -> CountedKey:
        """As what it is counted over a class."""
        if self.assigned_in_concert and self.concert:
            return CountedKey("", self.concert)
        return CountedKey(self.horn, self.written)


@dataclass(frozen=True, slots=True, order=True)
class CountedKey:
    """A key as a class counts it: in concert over all horns, or written for one of them."""

    horn: str
    """Instrument id; empty for a concert key."""
    key: str

    @property
    def concert(self) -> bool:
        """Whether it is a concert key."""
        return not self.horn

    @property
    def sort_key(self) -> tuple[str, tuple[int, int, str]]:
        """Concert keys first, then horn by horn, from flats to sharps."""
        return self.horn, key_order(self.key)

    def __str__(self) -> str:
        if self.concert:
            return words.concert(self.key)
        return words.on_horn(self.key, self.horn)


def concert_keys(deck: Deck) -> dict[str, str]:
    """The deck's written keys with the concert keys in which they sound, as items name them."""
    if deck.unplayed:
        return {}
    asked = {written_key(key, deck.horn): key for key in deck.concert_keys}
    pairs = ((key, asked.get(key) or concert_key(key, deck.horn)) for key in deck.keys)
    return {f"{key.tonic}:{key.scale}": f"{c.tonic}:{c.scale}" for key, c in pairs}


@lru_cache(maxsize=4096)
def key_order(name: str) -> tuple[int, int, str]:
    """Sorts keys scale by scale, from seven flats to seven sharps."""
    key = key_of(name)
    if key is None:
        return (99, 0, name)
    listed = list(SCALES)  # a scale of a teacher's own comes after those of the table
    place = listed.index(key.scale) if key.scale in listed else len(listed)
    return (place, signature(key), name)


def shape_order(shape: str) -> tuple[bool, str, bool, str]:
    """Sorts shapes by cell, going up before coming down, questions last."""
    name = shape_name(shape)
    return (shape.startswith("?"), name.cell, name.direction == "down", shape)


def degree_of(item: Item) -> str:
    """The degree on which the item's cell stands: ``4``; empty where it stands on none."""
    head = f"{item.key}:{item.shape}:"
    place = item.id.removeprefix(head) if item.id.startswith(head) else item.id.split(":")[-1]
    return place if place.isdecimal() and len(place) < 4 else ""


@lru_cache(maxsize=4096)
def pattern_of(shape: str) -> tuple[Pattern, Direction] | None:
    """The pattern and direction that a shape stands for; None for a question, or no shape.

    A shape going up does not say how the pattern comes down: it gets the catalogue's way.
    """
    if shape.startswith("?") or "/" not in shape:
        return None
    parts, way = apart(shape)
    moves_by, ending = 1, Ending.OVERRUN
    descent: Descent | None = None
    roots: tuple[str, ...] = ()
    led, groups_of = False, 0
    for part in parts[1:]:
        if part in ("led", "by function"):
            led = led or part == "led"
        elif part.startswith("in") and part[2:].isdecimal():
            groups_of = int(part[2:])
        elif part.startswith("by") and part[2:].isdecimal():
            moves_by = int(part[2:])
        elif part in set(Descent):
            descent = Descent(part)
        elif part.startswith(Ending.CLIPPED):  # with the octaves after which it turns back
            ending = Ending.CLIPPED
        else:
            roots = tuple(part.split(","))
    try:
        made = _made(tuple(parts[0].split("|")), moves_by, roots)
        direction = Direction(way)
    except (TheoryError, ValueError):
        return None
    return replace(
        made, ending=ending, descent=descent or made.descent, led=led, groups_of=groups_of
    ), direction


def _made(cells: tuple[str, ...], moves_by: int, roots: tuple[str, ...]) -> Pattern:
    """The catalogue's pattern, else a free one."""
    if cells == ("1",):
        return PATTERNS["scale"]  # the one pattern of a single note
    if roots:
        return free_pattern(cells, moves_by=moves_by, mode=Mode.ROOT, roots=roots)
    try:
        made = free_pattern(cells, moves_by=moves_by)
    except TheoryError:
        return free_pattern(cells, moves_by=moves_by, mode=Mode.ROOT)
    return same_cell(made) or made
