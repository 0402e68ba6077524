"""A clock that cannot be right is told at the start of a practice, in one line."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime, timedelta, timezone
from io import StringIO
from pathlib import Path

import pytest

from drill.commands import practise
from drill.memory.dates import MADE, ClockFault, clock_fault
from drill.memory.items import Answer, Item
from drill.memory.store import Store
from drill.opening.house import House
from drill.opening.tools import Tools
from drill.places import places
from drill.practice.room import Room
from drill.wording.machine import clock_words

NOW = datetime(2026, 3, 2, 17, 0, tzinfo=UTC)
CELL = Item("G:major:1-2-3-1/up:1", "G:major", "1-2-3-1/up", ("G:major:G",), 1)


def given(at: datetime) -> Answer:
    return Answer(f"{at:%Y%m%d%H%M}", at, f"{at:%Y-%m-%d}", CELL.id, right=True)


def test_a_clock_is_held_against_the_newest_answer_and_this_version() -> None:
    newest = NOW + timedelta(days=3)
    assert clock_fault(NOW, None) is None
    assert clock_fault(NOW, NOW) is None
    assert clock_fault(NOW, NOW + timedelta(minutes=59)) is None  # two computers differ a little
    assert clock_fault(NOW, newest) == ClockFault(NOW, newest)
    early = MADE - timedelta(minutes=1)
    assert clock_fault(early, None) == ClockFault(early, None)
    assert clock_fault(early, newest) == ClockFault(early, newest)


def test_it_is_said_in_one_line_in_the_player_s_own_time() -> None:
    west = timezone(timedelta(hours=-5))
    said = clock_words(ClockFault(NOW, NOW + timedelta(days=365)), west)
    assert said == (
        "this computer's clock says 2026-03-02 12:00, your newest answer is of 2027-03-02 12:00: "
        "if the clock is wrong, set it right"
    )
    assert clock_words(ClockFault(MADE - timedelta(days=1), None), UTC) == (
        "this computer's clock says 2025-12-31 00:00, and this version was not made before 2026: "
        "set it right"
    )


def test_a_room_knows_its_newest_answer_and_what_comes_meanwhile(tmp_path: Path) -> None:
    with Store.open(tmp_path / "answers.db") as store:
        store.append(given(NOW + timedelta(days=9)), CELL)
        room = Room(store, zone=UTC, now=NOW)
        assert "2026-03-11" in room.clock(NOW)
        assert room.clock(NOW + timedelta(days=9)) == ""
        with Store.open(tmp_path / "answers.db") as other:
            other.append(given(NOW + timedelta(days=20)), CELL)
        assert room.catch_up() == 1
        assert "2026-03-22" in room.clock(NOW + timedelta(days=9))


@pytest.mark.parametrize("ahead", [0, 400])
def test_lines_say_it_once_before_the_first_prompt(tmp_path: Path, ahead: int) -> None:
    with Store.open(tmp_path / "answers.db") as store:
        store.append(given(NOW + timedelta(days=ahead)), CELL)
    parser = argparse.ArgumentParser()
    practise.arguments(parser)
    house = House(places({"DRILL_HOME": str(tmp_path)}), UTC)
    tools = Tools(house, StringIO(), StringIO(), StringIO(), lambda: NOW, {"NO_COLOR": "1"})
    practise.run(parser.parse_args(["--plain", "--mute", "--seed", "1"]), tools)
    said = tools.err.getvalue()  # type: ignore[attr-defined]
    assert said.count("clock") == 2 * (ahead > 0)
    assert ("2027-04-06" in said) == (ahead > 0)
    assert "1 of 40. " in tools.out.getvalue()  # type: ignore[attr-defined]
