"""Pitch evidence and level, computed once as samples come in.

The evidence is YIN's cumulative mean normalised difference (de Cheveigné and Kawahara 2002) read
as a probability over all thresholds (as Mauch and Dixon 2014 do), with the thresholds laid above
the deepest dip of the frame, so that noise under a note does not hide it.  A frame depends on its
own samples alone: fed in blocks or at once, the frames are the same.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import numpy.typing as npt

from drill.terms import hertz

Array = npt.NDArray[Any]

HOP_S = 0.0075
"""From one frame of evidence to the next."""
FINE_S = 0.003
"""From one level to the next."""
BELOW, ABOVE = 13, 20
"""Semitones around the line that are listened to: an octave slip and more."""
SHARP_LAGS = 96
"""Lags computed at least: a short period is read at its multiples."""
_CHUNK = 512
_SPREAD = 0.08
"""How far the thresholds reach above the deepest dip, as a part of full aperiodicity."""


class Ear:
    """Listens for a line: samples in, evidence for each semitone and level out."""

    def __init__(self, pitches: tuple[int, ...], rate: int, a4: float = 440.0) -> None:
        self.rate, self.a4 = rate, a4
        lowest, highest = min(pitches), max(pitches)
        self.low, self.high = lowest - BELOW, highest + ABOVE
        self.asked = tuple(sorted(set(pitches)))
        self._longest = max(SHARP_LAGS, int(rate / hertz(self.low, a4)) + 3)
        self._shortest = max(2, int(rate / hertz(self.high, a4)) - 1)
        self.window = int(min(0.045, max(0.020, 1.6 / hertz(lowest, a4))) * rate)
        self._hop = int(HOP_S * rate)
        self._size = 1 << math.ceil(math.log2(self.window + self._longest))
        self._taps = _band(
            rate, 0.7 * hertz(lowest, a4), min(0.45 * rate, max(2500.0, 5 * hertz(highest, a4)))
        )
        self.late = (self.window + int(rate / hertz(float(np.median(pitches)), a4))) / 2 / rate
        """A frame's middle, in seconds after its first sample."""
        self._level_window = int(max(0.012, 1.15 / hertz(lowest, a4)) * rate)
        self._fine = int(FINE_S * rate)
        self._sound = _GrowingRows((), np.float32)
        self._pitch = _GrowingRows((self.high - self.low + 1,), np.float32)
        self._cents = _GrowingRows((self.high - self.low + 1,), np.float32)
        self._power = _GrowingRows((), np.float64)
        self._tail = np.zeros(len(self._taps) // 2, np.float32)
        self._level = _GrowingRows((), np.float64)
        self._half = len(self._taps) // 2
        self.samples = 0
        self.clipped = 0

    # What came in.

    def feed(self, samples: Array) -> None:
        """Take in mono samples (-1 to 1)."""
        self.samples += len(samples)
        self.clipped += int(np.count_nonzero(np.abs(samples) > 0.999))
        for at in range(0, len(samples), self.rate):
            self._take(np.asarray(samples[at : at + self.rate], np.float32))

    def end(self) -> None:
        """Nothing more comes: hear what the last samples hold."""
        self._take(np.zeros(self._half + self.window + self._longest + self._size, np.float32))

    def _take(self, block: Array) -> None:
        joined = np.concatenate([self._tail, block])
        done = len(joined) - 2 * self._half
        if done > 0:
            clean = _convolved(joined, self._taps)
            self._tail = joined[done:]
            self._grow(clean)
        else:
            self._tail = joined

    def _grow(self, clean: Array) -> None:
        before = self._sound.rows[-1:] if len(self._sound.rows) else np.zeros(1, np.float32)
        treble = np.diff(clean.astype(np.float64), prepend=float(before[0]))
        power = treble**2 * 4 + clean.astype(np.float64) ** 2  # a little treble: attacks show
        past = float(self._power.rows[-1]) if len(self._power.rows) else 0.0
        self._power.add(past + np.cumsum(power))
        self._sound.add(clean)
        self._levels()
        sound = self._sound.rows
        first = len(self._pitch.rows)
        count = (len(sound) - self.window - self._longest) // self._hop + 1 - first
        for at in range(first, first + max(0, count), _CHUNK):
            self._frames(at, min(_CHUNK, first + count - at))

    def _levels(self) -> None:
        power, first = self._power.rows, len(self._level.rows)
        count = (len(power) - 1 - self._level_window) // self._fine + 1 - first
        if count > 0:
            at = (first + np.arange(count)) * self._fine
            self._level.add(
                10
                * np.log10(
                    (power[at + self._level_window] - power[at]) / self._level_window + 1e-12
                )
            )

    def _frames(self, first: int, count: int) -> None:
        width = self.window + self._longest
        sound = self._sound.rows[first * self._hop : (first + count - 1) * self._hop + width]
        view = np.lib.stride_tricks.sliding_window_view(sound, width)[:: self._hop]
        pitch = np.zeros((count, self.high - self.low + 1), np.float32)
        cents = np.zeros_like(pitch)
        frame, lag, chance = self._dips(_difference(view, self.window, self._longest, self._size))
        midi = 69 + 12 * np.log2(self.rate / lag / self.a4)
        place = np.round(midi).astype(int) - self.low
        fits = (place >= 0) & (place < pitch.shape[1])
        frame, place, midi, chance = frame[fits], place[fits], midi[fits], chance[fits]
        np.add.at(pitch, (frame, place), chance.astype(np.float32))
        cents[frame, place] = (midi - np.round(midi)) * 100
        self._pitch.add(pitch)
        self._cents.add(cents)

    def _dips(self, curve: Array) -> tuple[Array, Array, Array]:
        """Frame, period in samples and probability of each dip of the normalised difference."""
        value = curve[:, 1:-1]
        dip = (value < curve[:, :-2]) & (value <= curve[:, 2:])
        dip[:, : self._shortest - 2] = False
        depth = np.where(dip, value, 9.0)
        ones = np.full((len(curve), 1), 1.0)
        before = np.minimum.accumulate(np.concatenate([ones, depth[:, :-1]], 1), 1)
        frame, at = np.nonzero(dip & (depth < before) & (depth < 0.9))
        deepest = np.minimum(depth.min(1), 1.0)[frame]
        chance = np.exp((deepest - depth[frame, at]) / _SPREAD)
        chance -= np.exp((deepest - before[frame, at]) / _SPREAD)
        chance *= np.clip(1.25 - 1.25 * deepest, 0, 1)
        likely = chance > 0.01
        frame, at, chance = frame[likely], at[likely], chance[likely]
        lag = _vertex(curve, frame, at + 1) + 1
        return frame, self._sharper(curve, frame, lag), chance

    def _sharper(self, curve: Array, frame: Array, lag: Array) -> Array:
        """Short periods read at a multiple of themselves: finer by that factor."""
        for times in (2, 3, 4, 6, 8):
            far = np.round(lag * times).astype(int) - 1
            fits = (lag < 60) & (far + 2 < curve.shape[1]) & (far < 200)
            if not fits.any():
                continue
            best, rows = far[fits], frame[fits]
            for step in (-1, 1):
                other = far[fits] + step
                best = np.where(curve[rows, other] < curve[rows, best], other, best)
            finer = (_vertex(curve, rows, best) + 1) / times
            near = np.abs(finer / lag[fits] - 1) < 0.04
            lag[np.flatnonzero(fits)[near]] = finer[near]
        return lag

    # What was heard.

    @property
    def ready(self) -> int:
        """Frames of evidence so far."""
        return len(self._pitch.rows)

    def evidence(self, first: int = 0) -> tuple[Array, Array]:
        """Frames x semitones from the first frame on: probabilities, and cents off."""
        return self._pitch.rows[first:], self._cents.rows[first:]

    @property
    def times(self) -> Array:
        """The middle of each frame."""
        return np.arange(self.ready) * self._hop / self.rate + self.late

    @property
    def level(self) -> Array:
        """Decibels each ``FINE_S``."""
        return self._level.rows

    @property
    def level_times(self) -> Array:
        """The middle of each level's window."""
        return (np.arange(len(self._level.rows)) * self._fine + self._level_window / 2) / self.rate

    @property
    def level_half_s(self) -> float:
        """Half the window of a level."""
        return self._level_window / 2 / self.rate

    @property
    def sound(self) -> Array:
        """The samples within the band, in step with the input."""
        return self._sound.rows


class _GrowingRows:
    """Rows that are added to at the end, kept in one array that doubles when it is full."""

    def __init__(self, shape: tuple[int, ...], kind: type) -> None:
        self._room: Array = np.zeros((1024, *shape), kind)
        self._used = 0

    @property
    def rows(self) -> Array:
        return self._room[: self._used]

    def add(self, rows: Array) -> None:
        need = self._used + len(rows)
        if need > len(self._room):
            room = np.zeros(
                (max(need, 2 * len(self._room)), *self._room.shape[1:]), self._room.dtype
            )
            room[: self._used] = self.rows
            self._room = room
        self._room[self._used : need] = rows
        self._used = need


def _band(rate: int, low: float, high: float) -> Array:
    """A linear-phase band filter of 40 ms: rumble below and hiss above the line go."""
    count = int(0.04 * rate) // 2 * 2 + 1
    at = np.arange(count) - count // 2
    taps = 2 * high / rate * np.sinc(2 * high / rate * at)
    taps -= 2 * low / rate * np.sinc(2 * low / rate * at)
    windowed: Array = (taps * np.blackman(count)).astype(np.float32)
    return windowed


def _convolved(samples: Array, taps: Array) -> Array:
    """``np.convolve(..., "valid")``, through the spectrum where that is quicker."""
    if len(samples) < 4 * len(taps):
        short: Array = np.convolve(samples, taps, "valid").astype(np.float32)
        return short
    size = 1 << math.ceil(math.log2(len(samples) + len(taps)))
    product = np.fft.rfft(samples, size) * np.fft.rfft(taps, size)
    found: Array = np.fft.irfft(product, size)[len(taps) - 1 : len(samples)].astype(np.float32)
    return found


def _difference(frames: Array, window: int, longest: int, size: int) -> Array:
    """The cumulative mean normalised difference of each frame, from a lag of 1 on."""
    spectrum = np.fft.rfft(frames, size)
    product = np.fft.irfft(spectrum * np.conj(np.fft.rfft(frames[:, :window], size)), size)
    none = np.zeros((len(frames), 1))
    energy = np.concatenate([none, np.cumsum(frames.astype(np.float64) ** 2, 1)], 1)
    moved = energy[:, window : window + longest] - energy[:, :longest]
    curve = energy[:, window : window + 1] + moved - 2 * product[:, :longest]
    curve = np.maximum(curve[:, 1:], 0)
    normalised: Array = curve * np.arange(1, longest) / (np.cumsum(curve, 1) + 1e-9)
    return normalised


def _vertex(curve: Array, row: Array, at: Array) -> Array:
    """The lowest point of the parabola through three values."""
    at = np.clip(at, 1, curve.shape[1] - 2)
    left, mid, right = curve[row, at - 1], curve[row, at], curve[row, at + 1]
    bend = left - 2 * mid + right
    flat = np.abs(bend) < 1e-9
    moved = np.where(flat, 0.0, 0.5 * (left - right) / np.where(flat, 1.0, bend))
    found: Array = at + moved.clip(-1, 1)
    return found
