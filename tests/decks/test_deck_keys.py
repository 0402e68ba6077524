"""Groups of keys and concert keys, against the trade's own tables.

``tests/reference/practice_orders.csv`` (orders through the keys) and
``written_keys.csv`` (concert key to written key) are common practice; the number
of sharps and flats of a key is counted here from the circle of fifths.
"""

from __future__ import annotations

import csv
import itertools
from math import gcd
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.decks.keychoice import group, group_names, keys_value, window_text
from drill.decks.load import loads
from drill.decks.write import write
from drill.terms import Direction, Key
from drill.theory.keys import ORDERS
from drill.theory.runs import build_run
from drill.theory.scales import SCALES, signature, tonics
from drill.theory.spelling import parse_name

REFERENCE = Path(__file__).parents[1] / "reference"
CIRCLE = "Fb Cb Gb Db Ab Eb Bb F C G D A E B F# C# G# D# A# E# B#".split()
"""The circle of fifths; C, in place 8, has no sharps or flats."""


def rows(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def tonics_of(keys: tuple[Key, ...] | None) -> list[str]:
    assert keys is not None
    return [str(key.tonic) for key in keys]


def deck_keys(lines: str, instrument: str = "alto_sax") -> list[str]:
    text = f'title = "T"\ninstrument = "{instrument}"\npatterns = ["return3"]\n{lines}'
    return [str(key) for key in loads(text, "t.toml").keys]


@pytest.mark.parametrize(
    ("name", "order"),
    [
        ("fourths", "circle of fourths (clockwise flats)"),
        ("fifths", "circle of fifths"),
        ("signatures", "15 signatures, flats to sharps"),
        ("outward", "15 signatures, outward from C"),
    ],
)
def test_orders_are_those_of_the_trade(name: str, order: str) -> None:
    (row,) = [each for each in rows("practice_orders.csv") if each["order"] == order]
    expected = [each.split("/") for each in row["sequence"].split()]
    found = tonics_of(group(name, "major"))
    assert len(found) == len(expected)
    assert all(tonic in choices for tonic, choices in zip(found, expected, strict=True))


def test_all_is_the_fifteen_major_keys_easy_to_hard() -> None:
    found = tonics_of(group("all", "major"))
    assert sorted(found) == sorted(CIRCLE[1:16])
    assert found == "C G F D Bb A Eb E Ab B Db F# Gb C# Cb".split()


@pytest.mark.parametrize("count", range(8))
def test_up_to_counts_the_sharps_and_flats_of_the_signature(count: int) -> None:
    both = set(CIRCLE[8 - count : 9 + count])
    for text in (f"up to {count} sharps and flats", f"up to {count} sharps or flats"):
        assert set(tonics_of(group(text, "major"))) == both
    assert set(tonics_of(group(f"up to {count} sharps", "major"))) == set(CIRCLE[8 : 9 + count])
    assert set(tonics_of(group(f"up to {count} flats", "major"))) == set(CIRCLE[8 - count : 9])
    # A minor has C major's signature: three places on (common practice)
    minor = set(CIRCLE[11 - count : 12 + count])
    assert set(tonics_of(group(f"up to {count} sharps and flats", "natural_minor"))) == minor


def test_one_sharp_or_flat_may_be_said_in_the_singular() -> None:
    assert tonics_of(group("up to 1 sharp", "major")) == ["C", "G"]
    assert tonics_of(group("up to 1 flat", "major")) == ["C", "F"]
    assert tonics_of(group("up to 1 sharp or flat", "major")) == ["C", "G", "F"]


def test_sharps_and_flats_are_the_seven_keys_of_each_side() -> None:
    assert tonics_of(group("sharps", "major")) == CIRCLE[9:16]
    assert tonics_of(group("flats", "major")) == CIRCLE[7:0:-1]
    assert tonics_of(group("sharps", "harmonic_minor")) == "E B F# C# G# D# A#".split()


def test_every_group_has_only_keys_that_exist_in_every_scale() -> None:
    for scale in SCALES:
        for name in group_names():
            keys = group(name, scale)
            assert keys
            assert len(set(keys)) == len(keys)
            assert {key.tonic for key in keys} <= set(tonics(scale))


@pytest.mark.parametrize("word", ["", "ALL", "up to 8 sharps", "up to", "first seven", "C"])
def test_other_words_are_no_group(word: str) -> None:
    assert group(word, "major") is None


@pytest.mark.parametrize("row", rows("written_keys.csv"), ids=lambda r: "-".join(r.values()))
def test_concert_keys_become_the_written_keys_that_players_read(row: dict[str, str]) -> None:
    lines = f'concert_keys = ["{row["concert_major"]}"]'
    assert deck_keys(lines, row["instrument"]) == [f"{row['written_major_recommended']} major"]
    if parse_name(row["concert_relative_minor"]) in tonics("natural_minor"):
        lines = f'concert_keys = ["{row["concert_relative_minor"]}"]\nscales = ["natural_minor"]'
        written = f"{row['written_minor_recommended']} natural_minor"
        assert deck_keys(lines, row["instrument"]) == [written]


def test_concert_keys_are_kept_beside_the_written_ones() -> None:
    text = 'title="T"\ninstrument="tenor_sax"\npatterns=["scale"]\nconcert_keys=["Bb", "Cb", "B"]'
    deck = loads(text, "t.toml")
    assert [str(key.tonic) for key in deck.concert_keys] == ["Bb", "Cb", "B"]
    assert [str(key.tonic) for key in deck.keys] == ["C", "Db"]  # both of the last are one page


def test_keys_may_be_named_scale_by_scale() -> None:
    lines = '[keys]\nmajor = ["G", "Gb"]\n"melodic minor" = "up to 1 sharp"'
    assert deck_keys(lines) == [
        "G major", "Gb major", "A melodic_minor_classical", "E melodic_minor_classical",
    ]  # fmt: skip


def test_keys_are_listed_scale_by_scale_in_the_order_given() -> None:
    assert deck_keys('scales = ["dorian", "major"]\nkeys = ["F", "C"]') == [
        "F dorian", "C dorian", "F major", "C major",
    ]  # fmt: skip


def test_without_keys_every_key_of_every_scale_is_meant() -> None:
    assert len(deck_keys("")) == 15
    assert len(deck_keys('scales = ["major", "minor", "blues"]')) == 45


@pytest.mark.parametrize(
    ("text", "tonics"),
    [
        # Signatures by the circle of fifths (common practice).
        ("up to 2 sharps, up to 1 flat", "C G F D"),
        ("up to 2 sharps and up to 1 flat", "C G F D"),
        ("up to 2 accidentals", "C G F D Bb"),
        ("Up  to 1 Accidental", "C G F"),
        ("up to 1 flat or sharp", "C G F"),
        ("up to 0 sharps, up to 3 flats", "C F Bb Eb"),
    ],
)
def test_a_window_of_signatures(text: str, tonics: str) -> None:
    found = group(text, "major")
    assert found is not None
    assert [str(key.tonic) for key in found] == tonics.split()


def test_a_window_in_a_minor_scale_goes_by_the_signature() -> None:
    found = group("up to 1 sharp, up to 2 flats", "natural_minor")
    assert found is not None
    assert [str(key.tonic) for key in found] == ["A", "E", "D", "G"]


@given(st.integers(0, 7), st.integers(0, 7))
def test_a_window_is_read_as_it_is_written(sharps: int, flats: int) -> None:
    found = group(window_text(sharps, flats), "major")
    assert found is not None
    assert len(found) == sharps + flats + 1
    assert {signature(key) for key in found} == set(range(-flats, sharps + 1))


def test_what_a_person_writes_after_a_question_about_keys() -> None:
    assert keys_value(" up to 4 sharps,  up to 4 flats ") == "up to 4 sharps, up to 4 flats"
    assert keys_value("C G, Bb") == ["C", "G", "Bb"]
    assert keys_value("up to 9 flats") == "up to 9 flats", "the checker says what is wrong"
    assert keys_value("all") == "all"


HEAD = 'title = "T"\ninstrument = "flute"\npatterns = ["scale"]\n'


@pytest.mark.parametrize("order", list(ORDERS))
def test_every_order_of_keys_is_a_group(order: str) -> None:
    """Half steps, whole tones and thirds in rows, the circle with F sharp for G flat."""
    deck = loads(f'{HEAD}keys = "{order}"', "d.toml")
    assert [str(key.tonic) for key in deck.keys] == list(ORDERS[order])
    assert loads(write(deck), "again.toml") == deck


def test_orders_through_all_twelve_keys_visit_each_once() -> None:
    """practice_orders.csv: rows of equal steps, C D E F# Ab Bb | Db Eb F G A B and so on."""
    steps = {"half-steps": 1, "whole-tones": 2, "minor-thirds": 3, "major-thirds": 4}
    for order, step in steps.items():
        classes = [parse_name(tonic).pitch_class for tonic in ORDERS[order]]
        assert sorted(classes) == list(range(12))
        size = 12 // gcd(step, 12)
        for row in (classes[at : at + size] for at in range(0, 12, size)):
            assert all((b - a) % 12 == step for a, b in itertools.pairwise(row))


@pytest.mark.parametrize(
    "text",
    [
        'scale = "1 2 b3 #4 5 b6 7"\nkeys = ["C", "F#"]',
        'scales = ["1, 2, b3, #4, 5, b6, 7"]\nkeys = ["C", "F#"]',
        '[keys]\n"1-2-b3-#4-5-b6-7" = ["C", "F#"]\nmajor = "all"',
    ],
)
def test_a_scale_of_one_s_own_by_formula(text: str) -> None:
    deck = loads(HEAD + text, "d.toml")
    assert deck.keys[0].scale == "1-2-b3-#4-5-b6-7"
    run = build_run(deck.keys[1], deck.patterns[0], Direction.UP)
    notes = " ".join(str(cell.notes[0].name) for cell in run.cells)
    assert notes == "F# G# A B# C# D E#"  # Hungarian minor (common practice)
    assert loads(write(deck), "again.toml") == deck
