"""One practice of thousands of prompts: memory and the time from key to paint, early and late.

    python tests/bench/bench_soak.py [--prompts 5000] [screens|lines|callbacks ...]

The real program on a terminal of 80 by 24, and in line mode over pipes.  Memory is the
resident size once a tenth of the prompts is answered, and at the end (aim: within 5 %).
Key to paint is from the byte written to the first byte painted; the medians of the first
and the last tenth are compared (aim: a ratio near 1); between them answers are typed at
once.  Python's debugger of asyncio counts callbacks over 50 ms in a shorter run.  Ends with
1 where memory grew by more, handles or threads grew at all, or answers are not in the log.
"""

from __future__ import annotations

import argparse
import fcntl
import json
import os
import pty
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from dataclasses import dataclass, field
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[2]), str(Path(__file__).parent)]

from torture_program import LINES, SCREENS, Child, preload, serial, start  # noqa: E402

ROOT = Path(__file__).resolve().parents[2]
GROWTH = 0.05
PARTS = ("screens", "lines", "callbacks")
DEBUGGED = """
import asyncio, logging, sys
from drill.cli import main
logging.basicConfig(filename=sys.argv.pop(1), level=logging.WARNING)
limit = float(sys.argv.pop(1))
class Policy(asyncio.DefaultEventLoopPolicy):
    def new_event_loop(self):
        loop = super().new_event_loop()
        loop.set_debug(True)
        loop.slow_callback_duration = limit
        return loop
asyncio.set_event_loop_policy(Policy())
sys.exit(main())
"""


@dataclass(slots=True)
class Course:
    """What was measured."""

    times: list[float] = field(default_factory=list)
    """Seconds from a key (in lines: an answer) to what came of it, in order."""
    sizes: list[int] = field(default_factory=list)
    """Resident bytes after each tenth."""
    held: tuple[int, int, int, int] = (0, 0, 0, 0)
    """Open handles and threads after a tenth, and at the end."""
    parts: int = 10
    """Into how many parts of as many the times fall."""

    def told(self, name: str, what: str) -> bool:
        """Print the figures; whether memory stayed flat."""
        tenth = max(1, len(self.times) // self.parts)
        first, last = self.times[:tenth], self.times[-tenth:]
        grown = self.sizes[-1] / self.sizes[0] - 1
        sizes = " ".join(f"{size / 1e6:.1f}" for size in self.sizes)
        before, after = statistics.median(first) * 1e3, statistics.median(last) * 1e3
        slow = sorted(last)[int(0.95 * (len(last) - 1))] * 1e3
        handles, threads, more, others = self.held
        print(
            f"{name}: handles {handles} to {more}, threads {threads} to {others}; "
            f"memory by tenths {sizes} MB ({grown:+.1%}); "
            f"{what}: median of the first tenth {before:.2f} ms, of the last {after:.2f} ms "
            f"(p95 {slow:.2f}), ratio {after / before:.2f}",
            flush=True,
        )
        return grown <= GROWTH and more <= handles and others <= threads


def resident(pid: int) -> int:
    with open(f"/proc/{pid}/statm", encoding="ascii") as file:
        return int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE")


def holds(pid: int) -> tuple[int, int]:
    """Open handles and threads of a program."""
    return len(os.listdir(f"/proc/{pid}/fd")), len(os.listdir(f"/proc/{pid}/task"))


def started(home: Path, line: list[str]) -> Child:
    """A program of its own on a terminal, not forked from here: libraries read the
    environment when they are loaded."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.environ.update(
            DRILL_HOME=str(home), PYTHONPATH=str(ROOT), TERM="xterm-256color", LANG="C.UTF-8"
        )
        os.execv(line[0], line)
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    return Child(pid, terminal, terminal)


def wait_for(child: Child, text: bytes, seconds: float = 30.0) -> None:
    """Read until the text came since the last call."""
    until = time.perf_counter() + seconds
    while text not in child.read:
        if not child.take(0.05) or time.perf_counter() > until:
            raise TimeoutError(f"{text!r} never came; read {child.read[-300:]!r}")
    child.read = child.read.partition(text)[2]


def quiet(child: Child, seconds: float = 0.006) -> None:
    """Read until nothing came for so long."""
    before = -1
    while before != len(child.read):
        before = len(child.read)
        child.take(seconds)
    child.read = b""


def key(child: Child, data: bytes) -> float:
    """Seconds from a key to the first painted byte."""
    began = time.perf_counter()
    os.write(child.source, data)
    before = len(child.read)
    while len(child.read) == before:
        child.take(2.0)
        if time.perf_counter() - began > 10:
            raise TimeoutError(f"nothing was painted for {data!r}")
    return time.perf_counter() - began


def on_screens(child: Child, prompts: int) -> Course:
    """Answer so many prompts on the Stand, key by key in the first and the last tenth."""
    course, held = Course(parts=2), []
    wait_for(child, b" answer")
    quiet(child, 0.3)
    for n in range(prompts):
        if n and n % (prompts // 10) == 0:
            course.sizes.append(resident(child.pid))
            held.append(holds(child.pid))
        typed = serial(n)[-7:].replace(" ", "").lower().encode()
        if not prompts // 10 <= n < prompts - prompts // 10:
            for sign in typed:
                course.times.append(key(child, bytes([sign])))
                quiet(child)
        else:
            key(child, typed)
            quiet(child)
        key(child, b"\r")
        quiet(child)
    course.sizes.append(resident(child.pid))
    course.held = (*held[0], *holds(child.pid))
    return course


def in_lines(child: Child, prompts: int) -> Course:
    """Answer so many prompts over pipes."""
    course, held = Course(), []
    wait_for(child, b"\n")
    for n in range(prompts):
        if n and n % (prompts // 10) == 0:
            course.sizes.append(resident(child.pid))
            held.append(holds(child.pid))
        began = time.perf_counter()
        os.write(child.source, f"{serial(n)}\n".encode())
        wait_for(child, b"\n")
        course.times.append(time.perf_counter() - began)
        wait_for(child, b"\n")
    course.sizes.append(resident(child.pid))
    course.held = (*held[0], *holds(child.pid))
    return course


def kept(home: Path) -> int:
    """How many answers the log holds, by the real command."""
    line = [sys.executable, "-m", "drill", "log", "--json"]
    env = {**os.environ, "DRILL_HOME": str(home), "PYTHONPATH": str(ROOT)}
    done = subprocess.run(line, env=env, capture_output=True, check=True)
    return sum(bool(json.loads(row)["uuid"]) for row in done.stdout.splitlines())


def slow_callbacks(home: Path, prompts: int) -> str:
    """What Python's own debugger says of callbacks over 50 ms."""
    home.mkdir()
    log = home / "slow.txt"
    child = started(home, [sys.executable, "-c", DEBUGGED, str(log), "0.05", *SCREENS])
    wait_for(child, b" answer")
    quiet(child, 0.5)
    begin = len(log.read_text(encoding="utf-8").splitlines()) if log.exists() else 0
    on = on_stand(child, prompts)
    child.kill()
    lines = log.read_text(encoding="utf-8").splitlines() if log.exists() else []
    late = sum("Executing" in line for line in lines[begin:])
    return f"{late} in {on} prompts, {begin} while starting"


def on_stand(child: Child, prompts: int) -> int:
    for n in range(prompts):
        os.write(child.source, f"{serial(n)[-7:]}\r".encode())
        quiet(child, 0.05)
    return prompts


def soaked(home: Path, part: str, prompts: int) -> bool:
    """A practice of so many prompts; whether nothing grew and the answers are in the log."""
    home.mkdir()
    if part == "screens":
        child = started(home, [sys.executable, "-m", "drill", *SCREENS])
        good = on_screens(child, prompts).told(f"screens, {prompts} prompts", "key to paint")
    else:
        child = start(home, LINES)
        good = in_lines(child, prompts).told(f"lines, {prompts} prompts", "answer to verdict")
    child.kill()
    found = kept(home)
    print(f"  answers in the log: {found}", flush=True)
    return good and found >= 0.98 * prompts


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"{', '.join(PARTS)}; all")
    parser.add_argument("--prompts", type=int, default=5000)
    options = parser.parse_args()
    if unknown := set(options.parts) - set(PARTS):
        parser.error(f"no part {', '.join(sorted(unknown))}")
    parts = options.parts or PARTS
    preload()
    good = True
    with tempfile.TemporaryDirectory(prefix="soak-") as folder:
        for part in parts:
            home = Path(folder) / part
            if part == "callbacks":
                print(f"callbacks over 50 ms: {slow_callbacks(home, min(200, options.prompts))}")
            else:
                good &= soaked(home, part, options.prompts)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
