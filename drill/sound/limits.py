"""What a player may set of the sound, and what it is until then; it loads nothing."""

from __future__ import annotations

VOLUME = 0.7
"""The default volume, 0 to 1: modest, so that headphones do no harm."""
A4_LOW, A4_HIGH = 430.0, 450.0
"""The tuning range in hertz; ISO 16 says 440."""
