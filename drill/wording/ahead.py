"""What is said of the time to come: when it is enough for today, and when a deck is by heart."""

from __future__ import annotations

from datetime import date, timedelta

from drill.memory.advice import Advice
from drill.memory.forecast import FARTHEST, LEAST_DAYS, LEAST_PROMPTS, PACES, ByDate, Forecast
from drill.shown import counted
from drill.wording.figures import out_of


def advice_words(advice: Advice | None) -> str:
    """Whether to go on today, in one sentence; empty where there is nothing to say."""
    if advice is None:
        return ""
    if not advice.enough:
        return f"{_cells(advice.due)} still worth asking today." if advice.due else ""
    if advice.due or advice.untried:
        brings = "another practice now would bring less than leaving it until tomorrow"
    elif advice.tomorrow:
        brings = "nothing more is due"
    else:
        return "Enough for today: nothing more is due, nor will anything be tomorrow."
    return f"Enough for today: {brings}; tomorrow {_waiting(advice)} worth asking."


def _waiting(advice: Advice) -> str:
    """What tomorrow has, with its verb."""
    if advice.tomorrow:
        return _cells(advice.tomorrow)
    return f"{advice.untried} new cells are" if advice.untried != 1 else "one new cell is"


def _cells(number: int) -> str:
    return "1 cell is" if number == 1 else f"{number} cells are"


def forecast_words(ahead: Forecast, today: date, day: date | None = None) -> str:
    """When the cells that are asked for will be by heart, and what a due date will find.

    ``day`` is that date, said as well where it is today or past; None for none.
    """
    said = _when(ahead, today)
    if ahead.due:
        return f"{said} {_due(ahead.due, ahead)}"
    if day is None:
        return said
    return f"{said} It {'is due today' if day == today else f'was due on {day}'}."


def _when(ahead: Forecast, today: date) -> str:
    done = out_of(ahead.by_heart, ahead.cells, "cells by heart")
    if ahead.by_heart >= ahead.wanted:
        return f"{done}: as many as the goal asks for."
    if not ahead.enough:
        return (
            f"{done}; to tell a pace takes {LEAST_DAYS} practice days and {LEAST_PROMPTS} prompts "
            f"of this deck within four weeks ({_days(ahead.practice_days)} so far)."
        )
    number = _number(ahead.prompts_a_day)
    pace = f"{done}; at {number} prompt{'' if number == '1' else 's'} a day"
    if ahead.days is None or ahead.soonest is None:
        soonest = f", not before {_day(ahead.soonest, today)}" if ahead.soonest else ""
        return f"{pace} the goal of {ahead.wanted} lies too far ahead to tell a day{soonest}."
    latest = f"to {_day(ahead.latest, today)}" if ahead.latest is not None else "or later"
    likely = f"{_day(ahead.soonest, today)} {latest}"
    are = "is" if ahead.wanted == 1 else "are"
    return (
        f"{pace} {ahead.wanted} {are} by heart about {_day(ahead.days, today)} (likely {likely})."
    )


def _due(due: ByDate, ahead: Forecast) -> str:
    """The due date, what it will find, and the pace that would do."""
    said = f"It is due on {due.day}"
    if due.by_heart is None:
        return (
            f"{said}: too far ahead to tell what will be by heart." if ahead.enough else f"{said}."
        )
    said += f": about {due.by_heart} by heart then (likely {due.least} to {due.most})"
    if ahead.by_heart >= ahead.wanted or due.days > FARTHEST:
        return f"{said}."
    if due.pace is None:
        return f"{said}; no pace up to {PACES[-1]} prompts a day reaches {ahead.wanted} by then."
    if due.pace == 0:
        return f"{said}; this pace reaches the goal of {ahead.wanted}."
    return f"{said}; about {due.pace} prompts every day would reach {ahead.wanted}."


def _number(value: float) -> str:
    return f"{value:.0f}" if value >= 10 else f"{value:.1f}".removesuffix(".0")


def _day(days: float | None, today: date) -> str:
    return (today + timedelta(days=round(days or 0.0))).isoformat()


def _days(number: int) -> str:
    return counted(number, "such day")
