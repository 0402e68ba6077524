"""Which untried cells may be asked: easy keys first, a few at a time, the way up before down.

A teacher opens a few keys, adds to them at each lesson, and goes faster with somebody who
knows them already; nobody is kept waiting until the open keys are mastered, for on simulated
learners that costs 4 to 12 points of recall.  What is open follows from the log alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Set
from dataclasses import dataclass
from typing import TYPE_CHECKING

from drill.memory.items import Item

if TYPE_CHECKING:
    from drill.memory.pool import Bools, Pool
    from drill.memory.state import State

FIRST_KEYS = 4
"""Keys open in the first practice."""
MORE_KEYS = 2
"""Keys opened in each later practice, and whenever first meetings went well."""
WELL, WELL_LATER = 8, 2
"""First meetings that are right in a row and open more keys at once, in the first practice and
in later ones; while the row goes on, twice as many keys after half as many cells each time."""
UP_FIRST = 3
"""Cells of a key's way up that are asked before its way down begins."""


@dataclass(frozen=True, slots=True)
class IntroPlace:
    """Where a cell stands in the order in which a deck is introduced."""

    key: int = 0
    """Of its key, from 0 for the one that is opened first."""
    part: str = ""
    """What is walked up and down within the key: a pattern; empty for the whole key."""
    later: bool = False
    """True where the same part is begun going up first."""


@dataclass(frozen=True, slots=True)
class NewLimits:
    """How much may be new in one practice."""

    keys: int | None = None
    """New keys, at least 1; 0 opens all of them; None goes by what the player shows."""
    cells: int | None = None
    """New cells, 0 for none; None for no limit."""
    turn: int | None = None
    """Turns in the log when the practice began; None: it begins now."""


def may_enter(state: State, pool: Pool, limits: NewLimits) -> Bools:
    """Which cells are allowed by the order of introduction: those asked before, and the untried
    ones that may come now."""
    import numpy as np

    untried = np.frombuffer(state.cell_turn, dtype=np.int64)[pool.arrays.place] < 0
    if not untried.any():
        return ~untried
    begun = _begun(state, pool, limits)
    if limits.cells is not None and begun.cells >= limits.cells:
        return ~untried
    allowed: Bools = ~untried | (_open(begun, untried, pool, limits) & _in_turn(untried, pool))
    return allowed


@dataclass(frozen=True, slots=True)
class _Entered:
    """What entered in this practice."""

    cells: int
    fresh: Bools
    """Which cells of the pool were first asked in it."""
    bonus: int
    """Keys opened by first meetings that went well."""


def _begun(state: State, pool: Pool, limits: NewLimits) -> _Entered:
    import numpy as np

    inside = set(pool.places)
    fresh: set[int] = set()
    row, bonus, more = 0, 0, MORE_KEYS
    start = len(state.turns) if limits.turn is None else limits.turn
    first = not any(place in inside for place in state.turns[:start])
    well = enough = WELL if first else WELL_LATER
    for turn in range(start, len(state.turns)):
        place = state.turns[turn]
        if not state.turn_new[turn] or place not in inside:
            continue
        fresh.add(place)
        if not state.turn_right[turn]:
            # Whoever had a whole row already is believed a little sooner after a slip.
            row, more, enough = 0, MORE_KEYS, max(2, well - 2) if bonus else well
            continue
        row += 1
        if row == enough:
            row, bonus, more, enough = 0, bonus + more, 2 * more, max(2, enough // 2)
    return _Entered(len(fresh), np.isin(pool.arrays.place, list(fresh)), bonus)


def _open(begun: _Entered, untried: Bools, pool: Pool, limits: NewLimits) -> Bools:
    """Which cells stand in a key that is open."""
    import numpy as np

    if limits.keys == 0:
        return np.ones(len(pool), dtype=bool)
    rank = pool.arrays.rank
    before = set(rank[~untried & ~begun.fresh].tolist())
    met = set(rank[~untried].tolist())
    opened = opened_keys(set(rank.tolist()), before, met, begun.bonus, limits)
    found: Bools = np.isin(rank, sorted(opened))
    return found


def opened_keys(
    every: Set[int], before: Set[int], met: Set[int], bonus: int, limits: NewLimits
) -> Set[int]:
    """The keys that are open, by their place in the order of introduction.

    ``before`` are those of cells asked before this practice, ``met`` those of all cells asked.
    """
    budget = limits.keys
    if budget is None:
        budget = max(FIRST_KEYS - len(before), MORE_KEYS) + bonus
    waiting = sorted(every - met)
    return met | set(waiting[: max(0, budget - (len(met) - len(before)))])


def _in_turn(untried: Bools, pool: Pool) -> Bools:
    """Which cells go up, or come down after enough of the same part went up."""
    import numpy as np

    part, up = pool.arrays.part, ~pool.arrays.later
    if up.all():
        return up
    parts = int(part.max()) + 1
    there = np.bincount(part[up], minlength=parts)
    asked = np.bincount(part[up & ~untried], minlength=parts)
    ready = asked >= np.minimum(there, UP_FIRST)
    found: Bools = up | ready[part]
    return found


def places(items: Iterable[Item]) -> dict[str, IntroPlace]:
    """The order where a deck gives none: keys by accidentals, then as listed; by item id."""
    items = tuple(items)
    least: dict[str, int] = {}
    for item in items:
        least[item.key] = min(item.accidentals, least.get(item.key, item.accidentals))
    order = {key: n for n, key in enumerate(sorted(least, key=lambda key: least[key]))}
    return {item.id: IntroPlace(order[item.key]) for item in items}
