"""Small changes to a program: where each can be made, and the text with it made.

One change at a time: a comparison, an and, a sum, a not, a number, a truth, or a call left out.
The text is changed in place, so that every other line stays what and where it was.
Left alone are places where nothing that runs would change: annotations, decorators of classes
(`frozen`, `slots`), `strict=` of zip, sizes of caches, what is for type checkers (also how a
`TypeVar` varies), `__main__`.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

OPERATORS = {
    ast.Lt: ("<", "<="), ast.LtE: ("<=", "<"), ast.Gt: (">", ">="), ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="), ast.NotEq: ("!=", "=="), ast.Is: ("is", "is not"),
    ast.IsNot: (r"is\s+not", "is"), ast.In: ("in", "not in"), ast.NotIn: (r"not\s+in", "in"),
    ast.And: ("and", "or"), ast.Or: ("or", "and"), ast.Add: (r"\+", "-"), ast.Sub: ("-", "+"),
    ast.Mult: (r"\*", "//"), ast.FloorDiv: ("//", "*"), ast.Mod: ("%", "//"), ast.Div: ("/", "*"),
}  # fmt: skip
UNSEEN = {"strict", "maxsize", "covariant", "contravariant"}
"""Keywords whose numbers change nothing that can be seen in a program that is right."""


@dataclass(frozen=True)
class Site:
    """A change that can be made: to a file's bytes from ``begin`` to ``end``."""

    file: str
    line: int
    begin: int
    end: int
    text: str
    """What comes in the place."""
    what: str
    """The change, to be read."""
    lines: tuple[int, int]
    """First and last line of the expression, for finding who runs it."""
    statement: tuple[int, int]
    """The same of its statement, of which only the head where others stand in it."""
    at_import: bool
    """Whether it runs when the module is loaded, and not when a function is called."""


@dataclass(frozen=True)
class _Outer:
    """What stands around a node."""

    statement: tuple[int, int]
    at_import: bool


class _Text:
    """A file's bytes, and where each line of them begins."""

    def __init__(self, source: bytes) -> None:
        self.source = source
        self.starts = [0]
        for line in source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))

    def begin(self, node: ast.expr | ast.stmt) -> int:
        return self.starts[node.lineno - 1] + node.col_offset

    def end(self, node: ast.expr | ast.stmt) -> int:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        return self.starts[node.end_lineno - 1] + node.end_col_offset

    def line(self, place: int) -> int:
        return self.source.count(b"\n", 0, place) + 1


def sites(root: Path, file: Path) -> list[Site]:
    """Every change that can be made to a module, in the order of its text."""
    text = _Text(file.read_bytes())
    name = file.relative_to(root).as_posix()
    found = []
    for node, outer in _walk(ast.parse(text.source), _Outer((1, 1), at_import=True)):
        for begin, end, new in _changes(text, node):
            if not _stands(text, node):
                continue
            old = text.source[begin:end].decode()
            lines = (node.lineno, node.end_lineno or node.lineno)
            what = f"`{' '.join(old.split())[:60]}` -> `{new.strip() or 'left out'}`"
            found.append(
                Site(name, text.line(begin), begin, end, new, what, lines, outer.statement,
                     outer.at_import)
            )  # fmt: skip
    return sorted(found, key=lambda site: (site.begin, site.end))


def changed(site: Site, source: bytes) -> bytes:
    """The module with the change; it has as many lines as before."""
    new = site.text + "\\\n" * source[site.begin : site.end].count(b"\n")
    if site.text == "None":  # a call over some lines: a whole statement
        new = "None" + "\n" * source[site.begin : site.end].count(b"\n")
    return source[: site.begin] + new.encode() + source[site.end :]


def _walk(node: ast.AST, outer: _Outer) -> Iterator[tuple[ast.expr | ast.stmt, _Outer]]:
    """All nodes that count, each with what is around it."""
    for name, value in ast.iter_fields(node):
        if _left_alone(node, name):
            continue
        inside = outer
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)):
            inside = _Outer(outer.statement, at_import=outer.at_import and name != "body")
        for each in value if isinstance(value, list) else [value]:
            if not isinstance(each, ast.AST) or (isinstance(each, ast.If) and _for_tools(each)):
                continue
            around = _Outer(_head(each), inside.at_import) if isinstance(each, ast.stmt) else inside
            if isinstance(each, (ast.expr, ast.stmt)):
                yield each, around
            yield from _walk(each, around)


def _left_alone(node: ast.AST, field: str) -> bool:
    return (
        field in {"annotation", "returns", "format_spec"}
        or (isinstance(node, ast.ClassDef) and field == "decorator_list")
        or (isinstance(node, ast.keyword) and node.arg in UNSEEN)
        or (isinstance(node, ast.Assign) and _names(node) & {"__all__", "TYPE_CHECKING"} != set())
    )


def _names(node: ast.Assign) -> set[str]:
    return {each.id for each in node.targets if isinstance(each, ast.Name)}


def _for_tools(node: ast.If) -> bool:
    test = ast.unparse(node.test)
    return test.endswith("TYPE_CHECKING") or "__name__" in test


def _head(node: ast.stmt) -> tuple[int, int]:
    """The lines of a statement itself, without the block below it."""
    body = getattr(node, "body", None)
    last = body[0].lineno - 1 if body else node.end_lineno or node.lineno
    return node.lineno, max(node.lineno, last)


def _changes(text: _Text, node: ast.expr | ast.stmt) -> Iterator[tuple[int, int, str]]:
    """Places and new texts of the changes of one node."""
    match node:
        case ast.Compare(left=left, ops=[op, *_], comparators=[right, *_]):
            yield from _operator(text, left, right, op)
        case ast.BoolOp(op=op, values=[left, right, *_]):
            yield from _operator(text, left, right, op)
        case ast.BinOp(left=left, op=op, right=right) if not (_joins(left) or _joins(right)):
            yield from _operator(text, left, right, op)
        case ast.UnaryOp(op=ast.Not()):
            yield text.begin(node), text.begin(node) + len("not "), ""
        case ast.Constant(value=bool() as value):
            yield text.begin(node), text.end(node), str(not value)
        case ast.Constant(value=int() as value):
            yield text.begin(node), text.end(node), str(value + 1)
        case ast.Constant(value=float() as value):
            yield text.begin(node), text.end(node), repr(value * 2 if value else 1.0)
        case ast.Expr(value=ast.Call() as call):
            yield text.begin(call), text.end(call), "None"
        case _:
            pass


def _stands(text: _Text, node: ast.expr | ast.stmt) -> bool:
    """Whether a node is where it says: before Python 3.12 those in f-strings may not be."""
    segment = text.source[text.begin(node) : text.end(node)].decode()
    try:
        read = ast.parse(f"({segment})", mode="eval").body
    except SyntaxError:
        return False
    return ast.dump(read) == ast.dump(node.value if isinstance(node, ast.Expr) else node)


def _operator(
    text: _Text, left: ast.expr, right: ast.expr, op: ast.AST
) -> Iterator[tuple[int, int, str]]:
    if type(op) not in OPERATORS:
        return
    old, new = OPERATORS[type(op)]
    begin = text.end(left)
    between = text.source[begin : text.begin(right)].decode()
    found = re.search(rf"(?<![\w<>=!/*]){old}(?![\w<>=/*])", re.sub("#.*", _blank, between))
    if found:
        bytes_before = len(between[: found.start()].encode())
        bytes_in = len(found.group().encode())
        yield begin + bytes_before, begin + bytes_before + bytes_in, new


def _blank(comment: re.Match[str]) -> str:
    return " " * len(comment.group().encode())


def _joins(node: ast.expr) -> bool:
    """Whether a side is plainly no number: its sum turned is an error, and no test's merit."""
    return isinstance(node, (ast.JoinedStr, ast.List, ast.Tuple, ast.ListComp)) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str)
    )
