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
    ours, theirs = os.openpty()
    environment = {
        **os.environ, "DRILL_HOME": str(tmp_path), "TERM": "xterm-256color",
        "PYTHONPATH": str(LAUNCH.parents[2]),
    }  # fmt: skip
    child = subprocess.Popen(
        [sys.executable, str(LAUNCH), "major-returning-cells"],
        stdin=theirs, stdout=theirs, stderr=theirs, env=environment, start_new_session=True,
    )  # fmt: skip
    os.close(theirs)
    seen, end = b"", monotonic() + 60
    while b"cell on" not in seen and monotonic() < end:
        if select.select([ours], [], [], 1.0)[0]:
            seen += os.read(ours, 65536)
    os.close(ours)
    assert b"cell on" in seen
    assert child.wait(30) == CODE


@posix
def test_the_program_itself_keeps_its_code_where_its_terminal_is_gone(tmp_path: Path) -> None:
    """With buffers as a shell starts it: what Python could not write any more made it 120."""
    ours, theirs = os.openpty()
    environment = {
        **os.environ, "DRILL_HOME": str(tmp_path), "TERM": "xterm-256color",
        "PYTHONPATH": str(LAUNCH.parents[2]), "PYTHONUNBUFFERED": "",
    }  # fmt: skip
    child = subprocess.Popen(
        [sys.executable, "-m", "drill", "--deck", "thirds", "--mute"],
        stdin=theirs, stdout=theirs, stderr=theirs, env=environment, start_new_session=True,
    )  # fmt: skip
    os.close(theirs)
    seen, end = b"", monotonic() + 60
    while monotonic() < end:
        if select.select([ours], [], [], 1.0)[0]:
            seen += os.read(ours, 65536)
        elif b"answer" in seen:  # it is drawn, and still
            break
    os.close(ours)
    assert b"answer" in seen
    assert child.wait(30) == CODE


@posix
def test_a_reader_of_keys_that_is_never_told_to_stop_keeps_nobody(tmp_path: Path) -> None:
    """As where the terminal goes in the middle of leaving: the program was found an hour later,
    at a third of a core."""
    ours, theirs = os.openpty()
    environment = {
        **os.environ, "DRILL_HOME": str(tmp_path), "TERM": "xterm-256color",
        "PYTHONPATH": str(LAUNCH.parents[2]),
    }  # fmt: skip
    code = (
        "import runpy, sys\n"
        "from textual.drivers.linux_driver import LinuxDriver\n"
        "LinuxDriver.disable_input = lambda self: None\n"
        f"sys.argv = ['launch', 'major-returning-cells']\n"
        f"runpy.run_path({str(LAUNCH)!r}, run_name='__main__')\n"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", code],
        stdin=theirs, stdout=theirs, stderr=theirs, env=environment, start_new_session=True,
    )  # fmt: skip
    os.close(theirs)
    seen, end = b"", monotonic() + 60
    while b"cell on" not in seen and monotonic() < end:
        if select.select([ours], [], [], 1.0)[0]:
            seen += os.read(ours, 65536)
    os.close(ours)
    assert b"cell on" in seen
    try:
        assert child.wait(30) == CODE
    finally:
        child.kill()
