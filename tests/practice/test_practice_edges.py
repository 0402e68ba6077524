"""How long an answer takes, before and while a practice shows it."""

from __future__ import annotations

import json
import math
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from drill.practice.length import seconds_an_answer
from drill.practice.machine import PromptState
from drill.practice.playing import SETTLED_S, Horn
from drill.practice.time.tempi import read_kept
from drill.sound.capture import RATE

BEGAN = datetime(2026, 3, 2, 17, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("typed", "seconds", "pace"), [(0, 0, 12.0), (1, 6, 10.0), (2, 8, 8.0), (10, 60, 7.0)]
)
def test_the_pace_is_that_of_the_answers_and_two_of_twelve_seconds(
    typed: int, seconds: int, pace: float
) -> None:
    """(seconds so far + 2 x 12) / (answers so far + 2), by hand."""
    now = BEGAN + timedelta(seconds=seconds)
    state = PromptState(began=BEGAN, asked=typed, typed=typed)
    assert seconds_an_answer(state, now) == pace


def test_a_bout_of_an_older_log_was_heard_on_the_beat_and_known_to_the_millisecond() -> None:
    """What logs did not have at first stands for how it was then."""
    old = {
        "bout": "b", "practice": "p", "pattern": "1-2-3-1/up", "key": "G:major", "cell": 0,
        "cells": 2, "outcome": "locked-in", "passed": True, "right": 8, "notes": 8,
        "lead_ms": 1.0, "spread_ms": 2.0, "drift_ms": 0.0, "jitter_ms": 1.0, "off_ms": [0.0, 1.0],
    }  # fmt: skip
    kept = read_kept(json.dumps(old))
    assert kept is not None
    assert (kept.notes_per_beat, kept.letters, kept.sound, kept.uncertain_ms) == (1, False, True, 0)
    assert json.loads(kept.text())["uncertain_ms"] == 0


def test_a_note_has_died_away_after_some_quiet_and_not_at_its_first_sample() -> None:
    """The last note at -20 dB, then quiet in blocks of two hundredths."""
    heard: list[str] = []
    horn: Any = SimpleNamespace(
        _settling_until=1000.0, _loudest=-20.0, _quiet_s=0.0, again=lambda: heard.append("anew")
    )
    quiet, loud = np.zeros(RATE // 50, np.float32), np.full(RATE // 50, 0.1, np.float32)
    needed = math.ceil(SETTLED_S / 0.02 - 1e-9)
    assert needed > 2
    for _ in range(needed - 1):
        assert not Horn._settled(horn, quiet, 0.0)
    assert not Horn._settled(horn, loud, 0.0)  # it was a gap
    for _ in range(needed - 1):
        assert not Horn._settled(horn, quiet, 0.0)
    assert heard == []
    assert Horn._settled(horn, quiet, 0.0)
    assert heard == ["anew"]
    assert Horn._settled(horn, loud, 0.0)  # over: whatever comes is played
