"""A take as a WAV file: 16-bit mono at the rate of the tone room."""

from __future__ import annotations

import io
import wave

import numpy as np
import numpy.typing as npt

from drill.sound.render import render
from drill.sound.take import Take
from drill.sound.tone import RATE


def wav_bytes(take: Take) -> bytes:
    """The bytes of a WAV file of a take."""
    return wav_file(render(take), RATE)


def wav_file(samples: npt.NDArray[np.integer], rate: int) -> bytes:
    """The bytes of a WAV file (RIFF, linear PCM, 16 bits, one channel) of so many samples a
    second."""
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(rate)
        out.writeframes(samples.astype("<i2").tobytes())
    return buffer.getvalue()
