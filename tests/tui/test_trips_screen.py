"""What trips me: the pictures, the numbers, and a practice of just what a row tells."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from past import practised
from tui_desk import Setup, drawn, text_of
from tui_user import BOTH, SMALL, User, at_keys

from drill.memory.items import Answer
from drill.tui.glyphs import ASCII, UNICODE
from drill.tui.screens.stand import StandScreen
from drill.tui.trainer import Trainer
from drill.tui.tripping import WEEKS, Trip, TripSection, curve
from drill.tui.views.trips import TripsView, bar, spark, trips_lines


@pytest.fixture
def setup(home: Path) -> Setup:
    made = Setup(home)
    practised(made)
    return made


@pytest.fixture
def trainer(setup: Setup) -> Iterator[Trainer]:
    made = setup.trainer(first_deck="two-keys")
    yield made
    made.studio.close()


def test_what_trips_is_told_and_each_row_begins_a_practice_of_just_that(user: User) -> None:
    shown = user.today("w", sees=("What trips me: Two keys", "▸ F♯ in G major"))
    assert "█" in shown
    assert "signature forgotten" in shown
    user.press("enter", sees="prompt 1")
    entries = user.on(StandScreen).sitting.seat.desk.syllabus.entries.values()
    assert {str(entry.run.key.tonic) for entry in entries} == {"G"}
    for entry in entries:
        assert "F#" in [str(note.name) for note in entry.cell.notes]
    user.press("escape", sees="What trips me")
    shown = user.press("end", sees=("▸ G major", "Keys, week by week"))
    user.press("enter", sees=("prompt 1", "G major"))
    assert len(user.on(StandScreen).sitting.seat.desk.syllabus.entries) == 14
    user.answer()
    user.press("escape", "enter")
    shown = user.see("1 of 1 right")
    user.pause(0.5)
    assert "enough for today" not in user.shown.casefold()  # of these few cells it says nothing
    assert "by heart" not in user.shown


@SMALL
def test_at_60_by_20_the_rows_scroll(user: User) -> None:
    user.today("w", sees="▸ F♯ in G")
    user.press("end", sees="▸ G major")
    user.press("home", sees="▸ F♯ in G")
    user.press("escape", sees="Today")


def test_nothing_trips_who_has_not_begun(home: Path) -> None:
    with at_keys(Setup(home).trainer()) as user:
        user.see("Today", "28")
        user.press("w", sees=("What trips me", "nothing asked yet"))
        user.press("enter", sees="nothing to practise here yet")


VIEW = TripsView(
    "Returning cells",
    (
        TripSection(
            "accidentals",
            (
                Trip("D♯ in E major", "9 of 16", 0.56),
                Trip("A♯ in B major", "7 of 15", 0.47),
                Trip("C♭ in G♭ major", "3 of 12", 0.25),
            ),
        ),
        TripSection(
            "degrees",
            (
                Trip("on 7 going up", "11 of 31; 4 of 9 runs broke here", 0.35),
                Trip("on 8 going down", "5 of 28; 1 of 9 runs broke here", 0.18),
            ),
        ),
        TripSection(
            "mixed",
            (Trip("E major", "6 of 40; for A major (4), E♭ major (2)", 0.15),),
        ),
        TripSection("slips", (Trip("signature forgotten", "14 of 22", 0.64),)),
        TripSection(
            "keys",
            (
                Trip("G major", "94 % of 62 right; in time at 96", curve=(0.5, 0.7, 0.9, 1.0)),
                Trip("E major", "61 % of 40 right", curve=(0.2, None, 0.5, 0.7)),
            ),
        ),
    ),
    "105 of 210 cells asked, 640 answers; recall expected now 74 %.",
    "About 20 April by heart, at about 25 prompts a day.",
)


@BOTH
def test_the_screen_as_it_is_drawn(size: tuple[int, int]) -> None:
    drawn("trips", partial(trips_lines, VIEW), size)
    assert "> E major" in text_of(trips_lines(replace(VIEW, chosen=8), ASCII, *size))


def answer(day: date, right: bool) -> Answer:
    from tui_desk import MORNING

    return Answer(str(day), MORNING, day.isoformat(), "x", right=right)


def test_a_curve_has_a_share_a_week_and_gaps() -> None:
    monday = date(2026, 3, 2)
    rows = [
        answer(monday - timedelta(days=21), True),
        answer(monday - timedelta(days=21), False),
        answer(monday - timedelta(days=3), True),
        answer(monday + timedelta(days=6), False),
    ]
    assert curve(rows, "2026-03-04") == (0.5, None, 1.0, 0.0)
    assert curve([answer(monday - timedelta(weeks=WEEKS), True)], "2026-03-04") == ()


@given(st.floats(0, 1))
def test_a_bar_is_as_long_as_its_share(share: float) -> None:
    for glyphs in (UNICODE, ASCII):
        drawn = bar(share, glyphs)
        cells = drawn.count(glyphs.block)
        assert len(drawn) == 16
        assert (cells > 0) == (share > 0)
        assert abs(cells - 16 * share) <= 1


def test_a_spark_rises_with_the_share() -> None:
    drawn = spark((0.0, None, 0.5, 1.0), UNICODE)
    assert drawn.rstrip() == "▁ ▅█"
    assert spark((0.0, 1.0), ASCII).strip() == "_#"
