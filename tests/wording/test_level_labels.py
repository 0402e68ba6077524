"""Levels have ids apart from what players call them."""

from __future__ import annotations

from drill.memory.levels import Level
from drill.wording.levels import LABELS, level_label


def test_every_level_has_a_label_of_its_own() -> None:
    assert set(LABELS) == set(Level)
    assert len({level_label(level) for level in Level}) == len(Level)
    assert level_label(Level.BY_HEART) == "by heart"


def test_ids_are_one_word() -> None:
    assert all(" " not in level.value and level.value.isascii() for level in Level)
