"""What the levels of memory are called."""

from __future__ import annotations

from drill.memory.levels import Level

LABELS = {
    Level.UNTRIED: "untried",
    Level.SHAKY: "shaky",
    Level.HOLDING: "holding",
    Level.FADING: "fading",
    Level.BY_HEART: "by heart",
}


def level_label(level: Level) -> str:
    """A level in a player's words: ``by heart``."""
    return LABELS[level]
