"""What the levels of memory are called."""

from __future__ import annotations

from collections.abc import Mapping

LABELS: Mapping[str, str] = {
    "untried": "untried",
    "shaky": "shaky",
    "holding": "holding",
    "fading": "fading",
    "by-heart": "by heart",
}
"""By their ids, those of ``memory.levels.Level``, which would bring the whole memory with it."""


def level_label(level: str) -> str:
    """A level in a player's words: ``by heart``."""
    return LABELS[level]
