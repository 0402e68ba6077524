"""Evidence and level: plain waves of known frequency (equal temperament, A4 = 440: ISO 16)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drill.hearing.frames import Ear
from drill.hearing.path import scene, tuning

RATE = 22050


def wave(midi: float, seconds: float = 0.4, partials: int = 6) -> np.ndarray:
    time = np.arange(int(seconds * RATE)) / RATE
    hertz = 440 * 2 ** ((midi - 69) / 12)
    parts = [np.sin(2 * np.pi * k * hertz * time) / k for k in range(1, partials + 1)]
    return np.asarray(0.2 * np.sum(parts, axis=0), np.float32)


def heard(samples: np.ndarray, asked: tuple[int, ...]) -> Ear:
    ear = Ear(asked, RATE)
    ear.feed(samples)
    ear.end()
    return ear


@pytest.mark.parametrize("midi", [28, 41, 55, 69, 84, 100])
def test_the_strongest_semitone_is_the_one_that_sounds(midi: int) -> None:
    ear = heard(wave(midi), (midi,))
    pitch, cents = ear.evidence()
    inside = (ear.times > 0.1) & (ear.times < 0.3)
    assert set(pitch[inside].argmax(1) + ear.low) == {midi}
    assert abs(np.median(cents[inside, midi - ear.low])) < 2


@pytest.mark.parametrize("off", [-30, 25])
def test_a_player_who_is_off_as_a_whole_is_read_on_that_pitch(off: int) -> None:
    ear = heard(wave(60 + off / 100), (60,))
    assert tuning(*ear.evidence()) == pytest.approx(off, abs=2)
    here = scene(ear)
    inside = (here.times > 0.1) & (here.times < 0.3)
    assert set(here.pitch[inside].argmax(1) + here.low) == {60}


@settings(max_examples=15)
@given(st.lists(st.integers(1, 3000), min_size=1, max_size=12))
def test_blocks_and_the_whole_give_the_same_frames(sizes: list[int]) -> None:
    samples = np.concatenate([wave(57, 0.2), wave(62, 0.3)])
    whole, parts = heard(samples, (57, 62)), Ear((57, 62), RATE)
    at = 0
    for size in sizes:
        parts.feed(samples[at : at + size])
        at += size
    parts.feed(samples[at:])
    parts.end()
    assert parts.ready == whole.ready
    for one, other in zip(parts.evidence(), whole.evidence(), strict=True):
        # A probability at the edge of 0.01 may fall to either side by a rounding.
        assert np.mean(np.abs(one - other) > 0.02) < 0.002
    np.testing.assert_allclose(parts.level, whole.level, atol=0.05)


def test_the_level_is_in_decibels_of_full_scale() -> None:
    """A sine of amplitude 0.1 has 20 log10(0.1 / sqrt 2) = -23 dB."""
    ear = heard(wave(57, partials=1) / 2, (57,))
    inside = (ear.level_times > 0.1) & (ear.level_times < 0.3)
    assert np.median(ear.level[inside]) == pytest.approx(-23.0, abs=0.3)


def test_full_scale_is_counted() -> None:
    ear = heard(np.array([1.0, -1.0, 0.5, 0.0] * 500, np.float32), (60,))
    assert ear.clipped == 1000
