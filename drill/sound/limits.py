"""What a player may set of the sound, and what it is until then; it loads nothing."""

from __future__ import annotations

from enum import StrEnum

VOLUME = 0.7
"""The default volume, 0 to 1: modest, so that headphones do no harm."""
A4_LOW, A4_HIGH = 430.0, 450.0
"""The tuning range in hertz; ISO 16 says 440."""


class Backend(StrEnum):
    """The audio library: the words that ``DRILL_SOUND`` and the setting understand."""

    AUTO = "auto"
    """The machine decides."""
    SIMPLEAUDIO = "simpleaudio"
    MINIAUDIO = "miniaudio"
    SILENT = "silent"
    """No sound, but time is kept."""
