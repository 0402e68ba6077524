"""When it is enough for today: what a practice would bring now, beside the same one tomorrow.

Both practices are run ahead with the planner, and what each brings is the rise in predicted
recall a week after it, by what is believed now: the answers drawn change counts and instants
and no belief, or their chance would drown the difference.  On simulated learners the ratio of
the two falls with the prompts of a day, as the true one does: see ``bench_forecast.py``.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from drill.memory.ahead import Drawn
from drill.memory.items import days
from drill.memory.kinds import Kind
from drill.memory.levels import GOAL, ByHeart
from drill.memory.planner import DEFAULTS, Options
from drill.memory.pool import Pool, asked_before, chances, untried
from drill.memory.state import State

WORTH = 0.65
"""A practice that brings less than this share of what it would bring tomorrow is better left
until then.  The first prompts of a day stand at about 0.73."""
PROMPTS, DRAWS = 20, 6
"""The practice that is looked at, and how many courses of it are drawn.  Before as many prompts
were asked on a day it is not enough while anything is due."""
WEEK = timedelta(days=7)
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Advice:
    """What is to be said of more practice on this day."""

    enough: bool
    """Whether to leave it until tomorrow; going on is possible all the same."""
    due: int
    """Cells that are still due today: asked before today, and under the goal."""
    tomorrow: int
    """Cells that will be due at this time tomorrow."""
    untried: int
    """Cells that were never asked."""
    now: float
    """Rise in mean predicted recall that another practice now would bring, a week after it; 0
    where it was not worked out, as nothing is due and nothing is new."""
    later: float
    """The same for a practice at this time tomorrow."""


def advice(
    state: State,
    pool: Pool,
    now: datetime,
    begun: datetime,
    *,
    goal: ByHeart = GOAL,
    options: Options = DEFAULTS,
    kinds: Sequence[str] = (Kind.DEGREE.value,),
) -> Advice | None:
    """Whether it is enough for today; None when nothing of the pool was asked today.

    ``begun`` is when the practice day began.  ``state`` stays as it is; the same state gives the
    same advice.
    """
    today, last = days(begun), state.cells.last
    if all(state.cell_turn[place] < 0 or last[place] < today for place in pool.places):
        return None  # told without arrays: a practice begins and ends without them
    new, before = untried(state, pool), asked_before(state, pool, today)
    low = chances(state, pool, days(now)) < goal.recall
    later = chances(state, pool, days(now + DAY)) < goal.recall
    due, tomorrow = int((before & low).sum()), int((~new & later).sum())
    if not due and not new.any():
        return Advice(True, due, tomorrow, 0, 0.0, 0.0)
    gains = [_gain(state, pool, at, options, kinds) for at in (now, now + DAY)]
    enough = _asked_on(state, pool, begun) >= PROMPTS and 0.0 < gains[1] * WORTH > gains[0]
    return Advice(enough, due, tomorrow, int(new.sum()), *gains)


def _asked_on(state: State, pool: Pool, begun: datetime) -> int:
    """Prompts of the pool on the practice day that began then."""
    import numpy as np

    today = np.array(state.turn_day, dtype=np.int64) == begun.date().toordinal()
    return int(np.isin(np.array(state.turns, dtype=np.int64)[today], pool.arrays.place).sum())


def _gain(state: State, pool: Pool, at: datetime, options: Options, kinds: Sequence[str]) -> float:
    """What a practice at an instant adds to the mean predicted recall a week later."""
    after = days(at + WEEK)
    without = float(chances(state, pool, after).mean())
    total = 0.0
    for number in range(DRAWS):
        chance = random.Random(f"{pool.seed}:{len(state.turns)}:{number}")
        drawn = Drawn(state, pool, chance, kinds, believed=True)
        drawn.practise(at, PROMPTS, options)
        total += float(chances(drawn.player, pool, after).mean()) - without
    return total / DRAWS
