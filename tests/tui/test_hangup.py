"""A terminal that is gone ends the program, also where no hangup arrives."""

from __future__ import annotations

import os
import select
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from drill.clock import monotonic
from drill.tui.hangup import CODE, HangupWatch, is_gone

posix = pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals")
LAUNCH = Path(__file__).with_name("launch.py")


@posix
def test_a_terminal_is_gone_once_its_other_end_is_closed() -> None:
    ours, theirs = os.openpty()
    assert not is_gone(theirs)
    os.close(ours)
    assert is_gone(theirs)
    os.close(theirs)
    assert is_gone(theirs)


@posix
def test_what_never_was_a_terminal_is_not_gone() -> None:
    source, sink = os.pipe()
    os.close(sink)
    assert not is_gone(source)
    os.close(source)


def test_it_leaves_and_ends_where_leaving_leads_nowhere() -> None:
    told: list[object] = []
    done = threading.Event()

    def end(code: int) -> None:
        told.append(code)
        done.set()

    def leave() -> None:
        told.append("leave")
        raise RuntimeError("no app runs")

    with HangupWatch(0, leave, end=end, gone=lambda _: True, every_s=0.001, patience_s=0.01):
        assert done.wait(30)
    assert told == ["leave", CODE]


def test_it_says_nothing_while_the_terminal_is_there() -> None:
    asked = threading.Event()

    def gone(_: int) -> bool:
        asked.set()
        return False

    def never() -> None:
        raise AssertionError

    with HangupWatch(0, never, end=lambda _: never(), gone=gone, every_s=0.001):
        assert asked.wait(30)


@posix
@pytest.mark.slow
def test_screens_whose_terminal_is_closed_without_a_signal_end_with_129(tmp_path: Path) -> None:
    child = left_without_terminal(tmp_path, str(LAUNCH), "major-returning-cells", shows=b"cell on")
    assert child.wait(30) == CODE


@posix
def test_the_program_itself_keeps_its_code_where_its_terminal_is_gone(tmp_path: Path) -> None:
    """With buffers as a shell starts it: what Python could not write any more made it 120."""
    words = ("-m", "drill", "--deck", "thirds", "--mute")
    child = left_without_terminal(tmp_path, *words, shows=b"answer", PYTHONUNBUFFERED="")
    assert child.wait(30) == CODE


@posix
def test_a_reader_of_keys_that_is_never_told_to_stop_keeps_nobody(tmp_path: Path) -> None:
    """As where the terminal goes in the middle of leaving: the program was found an hour later,
    at a third of a core."""
    code = (
        "import runpy, sys\n"
        "from textual.drivers.linux_driver import LinuxDriver\n"
        "LinuxDriver.disable_input = lambda self: None\n"
        f"sys.argv = ['launch', 'major-returning-cells']\n"
        f"runpy.run_path({str(LAUNCH)!r}, run_name='__main__')\n"
    )
    child = left_without_terminal(tmp_path, "-c", code, shows=b"cell on")
    try:
        assert child.wait(30) == CODE
    finally:
        child.kill()


def left_without_terminal(
    home: Path, *words: str, shows: bytes, **environment: str
) -> subprocess.Popen[bytes]:
    """A Python whose terminal is closed, with no signal, once what it shows is drawn and still."""
    ours, theirs = os.openpty()
    child = subprocess.Popen(
        [sys.executable, *words],
        stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True,
        env={
            **os.environ, "DRILL_HOME": str(home), "TERM": "xterm-256color",
            "PYTHONPATH": str(LAUNCH.parents[2]), **environment,
        },
    )  # fmt: skip
    os.close(theirs)
    seen, end = b"", monotonic() + 60
    while monotonic() < end:
        if select.select([ours], [], [], 0.5)[0]:
            seen += os.read(ours, 65536)
        elif shows in seen:
            break
    os.close(ours)
    assert shows in seen
    return child
