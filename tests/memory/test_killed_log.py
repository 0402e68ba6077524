"""A program killed at any instant loses no answer that it acknowledged: the short form.

``tests/bench/bench_store.py`` does it a thousand times.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest
from log_killer import Death, judge, live_and_die

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL")


def test_no_acknowledged_answer_is_missing_or_doubled_after_kills(tmp_path: Path) -> None:
    rng = random.Random(7)
    path = tmp_path / "answers.db"
    deaths: dict[str, Death] = {}
    for n in range(10):
        deaths[f"life{n}"] = live_and_die(path, f"life{n}", rng, 0.06)
        assert judge(path, deaths) == []
    assert all(death.by_signal for death in deaths.values())
    assert sum(len(death.acknowledged) for death in deaths.values()) > 50


def test_the_judge_notices_a_missing_answer(tmp_path: Path) -> None:
    """The check itself can fail."""
    path = tmp_path / "answers.db"
    death = live_and_die(path, "life", random.Random(1), 0.02)
    assert judge(path, {"life": Death((*death.acknowledged, "life-9999"), True)}) == [
        "missing: life-9999"
    ]
    assert judge(path, {"life": Death(death.acknowledged[:1], True)}) != []
