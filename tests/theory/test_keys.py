"""Written and concert keys: the published table, the policy, and orders through the keys."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from run_draws import ANY_KEY, HORN
from theory_tables import by_abjad, by_mingus, by_musthe, table

from drill.terms import Instrument, Key, Name
from drill.theory.instruments import INSTRUMENTS
from drill.theory.keys import (
    ORDERS,
    concert_key,
    in_order,
    respelled,
    sounding_shift,
    written_key,
)
from drill.theory.scales import signature, tonics
from drill.theory.spelling import moved, parse_name

ROWS = table("written_keys")


def test_the_published_written_keys() -> None:
    """90 rows: six instruments, 15 concert majors and their relative minors."""
    assert len(ROWS) == 90
    for row in ROWS:
        horn = INSTRUMENTS[row["instrument"]]
        major = Key(parse_name(row["concert_major"]), "major")
        minor = Key(parse_name(row["concert_relative_minor"]), "natural_minor")
        strict = moved(major.tonic, -horn.steps, -horn.semitones)
        assert str(strict) == row["written_major_strict"]
        assert str(written_key(major, horn).tonic) == row["written_major_recommended"]
        assert str(written_key(minor, horn).tonic) == row["written_minor_recommended"]


DEGREES = {
    "alto_sax": "6", "baritone_sax": "6", "tenor_sax": "2", "soprano_sax": "2",
    "clarinet_bb": "2", "trumpet_bb": "2", "clarinet_a": "b3", "horn_f": "5",
    "english_horn": "5", "alto_flute": "4", "clarinet_eb": "6",
}  # fmt: skip
"""Where the written tonic stands above the concert one, as a degree: common practice."""


@pytest.mark.parametrize("by", [by_mingus, by_musthe, by_abjad])
def test_strict_written_keys_by_three_libraries(by: Callable[[str, str], str]) -> None:
    for horn_id, degree in DEGREES.items():
        horn = INSTRUMENTS[horn_id]
        for tonic in tonics("major"):
            ours = moved(tonic, -horn.steps, -horn.semitones)
            assert by(str(tonic), degree) == str(ours), (horn_id, tonic)


def written(concert: str, horn: str, scale: str = "major") -> str:
    return str(written_key(Key(parse_name(concert), scale), INSTRUMENTS[horn]).tonic)


def test_concert_b_flat_is_g_on_alto_and_c_on_tenor() -> None:
    # Common practice, E flat and B flat instruments.
    assert written("Bb", "alto_sax") == "G"
    assert written("Bb", "tenor_sax") == "C"
    assert written("Ab", "alto_sax") == "F"
    assert str(concert_key(Key(Name("G"), "major"), INSTRUMENTS["alto_sax"]).tonic) == "Bb"
    assert str(concert_key(Key(Name("C"), "major"), INSTRUMENTS["tenor_sax"]).tonic) == "Bb"


@pytest.mark.parametrize(
    ("concert", "horn", "key"),
    [
        ("E", "alto_sax", "Db"),  # C sharp strictly, 7 sharps: offered with 5 flats
        ("B", "alto_sax", "Ab"),  # G sharp strictly, 8 sharps: must change
        ("A", "alto_sax", "F#"),  # 6 keeps its side
        ("F#", "tenor_sax", "Ab"),
        ("B", "tenor_sax", "Db"),
        ("E", "tenor_sax", "F#"),
        ("Gb", "clarinet_a", "A"),  # Bbb strictly
        ("Cb", "flute", "Cb"),  # an instrument at pitch keeps all
        ("C#", "piccolo", "C#"),  # and so does one an octave away
    ],
)
def test_respelling(concert: str, horn: str, key: str) -> None:
    assert written(concert, horn) == key


@given(HORN, ANY_KEY)
def test_a_derived_key_has_six_accidentals_at_most_unless_the_horn_is_at_pitch(
    horn: Instrument, concert: Key
) -> None:
    found = written_key(concert, horn)
    strict = moved(concert.tonic, -horn.steps, -horn.semitones)
    assert found.tonic.pitch_class == strict.pitch_class
    if horn.semitones % 12 == 0:
        assert found == concert
    else:
        assert abs(signature(found)) <= 6
        if abs(signature(Key(strict, concert.scale))) <= 6:
            assert found.tonic == strict


@given(HORN, ANY_KEY)
def test_written_to_concert_sounds_right_and_is_never_beyond_seven(
    horn: Instrument, key: Key
) -> None:
    concert = concert_key(key, horn)
    assert (concert.tonic.pitch_class - key.tonic.pitch_class - horn.semitones) % 12 == 0
    assert abs(signature(concert)) <= 7
    steps, semitones = sounding_shift(key, concert, horn)
    assert moved(key.tonic, steps, semitones) == concert.tonic
    assert semitones == horn.semitones


@given(HORN, ANY_KEY)
def test_to_the_horn_and_back_is_the_same_sound(horn: Instrument, concert: Key) -> None:
    back = concert_key(written_key(concert, horn), horn)
    assert back.tonic.pitch_class == concert.tonic.pitch_class
    assert back.scale == concert.scale


@given(ANY_KEY)
def test_respelling_twice_changes_nothing_more(key: Key) -> None:
    once = respelled(key)
    assert respelled(once) == once


def test_without_an_instrument_written_is_concert() -> None:
    key = Key(Name("C", 1), "major")
    assert written_key(key, None) == concert_key(key, None) == key
    assert sounding_shift(key, key, None) == (0, 0)


def _sounds(sequence: str) -> list[int]:
    return [parse_name(text.split("/")[0]).pitch_class for text in sequence.split()]


@pytest.mark.parametrize(
    ("order", "published"),
    [
        ("fourths", "circle of fourths (clockwise flats)"),
        ("fifths", "circle of fifths"),
        ("signatures", "15 signatures, flats to sharps"),
        ("outward", "15 signatures, outward from C"),
    ],
)
def test_orders_through_the_keys(order: str, published: str) -> None:
    row = next(row for row in table("practice_orders") if row["order"] == published)
    assert [parse_name(text).pitch_class for text in ORDERS[order]] == _sounds(row["sequence"])
    if "/" not in row["sequence"]:
        assert " ".join(ORDERS[order]) == row["sequence"]


def test_an_order_of_majors_sorts_minors_by_signature() -> None:
    names = in_order(tonics("natural_minor"), "fifths", "natural_minor")
    assert " ".join(map(str, names[:4])) == "A E B F#"
    assert len(names) == 15
    assert set(names) == set(tonics("natural_minor"))
    majors = in_order(tonics("major"), "signatures", "major")
    assert tuple(map(str, majors)) == ORDERS["signatures"]
