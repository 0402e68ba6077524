"""A little room: a short, light reverberation, mixed under the notes of a take.

The response is made, not recorded: noise that dies away within ``DECAY_S``, duller as it
dies, the same in every run.  Clicks stay dry, so that time is told sharply.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from drill.sound.tone import RATE

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from drill.sound.tone import Samples

DECAY_S = 0.32
"""Until the reverberation has fallen by 60 dB: a small, furnished room."""
WET_DB = -17.0
"""Its energy against that of the dry sound."""
_PREDELAY_S = 0.012
_BLOCK = 1 << 15


@lru_cache(maxsize=1)
def response() -> Samples:
    """The room's answer to one sample, its energy ``WET_DB``; begins after a short delay."""
    import numpy as np

    count = round(DECAY_S * RATE)
    t = np.arange(count) / RATE
    noise = np.random.default_rng(1).standard_normal(count)
    # Walls and curtains swallow the top first: a running mean that grows longer.
    early, late = (_smooth(noise, width) for width in (6, 24))
    share = t / DECAY_S
    tail = (early * (1 - share) + late * share) * 10 ** (-3 * t / DECAY_S)
    tail *= 10 ** (WET_DB / 20) / np.sqrt(np.sum(tail**2))
    tail[-200:] *= np.linspace(1, 0, 200)
    return np.concatenate((np.zeros(round(_PREDELAY_S * RATE)), tail)).astype(np.float32)


def _smooth(noise: NDArray[np.float64], width: int) -> NDArray[np.float64]:
    """The noise through a running mean, as loud as it was."""
    import numpy as np

    mean = np.convolve(noise, np.ones(width) / width, mode="same")
    return np.asarray(mean / np.sqrt(np.mean(mean**2)))


def with_room(samples: Samples) -> Samples:
    """The samples with the room under them, as long as before; convolved block by block."""
    import numpy as np

    answer = response()
    size = 1 << int(np.ceil(np.log2(_BLOCK + len(answer))))
    spectrum = np.fft.rfft(answer, size).astype(np.complex64)
    out = samples.copy()
    for start in range(0, len(samples), _BLOCK):
        block = samples[start : start + _BLOCK]
        if not block.any():
            continue
        wet = np.fft.irfft(np.fft.rfft(block, size) * spectrum, size)
        part = wet[: len(out) - start]
        out[start : start + len(part)] += part.astype(np.float32)
    return out
