"""What trips a player, in the trade's words, each with the command that drills it.

The counts are the memory room's; here they get their names, and an answer: a kind of
prompt for a slip, a small deck for the keys, degrees or cells that go wrong.
"""

from __future__ import annotations

import json
import shlex
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from drill.decks.schema import Deck
from drill.errors import TheoryError
from drill.marking.verdict import Slip
from drill.memory.items import Answer, Item
from drill.memory.kinds import Kind
from drill.memory.trips import LEAST_MISSES, Rate, TripSlips, trips
from drill.terms import Direction
from drill.theory.patterns import find_pattern
from drill.wording.slips import KEY_SLIPS, asked_against
from drill.wording.squares import key_of

MOST = 6
"""Accidentals, keys and slow cells that are listed."""
MOST_OTHERS = 3
"""Keys listed that one key is taken for."""
MOST_DEGREES = 3
"""Degrees that are drilled together."""
MOST_KEYS, MOST_PATTERNS = 12, 4
"""Keys and patterns of a small deck."""
LONGEST_TITLE = 40
HIGHEST_DEGREE = 13
"""The highest degree that a deck can name."""


@dataclass(frozen=True, slots=True)
class Spot:
    """One cell that the deck asks, with where it stands."""

    item: Item
    label: str
    """The degree it begins on, as players write it."""
    degree: int
    """The same as a number, 8 on the upper tonic."""
    direction: Direction


@dataclass(frozen=True, slots=True)
class SlipRow(TripSlips):
    """One kind of slip, answered."""

    drill: str
    """The command that answers it."""


@dataclass(frozen=True, slots=True)
class MissedRow:
    """A key in which something is missed: a note of it that has an accidental, or the key itself,
    where notes of another one were spelled."""

    key: str
    asked: int
    missed: int
    share: float
    note: str = ""
    """In ASCII: ``F#``; empty where it is the key."""
    others: tuple[tuple[str, int], ...] = ()
    """Those other keys with how often, the most frequent first; not every answer says which."""


@dataclass(frozen=True, slots=True)
class DegreeRow:
    """A degree of the runs in one direction."""

    direction: Direction
    label: str
    degree: int
    asked: int
    """Answers on it, of whatever kind."""
    missed: int
    runs: int
    """Runs asked whole that came so far without a slip."""
    broken: int
    """Of them, those that broke here."""


@dataclass(frozen=True, slots=True)
class SlowRow:
    """A cell that is right but slow."""

    key: str
    shape: str
    label: str
    seconds: float
    """Median over right answers."""
    times: int


@dataclass(frozen=True, slots=True)
class Tripping:
    """What trips a player; empty where nothing does, or little was asked."""

    answers: int
    slips: tuple[SlipRow, ...]
    accidentals: tuple[MissedRow, ...]
    accidentals_drill: tuple[str, ...]
    """Commands, in order; empty where nothing is listed."""
    mixed: tuple[MissedRow, ...]
    mixed_drill: tuple[str, ...]
    degrees: tuple[DegreeRow, ...]
    degrees_drill: tuple[str, ...]
    slowest: tuple[SlowRow, ...]
    slowest_drill: tuple[str, ...]


def tripping(deck: Deck, spots: Sequence[Spot], answers: Iterable[Answer]) -> Tripping:
    """What trips a player in the deck's cells, from every answer to them."""
    log = tuple(answers)
    places = {spot.item.id: spot for spot in spots}
    items = {name: spot.item for name, spot in places.items()}
    found = trips(log, items, KEY_SLIPS, instead=key_instead)
    accidentals = [row for row in map(_accidental, found.facts) if row][:MOST]
    mixed = [
        _missed(each.rate.name, each.rate, others=each.others[:MOST_OTHERS])
        for each in found.mixed_keys[:MOST]
    ]
    slow_spots = [places[each.item] for each in found.slowest[:MOST]]
    degrees = _degrees(spots, log)
    return Tripping(
        answers=found.answers,
        slips=tuple(
            SlipRow(each.slip, each.count, each.share, _against(each.slip, deck))
            for each in found.slips
        ),
        accidentals=tuple(accidentals),
        accidentals_drill=_small_deck(deck, "accidentals", [row.key for row in accidentals]),
        mixed=tuple(mixed),
        mixed_drill=_small_deck(deck, "mixed keys", _side_by_side(mixed)),
        degrees=degrees,
        degrees_drill=_degree_deck(deck, degrees),
        slowest=tuple(
            SlowRow(spot.item.key, spot.item.shape, spot.label, each.seconds, each.times)
            for spot, each in zip(slow_spots, found.slowest, strict=False)
        ),
        slowest_drill=_small_deck(
            deck,
            "slow cells",
            [spot.item.key for spot in slow_spots],
            degrees=[spot.degree for spot in slow_spots],
            directions=[spot.direction for spot in slow_spots],
        ),
    )


def _side_by_side(mixed: Sequence[MissedRow]) -> list[str]:
    """Each key with the one it is taken for most."""
    keys: list[str] = []
    for row in mixed:
        keys += (row.key, *(key for key, _ in row.others[:1]))
    return list(dict.fromkeys(keys))


def key_instead(answer: Answer) -> str:
    """The key that was spelled instead of the one asked, ``D:major``; empty where none is known."""
    try:
        said = json.loads(answer.details) if answer.details else {}
    except (ValueError, RecursionError):
        return ""
    key = said.get("instead") if isinstance(said, dict) else None
    return key if isinstance(key, str) and key_of(key) else ""


def _missed(key: str, rate: Rate, **more: Any) -> MissedRow:
    return MissedRow(key, rate.asked, rate.missed, rate.share, **more)


def _accidental(rate: Rate) -> MissedRow | None:
    """The row of a note with an accidental; None for a note without."""
    key, _, note = rate.name.rpartition(":")
    return _missed(key, rate, note=note) if len(note) > 1 else None


def _degrees(spots: Sequence[Spot], log: tuple[Answer, ...]) -> tuple[DegreeRow, ...]:
    """Every degree that was asked, up then down in the order of the runs.

    Runs are counted together where the same degree stands at the same place of them.
    """
    runs: dict[str, dict[int, Spot]] = defaultdict(dict)
    for spot in spots:
        if spot.item.run:
            runs[spot.item.run][spot.item.place] = spot
    alike: dict[tuple[tuple[int, Direction, int], ...], list[Spot]] = defaultdict(list)
    for walked in runs.values():
        course = tuple((at, spot.direction, spot.degree) for at, spot in sorted(walked.items()))
        alike[course].extend(walked.values())
    rows: dict[tuple[Direction, int], DegreeRow] = {}
    for some in alike.values():
        found = trips(log, {spot.item.id: spot.item for spot in some})
        at_place = {spot.item.place: spot for spot in some}
        breaks = {rate.name: rate for rate in found.breaks}
        for rate in found.places:
            spot = at_place[int(rate.name)]
            broken = breaks.get(rate.name, Rate(rate.name, 0, 0))
            where = (spot.direction, spot.degree)
            rows[where] = _added(rows.get(where), spot, rate, broken)
    up = sorted(row.degree for row in rows.values() if row.direction is Direction.UP)
    down = sorted((d for way, d in rows if way is Direction.DOWN), reverse=True)
    return tuple(
        [rows[Direction.UP, degree] for degree in up]
        + [rows[Direction.DOWN, degree] for degree in down]
    )


def _added(row: DegreeRow | None, spot: Spot, rate: Rate, broken: Rate) -> DegreeRow:
    before = (row.asked, row.missed, row.runs, row.broken) if row else (0, 0, 0, 0)
    more = (rate.asked, rate.missed, broken.asked, broken.missed)
    sums = [old + new for old, new in zip(before, more, strict=True)]
    return DegreeRow(spot.direction, spot.label, spot.degree, *sums)


# The commands.


def _against(slip: str, deck: Deck) -> str:
    """The practice that answers a slip."""
    ask = ",".join(map(str, asked_against(slip)))
    if slip == Slip.CONCERT and deck.horn.semitones % 12 == 0:
        ask = str(Kind.NEXT)  # nothing to transpose
    return f"{_practise(deck)} --ask {ask}"


def _practise(deck: Deck) -> str:
    return shlex.join(["drill", *_given("--deck", deck.name)])


def _given(option: str, value: str) -> list[str]:
    """An option with its value; in one word where the value looks like an option itself."""
    return [f"{option}={value}"] if value.startswith("-") else [option, value]


def _degree_deck(deck: Deck, rows: Sequence[DegreeRow]) -> tuple[str, ...]:
    """The commands for the degrees that are missed most surely."""
    missed = [
        (Rate(row.label, row.asked, row.missed).at_least, row)
        for row in rows
        if row.missed >= LEAST_MISSES
    ]
    worst = [row for _, row in sorted(missed, key=lambda pair: -pair[0])][:MOST_DEGREES]
    keys = [f"{key.tonic}:{key.scale}" for key in deck.keys]
    return _small_deck(
        deck,
        "degrees",
        keys if worst else [],
        degrees=[row.degree for row in worst],
        directions=[row.direction for row in worst],
    )


def _small_deck(
    deck: Deck,
    what: str,
    keys: Sequence[str],
    *,
    degrees: Sequence[int] = (),
    directions: Sequence[Direction] = (),
) -> tuple[str, ...]:
    """The commands that write a deck of the keys, and practise it; none without keys.

    The keys are those of the first one's scale, for a list of keys goes with one scale.
    """
    known = [key for key in map(key_of, dict.fromkeys(keys)) if key]
    if not known:
        return ()
    patterns = _pattern_ids(deck)
    if not patterns or any(not 1 <= degree <= HIGHEST_DEGREE for degree in degrees):
        return (_practise(deck),)
    known = [key for key in known if key.scale == known[0].scale][:MOST_KEYS]
    short = len(deck.title) <= LONGEST_TITLE
    name = f"{deck.name or 'my'}-{what.replace(' ', '-')}.toml"
    words = [
        "drill", "deck", "new", *_given("--title", f"{deck.title}: {what}" if short else what),
        "--instrument", deck.instrument, "--patterns", ",".join(patterns[:MOST_PATTERNS]),
        "--scales", known[0].scale, "--keys", ",".join(str(key.tonic) for key in known),
    ]  # fmt: skip
    if degrees:
        words += ["--degrees", ",".join(str(degree) for degree in sorted(set(degrees)))]
    ways = dict.fromkeys(directions or deck.directions)
    if len(ways) == 1:
        words += ["--directions", next(iter(ways)).value]
    return (
        shlex.join([*words, *_given("--out", name)]),
        shlex.join(["drill", *_given("--deck", name)]),
    )


def _pattern_ids(deck: Deck) -> list[str]:
    """The deck's patterns as a command names them; empty where one has no such name."""
    names = []
    for pattern in deck.patterns:
        try:
            same = find_pattern(pattern.id)
        except TheoryError:
            return []
        if (same.text, same.moves_by, same.roots) != (
            pattern.text,
            pattern.moves_by,
            pattern.roots,
        ):
            return []
        names.append(pattern.id)
    return names
