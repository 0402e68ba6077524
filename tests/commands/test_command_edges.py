"""What commands do at the edges of what they count, round, wrap and keep."""

from __future__ import annotations

import argparse
import io
import json
from collections.abc import Callable
from datetime import UTC, timedelta
from pathlib import Path
from random import Random
from types import SimpleNamespace
from typing import Any, cast

import pytest
from desk_tools import NOW, Terminal, ran

from drill.commands import deck, hand_in, help_, invented, log_check, plan, sound, take, walk
from drill.commands.hear import play_all
from drill.commands.table import Parser
from drill.decks.load import load, loads
from drill.errors import ExitCode
from drill.memory.repair import checked
from drill.memory.store import Store
from drill.opening.house import House
from drill.opening.tools import Tools
from drill.places import places
from drill.reports.people import Person
from drill.sound.report import SoundTest
from drill.sound.sounding import Playing
from drill.sound.take import Event, Take
from drill.terms import Name

TAKES = Path(__file__).parents[1] / "hearing" / "takes"
TONE = Take((Event(60, 0.0, 1.0),), 1.1)


class Lost:
    """A player whose output begins and is lost."""

    idle = failed = True
    beginning = Playing(TONE, 0.0)

    def play(self, take: Take, *, stale_s: float) -> bool:
        return True

    def poll(self) -> str:
        return "No sound: the device is gone. The drill goes on without it."

    def stop(self) -> None:
        pass

    def close(self) -> None:
        pass


def test_what_is_no_number_of_json_is_never_printed(tmp_path: Path) -> None:
    """RFC 8259, 6: infinity and NaN are not permitted; a reader of its own would stop at them."""
    out = io.StringIO()
    house = House(places({"DRILL_HOME": str(tmp_path)}), UTC)
    tools = Tools(house, io.StringIO(), out, io.StringIO(), lambda: NOW, {})
    with pytest.raises(ValueError, match="JSON compliant"):
        tools.give({"cents": float("nan")})
    assert out.getvalue() == ""


def test_an_output_that_began_and_was_lost_is_a_failure() -> None:
    said: list[str] = []
    code = play_all(Lost(), (TONE,), said.append, lambda _: None)  # type: ignore[arg-type]
    assert (code, said) == (ExitCode.FAILURE, ["No sound: the device is gone."])


def test_a_word_with_a_hyphen_is_not_broken_in_the_help_on_keys() -> None:
    rows = help_._row("x", f"{'a' * 50} hand-in-again")
    assert [row.split()[-1] for row in rows] == ["a" * 50, "hand-in-again"]


@pytest.mark.parametrize(
    ("choices", "listed"), [(("a" * 11, "b" * 12), True), (("a" * 12, "b" * 12), False)]
)
def test_choices_of_more_than_24_letters_stand_in_the_help(
    choices: tuple[str, ...], listed: bool
) -> None:
    parser = Parser(prog="drill x")
    parser.add_argument("--what", choices=choices, help="which")
    assert ("{" + ",".join(choices) + "}" in parser.format_usage()) is listed


def test_five_keys_are_tricky_unless_said() -> None:
    parser = argparse.ArgumentParser()
    deck.arguments(parser)
    assert parser.parse_args(["tricky"]).worst == 5


def test_a_swap_keeps_every_note() -> None:
    names = [Name("C"), Name("D"), Name("E"), Name("F")]
    assert invented._slip(names, "swap", Random(1)) == [names[1], names[0], *names[2:]]
    assert invented._slip([names[0], names[0], names[1]], "swap", Random(1)) == [
        names[1], names[0], names[0],
    ]  # fmt: skip


def test_the_peak_has_four_places() -> None:
    report = SoundTest(True, "x", "y", 0.0, 0.0, 0.123456, "")
    assert sound.report_object(report)["peak"] == 0.1235


def test_an_instant_of_a_take_has_three_places(tmp_path: Path) -> None:
    words = ("--pattern", "1-2-3-1", "--key", "E", "--instrument", "alto_sax", "--up")
    said = ran(take, (str(TAKES / "alto-clean.ogg"), *words, "--json"), tmp_path).out
    notes = json.loads(said)["notes"]
    assert len(notes) == 29
    for name, digits in (("on_s", 3), ("off_s", 3), ("cents", 1), ("db", 1)):
        assert all(note[name] == round(note[name], digits) for note in notes)
        assert any(note[name] != round(note[name], digits - 1) for note in notes)


def test_a_walk_is_in_lines_on_a_terminal_where_plain_or_json_is_wanted(tmp_path: Path) -> None:
    for word in ("--plain", "--json"):
        parser = argparse.ArgumentParser()
        walk.arguments(parser)
        house = House(places({"DRILL_HOME": str(tmp_path)}), UTC)
        tools = Tools(house, Terminal("quit\n"), Terminal(), Terminal(), lambda: NOW, {})
        walk.run(parser.parse_args([word, "--mute"]), tools)
        assert isinstance(tools.out, Terminal)
        assert "walk" in tools.out.getvalue()
        assert "\x1b" not in tools.out.getvalue()


# What is handed in.


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A student's home with a practice of each of two decks."""
    home = tmp_path / "home"
    for name, keys in (("one", "G,D"), ("other", "F")):
        path = tmp_path / f"{name}.toml"
        words = ("--title", name, "--instrument", "alto_sax", "--patterns", "1-2-3-1")
        ran(deck, ("new", *words, "--keys", keys, "--prompts", "6", "--out", str(path)), home)
        ran(deck, ("add", str(path)), home)
        student = invented.STUDENTS[0]
        invented.practise(student, load(home / "decks" / path.name), home, NOW, 5)
    return home


def test_only_the_player_may_read_what_is_handed_in(home: Path, tmp_path: Path) -> None:
    out = tmp_path / "mine.drill-results"
    ran(hand_in, ("--deck", "one", "--name", "Bo", "--out", str(out)), home)
    assert out.stat().st_mode & 0o077 == 0


def test_answers_whose_cell_is_lost_are_counted_for_their_deck_alone(
    home: Path, tmp_path: Path
) -> None:
    out = ("--out", str(tmp_path / "mine.drill-results"), "--replace")
    got = ran(hand_in, ("--deck", "one", "--name", "Bo", *out), home)
    assert "that the log does not know" not in got.err


def test_a_checked_log_tells_answers_of_a_wrong_clock(home: Path) -> None:
    with Store.open(home / "answers.db") as store:
        answers = tuple(store.answers())
        late = checked(store, max(a.at for a in answers))
        early = checked(store, min(a.at for a in answers) - timedelta(days=400))
    assert not any("wrong clock" in line for line in log_check._lines(late))
    (told,) = [line for line in log_check._lines(early) if "wrong clock" in line]
    assert told.startswith(f"{len(answers)} answers given with a wrong clock")


# For whom a deck is.

ROSTER = [
    Person("Bo", "1", "winds"), Person("Ann", "2", "brass"), Person("Cy", "3", "brass"),
]  # fmt: skip
PLAIN = """
title = "Two keys"
instrument = "alto_sax"
patterns = ["return3"]
keys = ["G", "Bb"]
"""


@pytest.mark.parametrize(
    ("assignment", "names"),
    [
        ("", ["Bo", "Ann", "Cy"]),
        ('id = "w1"', ["Bo", "Ann", "Cy"]),
        ('id = "w1"\nstudent = "2"', ["Ann"]),
        ('id = "w1"\nname = "cy"', ["Cy"]),
        ('id = "w1"\ngroup = "brass"', ["Ann", "Cy"]),
        ('id = "w1"\nwho = "group=winds"', ["Bo"]),
    ],
)
def test_a_deck_is_for_a_student_a_group_or_everybody(assignment: str, names: list[str]) -> None:
    text = PLAIN + (f"\n[assignment]\n{assignment}\n" if assignment else "")
    made = loads(text, "week.toml")
    assert [person.name for person in plan._people(made, ROSTER)] == names


@pytest.mark.parametrize("as_json", [False, True])
@pytest.mark.parametrize("found", [0.04, None])
def test_the_caution_comes_before_a_calibration_in_words(
    tmp_path: Path, as_json: bool, found: float | None
) -> None:
    out, err = Terminal(), Terminal()
    house = House(places({"DRILL_HOME": str(tmp_path)}), UTC)
    tools = Tools(house, Terminal(), out, err, lambda: NOW, {})
    player = SimpleNamespace(
        warm=lambda: None, stop=lambda: None, close=lambda: None, state=SimpleNamespace(output="x")
    )

    def way(player: object, volume: float, say: Callable[[str], None]) -> float | None:
        say("tap")
        return found

    code = sound.calibrated(way, cast("Any", player), 0.5, tools, as_json=as_json)
    assert code is (ExitCode.OK if found else ExitCode.FAILURE)
    if as_json:
        told = json.loads(out.getvalue())
        assert told == {"kept": found is not None, "latency_s": found, "output": "x"}
    else:
        assert out.getvalue() == f"{sound.CAUTION}\ntap\n"
