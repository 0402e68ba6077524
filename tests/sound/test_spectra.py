"""What each horn sounds like, against published figures and an outside loudness meter.

``tests/reference/spectra.csv`` names its sources.  Loudness is measured by ``pyloudnorm``
(ITU-R BS.1770-4), spectra by scipy; neither shares a line with the program.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pyloudnorm
import pytest
from numpy.typing import NDArray
from scipy import signal
from sound_probe import cents, equal_tempered, rms

from drill.sound.phrasing import Manner, Phrase, phrase_take
from drill.sound.render import click_sound, render, render_float
from drill.sound.room import DECAY_S, response, with_room
from drill.sound.spectra import SPECTRA, Colour, colour_of, harmonics, weighting
from drill.sound.take import Click, Event, Take
from drill.sound.tone import CEILING, RATE, VIBRATO_HZ, note
from drill.terms import Tonguing
from drill.theory.instruments import INSTRUMENTS

with (Path(__file__).parents[1] / "reference" / "spectra.csv").open(encoding="utf-8") as _file:
    ROWS = list(csv.DictReader(_file))

Wave = NDArray[np.float64]


def steady(midi: int, colour: Colour, velocity: int = 80) -> Wave:
    """The middle of a note of half a second, before its vibrato."""
    return note(midi, 0.5, velocity, colour).astype(float)[5000:15000]


def peaks(midi: int, colour: Colour, velocity: int = 80) -> Wave:
    """Levels in decibels of the harmonics below 10 kHz, the first at place 0."""
    frequencies, power = signal.periodogram(
        steady(midi, colour, velocity), RATE, window="blackmanharris", nfft=1 << 16
    )
    base = equal_tempered(midi)
    count = int(10000 / base)
    near = [np.abs(frequencies - n * base) < min(30, base / 3) for n in range(1, count + 1)]
    return np.array([10 * np.log10(power[each].max() + 1e-20) for each in near])


def measured(row: dict[str, str]) -> float:
    colour, midi = Colour(row["colour"]), int(row["midi"])
    level = peaks(midi, colour)
    base = equal_tempered(midi)
    match row["what"]:
        case "strongest_hz":
            return float(base * (1 + int(np.argmax(level))))
        case "second_db":
            return float(level[1] - level[0])
        case "third_db":
            return float(level[2] - level[0])
        case "fourth_db":
            return float(level[3] - level[0])
        case "slope_db_octave":
            numbers = np.arange(1, len(level) + 1) * base
            over = (numbers > 1600) & (numbers < 8000)
            return float(np.polyfit(np.log2(numbers[over]), level[over], 1)[0])
        case "brighter_when_loud":
            return centroid(peaks(midi, colour, 112)) / centroid(peaks(midi, colour, 48))
    raise AssertionError(row["what"])


def centroid(level: Wave) -> float:
    """The mean number of a harmonic, weighted by its amplitude."""
    weight = 10 ** (level / 20)
    return float(np.sum(weight * np.arange(1, len(weight) + 1)) / np.sum(weight))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: "-".join([*row.values()][:3]))
def test_published_figures(row: dict[str, str]) -> None:
    assert row["source"]
    assert float(row["low"]) <= measured(row) <= float(row["high"])


def sounding() -> dict[Colour, tuple[int, int]]:
    """The lowest and highest sounding note of each colour, over all horns."""
    found: dict[Colour, tuple[int, int]] = {}
    for horn in INSTRUMENTS.values():
        colour = colour_of(horn.program)
        low, high = horn.low_extended.midi, horn.high_extended.midi
        known = found.get(colour, (999, 0))
        found[colour] = (
            min(known[0], low + horn.semitones),
            max(known[1], high + horn.semitones),
        )
    return found


def test_every_horn_has_a_colour_and_every_colour_a_horn() -> None:
    assert set(sounding()) == set(Colour) == set(SPECTRA)


@pytest.mark.parametrize("velocity", [48, 80, 112])
def test_horns_and_registers_sound_equally_loud(velocity: int) -> None:
    """Within one loudness unit, the step that ITU-R BS.1770 calls the least that matters much."""
    meter = pyloudnorm.Meter(RATE)
    found = {
        (colour, midi): meter.integrated_loudness(
            note(midi, 1.2, velocity, colour)[4000:48000].astype(float)
        )
        for colour, (low, high) in sounding().items()
        for midi in range(low, high + 1, 7)
    }
    assert max(found.values()) - min(found.values()) < 1.0, found


def test_the_weighting_is_that_of_the_standard() -> None:
    """0 dB about 1 kHz within 0.7 (the standard's -0.691 constant), +4 dB at the top, and little
    below 40 Hz."""
    assert 20 * np.log10(weighting(997.0)) == pytest.approx(0.691, abs=0.05)
    assert 20 * np.log10(weighting(12000.0)) == pytest.approx(4.0, abs=0.2)
    assert 20 * np.log10(weighting(20.0)) < -9


def test_a_peak_at_full_volume_is_at_most_half_of_full_scale() -> None:
    """-6 dBFS, the loudest horn and note, marcato, with clicks."""
    assert 20 * np.log10(CEILING) == pytest.approx(-6, abs=0.03)
    for colour, (low, _) in sounding().items():
        manner = Manner(bpm=100, tonguing=Tonguing.MARCATO, volume=1.0)
        take = phrase_take((Phrase(((low, low + 4, low + 7, low),), close=low),), manner, colour)
        assert np.abs(render_float(take)).max() <= CEILING
    for click in Click:
        assert np.abs(click_sound(click)).max() <= CEILING


@pytest.mark.parametrize("colour", list(Colour))
def test_no_register_becomes_shrill(colour: Colour) -> None:
    """In the top fifth of each range little is heard above 5 kHz besides the fundamental."""
    _, high = sounding()[colour]
    for midi in range(high - 7, high + 1, 3):
        frequencies, power = signal.periodogram(
            steady(midi, colour, 112), RATE, window="blackmanharris"
        )
        above = power[(frequencies > 5000) & (frequencies > 1.5 * equal_tempered(midi))].sum()
        assert above / power.sum() < 0.03


@pytest.mark.parametrize("colour", list(Colour))
def test_a_held_note_settles_and_swings_about_its_pitch(colour: Colour) -> None:
    wave = note(64, 3.0, 80, colour).astype(float)
    early, late = rms(wave[4000:12000]), rms(wave[90000:100000])
    assert 0.7 < late / early < 0.95
    analytic = signal.hilbert(signal.sosfilt(_band(equal_tempered(64)), wave))
    hertz = np.diff(np.unwrap(np.angle(analytic))) * RATE / (2 * np.pi)
    whole = hertz[round(0.9 * RATE) : round(2.7 * RATE)]  # nine turns of the vibrato
    assert abs(cents(float(whole.mean()), equal_tempered(64))) < 2
    swing = 1200 * np.log2(hertz[round(1.0 * RATE) : round(2.6 * RATE)] / equal_tempered(64))
    depth = (np.percentile(swing, 99) - np.percentile(swing, 1)) / 2
    assert depth == pytest.approx(SPECTRA[colour].vibrato_cents, abs=1.0)
    if SPECTRA[colour].vibrato_cents:
        spectrum = np.abs(np.fft.rfft(swing - swing.mean(), 1 << 18))
        strongest = np.argmax(spectrum[: round(20 * (1 << 18) / RATE)]) * RATE / (1 << 18)
        assert strongest == pytest.approx(VIBRATO_HZ, abs=0.3)
    short = 1200 * np.log2(hertz[round(0.15 * RATE) : round(0.3 * RATE)] / equal_tempered(64))
    assert np.percentile(np.abs(short), 95) < 1.5, "a short note is straight"


def _band(centre: float) -> Wave:
    return np.asarray(
        signal.butter(8, (0.85 * centre, 1.15 * centre), "bandpass", fs=RATE, output="sos")
    )


def test_the_room_is_short_light_and_the_same_in_every_run() -> None:
    answer = response().astype(float)
    energy = np.cumsum(answer[::-1] ** 2)[::-1]
    fall = 10 * np.log10(energy / energy[0] + 1e-12)
    assert np.argmax(fall < -40) / RATE < DECAY_S, "falls by 40 dB within the decay time"
    assert 10 * np.log10(energy[0]) == pytest.approx(-17, abs=0.2)
    silent = np.zeros(4000, dtype=np.float32)
    assert not with_room(silent).any()


def test_the_room_can_be_left_and_never_touches_a_click() -> None:
    event = Event(60, 0.0, 0.3)
    dry = render(Take((event,), 1.0, room=False))
    wet = render(Take((event,), 1.0))
    gap = slice(round(0.35 * RATE), round(0.45 * RATE))
    assert np.abs(dry[gap]).max() == 0
    assert 0 < np.abs(wet[gap]).max() < 0.1 * np.abs(wet).max()
    assert np.abs(wet[-2000:]).max() <= 1, "it has died away"


def test_the_room_keeps_its_blocks_seamless() -> None:
    """As one long convolution by scipy."""
    rng = np.random.default_rng(3)
    wave = rng.standard_normal(100_000).astype(np.float32)
    whole = signal.fftconvolve(wave.astype(float), response().astype(float))[: len(wave)]
    assert np.allclose(with_room(wave), wave + whole, atol=1e-4)


def test_a_brass_note_opens_up() -> None:
    """Its upper harmonics come in after the first ones."""
    wave = note(58, 0.6, 112, Colour.TRUMPET).astype(float)

    def share(part: Wave) -> float:
        frequencies, power = signal.periodogram(part, RATE, window="hann")
        return float(power[frequencies > 2000].sum() / power.sum())

    assert share(wave[200:900]) < 0.5 * share(wave[6000:12000])


def test_harmonics_stay_below_the_top() -> None:
    for colour in Colour:
        for midi in (20, 60, 100, 108):
            count = len(harmonics(colour, midi, 100))
            assert count * equal_tempered(midi) <= 16000 or count == 1


@pytest.mark.parametrize("click", list(Click))
def test_a_click_has_died_away_after_a_fiftieth_of_a_second(click: Click) -> None:
    """Else two notes at a fast tempo would sound over it."""
    samples = click_sound(click).astype(float)
    after = samples[RATE // 50 :]
    assert len(after)
    assert np.square(after).sum() < 0.01 * np.square(samples).sum()
    assert np.abs(samples[-20:]).max() < 0.02 * np.abs(samples).max()
