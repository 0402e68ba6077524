"""Which test runs which lines and ways of the program: a plug-in of pytest, and what reads it.

The recording is one run of the suite with `coverage` (which is in no lock of ours: install it in
the environment that records).  Each test is a context of its own; programs that a test starts
are recorded under the test that started them, where its environment reaches them.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from importlib import import_module  # `coverage` is in the environment that records alone
from pathlib import Path

import pytest

FOLDER = "DRILL_RECORDING"
"""The variable that names the folder of the recording."""
_STAGE = re.compile(r" \((setup|call|teardown)\)$")
"""What pytest adds to a test's name in the environment."""


class Recorder:
    """Follows one run of pytest; ``folder`` holds the data of `coverage` and the seconds."""

    def __init__(self, folder: Path, name: str) -> None:
        coverage = import_module("coverage")

        self.file = folder / f"seconds-{name}.json"
        self.seconds: dict[str, float] = {}
        self.coverage = coverage.Coverage(
            data_file=str(folder / f"data.{name}"), config_file=str(folder / "coveragerc")
        )
        self.coverage.start()
        os.environ["COVERAGE_PROCESS_START"] = str(folder / "coveragerc")  # for what tests start

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.coverage.switch_context(item.nodeid)
        result = yield
        self.coverage.switch_context("")
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        before = self.seconds.get(report.nodeid, 0.0)
        self.seconds[report.nodeid] = round(before + report.duration, 4)

    def pytest_unconfigure(self) -> None:
        self.coverage.stop()
        self.coverage.save()
        self.file.write_text(json.dumps(self.seconds), encoding="utf-8")


def settings_text(checkout: Path, folder: Path) -> str:
    """The settings of `coverage` for pytest and for the programs that tests start."""
    return "\n".join([
        "[run]", "branch = True", "parallel = True", f"source = {checkout / 'drill'}",
        f"data_file = {folder / 'data.program'}", "context = ${PYTEST_CURRENT_TEST-}",
        "sigterm = True", "disable_warnings = no-data-collected", "",
    ])  # fmt: skip


def pytest_configure(config: pytest.Config) -> None:
    folder = os.environ.get(FOLDER)
    if folder is not None:
        name = os.environ.get("DRILL_RECORDING_PART", "all")
        config.pluginmanager.register(Recorder(Path(folder), name), "recorder")


class Recording:
    """Who runs what: lines of the program by test, and what each test takes."""

    def __init__(self, folder: Path, checkout: Path) -> None:
        coverage = import_module("coverage")

        self.seconds: dict[str, float] = {}
        for file in folder.glob("seconds-*.json"):
            self.seconds |= json.loads(file.read_text(encoding="utf-8"))
        whole = folder / "whole"
        if not whole.exists():
            found = coverage.Coverage(data_file=str(whole), config_file=str(folder / "coveragerc"))
            found.combine([str(path) for path in folder.glob("data.*")], keep=True)
            found.save()
        self.data = coverage.CoverageData(str(whole))
        self.data.read()
        self.checkout = checkout
        self._by_line: dict[str, dict[int, list[str]]] = {}

    def tests_of(self, file: str, first: int, last: int) -> set[str]:
        """The tests that run any of these lines of a file after it was loaded."""
        if file not in self._by_line:
            self._by_line[file] = self.data.contexts_by_lineno(str(self.checkout / file))
        by_line = self._by_line[file]
        found = {name for line in range(first, last + 1) for name in by_line.get(line, [])}
        # programs that a test starts are recorded while it is "(setup)" or "(call)"
        return {_STAGE.sub("", name) for name in found} & self.seconds.keys()


def covered(folder: Path, checkout: Path) -> str:
    """Lines and branches that the recorded run took, by room."""
    coverage = import_module("coverage")

    found = coverage.Coverage(
        data_file=str(folder / "whole"), config_file=str(folder / "coveragerc")
    )
    found.load()
    told = folder / "branches.json"
    found.json_report(outfile=str(told))
    names = ("covered_lines", "num_statements", "covered_branches", "num_branches")
    sums: dict[str, list[int]] = {}
    for name, each in json.loads(told.read_text(encoding="utf-8"))["files"].items():
        parts = Path(name).resolve().relative_to(checkout.resolve() / "drill").parts
        for room in (parts[0] if len(parts) > 1 else "(drill)", "~ all"):
            row = sums.setdefault(room, [0] * len(names))
            row[:] = [before + each["summary"][key] for before, key in zip(row, names, strict=True)]
    return "\n".join(
        f"{room:10s} lines {lines / all_lines:6.1%}   branches {ways / all_ways:6.1%}"
        for room, (lines, all_lines, ways, all_ways) in sorted(sums.items())
    )
