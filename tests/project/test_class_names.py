"""A class is found by its name: no name is given twice."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path


def test_no_class_has_the_name_of_another(checkout: Path) -> None:
    names = Counter(
        node.name.lstrip("_")
        for path in (checkout / "drill").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
    )
    assert [name for name, times in names.items() if times > 1] == []
