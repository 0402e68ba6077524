"""Line mode for ears and pipes: points 36 and 37 of the checklist."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from program import LINES, inside, run

from drill.marking.back import Back
from drill.memory.kinds import Kind

SPOKEN = b"C sharp, D, E flat, C\nshow\nB flat C D\nhelp\nmute\nhear\nquit\n"
KINDS = [kind.value for kind in Kind if kind is not Kind.TIME] + [back.value for back in Back]


def test_a_line_each_and_nothing_that_moves_the_cursor(tmp_path: Path) -> None:
    done = run(tmp_path, *LINES, "--words", typed=SPOKEN, code=0)
    assert not set(done.stdout) & set(range(32)) - {ord("\n")}
    prompts = [line for line in done.stdout.decode().splitlines() if line.startswith("1 of ")]
    assert prompts
    assert all(line.endswith(":") for line in prompts)


@pytest.mark.parametrize("kind", KINDS)
def test_notes_in_words_wherever_one_is_named(tmp_path: Path, kind: str) -> None:
    """Every kind of prompt, its verdict, the key and the signature: no sign is left over."""
    said = inside(tmp_path, *LINES, "--words", "--ask", kind, typed="C\nshow\nshow\nshow\nquit\n")
    assert "C" in said
    for line in said.splitlines()[1:]:
        for word in line.replace(",", " ").replace(";", " ").replace(":", " ").split():
            bare = word.strip("().'")
            assert not (bare[:1] in "ABCDEFG" and bare[1:] in ("b", "#", "bb", "##", "x")), line


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_prompt_can_be_answered_in_lines(tmp_path: Path, kind: str) -> None:
    """A first run tells what is right; a second with the same seed types it and is right."""
    words = (*LINES, "--json", "--ask", kind)
    first = inside(tmp_path / "first", *words, typed="show\nquit\n")
    kinds = [json.loads(line) for line in first.splitlines()]
    assert kinds[0]["kind"] == "prompt"
    verdict = kinds[1]
    notes = " ".join(note.rstrip("0123456789") for note in verdict["expected"])
    right = notes or verdict["notes"][0]["expected"]
    again = inside(tmp_path / "second", *words, typed=f"{right}\nquit\n")
    told = [json.loads(line) for line in again.splitlines()]
    assert told[1]["kind"] == "verdict"
    assert told[1]["right"], (right, told[:2])


def test_the_same_seed_and_answers_give_the_same_bytes(tmp_path: Path) -> None:
    runs = [
        run(tmp_path, *LINES, typed=SPOKEN, code=0, DRILL_HOME=str(tmp_path / name)).stdout
        for name in ("one", "two")
    ]
    assert runs[0] == runs[1]
    other = run(tmp_path, *LINES[:2], "--seed", "4", *LINES[4:], typed=SPOKEN, code=0)
    assert other.stdout != runs[0]
