"""Looking ahead from a deck: whether it is enough for today, and when it will be by heart.

Both run the planner ahead on a branch; neither changes what is known.  A forecast takes up to
some seconds in a large deck: not for the loop of a screen.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, tzinfo
from typing import TYPE_CHECKING

from drill.decks.schema import Deck
from drill.memory import levels
from drill.memory.items import day_begins, practice_day
from drill.memory.kinds import LADDER, Kind
from drill.memory.levels import ByHeart
from drill.memory.pool import Pool
from drill.memory.state import State as Memory
from drill.practice.course import Plan

if TYPE_CHECKING:
    from drill.memory.advice import Advice
    from drill.memory.forecast import Forecast

# What looks ahead is loaded when somebody does: the first prompt comes without it.


def goal_of(deck: Deck) -> ByHeart:
    """What *by heart* takes in a deck."""
    return levels.goal_of(deck.goal.right, deck.goal.days, deck.goal.ask)


def _kinds(plan: Plan) -> tuple[str, ...]:
    """The kinds that the planner chooses among."""
    return tuple(kind for kind in plan.kinds if kind in LADDER and kind != Kind.TIME)


def advice_for(
    memory: Memory, pool: Pool, deck: Deck, plan: Plan, now: datetime, zone: tzinfo | None
) -> Advice | None:
    """Whether it is enough for today; None where nothing of the deck was asked today.

    ``zone`` is where the player's day begins; None takes that of ``now``.
    """
    from drill.memory.advice import advice

    begun = day_begins(now, zone)
    return advice(
        memory, pool, now, begun, goal=goal_of(deck), options=plan.options, kinds=_kinds(plan)
    )


def forecast_for(
    memory: Memory, pool: Pool, deck: Deck, plan: Plan, now: datetime, zone: tzinfo | None
) -> Forecast:
    """When the share of cells that the deck's goal asks for will be by heart, and what is known
    by its due date while that lies ahead.

    Whole runs and playing in time are not run ahead, so what the goal asks of them is left out.
    """
    from drill.memory.forecast import Aim, forecast

    due = deck.due.isoformat() if deck.due else None
    goal, kinds = goal_of(deck), _kinds(plan)
    goal = replace(goal, kinds=goal.kinds & frozenset(kinds) - {Kind.RUN})
    aim = Aim(goal, deck.goal.right, due, plan.options, kinds)
    return forecast(memory, pool, now, practice_day(now, zone), aim)
