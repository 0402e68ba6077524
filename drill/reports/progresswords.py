"""How a player's figures are said, the same in text and on the page."""

from __future__ import annotations

from datetime import date, timedelta

from drill.memory.levels import ENOUGH, Level
from drill.memory.progress import LEAST_DAYS, Forecast
from drill.reports.figures import count, percent
from drill.reports.progress import Progress

TOO_FEW = "not enough answers yet"
FARTHEST_DAYS = 3650.0
"""A day farther away than this is not named."""

Signs = tuple[str, str, str, str]
"""A sign beside each level's word: untried, shaky, holding, by heart."""


def level_words(level: Level, signs: Signs) -> str:
    """A level's sign and word."""
    return f"{signs[list(Level).index(level)]} {level.value}"


def errors_words(rate: float | None, *, enough: bool = True) -> str:
    """An error rate: ``25 %``; in words where too little was asked to say."""
    if not enough:
        return TOO_FEW
    return "-" if rate is None else f"{percent(rate)} %"


def due_words(made: Progress) -> str:
    """When the deck will be by heart, with how sure that is, and the day it is due."""
    said = forecast_words(made.forecast, date.fromisoformat(made.today))
    return f"{said} It is due on {made.deck.due.isoformat()}." if made.deck.due else said


def forecast_words(ahead: Forecast, today: date) -> str:
    """The forecast in a sentence or two; the interval holds 80 % of what may come."""
    if not ahead.steps_left:
        return f"All {count(ahead.cells, 'cell')} are by heart."
    done = f"{ahead.by_heart} of {count(ahead.cells, 'cell')} by heart"
    if not ahead.enough:
        return (
            f"{done}; it takes {LEAST_DAYS} practice days with progress to tell a pace "
            f"({ahead.practice_days} so far)."
        )
    pace = f"{done}; {ahead.steps_left} good days of cells to go, {ahead.steps_a_day:.1f} a day"
    if ahead.days is None or ahead.days > FARTHEST_DAYS:
        return f"{pace}: at this pace it is by heart in more than ten years."
    soonest = _day(ahead.soonest, today) or "no soonest day can be told"
    latest = _day(ahead.latest, today)
    range_ = f"{soonest} to {latest}" if latest else f"{soonest} or later, no latest day is sure"
    return f"{pace}: at this pace by heart about {_day(ahead.days, today)} (80 % sure: {range_})."


def _day(days: float | None, today: date) -> str:
    """The date so many days ahead; empty where there is none or it is too far."""
    if days is None or days > FARTHEST_DAYS:
        return ""
    return (today + timedelta(days=round(days))).isoformat()


def too_few_note() -> str:
    """What ``TOO_FEW`` means."""
    return f"{TOO_FEW}: under {ENOUGH} in the key"
