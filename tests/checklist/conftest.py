"""The checklist's tests use the screens' terminal emulator."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tui"))

from program import on_terminal
from pty_screen import PtyScreen

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
