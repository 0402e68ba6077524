"""What there is to name: horns, patterns, scales, chords and orders, as rows to search."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from drill.theory.chords import CHORDS, PREFIX
from drill.theory.instruments import INSTRUMENTS
from drill.theory.keys import ORDERS
from drill.theory.patterns import PATTERNS, ROOT_ORDERS
from drill.theory.progressions import PROGRESSIONS
from drill.theory.scales import SCALES
from drill.wording.options import horn_told, scale_told

WIDTH = 80


class Listed(StrEnum):
    """What can be listed."""

    HORNS = "horns"
    PATTERNS = "patterns"
    SCALES = "scales"
    CHORDS = "chords"
    ORDERS = "orders"


@dataclass(frozen=True, slots=True)
class ListRow:
    """One thing that a command, a deck or a question takes by its id."""

    id: str
    """What is typed."""
    name: str
    """What players call it."""
    what: str
    """The cell, formula, range or order."""
    kind: str = ""
    """Of an order what it orders: ``keys``, ``roots`` or ``progression``; else empty."""
    aliases: tuple[str, ...] = ()
    """Other words that are taken for it."""


def rows(listed: Listed) -> tuple[ListRow, ...]:
    """Every row of a kind, in the order of its table."""
    return tuple(_ROWS[listed]())


def found(listed: Listed, word: str = "") -> tuple[ListRow, ...]:
    """The rows in which every word stands, whatever its case; all without a word."""
    wanted = word.casefold().replace("_", " ").split()
    return tuple(row for row in rows(listed) if all(each in _text(row) for each in wanted))


def _text(row: ListRow) -> str:
    said = " ".join((row.id, row.name, row.what, row.kind, *row.aliases))
    return said.casefold().replace("_", " ")


def _horns() -> Iterator[ListRow]:
    for horn in INSTRUMENTS.values():
        yield ListRow(horn.id, horn.name, horn_told(horn.low, horn.high, horn.clef))


def _patterns() -> Iterator[ListRow]:
    for pattern in PATTERNS.values():
        yield ListRow(pattern.id, pattern.name, pattern.text)


def _scales() -> Iterator[ListRow]:
    for kind in SCALES.values():
        yield ListRow(kind.id, kind.name, scale_told(kind.up, kind.down), aliases=kind.aliases)


def _chords() -> Iterator[ListRow]:
    for kind in CHORDS.values():
        said = ", ".join(kind.symbols)
        yield ListRow(PREFIX + kind.id, kind.name, f"{'-'.join(kind.formula)}  {said}")


def _orders() -> Iterator[ListRow]:
    for order, names in ORDERS.items():
        yield ListRow(order, "keys", " ".join(names), "keys")
    for order, degrees in ROOT_ORDERS.items():
        yield ListRow(order, "roots", " ".join(degrees), "roots")
    for name, line in PROGRESSIONS.items():
        yield ListRow(name, "progression", line, "progression")


_ROWS = {
    Listed.HORNS: _horns,
    Listed.PATTERNS: _patterns,
    Listed.SCALES: _scales,
    Listed.CHORDS: _chords,
    Listed.ORDERS: _orders,
}


def lines(shown: tuple[ListRow, ...]) -> list[str]:
    """Rows for a terminal of eighty columns: id, name, and what it is below where it is long."""
    wide = max((len(row.id) for row in shown), default=0)
    made = []
    for row in shown:
        head = f"{row.id:<{wide}}  {row.name}"
        if len(head) + 2 + len(row.what) <= WIDTH:
            made.append(f"{head}  {row.what}")
            continue
        made.append(head)
        indent = " " * (wide + 2)
        made += textwrap.wrap(
            row.what, WIDTH, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False
        )
    return made
