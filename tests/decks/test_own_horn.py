"""Decks for everyone's own horn, and horns that a deck describes itself."""

from __future__ import annotations

import pytest

from drill.decks.load import loads
from drill.decks.schema import Deck
from drill.decks.write import write
from drill.errors import FaultsError
from drill.terms import Direction
from drill.theory.instruments import INSTRUMENTS, NO_HORN
from drill.theory.patterns import find_pattern
from drill.theory.runs import build_run
from drill.theory.spelling import moved_note

WARM_UP = """\
title = "Warm-up"
instrument = "own"
patterns = ["1-2-3-1"]
concert_keys = ["Bb", "Eb", "F"]
"""
ROWS = {
    "name": "Serpent in D",
    "clef": "bass",
    "sounds": "M2 up",
    "low": "C2",
    "high": "F4",
    "first": "F2",
    "family": "brass",
}


def old_horn(**rows: str | None) -> str:
    """A deck with a horn of its own, some of its rows otherwise; None leaves one out."""
    head = 'title = "Old horn"\npatterns = ["1-2-3-1"]\nkeys = ["C", "F"]\n[horn]\n'
    kept = {key: value for key, value in {**ROWS, **rows}.items() if value is not None}
    return head + "".join(f'{key} = "{value}"\n' for key, value in kept.items())


def deck(text: str) -> Deck:
    return loads(text, "deck.toml")


def faults(text: str) -> list[str]:
    with pytest.raises(FaultsError) as caught:
        deck(text)
    return [str(fault) for fault in caught.value.faults]


def test_a_deck_for_one_s_own_horn_waits_for_it() -> None:
    made = deck(WARM_UP)
    assert made.own
    assert made.unplayed
    assert made.horn == NO_HORN
    assert [str(key.tonic) for key in made.keys] == ["Bb", "Eb", "F"]


@pytest.mark.parametrize(
    ("horn", "written"),
    [
        # Concert B flat is G on alto, C on tenor, F on a horn in F (common practice).
        ("alto_sax", ["G", "C", "D"]),
        ("tenor_sax", ["C", "F", "G"]),
        ("horn_f", ["F", "Bb", "C"]),
        ("trombone", ["Bb", "Eb", "F"]),
    ],
)
def test_each_horn_sees_its_own_written_keys(horn: str, written: list[str]) -> None:
    played = deck(WARM_UP).played_on(INSTRUMENTS[horn])
    assert not played.unplayed
    assert played.horn.id == horn
    assert [str(key.tonic) for key in played.keys] == written
    assert played.fingerprint == deck(WARM_UP).fingerprint, "one assignment for the whole band"


def test_another_deck_is_another_assignment() -> None:
    other = deck(WARM_UP.replace('"F"]', '"Ab"]'))
    written = deck(WARM_UP.replace("concert_keys", "keys"))
    fixed = deck(WARM_UP.replace("own", "alto_sax"))
    prints = {each.fingerprint for each in (deck(WARM_UP), other, written, fixed)}
    assert len(prints) == 4


def test_written_keys_stand_on_every_horn() -> None:
    played = deck(WARM_UP.replace("concert_keys", "keys")).played_on(INSTRUMENTS["alto_sax"])
    assert [str(key.tonic) for key in played.keys] == ["Bb", "Eb", "F"]


def test_a_horn_of_the_deck_s_own_is_played() -> None:
    made = deck(old_horn())
    horn = made.horn
    assert (horn.id, horn.name, horn.clef) == ("serpent_in_d", "Serpent in D", "bass")
    assert str(moved_note(horn.low, horn.steps, horn.semitones)) == "D2"
    run = build_run(made.keys[0], find_pattern("1-2-3-1"), Direction.UP, horn=horn)
    assert str(run.cells[0].notes[0]) == "C3", "the first C at or above its usual F2"
    down = build_run(made.keys[1], find_pattern("scale"), Direction.UP, horn=horn)
    assert str(down.cells[0].notes[0]) == "F2"


def test_a_horn_s_own_table_is_written_and_read_again() -> None:
    for text in (WARM_UP, old_horn()):
        assert deck(write(deck(text))) == deck(text)


def test_the_place_of_what_is_wrong_with_a_horn() -> None:
    assert faults(old_horn(clef="baritone")) == [
        (
            'deck.toml:6:8: clef: there is no clef "baritone" (known are treble, treble 8va, bass, '
            "tenor)"
        )
    ]
    assert faults(old_horn(sounds="2 up")) == [
        (
            'deck.toml:7:10: sounds: "2 up" is not an interval (such as "M6 down", "P8 up", '
            'or "P1" for as written)'
        )
    ]
    assert faults(old_horn(high="A2")) == [
        "deck.toml:4:1: horn: C2 to A2 is less than an octave (a run needs an octave)"
    ]
    assert faults(old_horn(first="F1")) == ["deck.toml:10:9: first: F1 is not between C2 and F4"]
    assert "name one of them" in faults(f'instrument = "tuba"\n{old_horn()}')[0]
    assert "expected a table" in faults('horn = "tuba"\n' + WARM_UP)[0]


@pytest.mark.parametrize("missing", ["clef", "low", "high"])
def test_each_row_that_a_horn_must_have_is_asked_for(missing: str) -> None:
    (fault,) = faults(old_horn(first=None, **{missing: None}))
    assert f"horn: {missing} is missing" in fault


@pytest.mark.parametrize(
    ("low", "high", "heard"),
    [("C0", "C2", True), ("B-1", "C2", False), ("C5", "C9", True), ("C5", "C#9", False)],
)
def test_a_horn_sounds_where_it_can_be_heard(low: str, high: str, heard: bool) -> None:
    text = old_horn(low=low, high=high, sounds=None, first=None)
    if heard:
        assert deck(text).horn.low.midi >= 12
        return
    assert "is out of hearing" in faults(text)[0]
    assert "expected 12 to 120" in faults(text)[0]
