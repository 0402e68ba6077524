"""What the world outside may be: closed streams, impossible places and zones, hostile logs.

Each of these failed before: with a trace, another exit code, or bytes that act on a terminal.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from drill.memory.items import Answer, Item
from drill.memory.store import Store
from drill.shown import first_harmful

posix = pytest.mark.skipif(sys.platform == "win32", reason="a POSIX shell")
ITEM = Item("G:major:1-2-3-1/up:4", "G:major", "1-2-3-1/up", ("G:major:C",), 1)
AT = datetime(2026, 3, 14, 12, tzinfo=UTC)
BUFFERED = {"PYTHONUNBUFFERED": ""}
"""As a shell starts it, whatever the suite was started with."""
HOSTILE = "C\x1b]0;x\x07\x9b31m\x85\u202e\u200b\U000e0041"


def drill(
    home: Path, *words: str, shell: str = "", **environment: str
) -> subprocess.CompletedProcess[str]:
    """The real program; ``shell`` is what a shell adds to the line."""
    line = f'exec "$0" -m drill "$@" {shell}'
    root = Path(__file__).parents[2]
    return subprocess.run(
        ["sh", "-c", line, sys.executable, *words],
        env={**os.environ, "DRILL_HOME": str(home), "PYTHONPATH": str(root), **BUFFERED,
             **environment},
        cwd=home, capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL,
        timeout=120,
    )  # fmt: skip


@posix
@pytest.mark.parametrize(
    ("words", "shell", "code", "said"),
    [
        (("decks",), ">&-", 1, "standard output: it is closed"),
        (("--version",), ">&-", 1, "standard output: it is closed"),
        (("nocmd",), "2>&-", 2, ""),
        (("decks", "--nooption"), "2>&-", 2, ""),
        (("nocmd",), "<&- >&- 2>&-", 2, ""),
        (("--plain", "--prompts", "1"), ">&-", 1, "standard output: it is closed"),
        # What a shell's script started with a closed stream leaves there: the script itself.
        (("nocmd",), "2</dev/null", 2, ""),
        (("decks", "--nooption"), "2</dev/null", 2, ""),
        (("progress",), "2</dev/null", 0, ""),
        (("--version",), "1</dev/null", 1, "standard output: it is closed"),
    ],
)
def test_closed_streams_are_one_line_and_the_documented_code(
    tmp_path: Path, words: tuple[str, ...], shell: str, code: int, said: str
) -> None:
    done = drill(tmp_path, *words, shell=shell)
    assert done.returncode == code
    assert done.stderr == (f"drill: {said}\n" if said else "")


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash")
def test_a_script_with_closed_messages_has_the_documented_code(tmp_path: Path) -> None:
    """The shell opens the script where standard error was; the end of Python then gave 120."""
    script = tmp_path / "start.sh"
    script.write_text(
        f'#!{shutil.which("bash")}\nexec "{sys.executable}" -m drill nocmd\n', encoding="utf-8"
    )
    script.chmod(0o700)
    root = Path(__file__).parents[2]
    done = subprocess.run(
        ["sh", "-c", 'exec "$0" 2>&-', str(script)],
        env={**os.environ, "DRILL_HOME": str(tmp_path), "PYTHONPATH": str(root), **BUFFERED},
        stdin=subprocess.DEVNULL, capture_output=True, check=False, timeout=120,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (2, b"")


@posix
@pytest.mark.parametrize(
    ("environment", "said"),
    [
        ({"DRILL_HOME": "~nouser/x"}, "DRILL_HOME is '~nouser/x'"),
        ({"TZ": "XXX+99:99"}, "time zone 'XXX+99:99' (TZ) cannot be used"),
    ],
)
def test_a_place_or_zone_that_cannot_be_is_one_line(
    tmp_path: Path, environment: dict[str, str], said: str
) -> None:
    for words in (("--plain",), ("log",), ("decks",)):
        done = drill(tmp_path, *words, **environment)
        assert (done.returncode, done.stderr.count("\n")) == (2, 1)
        assert said in done.stderr


def test_half_a_character_in_a_file_s_name_is_one_line(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Found by the fuzzing of command lines; Windows can hand on such a name."""
    from drill.cli import main

    monkeypatch.setenv("DRILL_HOME", str(tmp_path))
    assert main(["take-in", "\ud800"]) == 2
    assert capsys.readouterr().err == "drill: '\\ud800': no file can have this name\n"


@posix
def test_nothing_in_a_log_reaches_a_terminal_as_a_control(tmp_path: Path) -> None:
    """Row by row and column by column, as text and as JSON."""
    one = Answer("u-0", AT, "2026-03-14", ITEM.id, True, deck="d", deck_name="cells", typed="C")
    rows = [one, replace(one, uuid=f"{HOSTILE}-1")]
    columns = ("item", "kind", "typed", "slip", "deck", "deck_name", "details", "day")
    for name in columns:
        hostile: dict[str, Any] = {name: HOSTILE}
        rows.append(replace(one, uuid=f"u-{name}", **hostile))
    with Store.open(tmp_path / "answers.db") as store:
        for row in rows:
            item = replace(ITEM, id=row.item, shape=HOSTILE if row.item == HOSTILE else ITEM.shape)
            store.append(row, item)
    done = drill(tmp_path, "log")
    assert done.returncode == 0
    assert first_harmful(done.stdout, "\n\t") is None
    assert len(done.stdout.splitlines()) == len(rows)
    done = drill(tmp_path, "log", "--json")
    assert first_harmful(done.stdout, "\n") is None
    told = [json.loads(line) for line in done.stdout.splitlines()]
    assert [each["typed"] for each in told].count(HOSTILE) == 1  # it is what was kept
    for words in (
        ("progress", "--json"),
        ("why",),
        ("hand-in", "--name", "Bo"),
        ("log", "--check"),
    ):
        done = drill(tmp_path, *words)
        assert first_harmful(done.stdout + done.stderr, "\n\t") is None
        assert "Traceback" not in done.stderr
        assert done.returncode in (0, 1, 2, 65)


@posix
def test_a_log_is_checked_and_repaired(tmp_path: Path) -> None:
    with Store.open(tmp_path / "answers.db") as store:
        store.append(Answer("u-0", AT, "2026-03-14", ITEM.id, True), ITEM)
    done = drill(tmp_path, "log", "--check")
    assert (done.returncode, done.stdout) == (
        0, "1 answer, 1 cell\nevery row is whole and within its bounds\n",
    )  # fmt: skip
    with Store.open(tmp_path / "answers.db") as store:
        store.append(Answer("u-1", AT, "2026-03-14", ITEM.id, True, slip=HOSTILE), ITEM)
        ahead = AT + timedelta(days=365_000)
        store.append(Answer("u-2", ahead, ahead.date().isoformat(), ITEM.id, True), ITEM)
    done = drill(tmp_path, "log", "--check")
    assert done.returncode == 65
    assert "cannot be right: answer 2: its slip holds U+001B\n" in done.stdout
    assert "1 answer given with a wrong clock" in done.stdout
    done = drill(tmp_path, "log", "--check", "--json")
    assert done.returncode == 65
    found = json.loads(done.stdout)
    assert found == {
        "answers": 3, "cells": 1, "cannot_be_right": ["answer 2: its slip holds U+001B"],
        "of_unknown_cells": 0, "wrongly_dated": 1, "set_aside": None, "kept_as": None,
    }  # fmt: skip
    done = drill(tmp_path, "log", "--check", "--repair")
    assert done.returncode == 0
    assert "set aside as answers.db.set-aside-1" in done.stdout
    assert len(drill(tmp_path, "log").stdout.splitlines()) == 2
    assert drill(tmp_path, "log", "--check").returncode == 0
    assert drill(tmp_path, "log", "--repair").returncode == 2


@posix
def test_a_deck_whose_name_turns_the_writing_round_is_refused(tmp_path: Path) -> None:
    (tmp_path / "decks").mkdir()
    shipped = Path(__file__).parents[2] / "decks" / "major-returning-cells.toml"
    for name in ("a\u202eb", "a\u200bb", "a\u00adb", "a\U000e0041b"):
        (tmp_path / "decks" / f"{name}.toml").write_bytes(shipped.read_bytes())
    done = drill(tmp_path, "decks")
    assert first_harmful(done.stdout + done.stderr, "\n\t") is None
    assert done.stderr.count("name has control characters") == 4


@posix
@pytest.mark.slow
def test_a_restore_under_a_practice_is_told_and_hand_in_has_every_answer(tmp_path: Path) -> None:
    root = Path(__file__).parents[2]
    words = ["--plain", "--json", "--no-again", "--deck", "major-returning-cells"]
    practice = subprocess.Popen(
        [sys.executable, "-m", "drill", *words],
        env={**os.environ, "DRILL_HOME": str(tmp_path), "PYTHONPATH": str(root), **BUFFERED},
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert practice.stdin is not None
    assert practice.stdout is not None

    def answered(times: int) -> None:
        assert practice.stdin is not None
        assert practice.stdout is not None
        for _ in range(times):
            practice.stdin.write("show\n")
            practice.stdin.flush()
            while json.loads(practice.stdout.readline())["kind"] != "verdict":
                pass

    answered(1)
    assert drill(tmp_path, "backup", str(tmp_path / "b.db")).returncode == 0
    answered(12)
    assert drill(tmp_path, "restore", str(tmp_path / "b.db"), "--yes").returncode == 0
    answered(12)
    practice.stdin.close()
    practice.stdout.read()
    assert practice.stderr is not None
    assert "was changed by drill restore" in practice.stderr.read()
    assert practice.wait(60) == 0
    assert len(drill(tmp_path, "log").stdout.splitlines()) == 13
    done = drill(tmp_path, "hand-in", "--name", "Bo", "--out", str(tmp_path / "r"))
    assert " 13 answers" in " ".join(done.stderr.replace("drill: ", "").split())


@posix
def test_whatever_comes_first_the_data_is_its_owner_s_alone(tmp_path: Path) -> None:
    for number, words in enumerate(
        (("--plain", "--prompts", "1"), ("config", "set", "names", "german"))
    ):
        home = tmp_path / str(number)
        done = drill(tmp_path, *words, DRILL_HOME=str(home))
        assert done.returncode == 0
        assert home.stat().st_mode & 0o077 == 0
        for each in home.glob("*.*"):
            assert each.stat().st_mode & 0o077 == 0
