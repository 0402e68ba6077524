"""In which order a deck's cells are introduced, as a teacher would: see ``memory.introducing``.

Keys come in the order in which the deck lists them; where it names a group (``all``,
``fourths`` ...) they come outward from C by fifths, written: C G F D Bb A Eb E Ab B Db F#
Gb C# Cb.  Several scales take turns.  A pattern goes up before it comes down.
"""

from __future__ import annotations

from collections.abc import Sequence

from drill.decks.keychoice import group
from drill.decks.schema import Deck
from drill.memory.introducing import IntroPlace
from drill.practice.syllabus import Syllabus, key_name
from drill.terms import Direction, Key
from drill.theory.keys import ORDERS
from drill.theory.scales import signature


def introduction(syllabus: Syllabus) -> dict[str, IntroPlace]:
    """The place of each cell in the order of introduction, by item id."""
    order = key_order(syllabus.deck)
    found = {}
    for item_id, entry in syllabus.entries.items():
        cell, pattern = entry.cell, entry.run.pattern
        part = entry.back or pattern.text
        later = cell.direction is Direction.DOWN and not entry.back
        found[item_id] = IntroPlace(order[key_name(entry.run.key)], part, later)
    return found


def key_order(deck: Deck) -> dict[str, int]:
    """The place of each key, by the name that items give it, from 0."""
    stand: list[tuple[int, int, Key]] = []
    for number, scale in enumerate(deck.scales):
        keys = [key for key in deck.keys if key.scale == scale]
        named = [key for key in deck.concert_keys if key.scale == scale] or keys
        if _is_group(named, scale):
            keys.sort(key=outward)
        stand += [(place, number, key) for place, key in enumerate(keys)]
    stand.sort(key=lambda one: one[:2])
    return {key_name(key): place for place, (_, _, key) in enumerate(stand)}


def outward(key: Key) -> tuple[int, bool]:
    """Sorts keys by accidentals, sharps before flats: outward from C by fifths."""
    fifths = signature(key)
    return abs(fifths), fifths < 0


def _is_group(keys: Sequence[Key], scale: str) -> bool:
    """Whether keys stand as a group has them, and not as somebody listed them."""
    if list(keys) == sorted(keys, key=outward):
        return True
    return any(tuple(keys) == group(name, scale) for name in ORDERS)
