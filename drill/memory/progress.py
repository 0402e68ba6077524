"""Where it is going: when a choice of cells will be by heart, and the weeks so far.

The forecast counts *steps*: each cell takes as many good practice days as the goal asks,
and a cell that was by heart and has faded takes one more.  The steps of each of the last
days, idle ones included, give a pace; its uncertainty gives the interval.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median

from drill.memory.items import Answer, Item
from drill.memory.levels import GOAL, Goal, Level, level
from drill.memory.model import learn, predict
from drill.memory.state import State

WINDOW = 28
"""Days that the pace is taken from."""
LEAST_DAYS = 3
"""Practice days below which no pace is told."""
_EIGHTY = 1.2816
"""The normal quantile of an 80 % interval."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """When the cells will be by heart if practice goes on as it did."""

    cells: int
    by_heart: int
    steps_left: int
    """Good days that the cells still take together."""
    steps_a_day: float
    """The pace, over all days."""
    practice_days: int
    """Practice days in the window, from which the pace was taken."""
    enough: bool
    """False: not enough practice days yet to say more; the rest is None."""
    days: float | None
    """Days from today; 0 when all are by heart, None when nothing moves."""
    soonest: float | None
    """Lower end of the 80 % interval, in days."""
    latest: float | None
    """Upper end; None when it cannot be told."""


def forecast(
    state: State, items: Sequence[Item], now: datetime, today: str, goal: Goal = GOAL
) -> Forecast:
    """When ``items`` will be by heart; ``today`` is the present practice day (ISO).

    The interval covers a pace that varies from day to day, not a change of habits.
    """
    end = date.fromisoformat(today)
    gained: dict[date, int] = {}
    left = by_heart = 0
    for item in items:
        good = sorted(state.good_days[place]) if (place := _place(state, item)) is not None else []
        for day in good[: goal.days]:
            when = _date(day)
            if when is not None:
                gained[when] = gained.get(when, 0) + 1
        if level(state, item, now, goal) in (Level.BY_HEART, Level.FADING):
            by_heart += 1
        else:
            left += max(goal.days - len(good), 1)
    begun = min(gained, default=None)
    window = min((end - begun).days + 1, WINDOW) if begun else 0
    steps = [gained.get(end - timedelta(days=n), 0) for n in range(max(window, 0))]
    practised = sum(1 for step in steps if step)
    pace = sum(steps) / len(steps) if steps else 0.0
    days, soonest, latest = _time(left, steps)
    enough = practised >= LEAST_DAYS or not left
    if not enough:
        days = soonest = latest = None
    return Forecast(len(items), by_heart, left, pace, practised, enough, days, soonest, latest)


def _place(state: State, item: Item) -> int | None:
    return state.cells.index.get(item.id)


def _time(left: int, steps: Sequence[int]) -> tuple[float | None, float | None, float | None]:
    """Days for so many steps, with an 80 % interval from the spread of the daily steps."""
    if not left:
        return 0.0, 0.0, 0.0
    n = len(steps)
    pace = sum(steps) / n if n else 0.0
    if pace <= 0.0:
        return None, None, None
    if n == 1:
        return left / pace, None, None
    variance = sum((step - pace) ** 2 for step in steps) / (n - 1)
    # Student's quantile from the normal one (Abramowitz & Stegun 26.7.5, first term; from memory).
    quantile = _EIGHTY + (_EIGHTY**3 + _EIGHTY) / (4 * (n - 1))
    # The days to come vary as the past ones do, and the pace itself is only an estimate.
    days = left / pace
    spread = quantile * math.sqrt(variance / n + variance / days)
    slow = pace - spread
    return days, left / (pace + spread), left / slow if slow > 0.0 else None


@dataclass(frozen=True, slots=True)
class Week:
    """One week of practice."""

    begins: str
    """Its Monday, as an ISO date."""
    asked: int
    right: int
    seconds: float | None
    """Median seconds of right answers; None when none was timed."""
    recall: float
    """Mean predicted recall of the chosen cells at the week's last answer."""
    by_heart: int
    """Chosen cells by heart at that instant."""
    practice_days: int

    @property
    def error_rate(self) -> float:
        """Share of answers that were not right, 0 to 1; a week has at least one answer."""
        return 1.0 - self.right / self.asked


def weeks(
    answers: Iterable[Answer],
    items: Mapping[str, Item],
    chosen: Sequence[Item],
    goal: Goal = GOAL,
) -> tuple[Week, ...]:
    """The weeks in which ``chosen`` cells were asked, oldest first; weeks without are left out.

    The model learns from the whole log, so what other decks taught counts.
    """
    state = State()
    wanted = {item.id for item in chosen}
    out: list[Week] = []
    monday, week = "", list[Answer]()
    for answer in sorted(answers, key=lambda a: a.order):
        item = items.get(answer.item)
        if item is None or not answer.teaches:
            continue
        begins = _monday(answer.day)
        if begins > monday:  # a clock set back stays in its week
            if week:
                out.append(_week(monday, week, state, chosen, goal))
            monday, week = begins, []
        learn(state, item, answer)
        if answer.item in wanted:
            week.append(answer)
    if week:
        out.append(_week(monday, week, state, chosen, goal))
    return tuple(out)


def _date(day: str) -> date | None:
    """The date of a practice day; None when it is none."""
    try:
        return date.fromisoformat(day)
    except ValueError:
        return None


def _monday(day: str) -> str:
    """The Monday on or before a day; empty when the day is no date."""
    at = _date(day)
    return date.fromordinal(max(at.toordinal() - at.weekday(), 1)).isoformat() if at else ""


def _week(
    monday: str, week: Sequence[Answer], state: State, chosen: Sequence[Item], goal: Goal
) -> Week:
    at = week[-1].at
    times = [a.seconds for a in week if a.right and a.seconds is not None]
    return Week(
        begins=monday,
        asked=len(week),
        right=sum(a.right for a in week),
        seconds=median(times) if times else None,
        recall=sum(predict(state, item, at).p for item in chosen) / len(chosen),
        by_heart=sum(
            level(state, item, at, goal) in (Level.BY_HEART, Level.FADING) for item in chosen
        ),
        practice_days=len({a.day for a in week}),
    )
