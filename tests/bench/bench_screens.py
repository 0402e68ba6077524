"""Start to first frame and key to paint, through a pty, beside a bare Textual program.

    python tests/bench/bench_screens.py [--starts N] [--keys N] [--soak N]

Both programs are started in turn in the same run, so that a busy machine is busy for
both.  Beside the clock stands the processor time, user and system, that a program had spent
by its first frame: other programs' work is not in it.  Aims: first frame at most 1.25 times
the bare program's, first prompt at most 2.0 times; key to paint, 95 of 100, at most 8 ms and
at most 1.2 times the bare program's.
"""

from __future__ import annotations

import argparse
import contextlib
import fcntl
import os
import pty
import select
import signal
import statistics
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DRILL = [sys.executable, "-m", "drill"]
"""The program as a player starts it."""

BARE = """
import os
os.environ["TEXTUAL_ANIMATIONS"] = "none"
from textual.app import App
from textual.widget import Widget
from textual.reactive import reactive
from textual.strip import Strip
from rich.segment import Segment

class Echo(Widget, can_focus=True):
    typed = reactive("bare>")
    def on_key(self, event):
        self.typed += event.character or ""
    def render_line(self, y):
        text = self.typed[-70:] if y == 0 else ""
        return Strip([Segment(text.ljust(self.size.width))])

class Bare(App):
    def compose(self):
        yield Echo()
    def on_mount(self):
        self.query_one(Echo).focus()

Bare().run(mouse=False)
"""


class Terminal:
    """A program on a pty of 80 x 24."""

    def __init__(self, command: list[str], home: Path, more: dict[str, str]) -> None:
        self.began = time.perf_counter()
        self.pid, self.fd = pty.fork()
        if not self.pid:
            environment = {
                **os.environ,
                "TERM": "xterm-256color",
                "COLORTERM": "truecolor",
                "DRILL_HOME": str(home),
                "PYTHONPATH": str(ROOT),
                "DRILL_SOUND": "silent",
                **more,
            }
            # Compiled files are there as at every start but the first.
            environment.pop("PYTHONDONTWRITEBYTECODE", None)
            os.execve(command[0], command, environment)
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.seen = b""
        self.spent = 0.0
        """Seconds of processor time, once it is closed."""

    def wait_for(self, text: bytes, seconds: float = 20.0) -> float:
        """The instant at which a text was read; the bytes before it are dropped."""
        end = time.perf_counter() + seconds
        while text not in self.seen:
            if time.perf_counter() > end:
                raise TimeoutError(f"{text!r} never came; read {self.seen[-400:]!r}")
            if select.select([self.fd], [], [], 0.05)[0]:
                self.seen += os.read(self.fd, 65536)
        now = time.perf_counter()
        self.seen = self.seen.partition(text)[2]
        return now

    def settle(self, seconds: float) -> None:
        """Read until nothing came for so long."""
        while select.select([self.fd], [], [], seconds)[0]:
            try:
                os.read(self.fd, 65536)
            except OSError:
                return
        self.seen = b""

    def key(self, data: bytes) -> float:
        """Milliseconds from a key to the first byte painted."""
        began = time.perf_counter()
        os.write(self.fd, data)
        if not select.select([self.fd], [], [], 2.0)[0]:
            raise TimeoutError(f"nothing was painted for {data!r}")
        painted = time.perf_counter()
        os.read(self.fd, 65536)
        return 1000 * (painted - began)

    def close(self) -> None:
        with contextlib.suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)
        used = os.wait4(self.pid, 0)[2]
        self.spent = used.ru_utime + used.ru_stime
        os.close(self.fd)


@contextlib.contextmanager
def running(
    command: list[str], home: Path, more: dict[str, str] | None = None
) -> Iterator[Terminal]:
    terminal = Terminal(command, home, more or {})
    try:
        yield terminal
    finally:
        terminal.close()


def spread(values: list[float]) -> str:
    ordered = sorted(values)
    p95 = ordered[min(len(ordered) - 1, round(0.95 * len(ordered)))]
    return f"min {ordered[0]:6.1f}  median {statistics.median(ordered):6.1f}  p95 {p95:6.1f} ms"


def p95(values: list[float]) -> float:
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, round(0.95 * len(ordered)))]


def first_frames(starts: int, home: Path) -> None:
    """Start to first frame of Today and to the first prompt, beside the bare program."""
    programs = {
        "first frame, bare Textual": ([sys.executable, "-c", BARE], b"bare>"),
        "first frame, Today": (DRILL, b"Today"),
        "first prompt, drill --deck": ([*DRILL, "--deck", "major-returning-cells"], b" answer"),
    }
    clock: dict[str, list[float]] = {name: [] for name in programs}
    spent: dict[str, list[float]] = {name: [] for name in programs}
    for _ in range(starts):
        for name, (command, text) in programs.items():
            with running(command, home) as terminal:
                clock[name].append(1000 * (terminal.wait_for(text) - terminal.began))
            spent[name].append(1000 * terminal.spent)
    for name in programs:
        print(f"{name:31} {spread(clock[name])}")
        print(f"{'    processor time':31} {spread(spent[name])}")
    bare, *ours = programs
    for name, aim in zip(ours, ("1.25", "2.0"), strict=True):
        told = ", ".join(
            f"{what} {statistics.median(took[name]) / statistics.median(took[bare]):.2f} "
            f"(least {min(took[name]) / min(took[bare]):.2f})"
            for what, took in (("clock", clock), ("processor", spent))
        )
        print(f"ratio to bare, {name}: {told}; aim: at most {aim}")


def keys_to_paint(count: int, home: Path) -> None:
    """A key to the first painted byte: note letters on the stand, and letters in the bare one."""
    with running([sys.executable, "-c", BARE], home) as terminal:
        terminal.wait_for(b"bare>")
        terminal.settle(0.3)
        bare = _typed(terminal, count)
    with running([*DRILL, "--deck", "major-returning-cells"], home) as terminal:
        terminal.wait_for(b" answer")
        terminal.settle(0.5)
        ours = _typed(terminal, count)
        answers = _answered(terminal, max(20, count // 6))
    print(f"key to paint, bare Textual      {spread(bare)}")
    print(f"key to paint, Stand             {spread(ours)}")
    print(f"answer to verdict, Stand        {spread(answers)}")
    told = f"medians {statistics.median(ours) / statistics.median(bare):.2f}"
    print(f"ratio Stand to bare             p95 {p95(ours) / p95(bare):.2f}, {told} (aim: 1.2)")


def keys_while_sounding(rounds: int, home: Path) -> None:
    """The same on the stand while the notes of a verdict sound: the helper plays to ALSA's null."""
    (home / ".asoundrc").write_text("pcm.!default { type null }\n", encoding="utf-8")
    sounding = {"DRILL_SOUND": "miniaudio", "HOME": str(home)}
    times: list[float] = []
    with running([*DRILL, "--deck", "major-returning-cells"], home, sounding) as terminal:
        terminal.wait_for(b" answer")
        terminal.settle(1.0)
        for _ in range(rounds):
            for letter in b"c d e c\r":
                os.write(terminal.fd, bytes([letter]))
            terminal.settle(0.05)
            times += _typed(terminal, 15)
            terminal.key(b"\x15")
            terminal.settle(0.02)
    print(f"key to paint, Stand sounding    {spread(times)} (aim: p95 at most 12 ms)")


def _typed(terminal: Terminal, count: int) -> list[float]:
    times = []
    for number in range(count):
        times.append(terminal.key(b"cdefgab "[number % 8 : number % 8 + 1]))
        terminal.settle(0.02)
        if number % 16 == 15:
            terminal.key(b"\x15")
            terminal.settle(0.02)
    return times


def _answered(terminal: Terminal, count: int) -> list[float]:
    os.write(terminal.fd, b"\x15")
    terminal.settle(0.05)
    times = []
    for _ in range(count):
        for letter in b"c d e c":
            os.write(terminal.fd, bytes([letter]))
        terminal.settle(0.05)
        times.append(terminal.key(b"\r"))
        terminal.settle(0.05)
    return times


def soak(prompts: int, home: Path) -> None:
    """One long practice: memory and key to paint at its beginning and at its end."""
    environment = {"LAUNCH_PROMPTS": "0", "LAUNCH_KINDS": "degree"}
    with running([*DRILL, "--deck", "major-returning-cells"], home, environment) as t:
        t.wait_for(b" answer")
        t.settle(0.5)
        _prompts(t, min(500, prompts))
        t.settle(0.5)
        memory, keys = _kilobytes(t.pid), _typed(t, 200)
        os.write(t.fd, b"\x15")
        began = time.perf_counter()
        _prompts(t, prompts)
        seconds = time.perf_counter() - began
        t.settle(0.5)
        after, late = _kilobytes(t.pid), _typed(t, 200)
    print(f"soak, {prompts} answers in {seconds:.0f} s")
    print(f"memory before and after         {memory} {after} kB, ratio {after / memory:.3f}")
    print(f"key to paint before             {spread(keys)}")
    print(f"key to paint after              {spread(late)}")


def _prompts(terminal: Terminal, count: int) -> None:
    """Answers, right or wrong, each typed, painted and handed in before the next."""
    for _ in range(count):
        os.write(terminal.fd, b"c d e c")
        terminal.settle(0.006)
        terminal.key(b"\r")
        terminal.settle(0.003)


def _kilobytes(pid: int) -> int:
    """Resident memory of a process."""
    status = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    return next(int(row.split()[1]) for row in status.splitlines() if row.startswith("VmRSS"))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--starts", type=int, default=12, help="starts of each program")
    parser.add_argument("--keys", type=int, default=240, help="keys pressed in each program")
    parser.add_argument("--soak", type=int, default=0, help="answers in one long practice")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        # The questions of the first start are answered.
        (home / "settings.toml").write_text('horn = "alto_sax"\n', encoding="utf-8")
        with running([*DRILL, "--deck", "major-returning-cells"], home) as terminal:
            terminal.wait_for(b" answer", 60.0)  # the first start makes the log
        if options.soak:
            soak(options.soak, home)
            return
        first_frames(options.starts, home)
        keys_to_paint(options.keys, home)
        keys_while_sounding(max(4, options.keys // 15), home)


if __name__ == "__main__":
    main()
