"""Onsets against beats: synthetic players of known lead, spread and drift."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from drill.practice.time.timing import (
    FINEST_S,
    TimeOutcome,
    judge,
    slope,
    terminal_jitter,
)
from drill.sound.latency import robust_spread
from drill.wording.timing import timing_told

BEAT = 0.5
BEATS = [n * BEAT for n in range(16)]


def played(mean_s: float, spread_s: float, seed: int) -> list[float | None]:
    rng = random.Random(seed)
    return [beat + rng.gauss(mean_s, spread_s) for beat in BEATS]


@pytest.mark.parametrize(
    ("mean_s", "spread_s", "locked"),
    [(-0.020, 0.015, True), (-0.060, 0.020, True), (0.0, 0.055, False)],
)
def test_locked_in_at_120(mean_s: float, spread_s: float, locked: bool) -> None:
    """Trained players lead by 0 to 60 ms, spread 3 to 5 % (tapping studies, from memory)."""
    found = [judge(played(mean_s, spread_s, seed), BEATS, BEAT).locked_in for seed in range(200)]
    share = sum(found) / len(found)
    assert share > 0.95 if locked else share < 0.35


def test_one_slip_of_200_ms_in_sixteen_fails() -> None:
    onsets = played(-0.02, 0.01, 1)
    assert judge(onsets, BEATS, BEAT).locked_in
    assert onsets[7] is not None
    onsets[7] += 0.2
    timing = judge(onsets, BEATS, BEAT)
    assert timing.outcome is TimeOutcome.LATE
    assert timing.outliers == (7,)
    assert timing.spread_s < 0.02  # one slip does not move the spread
    onsets[7] -= 0.4
    assert judge(onsets, BEATS, BEAT).outcome is TimeOutcome.EARLY


def test_the_figures_are_those_of_the_outside() -> None:
    """Median, scaled MAD and Theil-Sen slope as scipy computes them."""
    onsets = [beat + 0.002 * n for n, beat in enumerate(played(-0.03, 0.02, 5))]  # type: ignore[operator]
    timing = judge(onsets, BEATS, BEAT)
    deviations = np.array(onsets) - np.array(BEATS)
    assert timing.lead_s == pytest.approx(float(np.median(deviations)))
    mad = stats.median_abs_deviation(deviations, scale="normal")
    assert timing.spread_s == pytest.approx(float(mad), rel=1e-4)
    theil = stats.theilslopes(deviations, np.arange(16.0))
    assert timing.drift_s == pytest.approx(float(theil.slope))


def test_rushing_is_told_apart_from_an_early_run() -> None:
    early = judge([beat - 0.03 for beat in BEATS], BEATS, BEAT)
    assert early.locked_in
    assert early.drift_s == pytest.approx(0)
    assert timing_told(early) == (
        "locked in: 30 ms before the beat, spread 0 ms, no drift (keys and terminal: about 10 ms)"
    )
    rushing = judge([beat * 0.99 for beat in BEATS], BEATS, BEAT)
    assert rushing.drift_s == pytest.approx(-0.005)
    assert "rushing 5 ms a beat" in timing_told(rushing)
    dragging = judge([beat * 1.01 for beat in BEATS], BEATS, BEAT)
    assert "dragging 5 ms a beat" in timing_told(dragging)


def test_right_but_late_is_its_own_outcome() -> None:
    assert judge([b + 0.2 for b in BEATS], BEATS, BEAT).outcome is TimeOutcome.LATE
    assert judge([b - 0.2 for b in BEATS], BEATS, BEAT).outcome is TimeOutcome.EARLY
    missing: list[float | None] = [*BEATS[:-1], None]
    timing = judge(missing, BEATS, BEAT)
    assert timing.outcome is TimeOutcome.LATE
    assert (timing.count, timing.outliers) == (15, (15,))
    late = judge([*BEATS[:3], 9.0], [*BEATS[:3], 1.5], BEAT)
    assert str(late.outcome) == "late"


def test_wrong_notes_are_never_locked_in() -> None:
    timing = judge(BEATS, BEATS, BEAT, notes_right=False)
    assert timing.outcome is TimeOutcome.WRONG_NOTES
    assert not timing.locked_in
    assert timing.spread_s == 0


def test_few_notes_are_not_judged() -> None:
    assert judge(BEATS[:3], BEATS[:3], BEAT).outcome is TimeOutcome.TOO_FEW
    assert judge(BEATS[:4], BEATS[:4], BEAT).outcome is TimeOutcome.LOCKED_IN
    assert timing_told(judge([], [], BEAT)) == "too few notes to judge"
    assert judge([None] * 4, BEATS[:4], BEAT).outcome is TimeOutcome.LATE


def test_an_uneven_run_within_a_quarter_beat_is_unsteady() -> None:
    onsets = [beat + (0.06 if n % 2 else -0.06) for n, beat in enumerate(BEATS)]
    assert judge(onsets, BEATS, BEAT).outcome is TimeOutcome.UNSTEADY


def test_the_limit_goes_with_the_tempo() -> None:
    """The same 40 ms of spread: steady at 40 beats a minute, not at 200."""
    for beat_s, locked in ((1.5, True), (0.3, False)):
        beats = [n * beat_s for n in range(16)]
        onsets = [beat + 0.027 * (-1) ** n for n, beat in enumerate(beats)]
        assert judge(onsets, beats, beat_s).locked_in is locked


@pytest.mark.parametrize(("onsets", "beats", "beat_s"), [([0.0], [], 0.5), ([], [], 0.0)])
def test_what_cannot_be_judged_is_refused(
    onsets: list[float | None], beats: list[float], beat_s: float
) -> None:
    with pytest.raises(ValueError, match="onsets for|a beat of"):
        judge(onsets, beats, beat_s)


@given(
    st.lists(st.floats(-0.1, 0.1), min_size=4, max_size=20),
    st.floats(-0.1, 0.1),
    st.floats(0.25, 1.5),
)
def test_a_steady_lead_changes_nothing_but_the_lead(
    off: list[float], lead: float, beat_s: float
) -> None:
    beats = [n * beat_s for n in range(len(off))]
    plain = judge([b + o for b, o in zip(beats, off, strict=True)], beats, beat_s)
    led = judge([b + o + lead for b, o in zip(beats, off, strict=True)], beats, beat_s)
    assert led.lead_s == pytest.approx(plain.lead_s + lead, abs=1e-9)
    assert led.spread_s == pytest.approx(plain.spread_s, abs=1e-9)
    assert led.drift_s == pytest.approx(plain.drift_s, abs=1e-9)


def test_robust_spread_and_slope_of_little() -> None:
    assert robust_spread([]) == 0
    assert robust_spread([1.0]) == 0
    assert slope([1.0], [2.0]) == 0
    assert slope([1.0, 1.0], [2.0, 3.0]) == 0


def test_the_terminal_s_jitter_from_a_held_key() -> None:
    rng = random.Random(3)
    even = [0.0, 0.5, *(0.5 + n / 30 for n in range(1, 60))]
    assert terminal_jitter(even) == FINEST_S  # never claimed finer
    shaky = [at + rng.gauss(0, 0.02) for at in even]
    assert terminal_jitter(shaky) == pytest.approx(0.02, rel=0.3)
    assert terminal_jitter(even[:6]) is None
    timing = judge(BEATS, BEATS, BEAT, jitter_s=0.023)
    assert timing_told(timing).endswith("(keys and terminal: about 23 ms)")
