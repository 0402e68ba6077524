"""How many small changes to the screens the tests notice.

    python tests/bench/bench_mutation.py [--mutants N] [--seed N] [--room tui]

Each mutant changes one thing at a random place of the room: a comparison, an and, a not, a sum,
a number, a truth, or leaves one call out.  It is *killed* where a test fails or hangs.  The
tests of the same room are run, the quick ones first, and no further than the first failure.
Aim: at least 85 in 100 killed.  Survivors are printed with their place, so that they can be
looked at: some change nothing that can be seen.
"""

from __future__ import annotations

import argparse
import ast
import copy
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LONGEST_S = 240
SWAPS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn,
    ast.NotIn: ast.In, ast.And: ast.Or, ast.Or: ast.And, ast.Add: ast.Sub, ast.Sub: ast.Add,
    ast.Mult: ast.FloorDiv, ast.FloorDiv: ast.Mult,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One change."""

    file: Path
    line: int
    what: str
    source: str
    """The whole module with the change."""


def sites(tree: ast.Module) -> Iterator[tuple[ast.AST, str, Callable[[ast.AST], None]]]:
    """Every place that can be changed, in words, with the change."""
    skipped = {id(each) for each in _skipped(tree)}
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.Compare) and type(node.ops[0]) in SWAPS:
            yield node, "comparison turned", _swap_compare
        elif isinstance(node, ast.BoolOp):
            yield node, "and/or turned", _swap_op
        elif isinstance(node, ast.BinOp) and type(node.op) in SWAPS and not _text(node):
            yield node, "sum turned", _swap_op
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            yield node, "not left out", _no_not
        elif isinstance(node, ast.Constant) and isinstance(node.value, (bool, int)):
            yield node, f"{node.value} changed", _other_value
        elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
            yield node, "call left out", _no_call


def _skipped(tree: ast.Module) -> Iterator[ast.AST]:
    """Annotations, and what is for type checkers alone."""
    for node in ast.walk(tree):
        parts: list[ast.AST | None] = []
        if isinstance(node, (ast.AnnAssign, ast.arg)):
            parts.append(node.annotation)
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            parts.append(node.returns)
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name):
            parts += [node] if node.test.id == "TYPE_CHECKING" else []
        if isinstance(node, ast.ClassDef):
            parts += node.decorator_list
        for part in filter(None, parts):
            yield from ast.walk(part)


def _text(node: ast.BinOp) -> bool:
    return any(isinstance(side, (ast.JoinedStr, ast.List)) for side in (node.left, node.right))


def _swap_compare(node: ast.AST) -> None:
    assert isinstance(node, ast.Compare)
    swapped = SWAPS[type(node.ops[0])]()
    assert isinstance(swapped, ast.cmpop)
    node.ops[0] = swapped


def _swap_op(node: ast.AST) -> None:
    node.op = SWAPS[type(node.op)]()  # type: ignore[attr-defined]


def _no_not(node: ast.AST) -> None:
    node.op, node.operand = ast.Not(), ast.UnaryOp(ast.Not(), node.operand)  # type: ignore[attr-defined]


def _other_value(node: ast.AST) -> None:
    assert isinstance(node, ast.Constant)
    assert isinstance(node.value, int)
    node.value = not node.value if isinstance(node.value, bool) else node.value + 1


def _no_call(node: ast.AST) -> None:
    node.value = ast.Constant(None)  # type: ignore[attr-defined]


def mutants(room: Path, count: int, seed: int) -> list[Mutant]:
    """So many changes at random places; longer modules have more of them."""
    found: list[tuple[Path, int]] = []
    trees = {}
    for file in sorted(room.rglob("*.py")):
        trees[file] = ast.parse(file.read_text(encoding="utf-8"))
        found += [(file, at) for at, _ in enumerate(sites(trees[file]))]
    made = []
    for file, at in random.Random(seed).sample(found, min(count, len(found))):
        tree = copy.deepcopy(trees[file])
        node, what, change = list(sites(tree))[at]
        line = getattr(node, "lineno", 0)
        change(node)
        made.append(Mutant(file, line, what, ast.unparse(ast.fix_missing_locations(tree))))
    return made


def killed(mutant: Mutant, checkout: Path, tests: list[str]) -> bool:
    """Whether a test notices."""
    file = checkout / mutant.file.relative_to(ROOT)
    whole = file.read_text(encoding="utf-8")
    file.write_text(mutant.source, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-x", "--no-header", "-p", "no:cacheprovider"]
    try:
        run = subprocess.run(
            [*command, *tests], cwd=checkout, capture_output=True, timeout=LONGEST_S, check=False
        )
    except subprocess.TimeoutExpired:
        return True
    finally:
        file.write_text(whole, encoding="utf-8")
    return run.returncode != 0


def _slowness(test: Path) -> tuple[bool, int]:
    """Tests that drive a whole program come after the others, long files after short ones."""
    text = test.read_text(encoding="utf-8")
    return "run_test" in text or "trainer" in text, len(text)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--mutants", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--room", default="tui")
    parser.add_argument("--minutes", type=float, default=60.0, help="begin no mutant after these")
    args = parser.parse_args()
    end = time.monotonic() + 60 * args.minutes
    with tempfile.TemporaryDirectory() as folder:
        checkout = Path(folder)
        for name in ("drill", "tests", "decks"):
            ignored = shutil.ignore_patterns("__pycache__")
            shutil.copytree(ROOT / name, checkout / name, ignore=ignored)
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, checkout)
        room = checkout / "tests" / args.room
        slow = {"test_terminal.py"}  # real terminals: the others notice as much, far sooner
        tests = [
            str(path.relative_to(checkout))
            for path in sorted(room.glob("test_*.py"), key=_slowness)
            if path.name not in slow
        ]
        alive: list[Mutant] = []
        tried = 0
        for mutant in mutants(ROOT / "drill" / args.room, args.mutants, args.seed):
            if time.monotonic() > end:
                break
            tried += 1
            where = f"{mutant.file.relative_to(ROOT)}:{mutant.line}"
            dead = killed(mutant, checkout, tests)
            print(
                f"{tried:3d} {'killed  ' if dead else 'SURVIVED'} {where}: {mutant.what}",
                flush=True,
            )
            if not dead:
                alive.append(mutant)
    dead_ones = tried - len(alive)
    print(f"\n{dead_ones} of {tried} killed: {100 * dead_ones / max(1, tried):.0f} %")
    return 0


if __name__ == "__main__":
    sys.exit(main())
