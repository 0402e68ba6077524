"""What commands and front ends work with, opened: places, log, decks, room."""

from __future__ import annotations

import os
from collections.abc import Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import datetime, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING

from drill.decks.shipped import shipped_folder
from drill.errors import FaultsError, UsageError
from drill.places import Places, places
from drill.wording.machine import no_zone

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.memory.store import Store
    from drill.practice.room import Room
    from drill.terms import Instrument
    from drill.theory.language import Language

# The rooms are imported where they are opened: the first screen is drawn before them.


@dataclass(frozen=True, slots=True)
class House:
    """The player's folders and what lies in them."""

    places: Places
    zone: tzinfo | None
    environment: Mapping[str, str] = field(default_factory=dict)
    """For the settings; empty for none."""

    @property
    def log(self) -> Path:
        """The answer log's file."""
        return self.places.answers

    @property
    def log_there(self) -> bool:
        """Whether there is a log, or what is left of one."""
        beside = (f"{self.log.name}{suffix}" for suffix in ("", "-wal", ".last"))
        return any(os.path.lexists(self.log.with_name(name)) for name in beside)

    @property
    def deck_folders(self) -> tuple[Path, ...]:
        """Where decks are looked up: the player's own first, then those that ship."""
        return (self.places.decks, shipped_folder())

    def store(self, now: datetime | None = None) -> Store:
        """The answer log, open; ``now`` keeps the daily copy of that day, None keeps none.

        Raises StoreError.
        """
        from drill.memory.items import practice_day
        from drill.memory.store import Store

        return Store.open(self.log, day=None if now is None else practice_day(now, self.zone))

    def reading(self) -> AbstractContextManager[Store]:
        """The answer log to be read alone: also where it cannot be written.  Raises StoreError."""
        from drill.memory.exchange import reading

        return reading(self.log)

    def room(self, language: Language, now: datetime) -> Room:
        """The practice room as it stands now, with its log open.  Raises StoreError."""
        from drill.practice.room import Room

        return Room(self.store(now), language, self.zone, self.places.learned, now)

    def horn(self) -> Instrument | None:
        """The player's own horn as the settings in force name it; None where they name none."""
        from drill.settings.load import load
        from drill.theory.instruments import NO_HORN

        found = load(self.places, self.environment, project=Path()).settings.horn
        return None if found == NO_HORN else found

    def deck(self, name_or_path: str) -> Deck:
        """The deck of that name or file, on the player's own horn where it asks for that.

        Raises UsageError or FaultsError.
        """
        from drill.decks.load import find, load

        return self.opened(load(find(name_or_path, self.deck_folders)))

    def opened(self, deck: Deck) -> Deck:
        """The deck on the player's own horn, where it asks for that and one is named."""
        horn = (_given_horn(deck) or self.horn()) if deck.unplayed else None
        return deck.played_on(horn) if horn else deck

    def decks(self) -> tuple[tuple[Deck, ...], tuple[FaultsError, ...]]:
        """Every deck that can be found and read, and what is wrong with the others."""
        from drill.decks.load import listing, load

        good: list[Deck] = []
        bad: list[FaultsError] = []
        for path in listing(self.deck_folders):
            try:
                good.append(self.opened(load(path)))
            except FaultsError as error:
                bad.append(error)
        return tuple(good), tuple(bad)


def _given_horn(deck: Deck) -> Instrument | None:
    """The horn for which the teacher gave the deck out; None where that is left to the player."""
    from drill.theory.instruments import INSTRUMENTS

    return INSTRUMENTS.get(deck.assignment.horn) if deck.assignment else None


def house(environment: Mapping[str, str], now: datetime) -> House:
    """The player's folders; the zone in which days begin is that of the local clock.

    Raises UsageError where the environment names a folder or a zone that cannot be.
    """
    try:
        zone = now.astimezone().tzinfo
    except (ValueError, OverflowError) as error:
        named = environment.get("TZ", "")
        raise UsageError(no_zone(named)) from error
    return House(places(environment), zone, environment)


def new_id() -> str:
    """A row id that no other machine gives (RFC 9562, version 4)."""
    from uuid import uuid4

    return str(uuid4())
