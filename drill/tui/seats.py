"""The slow work on the practice room, done in the backroom: decks read, spelled and counted.

Loaded after the first frame: with it come the practice room, the decks and the memory.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from drill.decks.load import find, listing, load
from drill.decks.schema import Deck
from drill.errors import DrillError
from drill.memory.levels import Goal, Level, outlook
from drill.memory.state import State as Memory
from drill.practice.course import Desk, Plan
from drill.practice.effects import Effect
from drill.practice.machine import State, begin
from drill.practice.room import Room
from drill.practice.syllabus import Syllabus
from drill.tui.context import Context
from drill.tui.tally import Tally

_SECONDS = 12.0
"""A prompt with its verdict, before the player's own pace is known."""
_READING = 4.0
"""Seconds between one answer and the next prompt's first key, on top of the time measured."""


@dataclass(frozen=True, slots=True)
class Seat:
    """A practice that has begun: everything the stand needs."""

    room: Room
    desk: Desk
    state: State
    effects: tuple[Effect, ...]
    """Those of the beginning, still to be carried out."""
    path: Path
    only: frozenset[str] = frozenset()
    """The items it was narrowed to; empty for the whole deck."""


class Seats:
    """Sits players down; keeps the syllabi it has spelled."""

    def __init__(self, context: Context, room: Room) -> None:
        self.room = room
        self._context = context
        self._decks: dict[Path, tuple[int, Deck]] = {}
        self._syllabi: dict[tuple[str, str, tuple[str, ...]], Syllabus] = {}

    def paths(self) -> tuple[Path, ...]:
        """Every deck file, by name."""
        return listing(self._context.folders)

    def find(self, name: str) -> Path:
        """A deck's file by its name or path.  Raises UsageError."""
        return find(name, self._context.folders)

    def deck(self, path: Path) -> Deck:
        """A deck, read again only when its file has changed.  Raises FaultsError."""
        try:
            changed = path.stat().st_mtime_ns
        except OSError:
            changed = -1
        known = self._decks.get(path)
        if known is None or known[0] != changed:
            known = self._decks[path] = (changed, load(path))
        return known[1]

    def syllabus(self, deck: Deck, kinds: tuple[str, ...] = ()) -> Syllabus:
        """What a deck asks, spelled once.  Raises DataError."""
        key = (deck.name, deck.fingerprint, kinds)
        known = self._syllabi.get(key)
        if known is None:
            known = self._syllabi[key] = self.room.syllabus(deck, kinds)
        return replace(known, deck=deck)

    def sit(self, path: Path, only: Collection[str] = ()) -> Seat:
        """A practice with a deck, or with some of its items, begun.  Raises DrillError."""
        deck, now = self.deck(path), self._context.utc_now()
        self.room.catch_up()
        plan = self._context.plan(deck, now)
        syllabus = self.syllabus(deck, plan.kinds)
        if only:
            entries = {i: entry for i, entry in syllabus.entries.items() if i in set(only)}
            syllabus = replace(syllabus, entries=entries or syllabus.entries)
        desk = self.room.desk(syllabus, plan, self._context.seed, self._context.new_id)
        state, effects = begin(desk, now)
        return Seat(self.room, desk, state, effects, path, frozenset(only))

    def tally(self, path: Path) -> Tally:
        """A deck's numbers now; a deck that cannot be used says why."""
        try:
            deck, now = self.deck(path), self._context.utc_now()
            plan = self._context.plan(deck, now)
            syllabus = self.syllabus(deck, plan.kinds)
        except DrillError as error:
            return Tally(path, path.stem, problem=str(error).splitlines()[0])
        return counted(path, syllabus, self.room.memory, plan, now)


def counted(path: Path, syllabus: Syllabus, memory: Memory, plan: Plan, now: datetime) -> Tally:
    """The numbers of a deck, cell by cell."""
    deck, goal = syllabus.deck, syllabus.deck.goal
    seen = outlook(memory, syllabus.items, now, Goal(goal.right, goal.days))
    levels = seen.levels
    prompts = plan.prompts or 0
    minutes = plan.minutes or prompts * pace(memory) / 60
    return Tally(
        path,
        deck.title,
        len(syllabus.entries),
        levels[Level.UNTRIED],
        levels[Level.SHAKY],
        levels[Level.HOLDING],
        levels[Level.BY_HEART],
        seen.due,
        prompts,
        max(1, round(minutes)) if minutes else 0,
    )


def pace(memory: Memory) -> float:
    """Seconds that a prompt takes this player, verdict and all."""
    if memory.seconds_count < 5:
        return _SECONDS
    return memory.seconds_total / memory.seconds_count + _READING


Opened = Callable[[], Seats]
