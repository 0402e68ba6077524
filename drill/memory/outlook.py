"""When cells come back: the planner run ahead on a copy of what is known."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from drill.memory.items import Answer, practice_day
from drill.memory.model import learn
from drill.memory.planner import Options, next_item
from drill.memory.pool import Pool
from drill.memory.state import State

FAR = 60
"""Prompts that are looked ahead."""


def outlook(
    state: State, pool: Pool, wanted: Collection[str], now: datetime, options: Options
) -> dict[str, int]:
    """In how many prompts of a practice begun at ``now`` each wanted cell comes, from 1.

    Cells beyond ``FAR`` are left out.  It is worked out as if every answer were right, in the
    order of this pool's seed: an outlook and no promise.  ``state`` stays as it is.
    """
    ahead, begun = state.branch(), options.begun(state, now)
    waiting, found = set(wanted), dict[str, int]()
    for turn in range(1, FAR + 1):
        item = next_item(ahead, pool, now, begun)
        if item is None or not waiting:
            break
        if item.id in waiting:
            waiting.discard(item.id)
            found[item.id] = turn
        learn(ahead, item, Answer(f"{turn}", now, practice_day(now), item.id, right=True))
    return found
