"""Figures of time from onsets that were written down: no sound is needed for them."""

from __future__ import annotations

import pytest

from drill.hearing.figures import stretches, time_of
from drill.hearing.values import Asked

EVEN = Asked(pitches=(60,) * 16, note_s=0.25, beat_notes=1)


def test_evenness_is_told_in_milliseconds() -> None:
    """Every other note 20 ms late: 10 either side of the line, of which two numbers are fitted."""
    onsets = {place: 0.25 * place + 0.02 * (place % 2) for place in range(12)}
    found = time_of(onsets, EVEN)
    assert found.spread_ms == pytest.approx(10 * (12 / 10) ** 0.5, abs=0.3)
    assert found.note_s == pytest.approx(0.25, abs=0.002)


def test_even_notes_have_no_spread() -> None:
    found = time_of({place: 0.25 * place for place in range(12)}, EVEN)
    assert found.spread_ms == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("swing", [0.5, 1.0, 2.0])
def test_notes_that_swing_either_way_are_one_stretch(swing: float) -> None:
    """A beat of two notes takes half a second; the first is ``swing`` times the second."""
    first = 0.5 * swing / (1 + swing)
    onsets = {n: 0.5 * (n // 2) + first * (n % 2) for n in range(12)}
    assert stretches(onsets, 0.25, swing) == [list(range(12))]
