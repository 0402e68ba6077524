"""The import contracts hold, and a breach of each is seen."""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter
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


def imports_within(room: Path) -> dict[str, set[str]]:
    """What each module of a room imports of that room when it runs, also within its functions."""
    files = {
        ".".join(file.relative_to(room.parents[1]).with_suffix("").parts): file
        for file in room.rglob("*.py")
    }
    return {
        module: set(imports_of(ast.parse(file.read_text(encoding="utf-8")))) & files.keys()
        for module, file in files.items()
    }


def imports_of(tree: ast.Module) -> Iterator[str]:
    """Every name that is imported to run, with the module before it, and every module."""
    for_types = {
        id(each)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        for each in ast.walk(node)
    }
    for node in ast.walk(tree):
        if id(node) in for_types:
            continue
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def test_no_circle_inside_a_room(checkout: Path) -> None:
    """Not even one that an import within a function hides."""
    rooms = [file.parent for file in (checkout / "drill").glob("*/__init__.py")]
    assert len(rooms) > 10
    for room in rooms:
        tuple(TopologicalSorter(imports_within(room)).static_order())  # raises CycleError


@pytest.mark.parametrize(
    ("one", "line", "two", "other"),
    [
        ("one", "from drill.theory.two import x", "two", "from drill.theory import one"),
        ("one", "import drill.theory.two", "two", "from drill.theory.one import x"),
        ("one", "from drill.theory.deep import two", "deep/two", "from drill.theory import one"),
        ("deep/one", "from drill.theory.deep.two import x", "deep/two",
         "from drill.theory.deep import one"),
    ],
)  # fmt: skip
def test_a_circle_is_seen(tmp_path: Path, one: str, line: str, two: str, other: str) -> None:
    room = tmp_path / "drill" / "theory"
    (room / "deep").mkdir(parents=True)
    (room / f"{one}.py").write_text(f"{line}\n")
    (room / f"{two}.py").write_text(f"def f():\n    {other}\n")
    with pytest.raises(CycleError):
        tuple(TopologicalSorter(imports_within(room)).static_order())
