"""The room of the screens itself: small classes, and one place for what is Textual's own."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from textual.app import App
from textual.screen import Screen
from textual.widget import Widget

ROOT = Path(__file__).resolve().parents[2] / "drill"


def classes(*rooms: str) -> Iterator[tuple[Path, ast.ClassDef]]:
    for room in rooms:
        for file in sorted((ROOT / room).rglob("*.py")):
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ClassDef):
                    yield file, node


def methods(node: ast.ClassDef) -> list[str]:
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef)
    return [each.name for each in node.body if isinstance(each, kinds)]


def test_what_is_textual_s_own_is_taken_over_in_one_file() -> None:
    own = {
        name
        for kind in (App, Screen, Widget)
        for name in dir(kind)
        if name.startswith("_") and not name.startswith("__")
    }
    bases = re.compile("Screen|App|Ending|Sheet|Page|Widget")
    taken = {
        (file.name, name)
        for file, node in classes("tui")
        for name in methods(node)
        if name in own and any(bases.search(ast.unparse(base)) for base in node.bases)
    }
    assert taken == {("edges.py", "_fatal_error")}


def test_no_file_reaches_into_another_object_s_own_but_edges() -> None:
    reached = re.compile(r"\b(?!self\b|cls\b)\w+\._[a-z]\w*")
    found = {
        file.name
        for file in (ROOT / "tui").rglob("*.py")
        if reached.search(re.sub(r'"[^"\n]*"', '""', file.read_text(encoding="utf-8")))
    }
    assert found <= {"edges.py", "hangup.py", "app.py"}  # os._exit: the process ends itself


def test_leaving_while_a_forecast_is_worked_out_ends_well(tmp_path: Path) -> None:
    """A thread in numpy at the interpreter's end aborts the process: it must not come to that."""
    program = (
        "import sys, threading, time\n"
        "from drill.tui import app\n"
        "def work():\n"
        "    import numpy as np\n"
        "    while True: np.linalg.svd(np.random.rand(200, 200))\n"
        "threading.Thread(target=work, daemon=True).start(); time.sleep(0.5)\n"
        "print('left', flush=True)\n"
        "app._end_at_once(7)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False,
        cwd=ROOT.parent, env={"DRILL_HOME": str(tmp_path), "PATH": ""},
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (7, "left\n")
