"""Opening what the other commands work with: places, log, decks, engine, sound."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING

from drill.decks.shipped import shipped_folder
from drill.errors import FaultsError
from drill.places import Places, places

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.memory.store import Store
    from drill.practice.room import Room
    from drill.theory.engine import Engine
    from drill.theory.language import Language

# The rooms are imported where they are opened: the first screen is drawn before them.


@dataclass(frozen=True, slots=True)
class House:
    """The player's folders and what lies in them."""

    places: Places
    zone: tzinfo | None

    @property
    def log(self) -> Path:
        """The answer log's file."""
        return self.places.answers

    @property
    def deck_folders(self) -> tuple[Path, ...]:
        """Where decks are looked up: the player's own first, then those that ship."""
        return (self.places.decks, shipped_folder())

    def engine(self) -> Engine:
        from drill.theory.engine import Engine

        return Engine()

    def store(self) -> Store:
        """The answer log, open.  Raises StoreError."""
        from drill.memory.store import Store

        return Store.open(self.log)

    def room(self, language: Language, now: datetime) -> Room:
        """The practice room as it stands now, with its log open.  Raises StoreError."""
        from drill.practice.room import Room

        return Room(self.store(), self.engine(), language, self.zone, self.places.learned, now)

    def deck(self, name_or_path: str) -> Deck:
        """The deck of that name or file.  Raises UsageError or FaultsError."""
        from drill.decks.load import find, load

        return load(find(name_or_path, self.deck_folders))

    def decks(self) -> tuple[tuple[Deck, ...], tuple[FaultsError, ...]]:
        """Every deck that can be found and read, and what is wrong with the others."""
        from drill.decks.load import listing, load

        good: list[Deck] = []
        bad: list[FaultsError] = []
        for path in listing(self.deck_folders):
            try:
                good.append(load(path))
            except FaultsError as error:
                bad.append(error)
        return tuple(good), tuple(bad)


def house(environment: Mapping[str, str], now: datetime) -> House:
    """The player's folders; the zone in which days begin is that of the local clock."""
    return House(places(environment), now.astimezone().tzinfo)


def new_id() -> str:
    """A row id that no other machine gives (RFC 9562, version 4)."""
    from uuid import uuid4

    return str(uuid4())
