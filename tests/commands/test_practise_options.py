"""Options of a practice that do nothing where they are given are refused in one sentence."""

from __future__ import annotations

import argparse
import io
import json
from datetime import UTC, timedelta
from pathlib import Path

import pytest
from desk_tools import NOW, Terminal, ran

from drill.commands import log, practise, walk
from drill.errors import UsageError
from drill.memory.items import Answer, Item
from drill.memory.store import Store
from drill.opening.house import House
from drill.opening.tools import Tools
from drill.places import places

LINES = ("--plain", "--mute", "--seed", "1", "--deck", "major-returning-cells")
TIME = (*LINES, "--ask", "time", "--json")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((*LINES, "--midi"), "--midi goes with --ask play"),
        ((*LINES, "--midi", "Keys", "--ask", "next"), "--midi goes with --ask play"),
        ((*LINES, "--tempo", "72"), "--tempo goes with --ask time"),
        ((*LINES, "--count-in", "2", "--ask", "next,time"), "--count-in goes with --ask time"),
        ((*LINES, "--tap"), "--tap goes with --ask time"),
        ((*LINES, "--metre", "6/8"), "--metre goes with --ask time"),
        ((*TIME, "--no-again"), "in time nothing is copied or asked once more: leave --no-again "),
        ((*TIME, "--missed-again"), "in time nothing is .* leave --missed-again out"),
        ((*TIME, "--midi"), "--midi goes with --ask play"),
        # With the sound off ear and time leave runs in time alone.
        ((*LINES, "--ask", "ear,time", "--no-again"), "in time nothing is copied"),
        (("--words",), "--words goes with --plain"),
        (("--json",), "--json goes with --plain"),
    ],
)
def test_what_would_do_nothing_is_refused(
    tmp_path: Path, words: tuple[str, ...], said: str
) -> None:
    with pytest.raises(UsageError, match=f"^{said}"):
        ran(practise, words, tmp_path, typed="")
    assert not (tmp_path / "answers.db").exists()


def test_words_on_the_screens_of_a_walk_are_refused(tmp_path: Path) -> None:
    seen = Terminal()
    house = House(places({"DRILL_HOME": str(tmp_path)}), UTC)
    parser = argparse.ArgumentParser()
    walk.arguments(parser)
    tools = Tools(house, seen, io.StringIO(), seen, lambda: NOW, {})
    with pytest.raises(UsageError, match="^--words goes with --plain"):
        walk.run(parser.parse_args(["--words"]), tools)


def test_what_does_something_is_taken(tmp_path: Path) -> None:
    done = ran(practise, (*LINES, "--no-again", "--no-missed-again", "--words"), tmp_path)
    assert "end: 0 of 0 right" in done.out


def test_a_log_that_is_not_there_is_checked_in_json_too(tmp_path: Path) -> None:
    done = ran(log, ("--check", "--json"), tmp_path)
    assert json.loads(done.out)["answers"] == 0
    assert "there is no answer log yet" in done.err


def test_a_repair_in_json_names_what_it_kept(tmp_path: Path) -> None:
    item = Item("C:major:1-2-3-1/up:1", "C:major", "1-2-3-1/up", (), 0)
    with Store.open(tmp_path / "answers.db") as store:
        store.append(Answer("u-0", NOW, "2031-03-14", item.id, True), item)
        ahead = NOW + timedelta(days=1)
        store.append(Answer("u-1", ahead, "2031-03-15", item.id, True, slip="\x1b"), item)
    done = ran(log, ("--check", "--repair", "--json"), tmp_path)
    found = json.loads(done.out)
    assert (done.code, len(found["cannot_be_right"])) == (0, 1)
    assert found["set_aside"].startswith("answers.db.set-aside")
    assert (tmp_path / found["kept_as"]).exists()


def test_a_program_is_told_once_that_what_is_asked_by_ear_cannot_be_heard(tmp_path: Path) -> None:
    told = "the sound is off, and this is asked by ear: type mute to turn it on"
    by_ear = (*LINES, "--ask", "ear")
    assert ran(practise, (*by_ear, "--json"), tmp_path).err == f"drill: {told}\n"
    done = ran(practise, by_ear, tmp_path)
    assert (
        done.out.count("The sound is off: mute turns it on, then hear sounds the cell\n1 of") == 1
    )
    assert told not in done.err
