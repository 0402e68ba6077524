"""When missed cells come back: the planner's rule run ahead on what is known now."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection
from datetime import datetime

from drill.memory.items import days
from drill.memory.model import State as Memory
from drill.memory.planner import LEAST_ERROR, Options
from drill.memory.pool import Pool, ages, chances, untried

FAR = 60
"""Prompts that are looked ahead."""


def coming(
    memory: Memory, pool: Pool, wanted: Collection[str], now: datetime, options: Options
) -> dict[str, int]:
    """In how many prompts of the next practice each wanted cell comes, from 1.

    Cells beyond ``FAR`` are left out.  What is answered meanwhile is not known, so that
    chances stay as they are; it is an outlook and no promise.
    """
    at = days(now) if options.aim is None else max(days(now), days(options.aim))
    error = (1.0 - chances(memory, pool, at)).clip(LEAST_ERROR)
    age = ages(memory, pool).copy()
    fresh = untried(memory, pool)
    recent = deque(memory.turn_new[-9:], maxlen=9)
    last_cell = dict.fromkeys(range(len(pool)), -options.cell_gap - 1)
    last_key: dict[int, int] = {}
    waiting, found = set(wanted), {}
    for turn in range(1, FAR + 1):
        score = error * age
        limit = options.new_in_ten
        if limit is not None and sum(recent) >= limit and not fresh.all():
            score[fresh] = -1.0
        for i, when in last_cell.items():
            if turn - when <= options.cell_gap:
                score[i] = -1.0
        for key, when in last_key.items():
            if turn - when <= options.key_gap:
                score[pool.key == key] = -1.0
        pick = int(score.argmax())
        last_cell[pick], last_key[int(pool.key[pick])] = turn, turn
        age += 1
        age[pick] = 1
        recent.append(int(fresh[pick]))
        fresh[pick] = False
        item = pool.items[pick].id
        if item in waiting:
            waiting.discard(item)
            found[item] = turn
        if not waiting:
            break
    return found
