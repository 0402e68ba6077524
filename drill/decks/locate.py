"""Where each key and value of a TOML text stands: key path to line and column.

The standard reader gives values without places, and its own errors say only
"at end of document" where something was never closed.  This scanner walks the
same text and remembers offsets; it judges nothing, and stops quietly where the
text is no TOML.

Conventions: a *path* is the keys from the top of the document, with an index
for each element of an array or of an array of tables (``("pattern", 0, "cell")``).
Lines and columns count from 1, columns in characters, a tab as one.
"""

from __future__ import annotations

import contextlib
import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass
from itertools import count

Path = tuple[str | int, ...]

MAX_DEPTH = 16
"""Tables within tables, or lists within lists; a deck needs four."""

_WS = re.compile(r"[ \t]*")
_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*+")
_LINE_END = re.compile(r"[ \t]*(?:#[^\n]*)?(?=\n|\Z)")
_ON_A_LINE = r""""(?:[^"\\\n]++|\\.)*+"|'[^'\n]*'"""
_KEY = re.compile(rf"[A-Za-z0-9_-]+|{_ON_A_LINE}")
_VALUE = re.compile(
    r'"""(?:[^\\"]++|\\[\s\S]|"(?!""))*+""""{0,2}'
    r"|'''[\s\S]*?''''{0,2}"
    rf"|(?!\"\"\"|\'\'\')(?:{_ON_A_LINE})"
    r"""|[^,\]}#\n"'\[{]+"""
)


@dataclass(frozen=True, slots=True)
class LineColumn:
    """A line and a column, both from 1; both 0 for no place."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Twice:
    """A key or table that stands in two places."""

    path: Path
    first: LineColumn
    second: LineColumn


@dataclass(frozen=True, slots=True)
class Open:
    """Something that was opened and not closed before the scan stopped."""

    kind: str
    """``list``, ``table`` or ``text``."""
    place: LineColumn


@dataclass(frozen=True, slots=True)
class Spots:
    """The places found in one text, and what stopped the scan."""

    keys: dict[Path, LineColumn]
    """Where the key of a path stands; for a table its header."""
    values: dict[Path, LineColumn]
    """Where the value of a path begins; for a table its header."""
    twice: Twice | None = None
    """The first key or table that is given twice, where the scan stopped for it."""
    opened: Open | None = None
    """The innermost list, table or text open where the scan stopped; None when it came
    to the end."""
    too_deep: LineColumn | None = None
    """Where the text nests deeper than ``MAX_DEPTH``; None when it does not."""

    def key(self, path: Path) -> LineColumn:
        """The key's place, else that of the nearest table around it; 0, 0 for none."""
        return self._nearest(self.keys, path)

    def value(self, path: Path) -> LineColumn:
        """The value's place, else that of the nearest value around it; 0, 0 for none."""
        return self._nearest(self.values, path)

    def _nearest(self, known: dict[Path, LineColumn], path: Path) -> LineColumn:
        for size in range(len(path), 0, -1):
            for table in (known, self.values, self.keys):
                if path[:size] in table:
                    return table[path[:size]]
        return self.keys.get((), LineColumn(0, 0))


def locate(text: str) -> Spots:
    """The places of every key and value of a TOML text.

    Of a text that is no TOML, the places up to where it stops being one.
    """
    scanner = _Scanner(text.replace("\r\n", "\n"))
    with contextlib.suppress(_StopError):
        scanner.run()
    opened = scanner.opened[-1] if scanner.opened else None
    return Spots(scanner.keys, scanner.values, scanner.twice, opened, scanner.too_deep)


class _StopError(Exception):
    """From here on the text is no TOML."""


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.pos = 0
        self.lines = [0, *(found.end() for found in re.finditer("\n", text))]
        self.keys: dict[Path, LineColumn] = {(): LineColumn(1, 1)}
        self.values: dict[Path, LineColumn] = {}
        self.last: dict[Path, int] = {}
        """The index of the latest table of each array of tables."""
        self.assigned: dict[Path, LineColumn] = {}
        self.twice: Twice | None = None
        self.opened: list[Open] = []
        self.too_deep: LineColumn | None = None

    def run(self) -> None:
        base: Path = ()
        while True:
            self.take(_BLANK)
            if self.pos == len(self.text):
                return
            if self.here("["):
                base = self.header()
            else:
                self.assignment(base)
            self.take(_LINE_END)

    # -- the grammar

    def header(self) -> Path:
        start = self.place()
        close = "]]" if self.here("[[") else "]"
        self.pos += len(close)
        path, named = self.dotted_key((), start)
        self.sign(close)
        if path not in self.last or close == "]":
            self.once(path, self.assigned.setdefault(path, named), named)
        if close == "]":
            return path
        self.last[path] = self.last.get(path, -1) + 1
        path = (*path, self.last[path])
        self.keys[path] = self.values[path] = start
        return path

    def assignment(self, base: Path) -> None:
        path, named = self.dotted_key(base)
        self.sign("=")
        self.take(_WS)
        first = self.assigned.setdefault(path, named)
        if first is not named:
            self.assigned = {}  # the reader reads all of a second value before it looks at its key
        self.value(path)
        self.once(path, first, named)

    def once(self, path: Path, first: LineColumn, place: LineColumn) -> None:
        """No reader goes on where a path had a value, and a text of nothing else is not worth all
        its places."""
        if first is not place:
            self.twice = Twice(path, first, place)
            raise _StopError

    def dotted_key(self, base: Path, start: LineColumn | None = None) -> tuple[Path, LineColumn]:
        """The path of a key, and where its last part stands; tables are at ``start``, None for
        where their own key is."""
        path, depth = base, len(base)
        while True:
            self.take(_WS)
            depth += 1
            place = self.place(depth)
            part = _unquoted(self.word(_KEY))
            if path in self.last:
                path = (*path, self.last[path])
            path = (*path, part)
            self.keys.setdefault(path, place)
            self.values.setdefault(path, start or place)
            self.take(_WS)
            if not self.here("."):
                return path, place
            self.pos += 1

    def value(self, path: Path) -> None:
        self.values[path] = self.place()
        if self.here("["):
            self.nested(path, "list", "]")
        elif self.here("{"):
            self.nested(path, "table", "}")
        else:
            self.word(_VALUE)

    def nested(self, path: Path, kind: str, close: str) -> None:
        self.opened.append(Open(kind, self.place(len(self.opened) + 1)))
        self.pos += 1
        self.take(_BLANK)
        for index in count():
            if self.here(close):
                break
            if kind == "list":
                self.value((*path, index))
            else:
                self.assignment(path)
            self.take(_BLANK)
            if not self.here(close):
                self.sign(",")
                self.take(_BLANK)
        self.opened.pop()
        self.pos += 1

    # -- small steps

    def place(self, depth: int = 0) -> LineColumn:
        """Where the scan is; it stops there at a depth that is too large."""
        line = bisect_right(self.lines, self.pos)
        place = LineColumn(line, self.pos - self.lines[line - 1] + 1)
        if depth > MAX_DEPTH:
            self.too_deep = place
            raise _StopError
        return place

    def here(self, text: str) -> bool:
        return self.text.startswith(text, self.pos)

    def sign(self, text: str) -> None:
        if not self.here(text):
            raise _StopError
        self.pos += len(text)

    def take(self, expression: re.Pattern[str]) -> str:
        found = expression.match(self.text, self.pos)
        if not found:
            raise _StopError
        self.pos = found.end()
        return found[0]

    def word(self, expression: re.Pattern[str]) -> str:
        """A key or a value; what begins with a quote and is none was never closed."""
        if not self.text.startswith(('"', "'"), self.pos):
            return self.take(expression)
        self.opened.append(Open("text", self.place()))
        found = self.take(expression)
        self.opened.pop()
        return found


def _unquoted(key: str) -> str:
    """The text of a key; as it stands where its escapes are wrong."""
    if key[0] not in "\"'":
        return key
    try:
        return str(tomllib.loads(f"key = {key}")["key"])
    except ValueError:
        return key
