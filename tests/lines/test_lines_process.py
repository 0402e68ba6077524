"""Line mode as a program of its own: bytes in, bytes out, pipes that break, a kill at any time."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from drill.memory.store import Store

BEGIN = ("--plain", "--mute", "--seed", "3", "--deck", "major-returning-cells")


def command(*more: str) -> list[str]:
    return [sys.executable, "-m", "drill", *BEGIN, *more]


@pytest.fixture
def environment(tmp_path: Path, checkout: Path) -> dict[str, str]:
    return {
        **os.environ, "DRILL_HOME": str(tmp_path / "home"), "PYTHONPATH": str(checkout),
        "PYTHONUTF8": "1",
    }  # fmt: skip


def run(
    environment: dict[str, str], typed: bytes, *more: str, code: int = 0
) -> subprocess.CompletedProcess[bytes]:
    done = subprocess.run(
        command(*more), input=typed, capture_output=True, env=environment, timeout=60, check=False
    )
    assert done.returncode == code, done.stderr.decode()
    return done


def objects(done: subprocess.CompletedProcess[bytes]) -> list[dict[str, Any]]:
    return [json.loads(line) for line in done.stdout.decode().splitlines()]


def log_of(environment: dict[str, str]) -> list[str]:
    """The answers kept, as typed."""
    (file,) = Path(environment["DRILL_HOME"]).rglob("answers.db")
    with Store.open(file) as store:
        return [answer.typed for answer in store.answers()]


def test_the_way_to_play_in_time_names_the_deck_as_it_was_named(
    tmp_path: Path, environment: dict[str, str]
) -> None:
    """A file elsewhere is found by its path alone, also by one with a blank in it."""
    (folder := tmp_path / "my decks").mkdir()
    deck = folder / "few.toml"
    deck.write_text(
        'title = "Few"\ninstrument = "alto_sax"\npatterns = ["return3"]\nkeys = ["C"]\n'
        '[practice]\nask = ["degree", "time"]\n',
        encoding="utf-8",
    )
    told = run(environment, b"quit\n", "--deck", str(deck)).stderr.decode().strip()
    assert told == f"drill: to play these runs in time: drill --plain --ask time --deck '{deck}'"


def test_a_practice_over_a_pipe(environment: dict[str, str]) -> None:
    done = run(environment, b"C D E C\nceb\nshow\n", "--json")
    seen = objects(done)
    assert [line["kind"] for line in seen[:2]] == ["prompt", "verdict"]
    assert seen[-1]["kind"] == "end"
    assert done.stderr == b""
    # The log has every answer that could be read, the cell shown with nothing typed.
    asked = [line for line in seen if line["kind"] == "verdict" and line["slip"] != "unreadable"]
    assert len(log_of(environment)) == len(asked)


def test_the_same_seed_gives_the_same_bytes(environment: dict[str, str], tmp_path: Path) -> None:
    typed = b"C D E C\nshow\nF G A F\nBb C D Bb\n"
    one = run(environment, typed)
    environment["DRILL_HOME"] = str(tmp_path / "other")
    assert run(environment, typed).stdout == one.stdout


def test_bytes_that_are_no_text_are_asked_about(environment: dict[str, str]) -> None:
    done = run(environment, b"\xff\xfe\x00C\n\x80\x81 D\nquit\n")
    said = done.stdout.decode().splitlines()
    assert sum(line.startswith("not read: ") for line in said) == 2
    assert said[-1] == "end: 0 of 0 right"
    assert b"Traceback" not in done.stderr


def test_windows_line_ends_and_a_byte_order_mark(environment: dict[str, str]) -> None:
    shown = objects(run(environment, b"show\n", "--json", "--no-again"))[1]["expected"]
    answer = " ".join(note.rstrip("0123456789") for note in shown)
    environment["DRILL_HOME"] += "-again"
    done = run(environment, f"\ufeff{answer}\r\nquit\r\n".encode())
    assert done.stdout.decode().splitlines()[-1] == "end: 1 of 1 right"


def test_no_end_of_prompts_but_the_end_of_the_input(environment: dict[str, str]) -> None:
    done = run(environment, b"show\n" * 60, "--json", "--prompts", "0", "--no-again")
    assert objects(done)[-1]["asked"] == 60


def test_twenty_prompts_with_the_closing_round_among_them(environment: dict[str, str]) -> None:
    done = run(environment, b"show\n" * 60, "--json", "--prompts", "20", "--no-again")
    seen = objects(done)
    closing = [line["closing"] for line in seen if line["kind"] == "prompt"]
    assert closing == [False] * 18 + [True] * 2
    asked = {line["id"] for line in seen if line["kind"] == "prompt"}
    assert set(seen[-1]["missed"]) == asked


def test_names_and_words_on_the_command_line(environment: dict[str, str]) -> None:
    flats = ("--deck", "low-brass", "--seed", "1")
    done = run(environment, b"Bb\nquit\n", "--names", "german", "--words", *flats)
    said = done.stdout.decode()
    assert "not read: Bb is English, and B here; for B, B put spaces between" in said
    assert "B major (2 flats: B, Es)" in said
    spoken = run(environment, b"quit\n", "--words", *flats).stdout.decode()
    assert "B flat major (2 flats: B flat, E flat)" in spoken


def test_the_reader_of_the_output_may_go(environment: dict[str, str]) -> None:
    going = subprocess.Popen(
        command("--prompts", "0"), stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, env=environment,
    )  # fmt: skip
    assert going.stdin is not None
    assert going.stdout is not None
    going.stdout.readline()
    going.stdout.close()
    try:
        going.stdin.write(b"show\n" * 50)
        going.stdin.close()
    except BrokenPipeError:
        pass
    assert going.wait(timeout=60) == 0
    assert going.stderr is not None
    assert b"Traceback" not in going.stderr.read()
    going.stderr.close()


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
def test_a_kill_right_after_the_verdict_loses_nothing(environment: dict[str, str]) -> None:
    going = subprocess.Popen(
        command("--json"), stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=environment
    )
    assert going.stdin is not None
    assert going.stdout is not None
    prompt = json.loads(going.stdout.readline())
    going.stdin.write(b"C# D# F F\n")
    going.stdin.flush()
    verdict = json.loads(going.stdout.readline())
    going.send_signal(signal.SIGKILL)
    going.wait(timeout=60)
    going.stdin.close()
    going.stdout.close()
    assert (prompt["kind"], verdict["kind"]) == ("prompt", "verdict")
    assert log_of(environment) == ["C# D# F F"]


def interrupted(going: subprocess.Popen[bytes]) -> int:
    """Press ctrl+c, and again where it is not heard: one that comes in the instant between
    Python's look for signals and the system's read waits for the next line."""
    for _ in range(20):
        going.send_signal(signal.SIGINT)
        try:
            return going.wait(timeout=3)
        except subprocess.TimeoutExpired:
            continue
    raise AssertionError("it does not end")


def test_an_interrupt_ends_with_130_and_keeps_the_log(environment: dict[str, str]) -> None:
    going = subprocess.Popen(
        command("--json"), stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, env=environment,
    )  # fmt: skip
    assert going.stdin is not None
    assert going.stdout is not None
    assert going.stderr is not None
    going.stdout.readline()
    going.stdin.write(b"C\n")
    going.stdin.flush()
    going.stdout.readline()
    assert interrupted(going) == 130
    assert b"Traceback" not in going.stderr.read()
    for stream in (going.stdin, going.stdout, going.stderr):
        stream.close()
    assert log_of(environment) == ["C"]
