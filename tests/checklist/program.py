"""The real command line as a process: over pipes, and on a terminal."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest
from pty_screen import ROOT, PtyScreen

from drill.cli import main

DECK = "major-returning-cells"
LINES = ("--plain", "--mute", "--seed", "3", "--deck", DECK)
"""A practice in lines that gives the same transcript each time."""
COMMAND = [sys.executable, "-m", "drill"]


def environment(home: Path, **more: str) -> dict[str, str]:
    """Next to nothing of this process's own environment; a value of "" takes a name out."""
    made = {
        "PATH": os.environ["PATH"],
        "HOME": str(home),
        "DRILL_HOME": str(home / "drill"),
        "LANG": "C.UTF-8",
        "PYTHONPATH": str(ROOT),
        **more,
    }
    return {name: value for name, value in made.items() if value or name == "NO_COLOR"}


def run(
    home: Path,
    *arguments: str,
    typed: bytes = b"",
    cwd: Path | None = None,
    code: int | None = None,
    **more: str,
) -> subprocess.CompletedProcess[bytes]:
    """Run it over pipes to its end; ``code`` is the exit code that it must have."""
    done = subprocess.run(
        [*COMMAND, *arguments],
        input=typed,
        capture_output=True,
        env=environment(home, **more),
        cwd=cwd or home,
        timeout=120,
        check=False,
    )
    assert b"Traceback" not in done.stderr, done.stderr.decode()
    if code is not None:
        assert done.returncode == code, done.stderr.decode()
    return done


def inside(home: Path, *arguments: str, typed: str) -> str:
    """The same in this process, for what no process is needed to show: what it wrote."""
    out, err = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
        patch.setenv("DRILL_HOME", str(home / "drill"))
        patch.setattr(sys, "stdin", io.StringIO(typed))
        code = main(arguments)
    assert code == 0, err.getvalue()
    return out.getvalue()


def on_terminal(home: Path, *arguments: str, **more: str) -> PtyScreen:
    """Start it on a terminal of 80 by 24; the caller closes it."""
    places = {"DRILL_HOME": str(home / "drill"), **more}
    return PtyScreen(home, command=[*COMMAND, *arguments], environment=places)


Start = Callable[..., PtyScreen]


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Start]:
    """Start the program on a terminal; it is ended after the test."""
    started: list[PtyScreen] = []

    def begin(*arguments: str, **more: str) -> PtyScreen:
        screen = on_terminal(tmp_path, *arguments, **more)
        started.append(screen)
        return screen

    yield begin
    for screen in started:
        screen.close()
