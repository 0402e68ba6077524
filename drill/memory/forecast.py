"""When a deck will be by heart: the planner run ahead at the player's own pace.

Courses of days are drawn (``ahead``) from the days that the log holds, idle ones included, until
the share of cells that the deck asks for is by heart.  Their middle is the forecast; their spread
gives the interval, widened by what simulated learners showed: see ``EARLY`` and ``LATE``.  The
work is bounded by prompts, not by a clock, so that the same log gives the same forecast.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from statistics import median

from drill.memory.ahead import Day, Drawn, course, known
from drill.memory.kinds import Kind
from drill.memory.levels import GOAL, ByHeart, cells_wanted
from drill.memory.planner import DEFAULTS, Options
from drill.memory.pool import Pool
from drill.memory.state import State

WINDOW = 28
"""Days that the pace is taken from."""
LEAST_DAYS, LEAST_PROMPTS = 3, 40
"""Practice days and prompts of the deck below which nothing is told."""
FARTHEST = 120
"""Days that are looked ahead."""
COURSES = 12
"""Courses that are drawn, as far as ``WORK`` allows; at least ``FEWEST``."""
FEWEST = 4
WORK, LARGE = 9000, 300
"""Prompts that may be worked out for one forecast, about two or three seconds; of a deck with
more cells, where each takes longer, so many fewer."""
MIDDLE, EARLY, LATE = 1.0, 0.8, 1.3
"""What the days drawn are multiplied by, for the middle and the ends of the interval: what players
do is more varied than the model believes.  Set on simulated learners, so that a forecast holds the
truth in eight cases of ten; checked on others in ``bench_forecast.py``."""
PACES: tuple[int, ...] = (5, 8, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100)
"""Prompts a day among which a pace towards a date is sought."""
_PACE_COURSES, _PACE_WORK = 3, 1500
"""Courses drawn for each pace that is looked at, one alone where they are long."""
_EIGHTY = (0.1, 0.9)


@dataclass(frozen=True, slots=True)
class ByDate:
    """What will be by heart on the day that the deck is due."""

    day: str
    """The day, as an ISO date."""
    days: int
    """Days until then, 1 or more."""
    by_heart: int | None
    """Cells by heart then at the present pace; None where that cannot be told yet."""
    least: int | None
    """The 80 % interval."""
    most: int | None
    pace: int | None
    """Prompts a day, every day, that would reach the goal by then; 0 when the present pace does;
    None when no pace looked at would, or it cannot be told."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """When the share of cells that is asked for will be by heart, if practice goes on as it did."""

    cells: int
    by_heart: int
    """Cells by heart now, the fading ones with them."""
    wanted: int
    """Cells that the deck's goal asks for."""
    practice_days: int
    """Practice days in the window that the pace was taken from."""
    prompts_a_day: float
    """The pace, over all days of the window."""
    enough: bool
    """False: not enough practice yet to say more; the rest is None."""
    days: float | None
    """Days from today; 0 when the goal is reached, None when it lies too far ahead to tell."""
    soonest: float | None
    """Lower end of the 80 % interval, in days; None with ``days``, or when too far."""
    latest: float | None
    """Upper end; None when it cannot be told."""
    due: ByDate | None = None
    """For a deck with a due date that lies ahead."""


@dataclass(frozen=True, slots=True)
class Aim:
    """What is forecast."""

    goal: ByHeart = GOAL
    share: float = 0.9
    """Share of the cells that is to be by heart, above 0 and up to 1."""
    due: str | None = None
    """The day by which, as an ISO date; None for no day."""
    options: Options = DEFAULTS
    kinds: tuple[str, ...] = (Kind.DEGREE.value,)
    """Kinds of prompt that are asked."""


class _Habits:
    """The days of the window, and days to come that are like them."""

    def __init__(self, state: State, pool: Pool, today: date) -> None:
        import numpy as np

        turns = np.array(state.turns, dtype=np.int64)
        inside = np.isin(turns, pool.arrays.place)
        on = np.array(state.turn_day, dtype=np.int64)[inside]
        now = today.toordinal()
        on = on[(on > now - WINDOW) & (on <= now)]
        self.today = now
        self.prompts = len(on)
        first = int(on.min()) if len(on) else now
        last = now if (on == now).any() else now - 1  # a day without practice is not over yet
        self.counts = {day: int((on == day).sum()) for day in range(first, last + 1)}
        self.practised = sum(1 for count in self.counts.values() if count)
        self.begins = 1 if (on == now).any() else 0
        """Days from now to the next practice day that can be."""

    @property
    def a_day(self) -> float:
        return self.prompts / len(self.counts) if self.counts else 0.0

    def day(self, after: int, chance: random.Random) -> Day:
        """A day like one of those before: one of the same weekday once there are two weeks."""
        weekday = (self.today + after) % 7
        like = [day for day in self.counts if day % 7 == weekday]
        pick = chance.choice(like if len(self.counts) >= 14 else list(self.counts))
        return Day(after, self.counts[pick])


def forecast(state: State, pool: Pool, now: datetime, today: str, aim: Aim) -> Forecast:
    """When a pool will be by heart at the pace of its last days; ``today`` is the practice day.

    ``state`` stays as it is.  The interval holds the chance of the answers, of the days and of
    what is not known of the player, not a change of habits.
    """
    here = date.fromisoformat(today)
    habits = _Habits(state, pool, here)
    wanted = cells_wanted(aim.share, len(pool))
    by_heart = known(state, pool, now, aim.goal)
    enough = habits.practised >= LEAST_DAYS and habits.prompts >= LEAST_PROMPTS
    told = Forecast(
        len(pool), by_heart, wanted, habits.practised, habits.a_day, enough, None, None, None
    )
    until = max(0, (date.fromisoformat(aim.due) - here).days) if aim.due else 0
    if by_heart >= wanted:
        told = replace(told, enough=True, days=0.0, soonest=0.0, latest=0.0)
    if aim.due and until:
        told = replace(told, due=ByDate(aim.due, until, None, None, None, None))
    if not told.enough or not len(pool) or not habits.counts:
        return told
    start = _Outset(state, pool, now, aim, wanted, until)
    drawn = _courses(start, habits)
    if told.days is None:
        reached = [each.reached for each in drawn]
        low, high = (_quantile(reached, share) for share in _EIGHTY)
        told = replace(
            told,
            days=_times(MIDDLE, median(reached)),
            soonest=_times(EARLY, low),
            latest=_times(LATE, high),
        )
    if told.due is None:
        return told
    due = _by_date(told.due, drawn, until)
    if due.by_heart is None:
        return told
    if due.by_heart >= told.wanted:
        return replace(told, due=replace(due, pace=0))
    pace = _pace(start) if until <= FARTHEST else None
    return replace(told, due=replace(due, pace=pace))


@dataclass(frozen=True, slots=True)
class _Outset:
    """Where every course begins, and what it is to reach."""

    state: State
    pool: Pool
    now: datetime
    aim: Aim
    wanted: int
    until: int
    """Days to the due date; 0 without one."""

    def drawn(self, chance: random.Random) -> Drawn:
        """A player like this one."""
        return Drawn(self.state, self.pool, chance, self.aim.kinds)

    def course(self, drawn: Drawn, days: Sequence[Day]) -> Iterator[tuple[Day, int]]:
        """Those days with the cells by heart at the end of each."""
        return course(drawn, self.pool, days, self.now, self.aim.goal, self.aim.options)


@dataclass(frozen=True, slots=True)
class _Days:
    """One course that was drawn."""

    reached: float
    """Days until the cells wanted were by heart; infinite when they were not."""
    counts: tuple[int, ...]
    """Cells by heart at the end of each day, from the first."""
    first: int
    """Days from now to that first day."""

    def on(self, day: float) -> int:
        """Cells by heart on a day; on the last one known where it lies beyond."""
        return self.counts[min(max(round(day) - self.first, 0), len(self.counts) - 1)]


def _courses(start: _Outset, habits: _Habits) -> list[_Days]:
    """Courses of days as the habits have them, until the goal and past the due date."""
    out: list[_Days] = []
    spent, work = 0, WORK * min(1.0, LARGE / len(start.pool))
    for number in range(COURSES):
        if spent >= work and len(out) >= FEWEST:
            break
        chance = random.Random(f"{start.pool.seed}:{len(start.state.turns)}:{number}")
        drawn = start.drawn(chance)
        days = [habits.day(after, chance) for after in range(habits.begins, FARTHEST + 1)]
        reached, counts, prompts = math.inf, list[int](), 0
        for day, count in start.course(drawn, days):
            counts.append(count)
            prompts += day.prompts
            if count >= start.wanted and reached == math.inf:
                reached = float(max(day.after, 1))
            if (reached < math.inf and day.after >= LATE * start.until) or prompts >= work / FEWEST:
                break
        spent += prompts
        out.append(_Days(reached, tuple(counts), habits.begins))
    return out


def _by_date(due: ByDate, drawn: Sequence[_Days], until: int) -> ByDate:
    """What is by heart on the day: the days are stretched as those of the forecast are."""
    if any(len(each.counts) + each.first <= until / EARLY for each in drawn):
        return due  # too many prompts until then to be worked out
    middle = median(sorted(each.on(until / MIDDLE) for each in drawn))
    least = _quantile([each.on(until / LATE) for each in drawn], _EIGHTY[0])
    most = _quantile([each.on(until / EARLY) for each in drawn], _EIGHTY[1])
    return replace(due, by_heart=round(middle), least=round(least), most=round(most))


def _pace(start: _Outset) -> int | None:
    """The least of ``PACES`` that reaches the goal by the day; None when none does."""
    days = max(1, round(start.until / MIDDLE))
    low, high = 0, len(PACES)
    while low < high:
        middle = (low + high) // 2
        plan = [Day(after, PACES[middle]) for after in range(1, days + 1)]
        courses = 1 if days * PACES[middle] > _PACE_WORK else _PACE_COURSES
        reached = 0
        for number in range(courses):
            drawn = start.drawn(random.Random(f"{start.pool.seed}:{number}"))
            reached += any(count >= start.wanted for _, count in start.course(drawn, plan))
        if 2 * reached > courses:
            high = middle
        else:
            low = middle + 1
    return PACES[low] if low < len(PACES) else None


def _times(factor: float, days: float) -> float | None:
    """So many days stretched; None where they are too far to tell."""
    return factor * days if days < math.inf else None


def _quantile(values: Sequence[float], share: float) -> float:
    """A quantile of a few values, between two of them where it falls there."""
    ranked = sorted(values)
    place = share * (len(ranked) - 1)
    low, high = ranked[math.floor(place)], ranked[math.ceil(place)]
    if high == math.inf:
        return high if place > math.floor(place) or low == math.inf else low
    return low + (high - low) * (place - math.floor(place))
