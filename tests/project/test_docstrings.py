"""Every public name of the program says what it is.

What needs no words of its own: a method that a base class or a Protocol describes under the same
name; what Textual calls (``on_``, ``action_``, ``compose`` ...); a sentence of ``wording``, which
describes itself; a property of a Protocol that says where the meaning stands (``See ...``).
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

DRILL = Path(__file__).resolve().parents[2] / "drill"
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)
TEXTUAL = ("on_", "action_", "compose", "render", "get_content_")


@cache
def trees() -> dict[Path, ast.Module]:
    return {
        path.relative_to(DRILL): ast.parse(path.read_text(encoding="utf-8"))
        for path in sorted(DRILL.rglob("*.py"))
    }


@cache
def classes() -> dict[str, list[ast.ClassDef]]:
    found: dict[str, list[ast.ClassDef]] = {}
    for tree in trees().values():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef):
                found.setdefault(node.name, []).append(node)
    return found


def bases(node: ast.ClassDef) -> list[str]:
    return [ast.unparse(base).split("[")[0].rpartition(".")[2] for base in node.bases]


def described(node: ast.ClassDef) -> set[str]:
    return {
        each.name for each in node.body if isinstance(each, FUNCTIONS) and ast.get_docstring(each)
    }


@cache
def of_protocols() -> frozenset[str]:
    every = (node for nodes in classes().values() for node in nodes)
    return frozenset().union(*(described(node) for node in every if "Protocol" in bases(node)))


def inherited(node: ast.ClassDef, name: str) -> bool:
    return any(
        name in described(base) or inherited(base, name)
        for each in bases(node)
        for base in classes().get(each, ())
        if base is not node
    )


def needs_none(path: Path, owner: ast.ClassDef | None, node: ast.FunctionDef) -> bool:
    if owner is None:
        said = ast.unparse(node.returns) if node.returns else ""
        return path.parts[0] == "wording" and said in ("Sentence", "str")
    about = ast.get_docstring(owner) or ""
    return (
        node.name in of_protocols()
        or inherited(owner, node.name)
        or node.name.startswith(TEXTUAL)
        or ("Protocol" in bases(owner) and "see ``" in about.casefold())
    )


def undescribed(
    path: Path, body: list[ast.stmt], owner: ast.ClassDef | None = None
) -> Iterator[str]:
    for node in body:
        if not isinstance(node, (*FUNCTIONS, ast.ClassDef)) or node.name.startswith("_"):
            continue
        name = f"{owner.name}.{node.name}" if owner else node.name
        if ast.get_docstring(node) is None and (
            isinstance(node, ast.ClassDef) or not needs_none(path, owner, node)  # type: ignore[arg-type]
        ):
            yield f"{path.as_posix()}:{node.lineno} {name}"
        if isinstance(node, ast.ClassDef):
            yield from undescribed(path, node.body, node)


def test_every_public_name_says_what_it_is() -> None:
    missing = [str(path) for path, tree in trees().items() if ast.get_docstring(tree) is None]
    for path, tree in trees().items():
        missing += undescribed(path, tree.body)
    assert missing == []
