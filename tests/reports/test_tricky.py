"""A deck of what goes wrong: the right choice, with the numbers of each reason."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.decks.load import loads
from drill.decks.write import write
from drill.errors import UsageError
from drill.reports.naming import KeyPlace
from drill.reports.study import CellCount, SlipCount
from drill.reports.tricky import Tricky, tricky
from drill.terms import Direction
from drill.theory.instruments import INSTRUMENTS

UP, DOWN = "1-2-3-1/up", "1-2-3-1~mirror/down"
THIRDS = "1-3/up"


Row = tuple[str, str, str, int, int]
"""Key, shape, degree, asked, right."""


def made(counts: list[Row], slips: list[tuple[str, str, str, int]] | None = None,
         worst: int = 2) -> Tricky:  # fmt: skip
    def place(key: str) -> KeyPlace:
        return KeyPlace("alto_sax", key, "")

    rows = [CellCount(place(key), *rest) for key, *rest in counts]  # type: ignore[arg-type]
    named = [SlipCount(slip, place(key), *rest) for slip, key, *rest in slips or ()]  # type: ignore[arg-type]
    horn = INSTRUMENTS["alto_sax"]
    return tricky(rows, named, horn, "Tricky", worst=worst, source="9 answers")


def text_of(each: Tricky) -> str:
    return write(each.deck, heading=each.heading, reasons=each.reasons)


def evenly(key: str, shape: str, asked: int, right: int) -> list[Row]:
    return [(key, shape, str(degree), asked, right) for degree in range(1, 8)]


def test_the_worst_keys_are_chosen_with_their_numbers() -> None:
    counts = [
        *evenly("G:major", UP, 10, 9),
        *evenly("Gb:major", UP, 10, 3),
        *evenly("B:major", UP, 10, 5),
    ]
    slips = [("signature-forgotten", "Gb:major", UP, 30), ("backwards", "Gb:major", UP, 19)]
    deck = made(counts, slips).deck
    assert [str(key) for key in deck.keys] == ["Gb major", "B major"]
    said = text_of(made(counts, slips))
    assert "Gb major: 49 of 70 answers wrong (70 %); most often: signature forgotten (30)" in said
    assert "B major: 35 of 70 answers wrong (50 %)" in said
    assert said.startswith("# Made from 9 answers")


def test_three_unlucky_answers_do_not_outrank_forty() -> None:
    counts = [
        ("D:major", UP, "1", 4, 2),
        *evenly("Gb:major", UP, 12, 7),
        *evenly("C:major", UP, 12, 11),
    ]
    assert [str(key) for key in made(counts, worst=1).deck.keys] == ["Gb major"]


def test_patterns_that_go_right_are_left_out_of_it() -> None:
    counts = [
        *evenly("Gb:major", UP, 10, 4),
        *evenly("Gb:major", THIRDS, 10, 10),
    ]
    assert [pattern.id for pattern in made(counts).deck.patterns] == ["return3"]
    assert "1-2-3-1: 42 of 70 answers wrong (60 %)" in text_of(made(counts))


def test_one_direction_where_nearly_all_goes_wrong() -> None:
    counts = [*evenly("Gb:major", UP, 10, 9), *evenly("Gb:major", DOWN, 10, 3)]
    each = made(counts)
    assert each.deck.directions == (Direction.DOWN,)
    assert "Nearly all of it coming down." in text_of(each)
    both = [*evenly("Gb:major", UP, 10, 5), *evenly("Gb:major", DOWN, 10, 3)]
    assert made(both).deck.directions == (Direction.UP, Direction.DOWN)


def test_degrees_where_nearly_all_goes_wrong() -> None:
    counts = [
        ("Gb:major", UP, str(degree), 20, 6 if degree in (4, 7) else 19) for degree in range(1, 8)
    ]
    each = made(counts)
    assert each.deck.degrees == (1, 2, 4, 7)  # two more beside them, of those that are alike
    assert "on 4: 14 of 20 answers wrong (70 %)" in text_of(each)
    assert made(evenly("Gb:major", UP, 10, 5)).deck.degrees == ()


def test_two_scales_stand_apart_in_the_file() -> None:
    counts = [*evenly("Gb:major", UP, 10, 4), *evenly("C#:natural_minor", UP, 10, 3)]
    each = made(counts)
    assert each.deck.scales == ("major", "natural_minor")
    assert loads(text_of(each), "t.toml").keys == each.deck.keys


def test_nothing_wrong_is_nothing_tricky() -> None:
    for counts in ([], evenly("G:major", UP, 5, 5), [("G:major", "?signature", "", 9, 2)]):
        with pytest.raises(UsageError, match="nothing is tricky"):
            made(counts)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["G:major", "Gb:major", "F#:dorian", "A:harmonic_minor"]),
            st.sampled_from([UP, DOWN, THIRDS, "1-3~by2~mirror/down", "?key"]),
            st.sampled_from(["", *map(str, range(1, 9))]),
            st.integers(1, 30),
            st.integers(0, 30),
        ).map(lambda row: (*row[:4], min(row[3], row[4]))),
        max_size=40,
    ),
    st.integers(1, 15),
)
def test_every_deck_reads_back_as_itself(counts: list[Row], worst: int) -> None:
    try:
        each = made(counts, worst=worst)
    except UsageError:
        return
    assert loads(text_of(each), "t.toml") == each.deck
    assert 1 <= len(each.deck.keys) <= worst
    wrong = {key for key, shape, _, asked, right in counts if right < asked and "/" in shape}
    assert {f"{key.tonic}:{key.scale}" for key in each.deck.keys} <= wrong
    for found, asked in re.findall(r"(\d+) of (\d+) answers wrong", text_of(each)):
        assert 0 <= int(found) <= int(asked)


def test_keys_counted_over_all_horns_are_said_to_be_concert_keys() -> None:
    rows = [
        CellCount(KeyPlace("alto_sax", "G:major", concert), *rest)  # type: ignore[arg-type]
        for concert in ("Bb:major", "Eb:major")
        for _, *rest in evenly("G:major", UP, 10, 4)
    ]
    told = "Keys are concert keys, counted over all horns."
    everyone = tricky(rows, [], None, "Tricky", worst=2, source="9 answers", concert=True)
    assert told in everyone.heading
    assert [str(key) for key in everyone.deck.concert_keys] == ["Bb major", "Eb major"]
    assert told not in made(evenly("G:major", UP, 10, 4)).heading
