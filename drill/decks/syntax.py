"""TOML text to values, and their places where somebody asks for them.

The grammar is the standard reader's (TOML 1.0); ``unread`` says its faults in plain words.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable

from drill.decks.whereabouts import Whereabouts

_CROWDED = 16
"""Signs that may open a level, from which a line may nest deeper than a deck may: such a text is
looked through before it is read, for the reader takes the square of a long dotted key's time."""
_DEEP = 8
"""Levels from which a text is looked through after it was read; a deck needs four."""


def parse(text: str, file: str) -> tuple[dict[str, object], Whereabouts]:
    """The values of a TOML text, and where each stands.

    Raises FaultsError, with one fault, where the text is no TOML or nests too deep.
    """
    source = text.replace("\r\n", "\n")
    places = Whereabouts(source)
    crowded = any(sum(map(row.count, ".[{")) > _CROWDED for row in source.split("\n"))
    if crowded:
        _refuse_too_deep(places, file)
    try:
        values = tomllib.loads(source)
    except (RecursionError, ValueError, OverflowError) as error:
        from drill.decks.unread import unread

        raise unread(source, error, places.spots, file) from None
    if not crowded and _levels(values.values()) >= _DEEP:
        _refuse_too_deep(places, file)
    return values, places


def _refuse_too_deep(places: Whereabouts, file: str) -> None:
    """Raises FaultsError where the text nests too deep."""
    if places.spots.too_deep:
        from drill.decks.unread import too_deep

        raise too_deep(places.spots.too_deep, file)


def _levels(values: Iterable[object]) -> int:
    """How deep tables and lists lie within each other, counted as far as ``_DEEP``."""
    level, inner = 0, list(values)
    while inner and level < _DEEP:
        level += 1
        inner = [each for outer in inner for each in _inside(outer)]
    return level


def _inside(value: object) -> Iterable[object]:
    if isinstance(value, dict):
        return value.values()
    return value if isinstance(value, list) else ()
