"""The weeks so far: what was asked, and what was known at the end of each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median

from drill.memory.items import Answer, Item, date_of
from drill.memory.levels import GOAL, ByHeart, known_by_heart
from drill.memory.model import learn, predict
from drill.memory.state import State


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
    goal: ByHeart = GOAL,
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


def _monday(day: str) -> str:
    """The Monday on or before a day; empty when the day is no date."""
    at = date_of(day)
    return date.fromordinal(max(at.toordinal() - at.weekday(), 1)).isoformat() if at else ""


def _week(
    monday: str, week: Sequence[Answer], state: State, chosen: Sequence[Item], goal: ByHeart
) -> Week:
    at = week[-1].at
    times = [a.seconds for a in week if a.right and a.seconds is not None]
    return Week(
        begins=monday,
        asked=len(week),
        right=sum(a.right for a in week),
        seconds=median(times) if times else None,
        recall=sum(predict(state, item, at).p for item in chosen) / len(chosen),
        by_heart=sum(known_by_heart(state, item, at, goal) for item in chosen),
        practice_days=len({a.day for a in week}),
    )
