"""Names of items and back: every pattern of the catalogue is found again by its shape."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from drill.decks.load import load
from drill.memory.items import Item
from drill.practice.syllabus import build, shape_id
from drill.reports.naming import degree_of, key_order, pattern_of, shape_order
from drill.terms import Descent, Direction, Ending, Pattern
from drill.theory.patterns import PATTERNS, find_pattern, free_pattern
from drill.wording.squares import key_of, key_text, shape_name


def plays(pattern: Pattern, direction: Direction) -> tuple[object, ...]:
    """What a pattern plays in one direction."""
    down = pattern.descent if direction is Direction.DOWN else None
    return pattern.cells, pattern.moves_by, pattern.roots, down, pattern.ending


@pytest.mark.parametrize("pattern", PATTERNS.values(), ids=PATTERNS)
def test_every_pattern_is_found_again(pattern: Pattern) -> None:
    for direction in Direction:
        for descent in Descent:
            for clipped in range(3):
                ending = Ending.CLIPPED if clipped else Ending.OVERRUN
                made = replace(pattern, descent=descent, ending=ending)
                found = pattern_of(shape_id(made, direction, clipped))
                assert found is not None
                assert plays(found[0], found[1]) == plays(made, direction)
    back = pattern_of(shape_id(pattern, Direction.DOWN))
    assert back == (pattern, Direction.DOWN)


@pytest.mark.parametrize(
    "pattern",
    [
        free_pattern(("1-2-3-1", "1-3-2-1")),
        free_pattern(("1-3",), moves_by=2),
        find_pattern("1-2-b3-5"),
        replace(find_pattern("1-b3-5"), roots=("1", "4", "b7")),
    ],
    ids=lambda pattern: pattern.text,
)
def test_free_patterns_are_found_again(pattern: Pattern) -> None:
    found = pattern_of(shape_id(pattern, Direction.DOWN))
    assert found is not None
    assert plays(*found) == plays(pattern, Direction.DOWN)
    assert found[0].mode == pattern.mode


@pytest.mark.parametrize("name", ["?key", "", "x/up", "1-2/sideways", "1-2-3-1", "99-1/up", "/"])
def test_what_is_no_pattern_is_none(name: str) -> None:
    assert pattern_of(name) is None


def test_a_scale_of_one_s_own_has_a_name_and_a_place() -> None:
    name = "A:1-2-b3-#4-5-b6-7"
    assert key_text(name) == "A scale 1-2-b3-#4-5-b6-7"
    assert key_order("G:major") < key_order(name) < key_order("A:no scale")


def test_names_for_people() -> None:
    assert str(shape_name("1-2-3-1/up")) == "1-2-3-1 up"
    assert str(shape_name("1-2-3-1~mirror/down")) == "1-2-3-1 down"
    assert str(shape_name("1-3~by2~same-shape/down")) == "1-3 down by2, same-shape"
    assert str(shape_name("1-3~mirror~clipped2/down")) == "1-3 down clipped2"
    assert str(shape_name("?signature")) == "signature"
    assert str(shape_name("?different")) == "which note was different"
    assert key_text("F#:dorian") == "F# Dorian"
    assert key_text("H:major") == "H:major"
    assert key_of("H:major") is None
    keys = ["C:major", "F#:major", "Cb:major", "A:natural_minor", "G:major"]
    assert sorted(keys, key=key_order) == [
        "Cb:major", "C:major", "G:major", "F#:major", "A:natural_minor",
    ]  # fmt: skip
    shapes = ["?key", "1-3~mirror/down", "1-2/up", "1-3/up"]
    assert sorted(shapes, key=shape_order) == ["1-2/up", "1-3/up", "1-3~mirror/down", "?key"]


def test_degrees_of_real_items(checkout: Path) -> None:
    deck = load(checkout / "decks" / "major-returning-cells.toml")
    for item, entry in ((entry.item, entry) for entry in build(deck).entries.values()):
        assert degree_of(item) == str(entry.cell.degree)
    asked = Item("G:major:signature", "G:major", "?signature", (), 1)
    assert degree_of(asked) == ""
