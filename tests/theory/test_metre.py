"""Metres and the beats that click.  How beats lie in a bar is common practice (no source): 6/8
is felt in two, 7/8 in groups of two, two and three unless a page says otherwise."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.errors import UsageError
from drill.sound.metronome import click_track
from drill.sound.take import Click
from drill.theory.metre import LONGEST_GAP, Metronome, read_click, read_metre


@pytest.mark.parametrize(
    ("text", "beats", "compound", "accents"),
    [
        ("4/4", 4, False, (1,)), ("3/4", 3, False, (1,)), ("2/4", 2, False, (1,)),
        ("5/4", 5, False, (1,)), ("7/4", 7, False, (1,)), ("2/2", 2, False, (1,)),
        ("3/8", 3, False, (1,)), ("6/8", 2, True, (1,)), ("9/8", 3, True, (1,)),
        ("12/8", 4, True, (1,)), ("5/8", 5, False, (1, 4)), ("7/8", 7, False, (1, 3, 5)),
        ("7/8:3+2+2", 7, False, (1, 4, 6)), (" 5/8 : 2+3 ", 5, False, (1, 3)),
        ("6/4:3+3", 6, False, (1, 4)),
    ],
)  # fmt: skip
def test_metres(text: str, beats: int, compound: bool, accents: tuple[int, ...]) -> None:
    metre = read_metre(text)
    assert (metre.beats, metre.compound, metre.accents) == (beats, compound, accents)
    assert metre.parts == (3 if compound else 2)
    assert read_metre(metre.text) == metre


@pytest.mark.parametrize(
    "text", ["", "4", "8/4", "1/4", "4/3", "7/8:3+3", "6/8:3+3", "7/8:1+3+3", "4/16", "11/8", "x/4"]
)
def test_what_is_no_metre_says_what_is(text: str) -> None:
    with pytest.raises(UsageError, match="expected 2/4 to 7/4"):
        read_metre(text)


def test_the_words_of_clicks() -> None:
    assert read_click("ALL") == Metronome()
    assert read_click("2-and-4", 3) == Metronome(division=3, beats=(2, 4))
    assert read_click("gaps:2:2") == Metronome(sounding_bars=2, silent_bars=2)
    assert read_click("growing:2") == Metronome(sounding_bars=2, silent_bars=1, growing=True)
    for text in ("", "3", "gaps:0:2", "gaps:2", "growing:2:2", "all:1", "gaps:2:17"):
        with pytest.raises(UsageError, match="expected all, 2-and-4"):
            read_click(text)


def test_gaps_grow_by_a_bar_to_their_longest() -> None:
    click = read_click("growing:2")
    bars = "".join("." if click.silent(bar) else "x" for bar in range(60))
    wanted = "".join("xx" + "." * min(LONGEST_GAP, gap) for gap in range(1, 12))
    assert bars == wanted[:60]


@given(st.sampled_from(["3/4", "5/4", "6/8", "7/8", "7/8:3+2+2"]), st.integers(1, 6),
       st.integers(0, 2), st.integers(1, 3))  # fmt: skip
def test_every_bar_has_its_beats_and_accents(
    text: str, bars: int, counted: int, division: int
) -> None:
    metre = read_metre(text)
    track = click_track(
        Metronome(division=division), 60.0, bars, counted, metre.beats, metre.accents
    )
    beats = [click for click in track if click.click is not Click.DIVISION]
    assert len(beats) == (bars + counted) * metre.beats
    accents = [
        round(click.onset_s) % metre.beats + 1
        for click in beats[counted * metre.beats :]
        if click.click is Click.ACCENT
    ]
    assert accents == list(metre.accents) * bars
    assert len(track) == (bars * division + counted) * metre.beats
