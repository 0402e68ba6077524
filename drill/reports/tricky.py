"""A deck of what goes wrong most: its keys, patterns, directions and degrees, with reasons.

Ranked by a share of wrong answers that is drawn towards the whole's, as if ``PRIOR`` more
answers had been given at the common rate: so two slips in three answers do not outrank
forty in eighty.

Keys are counted as written ones of one horn, or in concert over all horns: never are the
written keys of one horn given to another.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from drill.decks.schema import Deck
from drill.decks.write import Reason
from drill.errors import UsageError
from drill.reports.naming import Counted, pattern_of
from drill.reports.study import CellCount, SlipCount
from drill.terms import Direction, Instrument, Key, Pattern
from drill.theory.instruments import OWN
from drill.theory.scales import SCALES
from drill.wording.figures import percent
from drill.wording.slips import slip_label
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


_Plays = tuple[str, int, tuple[str, ...], str]
"""What a pattern plays going up, whichever way it comes down."""


@dataclass(slots=True)
class _Count:
    asked: int = 0
    right: int = 0

    @property
    def wrong(self) -> int:
        return self.asked - self.right

    def said(self) -> str:
        share = percent(self.wrong / self.asked)
        return f"{self.wrong} of {self.asked} answers wrong ({share} %)"


@dataclass(frozen=True, slots=True)
class _Known:
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
    students: Mapping[Counted, int] | None = None,
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
    heading = [f"Made from {source}: what was answered wrong most often."]
    if concert:
        heading.append("Keys are concert keys, counted over all horns.")
    if len(directions) == 1:
        heading.append(f"Nearly all of it {_way(directions[0])}.")
    return Tricky(deck, tuple(reasons), tuple(heading))


def _way(direction: Direction) -> str:
    return "going up" if direction is Direction.UP else "coming down"


def _known(count: CellCount, concert: bool) -> _Known | None:
    place = count.place
    key, made = key_of(place.concert if concert else place.written), pattern_of(count.shape)
    if key is None or made is None:
        return None
    degree = int(count.degree) if count.degree else None
    return _Known(key, *made, degree, count.asked, count.right, place.horn)


def _item_key(key: Key) -> str:
    """As items name it: ``G:major``."""
    return f"{key.tonic}:{key.scale}"


def _rank(count: _Count, rate: float) -> float:
    """The share of wrong answers, drawn towards the common rate."""
    return (count.wrong + PRIOR * rate) / (count.asked + PRIOR)


def _rate(known: Sequence[_Known]) -> float:
    asked = sum(each.asked for each in known)
    return sum(each.asked - each.right for each in known) / asked


def _add(count: _Count, each: _Known) -> None:
    count.asked += each.asked
    count.right += each.right


def _worst_keys(known: Sequence[_Known], worst: int) -> dict[Key, _Count]:
    found: dict[Key, _Count] = {}
    for each in known:
        _add(found.setdefault(each.key, _Count()), each)
    rate = _rate(known)
    enough = {key: each for key, each in found.items() if each.asked >= FEWEST} or found
    ranked = sorted(
        ((key, each) for key, each in enough.items() if each.wrong),
        key=lambda pair: (-_rank(pair[1], rate), str(pair[0])),
    ) or [(key, each) for key, each in found.items() if each.wrong]
    return dict(ranked[:worst])


def _worst_patterns(known: Sequence[_Known]) -> dict[Pattern, _Count]:
    """The patterns that fail most; the way down of one that was asked so is kept."""
    found: dict[_Plays, _Count] = {}
    patterns: dict[_Plays, Pattern] = {}
    for each in known:
        plays = _plays(each.pattern)
        _add(found.setdefault(plays, _Count()), each)
        if each.direction is Direction.DOWN or plays not in patterns:
            patterns[plays] = each.pattern
    rate = _rate(known)
    ranked = sorted(
        (plays for plays in found if found[plays].wrong),
        key=lambda plays: (-_rank(found[plays], rate), plays),
    )
    return {patterns[plays]: found[plays] for plays in ranked[:MOST_PATTERNS]}


def _plays(pattern: Pattern) -> _Plays:
    return pattern.text, pattern.moves_by, pattern.roots, pattern.ending


def _directions(known: Sequence[_Known]) -> tuple[Direction, ...]:
    """Both, or the one in which nearly everything goes wrong."""
    found = {direction: _Count() for direction in Direction}
    for each in known:
        _add(found[each.direction], each)
    asked = tuple(direction for direction in Direction if found[direction].asked)
    wrong = sum(each.wrong for each in found.values())
    for one in asked:
        other = [found[each] for each in asked if each is not one]
        if found[one].wrong >= ONE_WAY * wrong and all(
            found[one].wrong / found[one].asked > 1.5 * each.wrong / each.asked for each in other
        ):
            return (one,)
    return asked


def _degrees(known: Sequence[_Known]) -> dict[int, _Count]:
    """The few degrees on which nearly everything goes wrong; empty where it is all over."""
    found: dict[int, _Count] = {}
    for each in known:
        if each.degree is None or not 1 <= each.degree <= 13:
            return {}
        _add(found.setdefault(each.degree, _Count()), each)
    wrong = sum(each.wrong for each in found.values())
    rate = _rate(known)
    ranked = sorted(found, key=lambda degree: (-_rank(found[degree], rate), degree))
    some = [degree for degree in ranked[:4] if found[degree].asked >= FEWEST]
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
            text += f", {students[key]} students"
        if named.get(key):
            slip, times = min(named[key].items(), key=lambda pair: (-pair[1], pair[0]))
            text += f"; most often: {slip_label(slip)} ({times})"
        reasons.append(Reason(key, text))
    return reasons
