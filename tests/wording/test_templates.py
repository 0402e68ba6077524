"""Sentences that only take values in are templates: each is called with as many as it takes."""

from __future__ import annotations

import ast
import importlib
from collections.abc import Iterator
from pathlib import Path
from string import Formatter
from typing import Any

import drill

ROOT = Path(drill.__file__).parent


def templates() -> dict[str, dict[str, int]]:
    """By module of wording: how many values each of its templates takes."""
    found: dict[str, dict[str, int]] = {}
    for path in (ROOT / "wording").glob("*.py"):
        module = importlib.import_module(f"drill.wording.{path.stem}")
        for name, made in vars(module).items():
            text: Any = getattr(made, "__self__", None)
            if isinstance(text, str):
                fields = [field for _, field, _, _ in Formatter().parse(text) if field is not None]
                assert set(fields) <= {""}, f"{path.stem}.{name} takes its values by their places"
                found.setdefault(f"drill.wording.{path.stem}", {})[name] = len(fields)
    return found


def calls(path: Path, takes: dict[str, dict[str, int]]) -> Iterator[tuple[str, int, int]]:
    """Each call of a template in a file: where, how many values it takes, and is given."""
    tree, known = ast.parse(path.read_text(encoding="utf-8")), dict[str, int]()
    if path.parent.name == "wording":
        known |= takes.get(f"drill.wording.{path.stem}", {})
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            for each in node.names:
                called = each.asname or each.name
                if each.name in takes.get(node.module, {}):
                    known[called] = takes[node.module][each.name]
                whole = takes.get(f"{node.module}.{each.name}", {})
                known |= {f"{called}.{name}": count for name, count in whole.items()}
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and (name := ast.unparse(node.func)) in known:
            given = len(node.args) + 100 * len(node.keywords)
            yield f"{path.name}:{node.lineno} {name}", known[name], given


def test_a_template_is_given_as_many_values_as_it_takes() -> None:
    takes = templates()
    made = [call for path in ROOT.rglob("*.py") for call in calls(path, takes)]
    assert len(made) > 50
    assert [where for where, takes_in, given in made if takes_in != given] == []
