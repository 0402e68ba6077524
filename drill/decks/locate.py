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

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass

Path = tuple[str | int, ...]

MAX_DEPTH = 16
"""Tables within tables, or lists within lists; a deck needs four."""

_WS = re.compile(r"[ \t]*")
_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*+")
_COMMENT = re.compile(r"(?:#[^\n]*)?")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}#\n\"'\[{]+")
_TEXTS = (
    ('"""', re.compile(r'"""(?:[^\\"]++|\\[\s\S]|"(?!""))*+""""{0,2}')),
    ("'''", re.compile(r"'''[\s\S]*?''''{0,2}")),
    ('"', re.compile(r'"(?:[^"\\\n]++|\\.)*+"')),
    ("'", re.compile(r"'[^'\n]*'")),
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
    scanner.run()
    return scanner.places()


class _StopError(Exception):
    """From here on the text is no TOML."""


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.pos = 0
        self._end = 0
        self.keys: dict[Path, int] = {(): 0}
        self.values: dict[Path, int] = {}
        self.lengths: dict[Path, int] = {}
        self.assigned: dict[Path, int] = {}
        self.twice: tuple[Path, int, int] | None = None
        self.stack: list[tuple[str, int]] = []
        self.too_deep: int | None = None

    # -- the result

    def places(self) -> Spots:
        starts = [0, *(found.end() for found in re.finditer("\n", self.text))]

        def place(offset: int) -> LineColumn:
            line = bisect_right(starts, offset)
            return LineColumn(line, offset - starts[line - 1] + 1)

        again = self.twice
        return Spots(
            {path: place(offset) for path, offset in self.keys.items()},
            {path: place(offset) for path, offset in self.values.items()},
            Twice(again[0], place(again[1]), place(again[2])) if again else None,
            Open(self.stack[-1][0], place(self.stack[-1][1])) if self.stack else None,
            None if self.too_deep is None else place(self.too_deep),
        )

    # -- statements

    def run(self) -> None:
        base: Path = ()
        try:
            while True:
                self.skip(_BLANK)
                if self.pos >= len(self.text):
                    return
                base = self.header() if self.here("[") else self.assignment(base)
                self.skip(_WS)
                self.skip(_COMMENT)
                if self.pos < len(self.text) and not self.here("\n"):
                    raise _StopError
        except _StopError:
            return

    def header(self) -> Path:
        start = self.pos
        array = self.text.startswith("[[", start)
        self.pos += 2 if array else 1
        parts = self.dotted_key(0)
        self.expect("]]" if array else "]")
        path: Path = ()
        for place, (part, offset) in enumerate(parts):
            path = (*path, part)
            self.keys.setdefault(path, offset)
            self.values.setdefault(path, start)
            last = place == len(parts) - 1
            if last and array:
                self.lengths[path] = self.lengths.get(path, 0) + 1
            if path in self.lengths:
                path = (*path, self.lengths[path] - 1)
                if last and array:
                    self.keys[path] = self.values[path] = start
        if not array:
            self.assign(path, parts[-1][1])
            self.stop_if_twice()
        return path

    def assignment(self, base: Path) -> Path:
        parts = self.dotted_key(len(base))
        path = base
        for part, offset in parts:
            path = (*path, part)
            self.keys.setdefault(path, offset)
            self.values.setdefault(path, offset)
        self.assign(path, parts[-1][1])
        self.skip(_WS)
        self.expect("=")
        self.skip(_WS)
        self.value(path)
        self.stop_if_twice()
        return base

    def assign(self, path: Path, offset: int) -> None:
        if self.assigned.setdefault(path, offset) != offset and self.twice is None:
            self.twice = (path, self.assigned[path], offset)

    def stop_if_twice(self) -> None:
        """No reader goes on from there: a text of nothing else is not worth all its places."""
        if self.twice is not None:
            raise _StopError

    def dotted_key(self, depth: int) -> list[tuple[str, int]]:
        parts: list[tuple[str, int]] = []
        while True:
            self.skip(_WS)
            parts.append((self.key_part(), self.pos))
            self.check_depth(depth + len(parts))
            self.pos = self._end
            after = _WS.match(self.text, self.pos)
            assert after is not None  # the expression matches the empty text too
            if not self.text.startswith(".", after.end()):
                self.pos = after.end()
                return parts
            self.pos = after.end() + 1

    def key_part(self) -> str:
        """The key that begins here; leaves its end in ``_end``."""
        bare = _BARE_KEY.match(self.text, self.pos)
        if bare:
            self._end = bare.end()
            return bare[0]
        for quote, expression in _TEXTS[2:]:
            if self.here(quote):
                found = expression.match(self.text, self.pos)
                if not found:
                    self.stack.append(("text", self.pos))
                    raise _StopError
                self._end = found.end()
                return _unquoted(found[0])
        raise _StopError

    # -- values

    def value(self, path: Path) -> None:
        self.values[path] = self.pos
        if self.here("["):
            self.array(path)
        elif self.here("{"):
            self.inline_table(path)
        elif not self.quoted():
            found = _BARE_VALUE.match(self.text, self.pos)
            if not found:
                raise _StopError
            self.pos = found.end()

    def quoted(self) -> bool:
        for quote, expression in _TEXTS:
            if self.here(quote):
                found = expression.match(self.text, self.pos)
                if not found:
                    self.stack.append(("text", self.pos))
                    raise _StopError
                self.pos = found.end()
                return True
        return False

    def array(self, path: Path) -> None:
        self.enter("list")
        index = 0
        self.skip(_BLANK)
        while not self.here("]"):
            self.value((*path, index))
            index += 1
            self.skip(_BLANK)
            if not self.here("]"):
                self.expect(",")
                self.skip(_BLANK)
        self.leave()

    def inline_table(self, path: Path) -> None:
        self.enter("table")
        self.skip(_BLANK)
        while not self.here("}"):
            self.assignment(path)
            self.skip(_BLANK)
            if not self.here("}"):
                self.expect(",")
                self.skip(_BLANK)
        self.leave()

    def enter(self, kind: str) -> None:
        self.stack.append((kind, self.pos))
        self.check_depth(len(self.stack))
        self.pos += 1

    def leave(self) -> None:
        self.stack.pop()
        self.pos += 1

    # -- small steps

    def here(self, text: str) -> bool:
        return self.text.startswith(text, self.pos)

    def expect(self, text: str) -> None:
        if not self.here(text):
            raise _StopError
        self.pos += len(text)

    def skip(self, expression: re.Pattern[str]) -> None:
        found = expression.match(self.text, self.pos)
        if found:
            self.pos = found.end()

    def check_depth(self, depth: int) -> None:
        if depth > MAX_DEPTH:
            self.too_deep = self.pos
            raise _StopError


def _unquoted(literal: str) -> str:
    """The text of a quoted key; as it stands where its escapes are wrong."""
    try:
        return str(tomllib.loads(f"key = {literal}")["key"])
    except ValueError:
        return literal
