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


@dataclass(frozen=True, slots=True)
class Spent:
    """What a practice has had so far."""

    asked: int
    """Prompts that count, without the closing round."""
    missed: int
    """Different cells that are to be asked once more."""
    typed: int
    """Everything that was typed and marked, copies too."""
    closed: int
    """Prompts of the closing round."""


def left(plan: Plan, state: Standing, spent: Spent, now: datetime) -> Left:
    """What is left before the end."""
    prompts = None
    if plan.prompts is not None:
        prompts = max(0, plan.prompts - spent.asked - spent.closed)
    minutes = None
    if plan.minutes is not None:
        minutes = max(0.0, plan.minutes - seconds(state, now) / 60)
    return Left(prompts, minutes)


def closing_most(plan: Plan, spent: Spent) -> int:
    """The most prompts that the closing round may have."""
    if not plan.missed_again:
        return 0
    most = plan.prompts if plan.prompts is not None else spent.asked * CLOSING_SHARE
    if plan.minutes is not None:
        # No more than that share of what is asked in the time that there is.
        most = min(most, spent.asked * CLOSING_SHARE // (CLOSING_SHARE - 1))
    return min(spent.missed, most // CLOSING_SHARE)


def is_full(plan: Plan, state: Standing, spent: Spent, now: datetime) -> bool:
    """Whether no further prompt fits before the closing round."""
    closing = closing_most(plan, spent)
    if plan.prompts is not None and spent.asked + closing >= plan.prompts:
        return True
    if plan.minutes is None or not spent.asked:
        return False
    pace = seconds_an_answer(state, spent, now)
    whole = 60 * plan.minutes
    ending = min(closing * pace, whole / CLOSING_SHARE)
    return seconds(state, now) + _next_s(plan, spent, pace) + ending > whole


def is_over(plan: Plan, state: Standing, spent: Spent, now: datetime) -> bool:
    """Whether no further prompt of the closing round fits."""
    if spent.closed >= closing_most(plan, spent):
        return True
    if plan.minutes is None:
        return False
    pace = seconds_an_answer(state, spent, now)
    return seconds(state, now) + _next_s(plan, spent, pace) > 60 * plan.minutes


def _next_s(plan: Plan, spent: Spent, pace: float) -> float:
    """Seconds for one more prompt, its copy too where one is likely."""
    copied = plan.again and spent.missed * OFTEN > spent.asked
    return pace * (2 if copied else 1)


def seconds(state: Standing, now: datetime) -> float:
    """Seconds since the practice began; a clock set back cannot make it longer than it was."""
    return abs((now - state.began).total_seconds()) if state.began else 0.0


def seconds_an_answer(state: Standing, spent: Spent, now: datetime) -> float:
    """Seconds that one typed answer takes in this practice, reading included."""
    return (seconds(state, now) + WEIGHT * FIRST_PACE_S) / (spent.typed + WEIGHT)
