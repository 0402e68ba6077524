"""What each kind of horn sounds like, to the tenth of a decibel: values measured by us.

``tones_now.txt`` holds what was measured of the samples on 2026-11-27.  What is right is told by
the published figures in ``test_spectra``; this only notices, for most values of a tone were set
by hand and no figure was published for them.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from kept_numbers import check
from scipy import signal
from sound_probe import equal_tempered

from drill.sound.spectra import Colour
from drill.sound.tone import RATE, note

KEPT = Path(__file__).with_name("tones_now.txt")
WITHIN = 0.15
"""Decibels (and cents) by which another machine's arithmetic may differ."""
MOMENTS_MS = (2, 5, 9, 15, 25, 40, 80, 150, 300, 600, 1000, 1185, 1195, 1205, 1213)
BITE_MS = (8, 16, 24, 36, 48, 70)
EDGES_MS = (3, 8, 14, 25, 280, 290, 297)


def decibels(wave: np.ndarray, at_ms: float) -> str:
    """The level around a moment, over two milliseconds and no less than two periods."""
    middle, half = round(at_ms * RATE / 1000), round(0.0035 * RATE)
    part = wave[max(0, middle - half) : middle + half].astype(float)
    return f"{10 * np.log10(np.mean(part**2) + 1e-9):.1f}"


def partials(midi: int, velocity: int, colour: Colour) -> str:
    """Levels of the first eight harmonics, from what lies under a window of the steady part."""
    wave = note(midi, 0.5, velocity, colour).astype(float)[5000:15000]
    frequencies, power = signal.periodogram(wave, RATE, window="blackmanharris", nfft=1 << 16)
    base = equal_tempered(midi)
    near = [np.abs(frequencies - n * base) < min(30, base / 3) for n in range(1, 9)]
    return " ".join(f"{10 * np.log10(power[each].max() + 1e-12):.1f}" for each in near)


def swing_cents(wave: np.ndarray, midi: int) -> float:
    """Half of the way between the highest and the lowest pitch of the fundamental, held."""
    base = equal_tempered(midi)
    turned = wave * np.exp(-2j * np.pi * base * np.arange(len(wave)) / RATE)
    slow = np.convolve(turned, np.hanning(round(8 * RATE / base)), "valid")
    off = np.diff(np.unwrap(np.angle(slow))) * RATE / 2 / np.pi
    held = 1200 * np.log2(1 + off[round(0.8 * RATE) : round(1.05 * RATE)] / base)
    return float(np.ptp(held)) / 2


def told(colour: Colour) -> Iterator[str]:
    """A colour in figures, line by line."""
    for midi, velocity in ((46, 80), (62, 40), (62, 112), (77, 80)):
        yield f"partials {midi} {velocity} {partials(midi, velocity, colour)}"
    held = note(69, 1.2, 80, colour).astype(float)
    yield "held " + " ".join(decibels(held, at) for at in MOMENTS_MS)
    yield f"swing {swing_cents(held, 69):.1f}"
    treble = 30 * np.diff(note(50, 0.5, 100, colour).astype(float), n=2)
    yield "bite " + " ".join(decibels(treble, at) for at in BITE_MS)
    slurred = note(69, 0.3, 80, colour, slur_in_s=0.02, slur_out_s=0.02)
    yield "slurred " + " ".join(decibels(slurred, at) for at in EDGES_MS)


@pytest.mark.parametrize("colour", Colour)
def test_a_horn_sounds_as_it_did(colour: Colour) -> None:
    check(KEPT, colour.value, told(colour), WITHIN)
