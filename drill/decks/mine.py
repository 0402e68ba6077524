"""*My practice*: the deck of one's own that the first start makes, from three answers."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path

from drill.decks.build import build
from drill.decks.keychoice import window_text
from drill.decks.load import SUFFIX, load
from drill.decks.schema import Deck
from drill.decks.write import write
from drill.errors import DrillError
from drill.files import make_folder, write_whole
from drill.terms import Instrument
from drill.theory.instruments import INSTRUMENTS, OWN
from drill.theory.language import Language

NAME = "my-practice"
TITLE = "My practice"
USUAL = (
    "alto_sax", "clarinet_bb", "flute", "trumpet_bb", "tenor_sax", "trombone", "horn_f",
    "euphonium_bc", "oboe", "bassoon", "tuba", "baritone_sax", "soprano_sax", "cornet_bb",
)  # fmt: skip
"""Horns that many play, for the head of a list (common practice, no source)."""


class KnownKeys(StrEnum):
    """The keys that a player knows when he begins."""

    NONE = "none"
    """None yet: C, G, F and D are the usual first ones (common practice, no source)."""
    TWO = "two"
    """Up to two sharps and flats."""
    FOUR = "four"
    ALL = "all"

    @property
    def words(self) -> str:
        """As it is asked."""
        return _KNOWN[self][0]

    @property
    def window(self) -> tuple[int, int]:
        """Most sharps and most flats of the keys that are asked at first."""
        return _KNOWN[self][1]


_KNOWN = {
    KnownKeys.NONE: ("none yet: begin with C, G, F and D", (2, 1)),
    KnownKeys.TWO: ("up to two sharps and flats", (2, 2)),
    KnownKeys.FOUR: ("up to four sharps and flats", (4, 4)),
    KnownKeys.ALL: ("all of them", (7, 7)),
}


@dataclass(frozen=True, slots=True)
class Start:
    """The three answers."""

    horn: str = USUAL[0]
    """Instrument id."""
    known: KnownKeys = KnownKeys.NONE
    names: Language = Language.ENGLISH


def horns() -> tuple[Instrument, ...]:
    """Every instrument, those that many play first."""
    first = [INSTRUMENTS[name] for name in USUAL]
    return (*first, *(horn for horn in INSTRUMENTS.values() if horn.id not in USUAL))


def my_practice(known: KnownKeys) -> Deck:
    """1-2-3-1 on the player's own horn, in the keys that are known."""
    values: dict[str, object] = {
        "title": TITLE,
        "instrument": OWN,
        "patterns": ["return3"],
        "keys": window_text(*known.window),
        "practice": {"prompts": 20},
    }
    return replace(build(values, NAME), name=NAME)


def keep_my_practice(folder: Path, known: KnownKeys) -> Path:
    """Write the deck to the player's own folder; its file.

    One that is there keeps all but its keys.  Raises DrillError where it cannot be written.
    """
    path = folder / f"{NAME}{SUFFIX}"
    deck = my_practice(known)
    with contextlib.suppress(DrillError):  # none there, or none that can be read
        deck = replace(load(path), keys=deck.keys, scales=deck.scales, concert_keys=())
    keep_deck(path, deck)
    return path


def keep_deck(path: Path, deck: Deck) -> None:
    """Write a deck to a file, whole or not at all; the folder is made.  Raises DrillError."""
    make_folder(path.parent, private=True)
    write_whole(path, write(deck).encode())
