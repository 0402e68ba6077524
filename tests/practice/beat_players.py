"""Players made by arithmetic, for bouts in time: what they type, and when."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from drill.decks.schema import Deck
from drill.memory.store import Store
from drill.practice.course import carried
from drill.practice.room import Room
from drill.practice.time import course
from drill.practice.time.bout import Bout
from drill.practice.time.course import TimeDesk, TimePlan, TimeStep, time_desk
from drill.practice.time.strokes import Gatherer, Stroke, Sung
from drill.terms import Direction, Key, Name
from drill.theory.patterns import find_pattern

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
BEGAN = 1000.0
"""When every take begins to be heard."""


def deck_of(*tonics: str, pattern: str = "1-2-3-1", horn: str = "alto_sax") -> Deck:
    """A deck of rising runs at 72 beats a minute."""
    keys = tuple(Key(Name(t[0], t.count("#") - t[1:].count("b")), "major") for t in tonics)
    up = (Direction.UP,)
    return Deck("In time", horn, (find_pattern(pattern),), keys, directions=up, tempo=72)


def room_at(folder: Path) -> Room:
    return Room(Store.open(folder / "answers.db"), zone=UTC)


def desk_at(room: Room, deck: Deck, plan: TimePlan | None = None, prefix: str = "id") -> TimeDesk:
    count = iter(range(100_000))
    plan = plan or TimePlan()
    return time_desk(room, room.syllabus(deck), plan, 1, lambda: f"{prefix}-{next(count)}")


def keep(room: Room, desk: TimeDesk, step: TimeStep) -> TimeStep:
    """Carry a step out, as a front end does."""
    return carried(course, room, desk, step, NOON)


def strokes(
    bout: Bout,
    off: Callable[[int], float] = lambda n: 0.0,
    names: Callable[[int, str], str] = lambda n, name: name,
) -> list[Stroke]:
    """The keys of a player who is ``off(n)`` seconds after the beat with note n.

    Signs follow their letter after 70 ms each; an empty name leaves the note out.
    """
    found: list[Stroke] = []
    for n, (note, due) in enumerate(zip(bout.notes, bout.due, strict=True)):
        at = BEGAN + due + off(n)
        for place, char in enumerate(names(n, str(note.name))):
            found.append(Stroke(char, at + 0.07 * place))
    return found


def sung(bout: Bout, keys: list[Stroke], *, letters: bool = False) -> tuple[Sung, ...]:
    from drill.theory.language import Language

    gatherer = Gatherer(Language.ENGLISH, bout.interval_s, letters)
    for key in sorted(keys, key=lambda stroke: stroke.at):
        gatherer.take(key)
    return gatherer.notes


def steady(mean_s: float, spread_s: float, seed: int) -> Callable[[int], float]:
    rng = random.Random(seed)
    offs = [rng.gauss(mean_s, spread_s) for _ in range(200)]
    return lambda n: offs[n]
