"""The real command line as a process: over pipes, and on a terminal."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from pty_screen import ROOT, PtyScreen

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


def on_terminal(home: Path, *arguments: str, **more: str) -> PtyScreen:
    """Start it on a terminal of 80 by 24; the caller closes it."""
    places = {"DRILL_HOME": str(home / "drill"), **more}
    return PtyScreen(home, command=[*COMMAND, *arguments], **places)
