"""The real program in forked children, and the players that answer it.

The parent has imported everything and calls nothing; each child runs ``drill.cli.main``
as a start from the shell does, in a home of its own, until it ends or is killed.
"""

from __future__ import annotations

import fcntl
import json
import os
import pty
import resource
import select
import signal
import struct
import sys
import termios
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

DECK = "major-returning-cells"
LINES = ("--plain", "--json", "--mute", "--deck", DECK, "--prompts", "0", "--no-again")
SCREENS = ("--deck", DECK, "--mute", "--prompts", "0", "--no-again", "--seed", "7")
LETTERS = "CDEFGAB"


def preload() -> None:
    """Import what a practice imports, so that a fork is as far as a start that read its modules."""
    import drill.tui.trainer  # noqa: F401


def serial(number: int) -> str:
    """Eight notes that no other answer of the run has: the number in base seven."""
    digits = [(number // 7**place) % 7 for place in range(8)]
    return " ".join(LETTERS[digit] for digit in reversed(digits))


@dataclass(slots=True)
class Child:
    """A running program."""

    pid: int
    source: int
    """Where its input is written."""
    out: int
    """Where its output is read."""
    read: bytes = b""
    seen: int = 0
    """Lines of it that the player has read."""

    def take(self, seconds: float) -> bool:
        """Read what there is within the time; False at the end of the output."""
        if not select.select([self.out], [], [], max(0.0, seconds))[0]:
            return True
        try:
            data = os.read(self.out, 1 << 16)
        except OSError:  # a terminal whose other side has gone
            return False
        self.read += data
        return bool(data)

    def kill(self) -> None:
        """End it at once and take in what it had written."""
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        while self.take(0.0) and select.select([self.out], [], [], 0)[0]:
            pass
        self.close()

    def wait(self) -> int:
        """End its input and let it end; its exit code as a shell tells it."""
        if self.source != self.out:
            os.close(self.source)
            self.source = self.out
        until = time.perf_counter() + 60.0
        while self.take(1.0):
            if time.perf_counter() > until:
                os.kill(self.pid, signal.SIGKILL)
        _, status = os.waitpid(self.pid, 0)
        self.close()
        code = os.waitstatus_to_exitcode(status)
        return code if code >= 0 else 128 - code

    def close(self) -> None:
        for end in {self.source, self.out}:
            os.close(end)


def start(
    home: Path,
    arguments: tuple[str, ...],
    *,
    screens: bool = False,
    before: Callable[[], None] = lambda: None,
    err: Path | None = None,
) -> Child:
    """Fork a program; ``before`` runs in the child, ``err`` takes its standard error."""
    if screens:
        pid, terminal = pty.fork()
        if pid == 0:
            _become(home, arguments, before, None, TERM="xterm-256color", LANG="C.UTF-8")
        fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        return Child(pid, terminal, terminal)
    source, feed = os.pipe()
    out, told = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.dup2(source, 0)
        os.dup2(told, 1)
        target = err or Path(os.devnull)
        os.dup2(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), 2)
        for end in (source, feed, out, told):
            os.close(end)
        _become(home, arguments, before, target)
    os.close(source)
    os.close(told)
    return Child(pid, feed, out)


def _become(
    home: Path,
    arguments: tuple[str, ...],
    before: Callable[[], None],
    err: Path | None,
    **environment: str,
) -> None:
    """In the child: the command line, and its end."""
    code = 70
    try:
        os.environ.update({"DRILL_HOME": str(home), **environment})
        sys.stdin, sys.stdout, sys.stderr = (
            open(0, encoding="utf-8", closefd=False),  # noqa: SIM115
            open(1, "w", encoding="utf-8", closefd=False),  # noqa: SIM115
            open(2, "w", encoding="utf-8", closefd=False, buffering=1),  # noqa: SIM115
        )
        vars(sys).update(__stdin__=sys.stdin, __stdout__=sys.stdout, __stderr__=sys.stderr)
        before()
        from drill.cli import main

        code = main(arguments)
    except BaseException:
        traceback.print_exc()
    finally:
        for stream in (sys.stdout, sys.stderr):
            try:
                stream.flush()
            except (OSError, ValueError):
                code = 120  # as Python has it, whatever the program's own was
        os._exit(int(code))


@dataclass(slots=True)
class Player:
    """Answers prompts one after another, each answer unlike any other of the run."""

    number: int = 0
    """How many answers were sent."""
    sent: list[str] = field(default_factory=list)
    acknowledged: list[str] = field(default_factory=list)
    """Those whose verdict the program had written."""

    def next(self) -> str:
        self.number += 1
        self.sent.append(serial(self.number))
        return self.sent[-1]

    def play(self, child: Child, until: float, most: int | None = None) -> bool:
        """Answer in lines until an instant; False where the program ended before."""
        done = 0
        while time.perf_counter() < until:
            lines = child.read.split(b"\n")
            for line in lines[child.seen : -1]:
                said: dict[str, Any] = json.loads(line)
                if said["kind"] == "prompt":
                    if most is not None and done >= most:
                        return True
                    os.write(child.source, f"{self.next()}\n".encode())
                    done += 1
                child.seen += 1
            if not child.take(until - time.perf_counter()):
                return False
        return True

    def count(self, child: Child) -> None:
        """Take down the answers whose verdict was written."""
        for line in child.read.split(b"\n")[:-1]:
            said = json.loads(line)
            if said["kind"] == "verdict":
                typed = " ".join(mark["typed"] for mark in said["notes"] if mark["typed"])
                self.acknowledged.append(typed)


def limit_file_size(size: int) -> Callable[[], None]:
    """No file of the process may grow beyond so many bytes: a disk that is full."""

    def limit() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))

    return limit
