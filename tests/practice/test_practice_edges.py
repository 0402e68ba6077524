"""How long an answer takes, before and while a practice shows it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from drill.practice.length import Spent, seconds_an_answer
from drill.practice.machine import PromptState

BEGAN = datetime(2026, 3, 2, 17, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("typed", "seconds", "pace"), [(0, 0, 12.0), (1, 6, 10.0), (2, 8, 8.0), (10, 60, 7.0)]
)
def test_the_pace_is_that_of_the_answers_and_two_of_twelve_seconds(
    typed: int, seconds: int, pace: float
) -> None:
    """(seconds so far + 2 x 12) / (answers so far + 2), by hand."""
    spent = Spent(asked=typed, missed=0, typed=typed, closed=0)
    now = BEGAN + timedelta(seconds=seconds)
    assert seconds_an_answer(PromptState(began=BEGAN), spent, now) == pace
