"""How well a cell is known, in the four words a player reads, from the log's record."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum

from drill.memory.items import Item
from drill.memory.model import State as Memory
from drill.memory.model import predict

HOLDING_FROM = 0.7
"""Predicted recall from which a cell that was right at its last turn is holding."""


class Level(StrEnum):
    """Levels as shown to a person."""

    UNTRIED = "untried"
    SHAKY = "shaky"
    HOLDING = "holding"
    BY_HEART = "by heart"


def level_of(memory: Memory, item: Item, now: datetime, goal: float, days: int) -> Level:
    """The level of a cell: ``goal`` is the recall and ``days`` the days that by heart takes."""
    record = memory.record(item)
    if not record.asked:
        return Level.UNTRIED
    p = predict(memory, item, now).p
    if record.last_right and p >= goal and record.good_days >= days:
        return Level.BY_HEART
    return Level.HOLDING if record.last_right and p >= HOLDING_FROM else Level.SHAKY
