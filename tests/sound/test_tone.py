"""Tones against an outside estimator: pitch, edges, level, band."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import signal
from sound_probe import cents, equal_tempered, pitch, rms

from drill.errors import UsageError
from drill.sound.render import render, render_float
from drill.sound.spectra import Colour, colour_of, gain
from drill.sound.take import Event, Take, ear_take, verdict_take
from drill.sound.tone import (
    CEILING,
    RATE,
    check_a4,
    note,
    soft_limit,
)
from drill.terms import Note
from drill.theory.instruments import INSTRUMENTS

REFERENCE = Path(__file__).parents[1] / "reference" / "instruments.csv"
"""Written ranges and transpositions of the instruments; each row names its source."""


def written(text: str) -> int:
    letter, octave = text[0], int(text[-1])
    alter = {"": 0, "#": 1, "b": -1}[text[1:-1]]
    return Note(letter, alter, octave).midi


def sounding_ranges() -> dict[str, tuple[Colour, range]]:
    with REFERENCE.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return {
        row["id"]: (
            colour_of(int(row["gm_program_0based"])),
            range(
                written(row["written_low_extended"]) + int(row["semitones"]),
                written(row["written_high_extended"]) + int(row["semitones"]) + 1,
            ),
        )
        for row in rows
    }


def heard(wave: np.ndarray) -> float:
    """The pitch of a note between its beginning and its vibrato."""
    return pitch(wave[1500:15000], RATE)


def test_every_note_of_every_instrument_is_within_two_cents() -> None:
    ranges = sounding_ranges()
    assert len(ranges) == len(INSTRUMENTS)
    wanted = {(colour, midi) for colour, span in ranges.values() for midi in span}
    assert min(midi for _, midi in wanted) < 30  # the tuba's low end
    assert max(midi for _, midi in wanted) > 105  # the piccolo's high end
    off = {
        (colour, midi): cents(heard(note(midi, 1.0, 80, colour)), equal_tempered(midi))
        for colour, midi in wanted
    }
    worst = max(off.values(), key=abs)
    assert abs(worst) < 2, {key: value for key, value in off.items() if abs(value) >= 2}


@pytest.mark.parametrize("a4", [430.0, 435.0, 440.0, 442.0, 450.0])
def test_a4_moves_the_pitch(a4: float) -> None:
    take = Take((Event(69, 0.0, 1.0),), 1.1, a4=a4)
    assert abs(cents(pitch(render(take)[:RATE], RATE), a4)) < 0.5


@pytest.mark.parametrize("a4", [429.9, 450.1, float("nan")])
def test_a4_out_of_range_is_refused(a4: float) -> None:
    with pytest.raises(UsageError, match="expected 430 to 450"):
        check_a4(a4)
    with pytest.raises(UsageError):
        Take((), 1.0, a4=a4)


@pytest.mark.parametrize("colour", list(Colour))
@pytest.mark.parametrize("midi", [26, 60, 84, 108])
def test_nothing_folds_back(colour: Colour, midi: int) -> None:
    """All energy lies on harmonics of the note: aliases would lie between them."""
    wave = note(midi, 1.0, 127, colour).astype(float)[3000:15000]  # before the vibrato
    frequencies, level = signal.periodogram(wave, RATE, window="blackmanharris", detrend=False)
    ratio = frequencies / equal_tempered(midi)
    apart = np.abs(ratio - np.round(ratio)) * equal_tempered(midi)
    elsewhere = level[(apart > 20) | (np.round(ratio) < 1)]
    assert elsewhere.max() < level.max() * 1e-7  # 70 dB below the strongest


@pytest.mark.parametrize("colour", list(Colour))
def test_note_edges_do_not_click(colour: Colour) -> None:
    """No step at either edge, and little of the note's energy far above its harmonics."""
    for midi in (30, 60, 90):
        wave = note(midi, 0.35, 100, colour)
        steps = np.abs(np.diff(wave))
        inner = steps[2000:-2000].max()
        assert abs(wave[0]) < 0.01 * np.abs(wave).max()
        assert abs(wave[-1]) < 0.01 * np.abs(wave).max()
        assert max(steps[:50].max(), steps[-50:].max()) < 0.2 * inner
        high = signal.sosfilt(signal.butter(8, 19000, "high", fs=RATE, output="sos"), wave)
        assert rms(high) < 1e-4 * rms(wave)


def test_a_hard_edge_would_be_caught() -> None:
    """The edge test can fail: the same note cut off short has a step."""
    wave = note(60, 0.35, 100, Colour.SAX)[3000:9000]
    steps = np.abs(np.diff(np.concatenate(([0.0], wave, [0.0]))))
    assert max(steps[:50].max(), steps[-50:].max()) > 0.2 * np.abs(np.diff(wave)).max()


def test_the_peak_is_bounded_however_much_is_mixed() -> None:
    events = tuple(Event(60 + 4 * n, 0.0, 0.5, 127) for n in range(12))
    take = Take(events, 0.6, colour=Colour.TRUMPET, volume=1.0)
    samples = render_float(take)
    assert 0.9 * CEILING < np.abs(samples).max() <= CEILING < 1
    assert np.abs(render(take).astype(int)).max() <= round(CEILING * 32767)


def test_the_soft_limit_keeps_what_is_quiet_and_the_order_of_what_is_loud() -> None:
    ramp = np.linspace(-3, 3, 601, dtype=np.float32)
    limited = soft_limit(ramp)
    quiet = np.abs(ramp) <= 0.4
    assert np.array_equal(limited[quiet], ramp[quiet])
    assert np.all(np.diff(limited) >= 0)
    assert np.abs(limited).max() <= CEILING


def test_the_default_volume_is_modest() -> None:
    samples = render_float(verdict_take((60, 62, 64, 60)))
    assert 0.03 < np.abs(samples).max() < 0.25  # about -30 to -12 dB of full scale


def test_velocity_makes_louder_and_brass_brighter() -> None:
    soft, loud = (note(60, 0.5, v, Colour.TRUMPET).astype(float) for v in (48, 112))
    assert rms(loud) / rms(soft) == pytest.approx(gain(112) / gain(48), rel=0.15)
    balance = []
    for wave in (soft, loud):
        frequencies, level = signal.welch(wave, RATE, nperseg=8192)
        balance.append(level[frequencies > 1500].sum() / level.sum())
    assert balance[1] > 1.5 * balance[0]


def test_a_verdict_sounds_the_cell_in_order() -> None:
    cell = (67, 69, 71, 67)
    samples = render(verdict_take(cell, 73))
    length = round(0.35 * RATE)
    heard = [pitch(samples[n * length : (n + 1) * length], RATE) for n in range(4)]
    assert [abs(cents(f, equal_tempered(m))) < 2 for f, m in zip(heard, cell, strict=True)] == [
        True
    ] * 4
    assert len(samples) < 1.7 * RATE


def test_an_ear_prompt_holds_the_tonic_first() -> None:
    samples = render(replace(ear_take(58, (62, 65), 56, note_s=0.5), room=False))
    assert abs(cents(pitch(samples[: round(0.95 * RATE)], RATE), equal_tempered(58))) < 2
    breath = samples[round(1.08 * RATE) : round(1.24 * RATE)]
    assert np.abs(breath).max() == 0
    assert abs(cents(pitch(samples[round(1.25 * RATE) :][:20000], RATE), equal_tempered(62))) < 2


def test_nothing_to_sound_is_no_sound() -> None:
    assert len(render(verdict_take(()))) == 0


def test_importing_the_room_loads_no_numpy_and_no_audio_library(
    printed_by: Callable[..., str],
) -> None:
    code = (
        "import sys, drill.sound.player, drill.sound.phrasing, drill.sound.metronome, "
        "drill.sound.report, drill.sound.device;"
        "print(sorted({'numpy', 'simpleaudio', 'miniaudio', 'music21'} & set(sys.modules)))"
    )
    assert printed_by(code).strip() == "[]"
