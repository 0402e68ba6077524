"""Heads and titles of reports are words of one room, not of the table that has them."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from drill.wording.reports import FigureHead, Head, ReportKind, Title

ROOT = Path(__file__).resolve().parents[2] / "drill"
FILES = (*sorted((ROOT / "reports").glob("*.py")), *sorted((ROOT / "commands").glob("*.py")))
TITLED = {"Column", "Figure", "Table", "Note", "Picture"}
"""What has its words second."""


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}.{path.stem}")
def test_no_head_or_title_is_written_where_it_is_used(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
            continue
        if node.func.id in TITLED and len(node.args) > 1:
            words = [
                each.value for each in ast.walk(node.args[1]) if isinstance(each, ast.Constant)
            ]
            assert not any(words), f"line {node.lineno}: {words}"


@pytest.mark.parametrize("words", [FigureHead, Head, ReportKind, Title])
def test_each_word_stands_once_and_is_used(words: type[Head]) -> None:
    used = "".join(path.read_text(encoding="utf-8") for path in FILES)
    assert [name for name in words.__members__ if f"{words.__name__}.{name}" not in used] == []
