"""Small decks and logs for the tests of the memory room."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from hypothesis import strategies as st

from drill.memory.items import Answer, Item, practice_day

START = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)


def deck(keys: int = 5, shapes: int = 2, degrees: int = 7) -> tuple[Item, ...]:
    """Cells whose notes are degrees of a key; a shape is a cell of the form 1-2-3-1."""
    return tuple(
        Item(
            id=f"k{k}:s{s}:{d}",
            key=f"k{k}",
            shape=f"s{s}",
            facts=tuple(f"k{k}:{(d + step) % 7}" for step in (0, 1 + s, 2 + s, 0)),
            accidentals=k % 8,
            run=f"k{k}:s{s}",
            place=d,
        )
        for k in range(keys)
        for s in range(shapes)
        for d in range(degrees)
    )


def answer(item: Item, right: bool, at: datetime, number: int = 0, **more: object) -> Answer:
    """An answer in which a wrong one misses the second note."""
    fields: dict[str, object] = {
        "uuid": f"{number:06d}",
        "at": at,
        "day": practice_day(at),
        "item": item.id,
        "right": right,
        "outcomes": tuple(
            "wrong" if not right and n == 1 else "right" for n in range(len(item.facts))
        ),
        "slip": None if right else "one-note-off",
        "seconds": 4.0,
        "keystrokes": 7,
    }
    return Answer(**{**fields, **more})  # type: ignore[arg-type]


@dataclass(frozen=True)
class Given:
    """One entry of a drawn log: which cell, right or not, and the days since the one before."""

    cell: int
    right: bool
    away: float


def given(cells: int, longest: int = 40, shortest: int = 0) -> st.SearchStrategy[list[Given]]:
    """Logs: most answers seconds apart, some after days, some with the clock set back."""
    away = st.one_of(
        st.just(0.0002), st.floats(0.0, 0.01), st.floats(0.5, 400.0), st.floats(-2.0, 0.0)
    )
    entry = st.builds(Given, st.integers(0, cells - 1), st.booleans(), away)
    return st.lists(entry, min_size=shortest, max_size=longest)


def log_of(items: tuple[Item, ...], entries: list[Given]) -> list[Answer]:
    """The answers of a drawn log, each with its stamp in the order given."""
    out, at = [], START
    for n, entry in enumerate(entries):
        at += timedelta(days=entry.away)
        out.append(answer(items[entry.cell], entry.right, at, n, stamp=n + 1))
    return out


def fixed_player(known: set[str]) -> Callable[[Item], bool]:
    """A player who is right in some keys and wrong in all others."""
    return lambda item: item.key in known
