"""What is said of the time to come is what the figures say, and no more."""

from __future__ import annotations

from datetime import date

import pytest
from forecasts import ahead

from drill.memory.advice import Advice
from drill.memory.forecast import ByDate, Forecast
from drill.wording.ahead import advice_words, forecast_words

TODAY = date(2031, 3, 14)
DUE = ByDate("2031-04-01", 18, by_heart=12, least=9, most=15, pace=30)


@pytest.mark.parametrize(
    ("forecast", "said"),
    [
        (
            ahead(),
            (
                "5 of 20 cells by heart; at 12 prompts a day 18 are by heart about 2031-03-29 "
                "(likely 2031-03-24 to 2031-04-13)."
            ),
        ),
        (
            ahead(cells=1, by_heart=0, wanted=1, prompts_a_day=1.0),
            (
                "0 of 1 cells by heart; at 1 prompt a day 1 is by heart about 2031-03-29 "
                "(likely 2031-03-24 to 2031-04-13)."
            ),
        ),
        (
            ahead(latest=None, prompts_a_day=2.0),
            (
                "5 of 20 cells by heart; at 2 prompts a day 18 are by heart about 2031-03-29 "
                "(likely 2031-03-24 or later)."
            ),
        ),
        (
            ahead(days=None, soonest=90.0, latest=None),
            (
                "5 of 20 cells by heart; at 12 prompts a day the goal of 18 lies too far ahead to "
                "tell a day, not before 2031-06-12."
            ),
        ),
        (
            ahead(days=None, soonest=None, latest=None, prompts_a_day=0.25),
            (
                "5 of 20 cells by heart; at 0.2 prompts a day the goal of 18 lies too far ahead to "
                "tell a day."
            ),
        ),
        (
            ahead(by_heart=19, days=0.0, soonest=0.0, latest=0.0),
            "19 of 20 cells by heart: as many as the goal asks for.",
        ),
        (
            ahead(enough=False, practice_days=2, days=None, soonest=None, latest=None),
            (
                "5 of 20 cells by heart; to tell a pace takes 3 practice days and 40 prompts of "
                "this deck within four weeks (2 such days so far)."
            ),
        ),
    ],
)
def test_a_forecast_in_words(forecast: Forecast, said: str) -> None:
    assert forecast_words(forecast, TODAY) == said


@pytest.mark.parametrize(
    ("due", "more", "said"),
    [
        (DUE, {}, "then (likely 9 to 15); about 30 prompts every day would reach 18."),
        (ByDate("2031-04-01", 18, 19, 18, 20, 0), {}, "; this pace reaches the goal of 18."),
        (
            ByDate("2031-04-01", 18, 12, 9, 15, None), {},
            "; no pace up to 100 prompts a day reaches 18 by then.",
        ),
        (DUE, {"by_heart": 18}, "about 12 by heart then (likely 9 to 15)."),
        (ByDate("2032-04-01", 384, 20, 19, 20, None), {}, "then (likely 19 to 20)."),
        (ByDate("2031-04-01", 18, None, None, None, None), {"enough": False}, " 2031-04-01."),
        (ByDate("2031-08-01", 140, None, None, None, None), {}, "tell what will be by heart."),
    ],
)  # fmt: skip
def test_a_due_date_in_words(due: ByDate, more: dict[str, object], said: str) -> None:
    told = forecast_words(ahead(due=due, **more), TODAY)
    assert f" It is due on {due.day}" in told
    assert told.endswith(said)


@pytest.mark.parametrize(
    ("advice", "said"),
    [
        (None, ""),
        (Advice(False, 0, 9, 3, 0.02, 0.02), ""),
        (Advice(False, 1, 9, 3, 0.02, 0.02), "1 cell is still worth asking today."),
        (Advice(False, 12, 9, 3, 0.02, 0.02), "12 cells are still worth asking today."),
        (
            Advice(True, 12, 24, 3, 0.01, 0.02),
            (
                "Enough for today: another practice now would bring less than leaving it until "
                "tomorrow; tomorrow 24 cells are worth asking."
            ),
        ),
        (
            Advice(True, 0, 0, 1, 0.01, 0.02),
            (
                "Enough for today: another practice now would bring less than leaving it until "
                "tomorrow; tomorrow one new cell is worth asking."
            ),
        ),
        (
            Advice(True, 0, 1, 0, 0.0, 0.0),
            "Enough for today: nothing more is due; tomorrow 1 cell is worth asking.",
        ),
        (
            Advice(True, 0, 0, 0, 0.0, 0.0),
            "Enough for today: nothing more is due, nor will anything be tomorrow.",
        ),
    ],
)
def test_advice_in_words(advice: Advice | None, said: str) -> None:
    assert advice_words(advice) == said
