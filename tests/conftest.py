"""What every room's tests share: a home of their own, settings of Hypothesis, slow tests."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from drill.clock import monotonic

# No test is judged by time; CI draws the same examples in every run.
settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")


# What is started in the background by a shell ignores interrupts, and all that it starts with it.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--slow", action="store_true", help="run the tests marked slow as well")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: item.get_closest_marker("quiet") is not None)  # they come last
    if config.getoption("--slow") or os.environ.get("CI"):
        return
    for item in items:
        if item.get_closest_marker("slow"):
            item.add_marker(pytest.mark.skip(reason="slow: run with --slow"))


NOISE = pytest.StashKey[int]()
"""A lock on this very file: every process of a run shares in it while its tests may be loud.  On
Windows there is none: what is marked quiet comes last there, but not alone."""
WAIT_S = 900.0
"""How long a quiet test waits for the loud ones, of this run and of others in this checkout."""


def pytest_collection_finish(session: pytest.Session) -> None:
    if sys.platform != "win32":
        import fcntl

        session.config.stash[NOISE] = held = os.open(__file__, os.O_RDONLY)
        fcntl.flock(held, fcntl.LOCK_SH)


def pytest_sessionfinish(session: pytest.Session) -> None:
    if NOISE in session.config.stash:
        os.close(session.config.stash[NOISE])


def _taken(held: int) -> bool:
    """Whether the whole lock could be had."""
    import fcntl

    try:
        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


@pytest.fixture(autouse=True)
def waits_for_quiet(request: pytest.FixtureRequest) -> Iterator[None]:
    """A test marked quiet runs alone, once no process has a test left that is not."""
    if sys.platform == "win32" or not request.node.get_closest_marker("quiet"):
        yield
        return
    import fcntl

    held = request.config.stash[NOISE]
    fcntl.flock(held, fcntl.LOCK_UN)  # gives up its share, and waits for those of the others
    until = monotonic() + WAIT_S
    while not _taken(held):
        if monotonic() > until:
            pytest.fail(
                f"no quiet in {WAIT_S:g} s: another process still runs the tests of this checkout, "
                "or was stopped in them"
            )
        time.sleep(0.1)
    yield
    fcntl.flock(held, fcntl.LOCK_UN)


@pytest.fixture(autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home folder for each test, so that no test reads or writes the user's data."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("DRILL_HOME", str(home / "drill"))
    for name in ("CONFIG", "DATA", "STATE", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(home / name.lower()))
    return home


@pytest.fixture(scope="session")
def checkout() -> Path:
    """The folder of the checkout."""
    return Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def printed_by(checkout: Path) -> Callable[..., str]:
    """What some code prints in a clean interpreter; it has to end well and complain of nothing."""

    def printed(code: str, *words: object) -> str:
        line = [sys.executable, "-c", code, *map(str, words)]
        done = subprocess.run(line, cwd=checkout, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stderr) == (0, "")
        return done.stdout

    return printed
