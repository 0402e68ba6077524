"""A program on a pty with a terminal emulator behind it, for tests of what a terminal sees."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable
from pathlib import Path

import pexpect
import pyte

from drill.clock import monotonic

LAUNCH = Path(__file__).with_name("launch.py")
ROOT = LAUNCH.parents[2]

_KITTY = re.compile(rb"\x1b\[[<>=?][0-9;]*u")
"""Sequences of the newer keyboard protocol, which the emulator does not know."""


class PtyScreen:
    """One program, its raw bytes and its screen."""

    def __init__(
        self,
        home: Path,
        *arguments: str,
        size: tuple[int, int] = (80, 24),
        command: list[str] | None = None,
        environment: dict[str, str] | None = None,
    ) -> None:
        env = {
            "PATH": os.environ["PATH"],
            "HOME": str(home),
            "LANG": "C.UTF-8",
            "TERM": "xterm-256color",
            "COLORTERM": "truecolor",
            "DRILL_HOME": str(home),
            "PYTHONPATH": str(ROOT),
            **(environment or {}),
        }
        line = command or [sys.executable, str(LAUNCH), *arguments]
        self.child = pexpect.spawn(line[0], line[1:], env=env, dimensions=(size[1], size[0]))
        self.child.delaybeforesend = None
        self.raw = b""
        self._screen = pyte.Screen(*size)
        self._stream = pyte.ByteStream(self._screen)

    def read(self, seconds: float = 0.05) -> None:
        """Take in what the program writes, for so long."""
        end = monotonic() + seconds
        while monotonic() < end:
            try:
                data = self.child.read_nonblocking(65536, timeout=0.02)
            except pexpect.TIMEOUT:
                continue
            except pexpect.EOF:
                return
            self.raw += data
            self._stream.feed(_KITTY.sub(b"", data))

    @property
    def text(self) -> str:
        return "\n".join(row.rstrip() for row in self._screen.display)

    def wait_for(self, *texts: str, seconds: float = 20.0) -> str:
        """The screen once it shows all the texts."""
        return self.wait_until(lambda shown: all(text in shown for text in texts), seconds, texts)

    def wait_until(
        self, holds: Callable[[str], object], seconds: float = 20.0, what: object = "it"
    ) -> str:
        """The screen once something holds of it."""
        end = monotonic() + seconds
        while not holds(self.text):
            if monotonic() > end:
                raise AssertionError(f"{what} never came; the screen shows\n{self.text}")
            self.read()
        return self.text

    def send(self, data: str | bytes) -> None:
        self.child.send(data)

    def resize(self, width: int, height: int) -> None:
        self._screen.resize(height, width)
        self.child.setwinsize(height, width)

    def end(self) -> int:
        """Wait for the program to end by itself; its exit code as a shell tells it."""
        end = monotonic() + 10
        while self.child.isalive() and monotonic() < end:
            self.read()
        self.read(0.2)
        assert not self.child.isalive(), "the program did not end"
        code = self.child.exitstatus
        return code if code is not None else 128 + int(self.child.signalstatus or 0)

    def close(self) -> None:
        self.child.close(force=True)
