"""The first prompt of a practice, chosen cell by cell: the planner's choice before numpy is there.

The rule is the planner's own (see ``planner``), which works on arrays; to load what makes them
takes longer than a first choice does.  Tests hold the two against each other.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence, Set
from datetime import datetime
from itertools import accumulate
from operator import itemgetter

from drill.memory.introducing import UP_FIRST, NewLimits, opened_keys
from drill.memory.items import days
from drill.memory.model import chance
from drill.memory.planner import (
    LEAST_ERROR,
    MISSED_ERROR,
    ChosenCell,
    Options,
    Rule,
    aimed,
    may_return,
    new_must_wait,
)
from drill.memory.pool import Pool
from drill.memory.state import State

MOST = 2000
"""Cells from which it takes no longer to load numpy and to count with it."""
_CLOSE = 1e-9
"""Scores so near to each other, in proportion, are told apart by the planner's own arithmetic."""


def first_choice(state: State, pool: Pool, now: datetime, options: Options) -> ChosenCell | None:
    """What ``planner.choose`` chooses for the first prompt of a practice.

    None where that has to choose itself: something was asked in this practice already, there
    are too many cells, two are too close to call, or there is nothing to ask.
    """
    begun = options.new.turn is None or options.new.turn == len(state.turns)
    if not begun or not 0 < len(pool) <= MOST:
        return None
    new = {n for n, place in enumerate(pool.places) if state.cell_turn[place] < 0}
    enter = _entering(pool, new, options.new)
    if not enter:
        return None
    free, rule = _allowed(state, pool, options, enter, new)
    if options.since is not None and may_return(state):
        since = days(options.since)
        returning = {n for n in free if _missed_before(state, pool.places[n], since)}
        if returning:
            free, rule = returning, Rule.RETURN
    wait = _waits(state, pool)
    when = aimed(now, options)
    scored = [_scored(state, pool, n, when, wait) for n in sorted(free)]
    scored.sort(key=itemgetter(0), reverse=True)
    score, error, age, pick = scored[0]
    if len(scored) > 1 and scored[1][0] >= score * (1.0 - _CLOSE):
        return None
    if rule is not Rule.RETURN and pick in new:
        rule = Rule.FIRST
    return ChosenCell(pool.items[pick], error, age, rule, len(free), len(pool) - len(enter))


def _entering(pool: Pool, new: Set[int], limits: NewLimits) -> Collection[int]:
    """See ``introducing.may_enter``; cells by their place in the pool."""
    if not new:
        return range(len(pool))
    stand = [pool.order[item.id] for item in pool.items]
    tried = {n for n in range(len(pool)) if n not in new}
    if limits.cells is not None and limits.cells <= 0:
        return tried
    every = {one.key for one in stand}
    opened = every
    if limits.keys != 0:
        met = {stand[n].key for n in tried}
        opened = set(opened_keys(every, met, met, 0, limits))
    there: dict[tuple[int, str], int] = {}
    asked: dict[tuple[int, str], int] = {}
    for n, one in enumerate(stand):
        if not one.later:
            part = one.key, one.part
            there[part] = there.get(part, 0) + 1
            asked[part] = asked.get(part, 0) + (n not in new)
    ready = {part for part, cells in there.items() if asked[part] >= min(cells, UP_FIRST)}
    return tried | {
        n
        for n in new
        if (one := stand[n]).key in opened
        and (not one.later or (one.key, one.part) in ready or (one.key, one.part) not in there)
    }


def _allowed(
    state: State, pool: Pool, options: Options, enter: Collection[int], new: Set[int]
) -> tuple[Set[int], Rule]:
    """See ``planner``: those that have rested, and whether new ones had to wait."""
    free = set(enter)
    recent = state.turns[-max(options.cell_gap, options.key_gap, 1) :]
    for back, place in enumerate(reversed(recent), start=1):
        narrowed = free
        if back <= options.cell_gap:
            narrowed = {n for n in narrowed if pool.places[n] != place}
        if back <= options.key_gap:
            key = state.wiring[place].key
            narrowed = {n for n in narrowed if state.wiring[pool.places[n]].key != key}
        if not narrowed and back <= options.cell_gap:
            narrowed = {n for n in free if pool.places[n] != place}
        free = narrowed or free
    if new_must_wait(state, options):
        free = free - new or free
    return free, Rule.KNOWN if new and not new & free else Rule.SCORE


def _missed_before(state: State, place: int, since: float) -> bool:
    return bool(state.cell_missed[place]) and state.cells.last[place] < since


_Waits = Callable[[int], int]
"""Prompts of the pool since a turn, from 1; a turn below 0 was never."""


def _waits(state: State, pool: Pool) -> _Waits:
    inside = bytearray(len(state.items))
    for place in pool.places:
        inside[place] = 1
    upto: Sequence[int] = [0, *accumulate(map(inside.__getitem__, state.turns))]
    total = upto[-1] + 1
    return lambda turn: total - upto[turn + 1]


def _scored(
    state: State, pool: Pool, n: int, when: float, wait: _Waits
) -> tuple[float, float, float, int]:
    """Score, predicted chance of error and age of a cell, with its place in the pool."""
    place = pool.places[n]
    weights, turn = state.wiring[place].weights, state.cell_turn[place]
    error = 1.0 - chance(state, place, when)
    least = MISSED_ERROR if state.cell_missed[place] else LEAST_ERROR
    age = float(wait(turn)) if turn >= 0 else wait(-1) - 1 + pool.lot(pool.items[n]) * len(pool)
    notes, missed = age if state.turns else 1.0, 0.0
    if weights:
        missed = sum(share * state.fact_missed[fact] for fact, share in weights)
        if state.turns:
            notes = sum(share * wait(state.fact_turn[fact]) for fact, share in weights)
    score = max(error, least) * age * (math.sqrt(notes) * (1.0 + missed))
    return score, error, age, n
