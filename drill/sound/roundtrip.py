"""A click found again in what the microphone heard of it.

The clicks come at uneven distances, so that a long delay cannot be taken for a short one.  Each is
looked for by correlation with the sound that was played, with the same sound a quarter of a
period later beside it: their root of squares has no ripple of the click's own frequency
(a matched filter in quadrature, as text books on detection have it; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

import numpy as np
import numpy.typing as npt

from drill.sound import capture
from drill.sound.latency import Delays
from drill.sound.limits import VOLUME
from drill.sound.render import CLICK_HZ, click_sound
from drill.sound.take import TAIL_S, Click, ClickEvent, Take
from drill.sound.tone import RATE

_GAPS_S = (0.41, 0.56, 0.47, 0.71, 0.44, 0.62, 0.53, 0.77, 0.42, 0.59, 0.68)
"""Seconds between the clicks: no stretch of them is like another."""
_FIRST_S = 0.5
_EARLIEST_S, _LATEST_S = -0.3, 1.0
"""A click is looked for so far from where it was due."""
_NEAR_S = 0.03
"""A click is looked for so far from where the others say that it is."""
_CLEAR = 6.0
"""A click stands out so many times above the middle of all that was heard."""
CLICKS = len(_GAPS_S) + 1
FEWEST = 9
"""Of the clicks, so many must be heard."""
WIDEST_S = 0.004
"""Clicks whose delays spread wider than this say nothing."""

Floats = npt.NDArray[np.float64]


class Echo(Delays):
    """What the microphone heard of the clicks: from when each was taken to be heard to when it
    came in."""

    __slots__ = ()

    @property
    def clear(self) -> bool:
        """Whether enough were heard, and near enough to each other."""
        return self.count >= FEWEST and self.spread_s <= WIDEST_S


def clicks_take(volume: float = VOLUME) -> Take:
    """The clicks to be heard: some seven seconds."""
    onsets = accumulate(_GAPS_S, initial=_FIRST_S)
    clicks = tuple(ClickEvent(round(onset, 4), Click.ACCENT) for onset in onsets)
    return Take((), clicks[-1].onset_s + TAIL_S, clicks, volume=volume)


def echo(samples: Sequence[float] | npt.NDArray[np.float32], due_s: Sequence[float]) -> Echo:
    """How late clicks that were due at ``due_s`` (seconds from the first sample, negative where
    before it) stand in what was heard, at ``capture.RATE`` samples a second."""
    likeness = _likeness(np.asarray(samples, np.float64))
    if not len(likeness):
        return Echo.of(())
    places = np.round(np.asarray(due_s) * capture.RATE).astype(int)
    lags = np.arange(round(_EARLIEST_S * capture.RATE), round(_LATEST_S * capture.RATE) + 1)
    total = np.zeros(len(lags))
    for place in places:
        total += _window(likeness, place + lags[0], len(lags))
    best = int(lags[np.argmax(total)])
    near = round(_NEAR_S * capture.RATE)
    floor = _CLEAR * float(np.median(likeness)) + 1e-9
    found = []
    for place in places:
        around = _window(likeness, place + best - near, 2 * near + 1)
        if around.max() > floor:
            found.append((best - near + int(np.argmax(around))) / capture.RATE)
    return Echo.of(found)


def _likeness(samples: Floats) -> Floats:
    """How like a click the sound is that begins at each sample."""
    step = RATE // capture.RATE
    click = click_sound(Click.ACCENT).astype(np.float64)
    later = round(RATE / CLICK_HZ[Click.ACCENT] / 4)
    turned = np.concatenate([click[later:], np.zeros(later)])
    if len(samples) < len(click) // step:
        return np.zeros(0)
    size = 1 << int(np.ceil(np.log2(len(samples) + len(click))))
    heard = np.fft.rfft(samples, size)
    parts = [
        np.fft.irfft(heard * np.conj(np.fft.rfft(each[::step], size)), size)[: len(samples)]
        for each in (click, turned)
    ]
    return np.hypot(*parts)


def _window(values: Floats, start: int, length: int) -> Floats:
    """``length`` values from a place that may lie outside, noughts there."""
    found = np.zeros(length)
    first, last = max(0, start), min(len(values), start + length)
    if last > first:
        found[first - start : last - start] = values[first:last]
    return found
