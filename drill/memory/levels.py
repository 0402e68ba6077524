"""How well cells are known, in the words a player reads, and what is due.

A level comes from predicted recall and from evidence in the log, never from the player's
own word.  *By heart* asks for both: right and not slow on several different practice days,
and after the last right answer a predicted recall at the goal for the day that follows; and,
where a goal names kinds of prompt, right in each of them when last asked so.  It is lost by a
slip, or when the predicted recall falls well under the goal; between the two it is *fading*,
and still counts as known by heart.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from drill.memory.items import Item, days
from drill.memory.kinds import LADDER
from drill.memory.model import KEPT_FROM, KEPT_WITHIN, predict
from drill.memory.state import Record, State

HOLDING_FROM = 0.7
"""Predicted recall from which a cell that was right at its last turn is holding."""
ENOUGH = 5
"""Answers in a key below which there is not enough to say of it."""


class Level(StrEnum):
    """Levels by their ids, the least known first; ``wording.levels`` has what players call them."""

    UNTRIED = "untried"
    SHAKY = "shaky"
    HOLDING = "holding"
    FADING = "fading"
    """Was by heart, and asks to be asked."""
    BY_HEART = "by-heart"


@dataclass(frozen=True, slots=True)
class ByHeart:
    """What *by heart* takes."""

    recall: float = 0.9
    """Predicted chance of a right answer, 0 to 1."""
    days: int = 3
    """Different practice days on which the cell was right and not slow."""
    kinds: frozenset[str] = frozenset()
    """Kinds of prompt in each of which its last answer must have been right; empty for none."""

    @property
    def kept_from(self) -> float:
        """Predicted recall below which by heart is lost: a tenth under the goal, at most
        ``KEPT_FROM``."""
        return min(KEPT_FROM, self.recall - KEPT_WITHIN)


GOAL = ByHeart()


def cells_wanted(share: float, cells: int) -> int:
    """How many of so many cells have to be by heart for a share of them, 0 to 1."""
    return math.ceil(share * cells - 1e-9)  # 0.9 of 10 is 9, whatever floats make of it


def goal_of(right: float, days: int, ask: Iterable[str] = ()) -> ByHeart:
    """The goal of a deck; of the kinds that it asks for, those in which a cell can be asked."""
    kinds = frozenset(map(str, ask)) & frozenset(kind.value for kind in LADDER)
    return ByHeart(right, days, kinds)


def level(state: State, item: Item, now: datetime, goal: ByHeart = GOAL) -> Level:
    """The level of a cell at ``now``."""
    record = state.record(item)
    return level_at(record, predict(state, item, now).p, goal) if record.asked else Level.UNTRIED


def level_at(record: Record, p: float, goal: ByHeart = GOAL) -> Level:
    """The level of a cell with that record and that predicted recall."""
    if not record.asked:
        return Level.UNTRIED
    if p >= goal.kept_from and _has_been_known(record, goal):
        return Level.BY_HEART if p >= goal.recall else Level.FADING
    return Level.HOLDING if record.last_right and p >= HOLDING_FROM else Level.SHAKY


def known_by_heart(state: State, item: Item, now: datetime, goal: ByHeart = GOAL) -> bool:
    """Whether a cell is known by heart at ``now``, one that is fading too.

    The same as its level says; no chance is worked out where the record alone decides.
    """
    record = state.record(item)
    return _has_been_known(record, goal) and predict(state, item, now).p >= goal.kept_from


def _has_been_known(record: Record, goal: ByHeart) -> bool:
    enough = record.last_right and record.good_days >= goal.days and record.held >= goal.recall
    return enough and goal.kinds <= record.right_in


def together(levels: Mapping[Level, int], share: float) -> Level:
    """The level of several cells, told by those of them that were asked.

    By heart when the share asked for is, fading or holding when as many are so at least, untried
    when none was asked.
    """
    asked = sum(number for each, number in levels.items() if each is not Level.UNTRIED)
    if not asked:
        return Level.UNTRIED
    reached = 0
    for each in (Level.BY_HEART, Level.FADING, Level.HOLDING):
        reached += levels.get(each, 0)
        if reached >= share * asked:
            return each
    return Level.SHAKY


def by_heart(levels: Mapping[Level, int]) -> int:
    """How many cells are known by heart; those that are fading are not lost yet."""
    return levels.get(Level.BY_HEART, 0) + levels.get(Level.FADING, 0)


def enough(state: State, key: str) -> bool:
    """Whether a key had enough answers to say something of it."""
    return state.key_record(key).asked >= ENOUGH


@dataclass(frozen=True, slots=True)
class Outlook:
    """A choice of cells at one instant."""

    levels: dict[Level, int]
    """How many cells stand at each level; every level is there."""
    due: int
    """Cells that were asked before today and whose predicted recall is below the goal: what is
    asked once leaves the list until tomorrow, so that it can be finished."""


def outlook(
    state: State,
    items: Iterable[Item],
    now: datetime,
    goal: ByHeart = GOAL,
    begun: datetime | None = None,
) -> Outlook:
    """Levels and what is due; all 0 without items.

    ``begun`` is when the practice day began: cells asked since are not due.  None: nothing was
    asked today.
    """
    since = math.inf if begun is None else days(begun)
    levels = dict.fromkeys(Level, 0)
    due = 0
    for item in items:
        record, p = state.record(item), predict(state, item, now).p
        levels[level_at(record, p, goal)] += 1
        last = record.last
        due += last is not None and last < since and p < goal.recall
    return Outlook(levels, due)
