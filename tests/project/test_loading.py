"""What a start loads: the cheap commands stay clear of the costly libraries."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

COSTLY = {
    "music21",
    "matplotlib",
    "textual",
    "rich",
    "numpy",
    "miniaudio",
    "simpleaudio",
    "asyncio",
}

SHOW = """
import sys
from drill.cli import main
try:
    code = main(sys.argv[1:])
except SystemExit as ended:
    code = ended.code or 0
print("loaded", *{name.partition(".")[0] for name in sys.modules}, file=sys.stderr)
sys.exit(code)
"""


def loaded(checkout: Path, *arguments: str) -> tuple[subprocess.CompletedProcess[str], set[str]]:
    """A run of the command line in a clean interpreter, and the packages it loaded."""
    run = subprocess.run(
        [sys.executable, "-c", SHOW, *arguments],
        cwd=checkout,
        capture_output=True,
        text=True,
        check=False,
    )
    return run, set(run.stderr.splitlines()[-1].split()[1:])


@pytest.mark.parametrize("option", ["--version", "--help"])
def test_cheap_commands_load_no_costly_library(checkout: Path, option: str) -> None:
    run, modules = loaded(checkout, option)
    assert (run.returncode, run.stdout != "") == (0, True)
    assert "drill" in modules
    assert modules & COSTLY == set()


def test_version_is_the_package_s(checkout: Path) -> None:
    from drill import __version__

    run, _ = loaded(checkout, "--version")
    assert run.stdout == f"drill {__version__}\n"


def test_the_look_would_see_a_costly_library(checkout: Path) -> None:
    code = "import sys, numpy; print('loaded', *sys.modules, file=sys.stderr)"
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=checkout, capture_output=True, text=True, check=True
    )
    assert COSTLY & set(run.stderr.split()) >= {"numpy"}


def test_a_later_start_adds_few_modules(checkout: Path) -> None:
    """The set-up's own file is on the way of every start from a clone: it loads next to nothing."""
    code = (
        "import sys; before = set(sys.modules); from drill import setup_env; "
        "print(*sorted(set(sys.modules) - before))"
    )
    run = subprocess.run(
        [sys.executable, "-I", "-c", f"import sys; sys.path.insert(0, {str(checkout)!r}); {code}"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout.split() == ["__future__", "drill", "drill.setup_env"]
