"""The decks that ship: each loads, plays whole on its horn, and survives being rewritten."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from drill.decks.load import find, listing, load, loads
from drill.decks.shipped import shipped_folder
from drill.decks.write import write
from drill.terms import Direction, Span
from drill.theory.instruments import INSTRUMENTS
from drill.theory.patterns import PATTERNS
from drill.theory.runs import build_run

FOLDER = shipped_folder()
DECKS = listing((FOLDER,))


def test_the_decks_that_the_trade_asks_for_are_there() -> None:
    assert {path.stem for path in DECKS} >= {
        "major-returning-cells", "thirds", "broken-triads", "one-two-three-five", "three-minors",
        "tricky-keys-tenor", "first-year", "jazz-enclosures",
    }  # fmt: skip


def test_the_first_deck_is_the_returning_cell_in_all_major_keys_on_alto() -> None:
    deck = load(find("major-returning-cells", (FOLDER,)))
    assert deck.instrument == "alto_sax"
    assert deck.patterns == (PATTERNS["return3"],)
    assert deck.patterns[0].text == "1-2-3-1"
    assert {str(key) for key in deck.keys} == {
        f"{tonic} major" for tonic in "Cb Gb Db Ab Eb Bb F C G D A E B F# C#".split()
    }
    assert deck.directions == (Direction.UP, Direction.DOWN)
    assert deck.span is Span.ONE


@pytest.mark.parametrize("path", DECKS, ids=lambda path: path.stem)
def test_a_shipped_deck_loads_and_teaches_the_format(path: Path) -> None:
    deck = load(path)
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", path.stem)
    assert deck.name == path.stem
    assert deck.note
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# ")
    assert text.isascii()
    assert loads(write(deck), "again.toml") == deck


@pytest.mark.parametrize("path", DECKS, ids=lambda path: path.stem)
def test_a_shipped_deck_plays_every_cell_on_its_horn(path: Path) -> None:
    deck = load(path)
    horn = INSTRUMENTS[deck.instrument]
    limits = deck.compass.limits(horn)
    for pattern in deck.patterns:
        for key in deck.keys:
            for direction in deck.directions:
                run = build_run(
                    key, pattern, direction, span=deck.span, horn=horn, limits=limits,
                    joined=deck.joined,
                )  # fmt: skip
                assert run.cells
                assert not [remark for remark in run.remarks if remark.labels]
                assert all(limits.hold(cell.notes) for cell in run.cells)


def test_no_two_shipped_decks_drill_the_same() -> None:
    assert len({load(path).fingerprint for path in DECKS}) == len(DECKS)
