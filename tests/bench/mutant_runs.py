"""Runs chosen tests on a changed program: quickly, in a copy, and no further than needed.

Each run is a fork of a process that has the libraries loaded and nothing of the program, so it
begins in a quarter of the time; it changes into the copy and loads the program from there.  A
test that takes ten times as long as it did hangs, and the run ends there.  Linux and macOS.
"""

from __future__ import annotations

import ast
import contextlib
import faulthandler
import importlib
import io
import os
import resource
import shutil
import signal
import sys
import time
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

LEAST_S = 30.0
"""What each test may take at least, on however busy a machine."""
TIMES = 10
MEMORY = 6 << 30
"""Bytes of address space: a change that fills the memory must not fill everybody's."""


@dataclass(frozen=True)
class Outcome:
    """How a run ended: ``passed``, ``failed``, ``hung`` or ``broken`` (nothing could be run)."""

    how: str
    test: str = ""
    """The test that failed or hung."""


class Chosen:
    """A plug-in of pytest: runs these tests, in this order, each within its time."""

    def __init__(
        self,
        tests: Sequence[str],
        left_out: Collection[str],
        seconds: dict[str, float],
        notes: Path,
    ) -> None:
        self.places = {name: place for place, name in enumerate(tests)}
        self.left_out = left_out
        self.seconds = seconds
        self.notes = notes

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        wanted = [item for item in items if item.nodeid in self.places]
        # a change may rename the cases of a test: then all of its file are run
        items[:] = sorted(wanted, key=lambda item: self.places[item.nodeid]) or [
            item for item in items if item.nodeid not in self.left_out
        ]

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self._note("begun", item.nodeid)
        limit = max(LEAST_S, TIMES * self.seconds.get(item.nodeid, 0.0))
        faulthandler.dump_traceback_later(limit, exit=True, file=2)
        result = yield
        faulthandler.cancel_dump_traceback_later()
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self._note("failed", report.nodeid)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self._note("failed", report.nodeid)

    def _note(self, how: str, test: str) -> None:
        with self.notes.open("a", encoding="utf-8") as file:
            file.write(f"{how} {test}\n")


class Runner:
    """Runs tests in a copy of the checkout; one at a time."""

    def __init__(self, checkout: Path, folder: Path, seconds: dict[str, float]) -> None:
        self.checkout = checkout
        self.folder = folder
        self.seconds = seconds
        os.environ |= {"PYTHONDONTWRITEBYTECODE": "1", "OPENBLAS_NUM_THREADS": "1"}
        sys.dont_write_bytecode = True
        load_libraries(checkout)

    def run(
        self, tests: Sequence[str], left_out: Collection[str] = (), *, collect: bool = False
    ) -> Outcome:
        """Runs tests, or all of whole files but for some, until one fails; ``collect`` only reads
        the files."""
        if not tests:
            return Outcome("passed")
        notes = self.folder / "notes"
        notes.unlink(missing_ok=True)
        child = os.fork()
        if child == 0:
            self._inside(tests, left_out, notes, ["--collect-only"] if collect else [])
        limit = 120 + TIMES * sum(self.seconds.get(test, 0.0) for test in tests)
        code = waited(child, limit)
        end_children()
        said = notes.read_text(encoding="utf-8").splitlines() if notes.exists() else []
        failed = [line.partition(" ")[2] for line in said if line.startswith("failed ")]
        begun = [line.partition(" ")[2] for line in said if line.startswith("begun ")]
        if failed:
            return Outcome("failed", failed[0])
        if code == 0:
            return Outcome("passed")
        # the process ended without a word: a test took too long, or ended the process
        return Outcome("hung", begun[-1]) if begun else Outcome("broken", str(code))

    def _inside(
        self, tests: Sequence[str], left_out: Collection[str], notes: Path, more: Sequence[str]
    ) -> None:
        """The forked process: never returns."""
        code = 70
        try:
            os.setsid()
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            signal.signal(signal.SIGINT, signal.default_int_handler)  # ignored in the background
            out = os.open(self.folder / "said", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            null = os.open(os.devnull, os.O_RDONLY)
            for stream, to in ((0, null), (1, out), (2, out)):
                os.dup2(to, stream)
            sys.stdin = io.TextIOWrapper(io.FileIO(0))
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
            os.chdir(self.checkout)
            base = self.folder / "tmp"
            shutil.rmtree(base, ignore_errors=True)
            shutil.rmtree(self.checkout / ".hypothesis", ignore_errors=True)
            sys.path[:] = [str(self.checkout), *(p for p in sys.path if p and "bench" not in p)]
            files = list(dict.fromkeys(test.partition("::")[0] for test in tests))
            code = pytest.main(
                ["-x", "-q", "--no-header", "-p", "no:cacheprovider", "-p", "no:xdist",
                 "-p", "no:faulthandler", "--tb=short", f"--basetemp={base}", *more, *files],
                plugins=[Chosen(tests, left_out, self.seconds, notes)],
            )  # fmt: skip
            sys.stdout.flush()
        finally:
            os._exit(code)


def waited(child: int, limit_s: float) -> int:
    """The exit code of a child, which is ended if it takes longer."""
    end = time.monotonic() + limit_s
    pause = 0.01
    while time.monotonic() < end:
        pid, status = os.waitpid(child, os.WNOHANG)
        if pid:
            return os.waitstatus_to_exitcode(status)
        time.sleep(pause)
        pause = min(0.2, pause * 1.5)
    os.killpg(child, signal.SIGKILL)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def adopt_children() -> None:
    """Programs that tests leave behind become our children, so that they can be ended."""
    if sys.platform == "linux":
        import ctypes

        ctypes.CDLL(None).prctl(36, 1, 0, 0, 0)  # PR_SET_CHILD_SUBREAPER


def end_children() -> None:
    """Ends what a run left behind; on Linux only."""
    listed = Path(f"/proc/self/task/{os.getpid()}/children")
    for _ in range(20):
        children = [int(pid) for pid in listed.read_text().split()] if listed.exists() else []
        if not children:
            return
        for pid in children:
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)


def load_libraries(checkout: Path) -> None:
    """Loads what the program and its tests import and is not ours."""
    names = set()
    for folder in ("drill", "tests"):
        for path in (checkout / folder).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_bytes())):
                if isinstance(node, ast.Import):
                    names |= {each.name for each in node.names}
                elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                    names.add(node.module)
    ours = {path.stem for path in (checkout / "tests").rglob("*.py")} | {"drill", "tests"}
    for name in sorted(names):
        if name.split(".")[0] not in ours | {"coverage"}:
            with contextlib.suppress(Exception):  # for another system, or not installed
                importlib.import_module(name)
