"""The locator against the standard reader (tomllib, TOML 1.0) on written documents.

The writer below knows where it puts each key and value, because every one of
them has a text of its own; the reader says which paths there are.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from drill.decks.locate import MAX_DEPTH, LineColumn, locate


class Writer:
    """Draws a TOML document in which every key and every value stands only once."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.count = 0
        self.text = ""
        self.out: list[str] = []
        self.keys: dict[tuple[str | int, ...], str] = {}
        self.values: dict[tuple[str | int, ...], str] = {}

    def pick(self, *choices: str) -> str:
        return self.draw(st.sampled_from(choices))

    def many(self, low: int, high: int) -> range:
        return range(self.draw(st.integers(low, high)))

    def number(self) -> int:
        self.count += 1
        return 1000 + self.count

    def space(self) -> str:
        return self.pick("", " ", "\t", "  ")

    def gap(self) -> str:
        return self.pick("", " ", "\n", "\n  ", " # ] } , = \" '''\n\t", "\n\n")

    def key(self) -> tuple[str, str]:
        """A key and how it is written."""
        name = f"key{self.number()}"
        style = self.pick("bare", "bare", "double", "single", "odd")
        if style == "odd":
            return f'{name}."ü\t', f'"{name}.\\"\\u00fc\\t"'
        return name, {"bare": name, "double": f'"{name}"', "single": f"'{name}'"}[style]

    def scalar(self) -> str:
        n = self.number()
        return self.pick(
            f"{n}", f"-{n}.5e3", f'"v{n} # ] \\" \\\\"', f"'v{n} \" [ '", f"{n}-01-02T03:04:05Z",
            f"{n}-01-02 03:04:05.5", f"0x{n}", f'"""v{n}\n] " = ""\\"" """', f"'''v{n}\n''x''''",
            f'"""v{n}\\\n  next"""""',
        )  # fmt: skip

    def value(self, path: tuple[str | int, ...], depth: int) -> str:
        kind = self.pick("scalar", "scalar", "array", "table") if depth < 3 else "scalar"
        if kind == "scalar":
            text = self.scalar()
        elif kind == "array":
            gap = self.gap
            items = [self.value((*path, i), depth + 1) + gap() for i in self.many(0, 3)]
            comma = self.pick("", ",") if items else ""
            text = f"[{gap()}{''.join(f'{i},{gap()}' for i in items[:-1])}"
            text += (items[-1] + comma + gap() if items else "") + "]"
        else:
            parts = [self.assignment(path, depth + 1) for _ in self.many(0, 3)]
            text = "{" + self.space() + (self.space() + "," + self.space()).join(parts)
            text += self.space() + "}"
        self.values[path] = text
        return text

    def assignment(self, base: tuple[str | int, ...], depth: int = 0) -> str:
        path, written = base, []
        for _ in self.many(1, 3):
            name, text = self.key()
            path = (*path, name)
            self.keys[path] = text
            written.append(text)
        dot = f"{self.space()}.{self.space()}"
        value = self.value(path, depth)
        return dot.join(written) + self.space() + "=" + self.space() + value

    def block(self, base: tuple[str | int, ...]) -> None:
        for _ in self.many(0, 3):
            line = self.space() + self.assignment(base)
            self.out.append(line + self.pick("", " ", " # [x] = '", "\t#"))
            self.out.extend("" for _ in self.many(0, 1))

    def document(self) -> str:
        self.block(())
        for _ in self.many(0, 3):
            name, text = self.key()
            self.keys[(name,)] = text
            if self.draw(st.booleans()):
                inner, inner_text = self.key()
                self.keys[(name, inner)] = inner_text
                self.out.append(f"[{self.space()}{text}{self.space()}.{inner_text}]")
                self.block((name, inner))
                continue
            for index in self.many(1, 3):
                self.out.append(f"{self.space()}[[{text}]]{self.space()}")
                self.block((name, index))
                inner, inner_text = self.key()
                if self.draw(st.booleans()):
                    self.keys[(name, index, inner)] = inner_text
                    self.out.append(f"[{text}.{inner_text}]")
                    self.block((name, index, inner))
        return "\n".join(self.out) + self.pick("", "\n")


@st.composite
def documents(draw: st.DrawFn) -> Writer:
    writer = Writer(draw)
    writer.text = writer.document()
    return writer


def paths_of(value: object, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    if path:
        yield path
    if isinstance(value, dict):
        for key, each in value.items():
            yield from paths_of(each, (*path, key))
    elif isinstance(value, list):
        for index, each in enumerate(value):
            yield from paths_of(each, (*path, index))


def place_in(text: str, part: str) -> LineColumn:
    """Where a part that stands in the text only once begins."""
    before, _, _ = text.partition(part)
    return LineColumn(before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1)


@settings(max_examples=150, deadline=None)
@given(documents(), st.booleans())
def test_every_key_and_value_is_where_the_writer_put_it(writer: Writer, windows: bool) -> None:
    text = writer.text
    read = tomllib.loads(text)
    places = locate(text.replace("\n", "\r\n") if windows else text)
    assert not places.twice
    assert places.opened is None
    for path in paths_of(read):
        assert path in places.keys or path in places.values, path
    for path, part in writer.values.items():
        if text.count(part) == 1:  # an empty list or table may stand more than once
            assert places.values[path] == place_in(text, part), (path, part)
    for path, part in writer.keys.items():
        written = part if text.count(part) == 1 else part.strip("\"'")
        if text.count(written) == 1:
            assert places.keys[path] == place_in(text, written), (path, written)


_PIECES = st.sampled_from(
    ["a", "b.c", '"', "'", '"""', "'''", "=", " ", "\n", "[", "]", "[[", "]]", "{", "}", ",", "#",
     "1", "1979-05-27 07:32:00", "\\", "true", "\t", ".", "-", "é", "\r\n", '"x"', "k = 1\n",
     "[t]\n", "[[t]]\n", "a = [\n", "x = {"]
)  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(st.lists(_PIECES, max_size=40).map("".join))
@example('a = """"x""""')
@example('a = """x"""""')
@example("a = ''''x'''''")
@example("a = { b = 1, c.d = [2, {e = 3}] }")
@example("a.b = 1\na.c = 2\n[d]\na.b = 3")
def test_scraps_never_stop_it_and_whatever_reads_is_placed_whole(text: str) -> None:
    places = locate(text)
    try:
        read = tomllib.loads(text)
    except ValueError:
        return
    assert not places.twice
    for path in paths_of(read):
        assert path in places.values or path in places.keys, path


def test_lines_and_columns_count_from_one_and_a_tab_as_one() -> None:
    places = locate('title = "ü"\n\tkeys = [ "C",\n\t\t"G" ]\n')
    assert places.keys[("title",)] == LineColumn(1, 1)
    assert places.values[("title",)] == LineColumn(1, 9)
    assert places.keys[("keys",)] == LineColumn(2, 2)
    assert places.values[("keys", 0)] == LineColumn(2, 11)
    assert places.values[("keys", 1)] == LineColumn(3, 3)


def test_an_unknown_path_falls_back_to_the_table_around_it() -> None:
    places = locate('x = 1\n[goal]\nright = 0.9\n[[pattern]]\n[[pattern]]\ncell = "1-2"\n')
    assert places.key(("goal", "days")) == LineColumn(2, 2)
    assert places.key(("pattern", 1, "name")) == LineColumn(5, 1)
    assert places.key(("nothing",)) == LineColumn(1, 1)


def test_a_key_given_twice_is_found_with_both_places() -> None:
    again = locate("a = 1\nb = 2\n  a = 3\n").twice
    assert again is not None
    assert again.path == ("a",)
    assert (again.first, again.second) == (LineColumn(1, 1), LineColumn(3, 3))


@pytest.mark.parametrize("text", ["[t]\n[[t]]\n[t]\n", "[[t]]\n[t]\n[[t]]\n"])
def test_a_table_that_is_also_several_is_given_twice(text: str) -> None:
    again = locate(text).twice
    assert again is not None
    assert (again.path, again.second.line) == (("t",), 2)


def test_nothing_is_located_behind_what_is_given_twice() -> None:
    """No reader goes on from there, and a text of nothing else (seed "1 decks", input 192 of the
    fuzzing bench) took eleven times as long as a whole deck."""
    places = locate("a = 1\na = 2\nb = 3\n[c]\n")
    assert places.twice is not None
    assert set(places.keys) == {(), ("a",)}


@pytest.mark.parametrize(
    ("text", "kind", "place"),
    [
        ("a = [1, 2", "list", LineColumn(1, 5)),
        ("a = [1, {b = [3, ", "list", LineColumn(1, 14)),
        ("a = {b = 1", "table", LineColumn(1, 5)),
        ('x = 1\na = "b', "text", LineColumn(2, 5)),
        ('a = """b\n\n', "text", LineColumn(1, 5)),
        ("'a = 1", "text", LineColumn(1, 1)),
    ],
)
def test_what_was_never_closed_is_named_with_its_beginning(
    text: str, kind: str, place: LineColumn
) -> None:
    opened = locate(text).opened
    assert opened is not None
    assert (opened.kind, opened.place) == (kind, place)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("a = " + "[" * (MAX_DEPTH + 1), LineColumn(1, 5 + MAX_DEPTH)),
        ("a." * MAX_DEPTH + "b = 1", LineColumn(1, 1 + 2 * MAX_DEPTH)),
        ("a = " + "{b=" * 100_000, LineColumn(1, 3 + 3 * MAX_DEPTH)),
        ("a." * 100_000, LineColumn(1, 1 + 2 * MAX_DEPTH)),
    ],
)
def test_deep_nests_are_named_at_the_level_that_is_one_too_many(
    text: str, place: LineColumn
) -> None:
    assert locate(text).too_deep == place


def test_a_nest_of_the_allowed_depth_is_read() -> None:
    text = "a = " + "[" * MAX_DEPTH + "]" * MAX_DEPTH
    assert locate(text).too_deep is None
    assert locate(text).opened is None
