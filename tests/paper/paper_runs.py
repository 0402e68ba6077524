"""What the tests of the paper room share: runs on any horn, laid out."""

from __future__ import annotations

from collections.abc import Iterable

from drill.paper.layout import Style, sections
from drill.paper.score import Section
from drill.terms import Direction, Instrument, Key, Run, Span
from drill.theory.instruments import INSTRUMENTS
from drill.theory.keys import concert_key
from drill.theory.patterns import find_pattern
from drill.theory.runs import build_run
from drill.theory.scales import parse_key, tonics

BOTH = (Direction.UP, Direction.DOWN)


def runs(
    horn: Instrument | None,
    pattern: str,
    keys: Iterable[str],
    *,
    scale: str = "major",
    span: Span = Span.ONE,
    directions: tuple[Direction, ...] = BOTH,
) -> list[tuple[Run, Key]]:
    """The runs of a pattern in keys, each with its concert key, up and down from one tonic."""
    found = []
    for text in keys:
        key = parse_key(text, scale)
        for direction in directions:
            made = build_run(
                key,
                find_pattern(pattern),
                direction,
                span=span,
                horn=horn,
                joined=len(directions) > 1,
            )
            found.append((made, concert_key(key, horn)))
    return found


def one(
    pattern: str,
    key: str,
    style: Style | None = None,
    *,
    horn: str | None = None,
    scale: str = "major",
    span: Span = Span.ONE,
    directions: tuple[Direction, ...] = BOTH,
) -> Section:
    """The one section of a pattern in a key."""
    on = INSTRUMENTS[horn] if horn else None
    made = runs(on, pattern, [key], scale=scale, span=span, directions=directions)
    (section,) = sections(made, on, style or Style())
    return section


def all_keys(scale: str = "major") -> list[str]:
    """The 15 tonics."""
    return [str(tonic) for tonic in tonics(scale)]
