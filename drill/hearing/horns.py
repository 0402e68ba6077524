"""What is known of a horn before it is heard."""

from __future__ import annotations

NOT_TOLD = frozenset({"bassoon", "contrabassoon"})
"""Horns whose octaves are not told: their second partial may stand 24 dB over the first, and what
is left of it in a short note is too little (measured on two sampled bassoons)."""


def octaves_told(instrument: str | None) -> bool:
    """Whether the sound of a horn (by id) tells a note from its octave."""
    return instrument not in NOT_TOLD
