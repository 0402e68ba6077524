"""A first start for real: a bare surrounding, a killed set-up, and what reaches standard output."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from drill import __version__

KEPT = ("PIP_", "SSL_")
"""How this machine reaches its packages; nothing else is handed on."""


def surroundings(home: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name.startswith(KEPT)}
    return {"HOME": str(home), **kept}


def start(
    command: list[str], clone: Path, bare: dict[str, str]
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, cwd=clone, env=bare, capture_output=True, text=True, check=False)


@pytest.mark.slow
def test_a_killed_first_start_is_followed_by_a_clean_one(checkout: Path, tmp_path: Path) -> None:
    clone = tmp_path / "a clone"
    for folder in ("drill", "decks"):
        shutil.copytree(
            checkout / folder, clone / folder, ignore=shutil.ignore_patterns("__pycache__")
        )
    shutil.copy(checkout / "pyproject.toml", clone)
    command = [getattr(sys, "_base_executable", sys.executable), "drill", "--version"]
    bare = surroundings(tmp_path / "home")

    with subprocess.Popen(command, cwd=clone, env=bare, stderr=subprocess.PIPE, text=True) as first:
        assert first.stderr is not None
        for line in first.stderr:
            if line.startswith("drill: installing"):
                break
        first.kill()
    assert first.returncode != 0

    second = start(command, clone, bare)
    assert (second.returncode, second.stdout) == (0, f"drill {__version__}\n"), second.stderr
    assert all(line.startswith("drill: ") for line in second.stderr.splitlines())

    moved = clone.rename(tmp_path / "moved")
    third = start(command, moved, bare)
    assert (third.returncode, third.stdout, third.stderr) == (0, f"drill {__version__}\n", "")
