"""The two entry files tell an old Python what is missing, in a line it can read and run."""

from __future__ import annotations

import ast
import runpy
import sys
from pathlib import Path

import pytest

ENTRIES = ("drill/__main__.py", "tests/__main__.py")
NEWER_THAN_2 = (ast.FunctionDef, ast.AnnAssign, ast.JoinedStr, ast.NamedExpr, ast.Match)


@pytest.mark.parametrize("entry", ENTRIES)
def test_an_old_python_can_read_the_file(checkout: Path, entry: str) -> None:
    tree = ast.parse((checkout / entry).read_text("utf-8"), feature_version=(3, 6))
    assert not [node for node in ast.walk(tree) if isinstance(node, NEWER_THAN_2)]
    futures = [
        n for n in ast.walk(tree) if isinstance(n, ast.ImportFrom) and n.module == "__future__"
    ]
    assert futures == []  # Python 3.6 refuses a file that asks for later annotations


@pytest.mark.parametrize("entry", ENTRIES)
def test_an_old_python_gets_one_line_and_78(
    checkout: Path, entry: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 6, 15))
    monkeypatch.setattr(sys, "version", "3.6.15 (default, somewhere)")
    with pytest.raises(SystemExit) as ended:
        runpy.run_path(str(checkout / entry), run_name="__main__")
    assert ended.value.code == 78
    out, err = capsys.readouterr()
    assert out == ""
    assert err == "drill: needs Python 3.11 or later; this is 3.6.15\n"
