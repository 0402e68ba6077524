"""How long a practice is: what is left of it, and when what must be left for the closing round.

Minutes run to the end of everything.  The closing round is at most a tenth of a practice
and counts among its prompts; copies alone come on top.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from drill.practice.course import Plan, Standing

CLOSING_SHARE = 10
"""The closing round is at most one part in so many: what was seen minutes before teaches little,
and on simulated players a fifth instead costs one to three points of recall."""
FIRST_PACE_S, WEIGHT = 12.0, 2
"""Seconds an answer takes before this practice has shown it, counting as so many answers."""
OFTEN = 5
"""With more than one slip in so many prompts, time is kept for the copy of the next."""


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of a practice, the open prompt included."""

    prompts: int | None
    """None where prompts are no limit."""
    minutes: float | None
    """To the end of everything; None where minutes are no limit."""


def left(plan: Plan, state: Standing, now: datetime) -> Left:
    """What is left before the end."""
    prompts = None
    if plan.prompts is not None:
        prompts = max(0, plan.prompts - state.asked - state.closed)
    minutes = None
    if plan.minutes is not None:
        minutes = max(0.0, plan.minutes - state.seconds(now) / 60)
    return Left(prompts, minutes)


def closing_most(plan: Plan, state: Standing) -> int:
    """The most prompts that the closing round may have."""
    if not plan.missed_again:
        return 0
    most = plan.prompts if plan.prompts is not None else state.asked * CLOSING_SHARE
    if plan.minutes is not None:
        # No more than that share of what is asked in the time that there is.
        most = min(most, state.asked * CLOSING_SHARE // (CLOSING_SHARE - 1))
    return min(len(state.missed), most // CLOSING_SHARE)


def is_full(plan: Plan, state: Standing, now: datetime) -> bool:
    """Whether no further prompt fits before the closing round."""
    closing = closing_most(plan, state)
    if plan.prompts is not None and state.asked + closing >= plan.prompts:
        return True
    if plan.minutes is None or not state.asked:
        return False
    pace = seconds_an_answer(state, now)
    whole = 60 * plan.minutes
    ending = min(closing * pace, whole / CLOSING_SHARE)
    return state.seconds(now) + _next_s(plan, state, pace) + ending > whole


def is_over(plan: Plan, state: Standing, now: datetime) -> bool:
    """Whether no further prompt of the closing round fits."""
    if state.closed >= closing_most(plan, state):
        return True
    if plan.minutes is None:
        return False
    pace = seconds_an_answer(state, now)
    return state.seconds(now) + _next_s(plan, state, pace) > 60 * plan.minutes


def _next_s(plan: Plan, state: Standing, pace: float) -> float:
    """Seconds for one more prompt, its copy too where one is likely."""
    copied = plan.again and len(state.missed) * OFTEN > state.asked
    return pace * (2 if copied else 1)


def seconds_an_answer(state: Standing, now: datetime) -> float:
    """Seconds that one typed answer takes in this practice, reading included."""
    return (state.seconds(now) + WEIGHT * FIRST_PACE_S) / (state.typed + WEIGHT)
