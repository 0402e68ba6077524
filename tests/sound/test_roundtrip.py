"""Clicks found again in what a microphone heard of them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.signal import fftconvolve, resample_poly

from drill.sound.capture import RATE
from drill.sound.render import render_float
from drill.sound.roundtrip import CLICKS, FEWEST, clicks_take, echo

TAKE = clicks_take(1.0)
DUE = [click.onset_s for click in TAKE.clicks]
PLAYED = resample_poly(render_float(TAKE), 1, 2).astype(np.float32)
"""What a microphone would hear of it in the best case (resampled by scipy)."""


def heard(
    late_s: float, *, level: float = 0.1, noise: float = 0.0, lead_s: float = 0.5, seed: int = 1
) -> NDArray[np.float32]:
    """The take after ``lead_s`` of a room of that noise, so much later."""
    rng = np.random.default_rng(seed)
    samples = rng.normal(0, 1, len(PLAYED) + 3 * RATE) * noise
    start = round((lead_s + late_s) * RATE)
    samples[start : start + len(PLAYED)] += level * PLAYED
    return samples.astype(np.float32)


def test_the_clicks_stand_at_uneven_distances() -> None:
    gaps = np.diff(DUE)
    assert len(DUE) == CLICKS == 12
    assert np.min(np.abs(np.subtract.outer(gaps, gaps) + np.eye(len(gaps)))) >= 0.009
    assert 6 < TAKE.length_s < 8


@settings(max_examples=25, deadline=None)
@given(
    late=st.floats(-0.2, 0.9),
    lead=st.floats(0.3, 1.0),
    loud=st.floats(0.01, 0.5),
    seed=st.integers(0, 99),
)
def test_the_delay_is_found_within_half_a_millisecond(
    late: float, lead: float, loud: float, seed: int
) -> None:
    samples = heard(late, level=loud, noise=loud / 50, lead_s=lead, seed=seed)
    found = echo(samples, [lead + onset for onset in DUE])
    assert found.clear
    assert found.count == CLICKS
    assert found.late_s == pytest.approx(late, abs=0.0005)


def test_a_room_that_answers_moves_nothing() -> None:
    rng = np.random.default_rng(3)
    tail = rng.normal(0, 0.05, RATE // 3) * np.exp(-np.arange(RATE // 3) / (0.08 * RATE))
    answer = np.concatenate([[1.0], np.zeros(RATE // 200), tail])
    room = fftconvolve(heard(0.1, noise=0.0005), answer).astype(np.float32)
    found = echo(room, [0.5 + onset for onset in DUE])
    assert found.clear
    assert found.late_s == pytest.approx(0.1, abs=0.001)


def test_what_is_not_there_is_not_found() -> None:
    rng = np.random.default_rng(2)
    due = [0.5 + onset for onset in DUE]
    talk = rng.normal(0, 0.1, 9 * RATE).astype(np.float32)
    for samples in (np.zeros(9 * RATE, np.float32), np.zeros(0, np.float32), talk):
        found = echo(samples, due)
        assert not found.clear
        assert found.count < FEWEST or found.spread_s > 0.004


def test_some_lost_clicks_are_no_harm_and_many_are() -> None:
    due = [0.5 + onset for onset in DUE]
    samples = heard(0.05, noise=0.0005)
    samples[: round(due[3] * RATE)] = 0
    found = echo(samples, due)
    assert (found.count, found.clear) == (9, True)
    assert found.late_s == pytest.approx(0.05, abs=0.0005)
    samples[: round(due[4] * RATE)] = 0
    assert not echo(samples, due).clear
