"""A practice as the screens pass it on: asked for, begun, over."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.practice.course import Desk
    from drill.practice.effects import Effect, Summary
    from drill.practice.machine import PromptState
    from drill.practice.room import Room
    from drill.practice.walk import WantedRun
    from drill.tui.digest import Digest
    from drill.tui.draft import Draft


@dataclass(frozen=True, slots=True)
class ToPractice:
    """A practice with a deck, read and spelled on the way."""

    deck: Path | str | Deck
    """Its file, its name, or a deck for once that has no file."""
    only: frozenset[str] = frozenset()
    """Item ids that it is narrowed to; empty for the whole deck."""
    kinds: tuple[str, ...] = ()
    """Kinds of prompt for once; empty for those of the deck and the settings."""
    walk: WantedRun | None = None
    """A run to walk instead; None for a practice."""


@dataclass(frozen=True, slots=True)
class Seat:
    """A practice that has begun: everything the stand needs."""

    room: Room
    desk: Desk
    state: PromptState
    effects: tuple[Effect, ...]
    """Those of the beginning, still to be carried out."""
    wanted: ToPractice
    """What was asked for, so that it can be asked for again."""

    @property
    def deck(self) -> Path | Deck:
        """The deck's file, or the deck itself where it has none."""
        deck = self.desk.syllabus.deck
        return deck.path or deck


@dataclass(frozen=True, slots=True)
class ToStand:
    """The stand, with a practice that has begun."""

    seat: Seat
    draft: Draft
    """What was typed before the first prompt was there."""


@dataclass(frozen=True, slots=True)
class Over:
    """A practice that has ended."""

    seat: Seat
    state: PromptState
    summary: Summary
    digest: Digest
    """Key by key and note by note."""
