"""A deck of what goes wrong most: its keys, patterns, directions and degrees, with reasons.

Ranked by a share of wrong answers that is drawn towards the whole's, as if ``PRIOR`` more
answers had been given at the common rate: so two slips in three answers do not outrank
forty in eighty.

Keys are counted as written ones of one horn, or in concert over all horns: never are the
written keys of one horn given to another.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from drill.decks.schema import Deck
from drill.decks.write import Reason
from drill.errors import UsageError
from drill.reports.naming import CountedKey, pattern_of
from drill.reports.study import CellCount, SlipCount
from drill.terms import Direction, Instrument, Key, Pattern
from drill.theory.instruments import OWN
from drill.theory.scales import SCALES
from drill.wording import reports as words
from drill.wording.squares import key_of

PRIOR = 6.0
MOST_PATTERNS = 3
FEWEST = 4
"""Answers before a key, pattern or degree is judged."""
ONE_WAY = 0.7
"""One direction alone is drilled when it has this share of the wrong answers or more, and a
larger share of its answers wrong."""
FEW_DEGREES = 0.75
"""Degrees are named when some, at most four, have this share of the wrong answers."""


@dataclass(frozen=True, slots=True)
class Tricky:
    """A deck made from what went wrong."""

    deck: Deck
    reasons: tuple[Reason, ...]
    heading: tuple[str, ...]
    """Lines for the top of the file: what it was made from."""


_T = TypeVar("_T")
_Plays = tuple[str, int, tuple[str, ...], str]
"""What a pattern plays going up, whichever way it comes down."""


@dataclass(frozen=True, slots=True)
class _Count:
    asked: int
    wrong: int

    def said(self) -> str:
        return words.wrong_of(self.wrong, self.asked)


@dataclass(frozen=True, slots=True)
class _KnownCount:
    """A count of which key and pattern are known to the theory."""

    key: Key
    pattern: Pattern
    direction: Direction
    degree: int | None
    asked: int
    right: int
    horn: str


def tricky(
    counts: Iterable[CellCount],
    slips: Iterable[SlipCount],
    horn: Instrument | None,
    title: str,
    *,
    worst: int = 5,
    source: str,
    concert: bool = False,
    students: Mapping[CountedKey, int] | None = None,
) -> Tricky:
    """The deck of the ``worst`` keys, and of the patterns and degrees that fail in them.

    ``concert`` counts concert keys over all horns; otherwise the counts must be one horn's.
    ``horn`` None makes a deck for everyone's own horn, which goes with ``concert``.  ``source``
    says in words what it was made from; ``students`` how many were asked each key.  Raises
    UsageError where nothing was wrong.
    """
    known = [each for each in (_known(each, concert) for each in counts) if each is not None]
    if not any(each.asked > each.right for each in known):
        raise UsageError(f"{source}: nothing was answered wrong, so nothing is tricky yet")
    keys = _worst_keys(known, worst)
    chosen = [each for each in known if each.key in keys]
    patterns = _worst_patterns(chosen)
    kept = set(map(_plays, patterns))
    chosen = [each for each in chosen if _plays(each.pattern) in kept]
    directions = _directions(chosen)
    chosen = [each for each in chosen if each.direction in directions]
    degrees = _degrees(chosen)
    scales = tuple(scale for scale in SCALES if any(key.scale == scale for key in keys))
    ordered = tuple(key for scale in scales for key in keys if key.scale == scale)
    deck = Deck(
        title=title,
        instrument=horn.id if horn else OWN,
        own=horn is None,
        patterns=tuple(patterns),
        keys=ordered,
        scales=scales,
        concert_keys=ordered if concert else (),
        directions=directions,
        degrees=tuple(sorted(degrees)),
    )
    if horn:
        deck = deck.played_on(horn)
    said = {(each.concert, each.horn, each.key): n for each, n in (students or {}).items()}
    horns = {each.horn for each in known}
    asked_by = {
        key: said.get((concert, "" if concert else next(iter(horns)), _item_key(key)), 0)
        for key in keys
    }
    reasons = [
        *_key_reasons(keys, slips, asked_by, concert=concert),
        *(Reason(pattern.id, count.said()) for pattern, count in patterns.items()),
        *(Reason(degree, count.said()) for degree, count in sorted(degrees.items())),
    ]
    heading = [words.made_from(source)]
    if concert:
        heading.append(words.COUNTED_IN_CONCERT)
    if len(directions) == 1:
        heading.append(words.nearly_all(directions[0]))
    return Tricky(deck, tuple(reasons), tuple(heading))


def _known(count: CellCount, concert: bool) -> _KnownCount | None:
    place = count.place
    key, made = key_of(place.concert if concert else place.written), pattern_of(count.shape)
    if key is None or made is None:
        return None
    degree = int(count.degree) if count.degree else None
    return _KnownCount(key, *made, degree, count.asked, count.right, place.horn)


def _item_key(key: Key) -> str:
    """As items name it: ``G:major``."""
    return f"{key.tonic}:{key.scale}"


def _counted(known: Iterable[_KnownCount], of: Callable[[_KnownCount], _T]) -> dict[_T, _Count]:
    """What was asked and answered wrong, together where ``of`` says the same."""
    asked, wrong = Counter[_T](), Counter[_T]()
    for each in known:
        asked[of(each)] += each.asked
        wrong[of(each)] += each.asked - each.right
    return {name: _Count(asked[name], wrong[name]) for name in asked}


def _worst(found: Mapping[_T, _Count], tie: Callable[[_T], Any]) -> list[_T]:
    """Those of which something went wrong, by the share of wrong answers drawn towards the common
    rate; ``tie`` orders those that are alike."""
    asked = sum(each.asked for each in found.values())
    common = PRIOR * sum(each.wrong for each in found.values()) / asked

    def rank(name: _T) -> float:
        return (found[name].wrong + common) / (found[name].asked + PRIOR)

    return sorted((name for name in found if found[name].wrong), key=lambda e: (-rank(e), tie(e)))


def _worst_keys(known: Sequence[_KnownCount], worst: int) -> dict[Key, _Count]:
    found = _counted(known, lambda each: each.key)
    ranked = _worst(found, str)
    enough = [key for key in ranked if found[key].asked >= FEWEST]
    return {key: found[key] for key in (enough or ranked)[:worst]}


def _worst_patterns(known: Sequence[_KnownCount]) -> dict[Pattern, _Count]:
    """The patterns that fail most; the way down of one that was asked so is kept."""
    found = _counted(known, lambda each: _plays(each.pattern))
    patterns: dict[_Plays, Pattern] = {}
    for each in known:
        if each.direction is Direction.DOWN or _plays(each.pattern) not in patterns:
            patterns[_plays(each.pattern)] = each.pattern
    return {patterns[plays]: found[plays] for plays in _worst(found, tuple)[:MOST_PATTERNS]}


def _plays(pattern: Pattern) -> _Plays:
    return pattern.text, pattern.moves_by, pattern.roots, pattern.ending


def _directions(known: Sequence[_KnownCount]) -> tuple[Direction, ...]:
    """Both, or the one in which nearly everything goes wrong."""
    found = _counted(known, lambda each: each.direction)
    asked = tuple(direction for direction in Direction if direction in found)
    wrong = sum(each.wrong for each in found.values())
    for one in asked:
        other = [found[each] for each in asked if each is not one]
        if found[one].wrong >= ONE_WAY * wrong and all(
            found[one].wrong / found[one].asked > 1.5 * each.wrong / each.asked for each in other
        ):
            return (one,)
    return asked


def _degrees(known: Sequence[_KnownCount]) -> dict[int, _Count]:
    """The few degrees on which nearly everything goes wrong; empty where it is all over."""
    found = _counted(known, lambda each: each.degree or 0)
    if not all(1 <= degree <= 13 for degree in found):
        return {}
    wrong = sum(each.wrong for each in found.values())
    some = [degree for degree in _worst(found, int)[:4] if found[degree].asked >= FEWEST]
    if len(some) < len(found) and sum(found[each].wrong for each in some) >= FEW_DEGREES * wrong:
        return {degree: found[degree] for degree in some}
    return {}


def _key_reasons(
    keys: dict[Key, _Count],
    slips: Iterable[SlipCount],
    students: Mapping[Key, int],
    *,
    concert: bool,
) -> list[Reason]:
    named: dict[Key, Counter[str]] = {}
    for each in slips:
        key = key_of(each.place.concert if concert else each.place.written)
        if key in keys:
            named.setdefault(key, Counter())[each.slip] += each.times
    reasons = []
    for key, count in keys.items():
        text = count.said()
        if students.get(key, 0) > 1:
            text += words.by_students(students[key])
        if named.get(key):
            text += words.most_often(*min(named[key].items(), key=lambda pair: (-pair[1], pair[0])))
        reasons.append(Reason(key, text))
    return reasons
