"""English in the rooms above wording: counted by their syntax trees, and the counts only fall.

Sentences are made in drill/wording from values.  A room whose number here is 0 has none of its
own; the others may not gain one.  What explains an argument of the command line stands with the
argument that it explains and is not counted, nor is what no player reads: docstrings, the
messages of ValueError and its like (mistakes of a programmer), scripts for shells.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import drill

ROOT = Path(drill.__file__).parent
RATCHET = {
    "lines": 0,
    "tui": 0,
    "paper": 0,
    "practice": 0,
    "opening": 0,
    "commands": 240,
}
"""Sentences and halves of sentences in each room.  Lower a number when it falls."""
_WORD = re.compile(r"[(\"'`]*[A-Za-z][a-z'’]*(-[a-z]+)*[.,;:?!)\"'`]*")
_COLOUR = re.compile(r"[0-9a-f]{6}")
_BLANK = "\0"
_ARGUMENTS = {"help", "description", "epilog", "metavar", "title", "usage"}
_PROGRAMMERS = {"ValueError", "TypeError", "AssertionError", "KeyError", "RuntimeError"}
_IDS = {"by function", "long note", "up to"}
"""Of logs, of closed sets or of a deck file's own language, and never shown."""
_SCRIPTS = {"completion.py"}


def text_of(node: ast.AST) -> str | None:
    """A literal's text, what is filled in as a blank; None for what is no string."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        parts = (v.value if isinstance(v, ast.Constant) else _BLANK for v in node.values)
        return "".join(map(str, parts))
    return None


def is_english(text: str) -> bool:
    """Two words with a space between, or a word and something that is filled in."""
    tokens = [token for token in text.split() if not _COLOUR.fullmatch(token)]
    words = [t for t in tokens if _WORD.fullmatch(t) and len(re.sub(r"[^A-Za-z]", "", t)) > 1]
    return len(words) > 1 or (bool(words) and any(_BLANK in token for token in tokens))


def _passed_over(tree: ast.AST) -> Iterator[ast.AST]:
    """What is read by no player, or with the argument that it explains."""
    for node in ast.walk(tree):
        match node:
            case ast.Expr(value=ast.Constant() | ast.JoinedStr() as value):
                yield value  # a docstring
            case ast.JoinedStr():
                yield from (v for v in node.values if isinstance(v, ast.Constant))
                yield from (spec for v in node.values if (spec := getattr(v, "format_spec", None)))
            case ast.keyword(arg=arg) if arg in _ARGUMENTS:
                yield from ast.walk(node.value)
            case ast.Call(func=ast.Name(id=name)) if name in _PROGRAMMERS:
                yield from ast.walk(node)
            case ast.Assign(targets=[ast.Name(id=name)]) if name.strip("_") == "EXAMPLES":
                yield from ast.walk(node.value)


def english(source: str) -> list[tuple[int, str]]:
    """The lines and texts of English literals in a module."""
    tree = ast.parse(source)
    skipped = set(_passed_over(tree))
    found = ((node, text_of(node)) for node in ast.walk(tree) if node not in skipped)
    return [
        (getattr(node, "lineno", 0), text)
        for node, text in found
        if text and is_english(text) and text not in _IDS
    ]


@pytest.mark.parametrize("room", RATCHET)
def test_a_room_has_no_more_english_than_it_had(room: str) -> None:
    found = [
        f"{path.relative_to(ROOT)}:{line}: {text.replace(_BLANK, '{}')!r}"
        for path in sorted((ROOT / room).rglob("*.py"))
        if path.name not in _SCRIPTS
        for line, text in english(path.read_text("utf-8"))
    ]
    more = "\n".join(found)
    assert len(found) <= RATCHET[room], f"sentences belong in drill/wording:\n{more}"


@pytest.mark.parametrize(
    ("source", "count"),
    [
        ("say('nothing was typed')", 1),
        ("say(f'{count} notes')", 1),
        ("say(f'{a}: {b}')", 0),
        ("find('locked-in')", 0),
        ("style = 'width: 1fr'", 0),
        ("colours = 'ffffff ff8888'", 0),
        ("'''One docstring of words.'''", 0),
        ("add('--key', help='the written key')", 0),
        ("raise ValueError('no such thing')", 0),
        ("raise UsageError('no such thing')", 1),
        ("say('one thing ' 'and more')", 1),
    ],
)
def test_what_is_counted(source: str, count: int) -> None:
    assert len(english(source)) == count
