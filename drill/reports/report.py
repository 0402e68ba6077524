"""A report as one value: title, figures, tables and notes, whatever it is about.

A report is filled once and rendered three ways: ``text`` for the terminal, ``html`` for the
browser and the printer, ``data`` for CSV and JSON.  A column says in one place what it is
called, where its value comes from and how it is written; so adding one is one line.

Conventions: shares are 0 to 1, times are seconds, instants are microseconds since 1970,
days are ISO dates; None is what was not asked or cannot be said.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, tzinfo
from enum import StrEnum
from operator import attrgetter
from typing import Any

from drill.wording.squares import shape_name

Value = Any
"""Text, a number, True or False, a tuple of texts, a ``Mark``, or None."""


class Form(StrEnum):
    """How a value is written."""

    TEXT = "text"
    NAME = "name"
    """A person's: it keeps its own direction of writing to itself, and never breaks."""
    COUNT = "count"
    SHARE = "share"
    """In percent."""
    BAR = "bar"
    """In percent, with a bar of that length."""
    LENGTH = "length"
    """With one decimal, and a bar beside the longest of its column."""
    NUMBER = "number"
    """With one decimal."""
    OF = "of"
    """Words of two numbers, ``25 of 29``, which never break."""
    KEY = "key"
    """``Bb:major``, as players say it."""
    SECONDS = "seconds"
    """Time spent."""
    INSTANT = "instant"
    """In days ago; ISO 8601 in UTC as data."""
    DAY = "day"
    FLAG = "flag"
    """Yes or no."""
    LEVEL = "level"
    """A level's word with its sign."""
    SLIP = "slip"
    """A kind of slip: its label for people, its id as data."""
    MARK = "mark"
    """A square whose area is what is not recalled."""
    COMMAND = "command"
    """To be copied."""
    LIST = "list"
    """Texts, with commas between."""


NUMBERS = frozenset(
    {Form.COUNT, Form.SHARE, Form.BAR, Form.LENGTH, Form.NUMBER, Form.SECONDS, Form.MARK}
)
"""What is set flush right."""


@dataclass(frozen=True, slots=True)
class Mark:
    """What a square of a map shows."""

    recall: float | None
    """0 to 1; None was not asked."""
    main: str
    """The figure that stands out."""
    rest: tuple[str, ...] = ()
    """What stands beside it on a page, and is left out in a terminal."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    name: str
    """In CSV and JSON; empty leaves it out there."""
    head: str
    """In text and on the page; empty leaves it out there."""
    value: Callable[[Any], Value]
    form: Form = Form.TEXT


class TableStyle(StrEnum):
    """How a table is laid out."""

    PLAIN = "plain"
    STACKED = "stacked"
    """In a terminal and on a telephone: the name, then each column with its head."""
    GRID = "grid"
    """A map: many narrow columns, whose long heads get letters in a terminal."""
    DATA = "data"
    """In CSV and JSON alone."""


@dataclass(frozen=True, slots=True)
class Table:
    """One table; its rows are made of ``items``, one each, when they are rendered."""

    name: str
    """In JSON, with dots for objects in objects; and what the page calls its section."""
    title: str
    columns: tuple[Column, ...]
    items: Sequence[Any]
    how: str = ""
    """How to read it."""
    style: TableStyle = TableStyle.PLAIN
    most: int | None = None
    """Rows shown to a person; None for all.  Data has all."""
    left_out: str = ""
    """What the others are: ``higher recall``."""
    in_csv: str = ""
    """The option whose file of CSV has the others too; empty where there is none."""
    after: tuple[str, ...] | None = None
    """Commands that answer it; None where it is not of that kind."""
    empty: str = ""
    """Said where there is no row; empty leaves the table out."""

    @property
    def shown(self) -> tuple[Column, ...]:
        """The columns that a person sees."""
        return tuple(each for each in self.columns if each.head)

    @property
    def kept(self) -> tuple[Column, ...]:
        """The columns of the data."""
        return tuple(each for each in self.columns if each.name)

    @property
    def rows(self) -> Sequence[Any]:
        """The items that a person sees."""
        return self.items if self.most is None else self.items[: self.most]


@dataclass(frozen=True, slots=True)
class Figure:
    """One large figure at the head."""

    name: str
    """In JSON, with dots for objects in objects; empty leaves it out there."""
    head: str
    """In text and on the page; empty leaves it out there."""
    value: Value
    form: Form = Form.TEXT


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Words under a heading."""

    name: str
    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """Drawings under a heading, for a page alone."""

    name: str
    title: str
    how: str
    drawings: tuple[str, ...]
    """HTML of ``markup``; anything else is shown as the text it is."""


@dataclass(frozen=True, slots=True)
class Report:
    """A whole report."""

    title: str
    kind: str
    """What kind of report it is; stands above the title on a page."""
    made: datetime
    figures: tuple[Figure, ...]
    parts: tuple[Table | Paragraph | Picture, ...]
    lead: tuple[str, ...] = ()
    """Lines under the figures."""
    zone: tzinfo | None = None
    """Where days begin; None is UTC."""
    signs: tuple[str, ...] = field(default=("-", "?", "~", "*", "+"))
    """A sign beside each level's word, the least known first."""
    inner: tuple[Report, ...] = ()
    """Reports that follow, each on a page of its own."""

    @property
    def tables(self) -> tuple[Table, ...]:
        """Its tables, in order."""
        return tuple(part for part in self.parts if isinstance(part, Table))

    def table(self, name: str) -> Table:
        """The table of that name; raises KeyError."""
        for each in self.tables:
            if each.name == name:
                return each
        raise KeyError(name)


def shape_columns(shape: Callable[[Any], str], head: str = "") -> tuple[Column, ...]:
    """The columns of a pattern: apart as data, together under ``head`` for a person."""
    parts = tuple(
        Column(name, "", lambda each, name=part: getattr(shape_name(shape(each)), name))  # type: ignore[misc]
        for name, part in (("pattern", "cell"), ("direction", "direction"), ("more", "more"))
    )
    whole = Column("", head, lambda each: str(shape_name(shape(each))))
    return (*parts, whole) if head else parts


def fields(*names: str, of: str = "", **called: str) -> tuple[Column, ...]:
    """Columns of data alone: attributes of the items, or of their attribute ``of``, under their
    own names; ``called`` gives another name to an attribute."""
    paths = {**{name: name for name in names}, **called}
    before = f"{of}." if of else ""
    return tuple(Column(name, "", attrgetter(before + path)) for name, path in paths.items())
