"""What trips a player: slips by kind, notes dropped, keys mixed up, where runs break.

All figures are counts from the log.  Lists are ordered by the lower end of a 95 % interval
of the rate (Wilson 1927), so that two misses in two answers do not outrank twenty in
thirty.  Retyped and interrupted answers do not count.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from statistics import median

from drill.memory.items import Answer, Item, NoteResult

LEAST_MISSES = 2
"""Misses below which a name is not listed: once is no habit."""
LEAST_TIMES = 3
"""Timed right answers below which a cell has no speed."""
_Z = 1.96


@dataclass(frozen=True, slots=True)
class Rate:
    """How often something went wrong."""

    name: str
    asked: int
    missed: int

    @property
    def share(self) -> float:
        """Missed of asked, 0 to 1; 0 when never asked."""
        return self.missed / self.asked if self.asked else 0.0

    @property
    def at_least(self) -> float:
        """Lower end of the rate's 95 % interval."""
        n = self.asked
        if not n:
            return 0.0
        p, z2 = self.share, _Z * _Z
        middle = p + z2 / (2 * n)
        half = _Z * math.sqrt(p * (1.0 - p) / n + z2 / (4 * n * n))
        return max(0.0, (middle - half) / (1.0 + z2 / n))


@dataclass(frozen=True, slots=True)
class TripSlips:
    """One kind of slip."""

    slip: str
    count: int
    share: float
    """Of all answers with a named slip."""


@dataclass(frozen=True, slots=True)
class Slow:
    """A cell that is right but slow."""

    item: str
    seconds: float
    """Median over right answers."""
    times: int
    """How many right answers were timed."""


@dataclass(frozen=True, slots=True)
class Mixed:
    """A key that is taken for others."""

    rate: Rate
    """``missed`` counts the answers in which that was the slip."""
    others: tuple[tuple[str, int], ...]
    """Keys that were spelled instead with how often, the most frequent first; not every answer
    says which."""


@dataclass(frozen=True, slots=True)
class Trips:
    """What trips a player; empty lists say that nothing does, or that little was asked."""

    answers: int
    slips: tuple[TripSlips, ...]
    """The most frequent first."""
    facts: tuple[Rate, ...]
    """Notes in their key that were missed."""
    mixed_keys: tuple[Mixed, ...]
    """Keys in which one of the given slips named another key."""
    places: tuple[Rate, ...]
    """Place in the run, from 0, for all cells that belong to a run, in order of place."""
    breaks: tuple[Rate, ...]
    """The same for runs asked whole: where the first slip of a run fell."""
    slowest: tuple[Slow, ...]


def trips(
    answers: Iterable[Answer],
    items: Mapping[str, Item],
    key_slips: Collection[str] = (),
    whole_run: Collection[str] = ("run", "time"),
    instead: Callable[[Answer], str] = lambda answer: "",
) -> Trips:
    """What trips a player, from the log; answers to items that are not known are passed over.

    ``key_slips`` names the slips that mix up two keys; ``whole_run`` the kinds of prompt in
    which a run is asked from its first cell on; ``instead`` gives the key that an answer with
    such a slip was in, empty where that is not known.
    """
    log = [
        (answer, items[answer.item])
        for answer in answers
        if answer.teaches and answer.item in items
    ]
    return Trips(
        answers=len(log),
        slips=_slips(log),
        facts=_facts(log),
        mixed_keys=_mixed(log, key_slips, instead),
        places=_places(log),
        breaks=_breaks(log, whole_run),
        slowest=_slowest(log),
    )


_Log = list[tuple[Answer, Item]]


def _slips(log: _Log) -> tuple[TripSlips, ...]:
    times = Counter(answer.slip for answer, _ in log if answer.slip is not None)
    found = [TripSlips(slip, count, count / times.total()) for slip, count in times.items()]
    return tuple(sorted(found, key=lambda s: (-s.count, s.slip)))


def _facts(log: _Log) -> tuple[Rate, ...]:
    asked, missed = Counter[str](), Counter[str]()
    for answer, item in log:
        outcomes = answer.outcomes or (NoteResult.RIGHT,) * (len(item.facts) if answer.right else 0)
        for fact, outcome in zip(item.facts, outcomes, strict=False):
            asked[fact] += 1
            missed[fact] += not answer.right and outcome != NoteResult.RIGHT
    return _ranked(Rate(name, asked[name], missed[name]) for name in asked)


def _mixed(
    log: _Log, key_slips: Collection[str], instead: Callable[[Answer], str]
) -> tuple[Mixed, ...]:
    asked, mixed = Counter[str](), Counter[str]()
    others: dict[str, Counter[str]] = defaultdict(Counter)
    for answer, item in log:
        asked[item.key] += 1
        if answer.slip in key_slips:
            mixed[item.key] += 1
            if other := instead(answer):
                others[item.key][other] += 1
    return tuple(
        Mixed(rate, tuple(sorted(others[rate.name].items(), key=lambda pair: (-pair[1], pair[0]))))
        for rate in _ranked(Rate(name, asked[name], mixed[name]) for name in asked)
    )


def _ranked(rates: Iterable[Rate]) -> tuple[Rate, ...]:
    habits = [rate for rate in rates if rate.missed >= LEAST_MISSES]
    return tuple(sorted(habits, key=lambda rate: (-rate.at_least, rate.name)))


def _places(log: _Log) -> tuple[Rate, ...]:
    asked, missed = Counter[int](), Counter[int]()
    for answer, item in log:
        if item.run:
            asked[item.place] += 1
            missed[item.place] += not answer.right
    return tuple(Rate(str(place), asked[place], missed[place]) for place in sorted(asked))


def _breaks(log: _Log, whole_run: Collection[str]) -> tuple[Rate, ...]:
    """A run is taken as begun anew when its place does not go on from the cell before."""
    asked, broken = Counter[int](), Counter[int]()
    before: Item | None = None
    whole = False
    for answer, item in log:
        if answer.kind not in whole_run or not item.run:
            before, whole = None, False
            continue
        goes_on = before is not None and before.run == item.run and before.place < item.place
        whole = whole if goes_on else True
        if whole:
            asked[item.place] += 1
            broken[item.place] += not answer.right
            whole = answer.right
        before = item
    return tuple(Rate(str(place), asked[place], broken[place]) for place in sorted(asked))


def _slowest(log: _Log) -> tuple[Slow, ...]:
    times: dict[str, list[float]] = defaultdict(list)
    for answer, item in log:
        if answer.right and answer.seconds is not None:
            times[item.id].append(answer.seconds)
    found = [
        Slow(name, median(own), len(own)) for name, own in times.items() if len(own) >= LEAST_TIMES
    ]
    return tuple(sorted(found, key=lambda slow: (-slow.seconds, slow.item)))
