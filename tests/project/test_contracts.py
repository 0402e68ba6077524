"""The import contracts hold, and a breach of each is seen."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

LINT = (
    "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"
)


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Import-linter's verdict on the package in this folder."""
    return subprocess.run(
        [sys.executable, "-P", "-c", LINT],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(folder), "NO_COLOR": "1", "COLUMNS": "200"},
        capture_output=True,
        text=True,
        check=False,
    )


def test_every_contract_is_kept(checkout: Path) -> None:
    run = lint(checkout)
    assert run.returncode == 0, run.stdout
    assert " 0 broken." in run.stdout


@pytest.mark.parametrize(
    ("module", "line", "contract", "seen"),
    [
        (
            "theory/keys.py",
            "import drill.practice",
            "imports go down only",
            "drill.theory.keys -> drill.practice",
        ),
        ("stray.py", "", "imports go down only", "- drill.stray"),
        (
            "marking/compare.py",
            "import music21",
            "one door to music21: theory.library",
            "drill.marking.compare -> music21",
        ),
        (
            "decks/shipped.py",
            "import sqlite3",
            "one door to SQLite: memory.database",
            "drill.decks.shipped -> sqlite3",
        ),
        (
            "cli.py",
            "import textual.app",
            "one door to Textual, and to the Rich beneath it: tui",
            "drill.cli -> textual",
        ),
        (
            "cli.py",
            "import rich",
            "one door to Textual, and to the Rich beneath it: tui",
            "drill.cli -> rich",
        ),
        (
            "sound/tone.py",
            "import miniaudio",
            "two doors to the audio libraries: sound.device out, sound.capture in",
            "drill.sound.tone -> miniaudio",
        ),
        (
            "memory/model.py",
            "import drill.terms",
            "memory knows no music",
            "drill.memory.model -> drill.terms",
        ),
    ],
)
def test_a_breach_is_seen(
    checkout: Path, tmp_path: Path, module: str, line: str, contract: str, seen: str
) -> None:
    shutil.copytree(checkout / "drill", tmp_path / "drill", ignore=shutil.ignore_patterns("*.pyc"))
    shutil.copy(checkout / "pyproject.toml", tmp_path)
    with (tmp_path / "drill" / module).open("a", encoding="utf-8") as file:
        file.write(f"\n{line}\n")
    run = lint(tmp_path)
    assert run.returncode == 1
    assert f"{contract} BROKEN" in run.stdout
    assert seen in run.stdout
