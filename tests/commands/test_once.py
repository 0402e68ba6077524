"""A practice for once, by options, and the first deck of a new home in lines."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from drill.cli import main
from drill.decks.load import load
from drill.errors import ExitCode
from drill.theory.scales import signature

ROOT = Path(__file__).resolve().parents[2]


def plain(home: Path, *options: str, text: str = "") -> tuple[int, list[dict[str, Any]], str]:
    done = subprocess.run(
        [sys.executable, "-m", "drill", "--plain", "--json", "--mute", "--seed", "3", *options],
        cwd=ROOT,
        input=text,
        capture_output=True,
        text=True,
        check=False,
        env={"DRILL_HOME": str(home), "PATH": "", "DRILL_SOUND": "silent", "PYTHONPATH": str(ROOT)},
    )
    return done.returncode, [json.loads(row) for row in done.stdout.splitlines()], done.stderr


def test_options_make_a_practice_for_once(tmp_path: Path) -> None:
    code, rows, said = plain(
        tmp_path, "--instrument", "trumpet", "--keys", "up to 1 sharp, up to 2 flats",
        "--patterns", "thirds", "--scale", "dorian", "--prompts", "1",
    )  # fmt: skip
    assert (code, said) == (0, "")
    prompt = rows[0]
    assert prompt["instrument"] == "trumpet_bb"
    assert prompt["scale"] == "dorian"
    assert prompt["cell"] == "1-3"
    # Dorian on these is read in one sharp to two flats (common practice).
    assert prompt["tonic"] in {"A", "D", "G", "C"}
    assert not (tmp_path / "decks").exists()


def test_options_stand_on_top_of_a_deck(tmp_path: Path) -> None:
    _, rows, _ = plain(tmp_path, "--deck", "tricky-keys-tenor", "--keys", "C", "--prompts", "1")
    assert rows[0]["tonic"] == "C"
    assert rows[0]["instrument"] == "tenor_sax"


@pytest.mark.parametrize(
    ("options", "text"),
    [
        (("--keys", "H"), '"H" is not a tonic'),
        (("--patterns", "thirdss"), "thirdss"),
        (("--instrument", "kazoo"), "kazoo"),
        (("--scale", "myxolydian"), "myxolydian"),
    ],
)
def test_what_cannot_be_meant_is_said(tmp_path: Path, options: tuple[str, ...], text: str) -> None:
    code, rows, said = plain(tmp_path, *options)
    assert code in (2, 65)
    assert rows == []
    assert text in said


@pytest.mark.parametrize("minutes", ["20", "5", "2.5"])
def test_minutes_reach_the_practice(tmp_path: Path, minutes: str) -> None:
    code, rows, said = plain(tmp_path, "--minutes", minutes, text="c d e c\n")
    assert (code, said) == (0, "")
    assert rows[0]["kind"] == "prompt"


def test_off_a_terminal_the_first_deck_has_the_usual_answers(tmp_path: Path) -> None:
    code, rows, _ = plain(tmp_path, "--prompts", "1")
    assert code == 0
    assert rows[0]["instrument"] == "alto_sax"
    deck = load(tmp_path / "decks" / "my-practice.toml")
    assert {signature(key) for key in deck.keys} == {0, 1, -1, 2}


def test_with_the_sound_off_nothing_is_asked_by_ear_where_there_is_more(tmp_path: Path) -> None:
    _, rows, said = plain(tmp_path, "--ask", "ear,degree", "--prompts", "1")
    assert rows[0]["help"] == "degree"
    assert said == ""
    _, rows, said = plain(tmp_path, "--ask", "ear", "--prompts", "1")
    assert rows[0]["help"] == "ear"
    assert "the sound is off" in said


@pytest.mark.parametrize("count", ["100001", "9" * 30, "many", "-1", ""])
def test_a_number_of_prompts_that_is_none_is_told_with_its_bounds(
    count: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["--plain", "--mute", f"--prompts={count}"]) == ExitCode.USAGE
    assert "is not a number from 0 to 100000" in capsys.readouterr().err
