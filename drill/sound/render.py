"""A take to samples: every note and click in one buffer, exact to the sample."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from drill.sound.room import with_room
from drill.sound.take import Click, Take
from drill.sound.tone import RATE, note, soft_limit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from drill.sound.tone import Samples

CLICK_S = 0.03
"""Length of a click."""

_CLICK_PEAK = 0.45
"""Of the accent at full volume: under the ceiling, and above the notes."""
CLICK_HZ = {Click.ACCENT: 2093.0, Click.BEAT: 1568.0, Click.DIVISION: 1175.0}
"""The frequency of each click."""
_CLICK_LEVEL = {Click.ACCENT: 1.0, Click.BEAT: 0.7, Click.DIVISION: 0.35}


@lru_cache(maxsize=8)
def click_sound(click: Click) -> Samples:
    """The samples of one click: a struck tone that dies away at once."""
    import numpy as np

    frequency, level = CLICK_HZ[click], _CLICK_LEVEL[click]
    t = np.arange(round(CLICK_S * RATE)) / RATE
    wave = _CLICK_PEAK * level * np.sin(2 * np.pi * frequency * t) * np.exp(-t / 0.006)
    fall = round(0.005 * RATE)
    wave[-fall:] *= np.linspace(1, 0, fall)
    return wave.astype(np.float32)


def render_float(take: Take) -> Samples:
    """The take as floats, its peak under the ceiling of ``tone.soft_limit``."""
    import numpy as np

    buffer = np.zeros(max(0, round(take.length_s * RATE)), dtype=np.float32)

    def mix(onset_s: float, samples: Samples) -> None:
        start = round(onset_s * RATE)
        part = samples[: max(0, len(buffer) - start)]
        buffer[start : start + len(part)] += part

    for event in take.events:
        mix(
            event.onset_s,
            note(
                event.midi,
                event.sounding_s,
                event.velocity,
                take.colour,
                a4=take.a4,
                slur_in_s=event.slur_in_s,
                slur_out_s=event.slur_out_s,
            ),
        )
    if take.room and take.events:
        buffer = with_room(buffer)
    for click in take.clicks:
        mix(click.onset_s, click_sound(click.click))
    buffer *= np.float32(take.volume)
    return soft_limit(buffer)


def render(take: Take) -> NDArray[np.int16]:
    """The take as signed 16-bit samples, mono, ``RATE`` a second."""
    import numpy as np

    samples = render_float(take)
    samples = samples * np.float32(32767)
    return np.rint(samples, out=samples).astype(np.int16)
