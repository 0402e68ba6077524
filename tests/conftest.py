"""What every room's tests share: a home of their own, settings of Hypothesis, slow tests."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest
from hypothesis import settings

from drill.theory.engine import Engine

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
    if config.getoption("--slow") or os.environ.get("CI"):
        return
    for item in items:
        if item.get_closest_marker("slow"):
            item.add_marker(pytest.mark.skip(reason="slow: run with --slow"))


@pytest.fixture(autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home folder for each test, so that no test reads or writes the user's data."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("DRILL_HOME", str(home / "drill"))
    for name in ("CONFIG", "DATA", "STATE", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(home / name.lower()))
    return home


@pytest.fixture(scope="session")
def engine() -> Engine:
    """One engine for all tests: a scale is spelled once."""
    return Engine()


@pytest.fixture(scope="session")
def checkout() -> Path:
    """The folder of the checkout."""
    return Path(__file__).resolve().parents[1]
