"""A take as a WAV file: 16-bit mono at the rate of the tone room."""

from __future__ import annotations

import io
import wave

from drill.sound.render import render
from drill.sound.take import Take
from drill.sound.tone import RATE


def wav_bytes(take: Take) -> bytes:
    """The bytes of a WAV file (RIFF, linear PCM, 16 bits, one channel)."""
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes(render(take).astype("<i2").tobytes())
    return buffer.getvalue()
