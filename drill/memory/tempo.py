"""How fast: the staircase of tempi, and what is believed of a player's tempo.

Conventions: a tempo is beats a minute; inside, its logarithm to base 2, so that
steps and spreads are in octaves of tempo and the same at every speed.  A *try* is
one cell or run played in time; it is *passed* when it was locked in.  Patterns and
keys are names to this module, nothing more.

The staircase decides the next tempo.  Up-down rules settle where the chance of
passing is 0.5 ** (1 / n) for n passes to go faster and one miss to go slower: 50,
70.7, 79.4 and 84.1 % for n = 1 to 4 (Levitt 1971; a bare guess cannot pass here).
With weighted steps, up U after a pass and down D after a miss, the point is p where
D / U = p / (1 - p) (Kaernbach 1991).

Under it lies a belief: a posterior over the tempo at which a player's chance is
half, on a grid, one for a pattern as a whole and one for each of its keys.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from itertools import accumulate
from operator import mul

LOW, HIGH = 40.0, 260.0
"""Ends of the scale of tempi."""
GRID = 181
"""Points of the grid from ``LOW`` to ``HIGH``."""
LAPSE = 0.03
"""Chance of missing however slow it is."""
SLOPE = 0.09
"""How sharply the chance falls with tempo, in octaves."""
SPREAD = 0.35
"""Spread of the belief about a new pattern, in octaves around the first tempo."""
A_DAY = 0.03
"""What the belief widens in a day away, in octaves."""
KEY_SPREAD = 0.12
"""How much keys of one pattern differ, in octaves: each is drawn to the whole."""
TARGET = 0.8
"""The chance of passing at the tempo that is reported."""
ENOUGH = 12
"""Tries before anything is reported."""
ENOUGH_OF_KEY = 4
"""Of them in one key, before that key is reported by itself."""

_LOW, _HIGH = math.log2(LOW), math.log2(HIGH)
_STEP = (_HIGH - _LOW) / (GRID - 1)
_X = tuple(_LOW + index * _STEP for index in range(GRID))

Weights = tuple[float, ...]
"""One number for each point of the grid."""


# The staircase.


@dataclass(frozen=True, slots=True)
class StairRule:
    """How the staircase moves."""

    passes: int = 3
    """Passes in a row before it goes faster."""
    up: float = 1.0
    """Rungs faster after those passes."""
    down: float = 1.0
    """Rungs slower after a miss."""
    coarse: float = 3.0
    """Times as many rungs until the ``fine_after``-th turn."""
    fine_after: int = 2
    rungs: int = 24
    """Rungs in an octave of tempo: each is a factor 1.0293."""


THREE_UP_ONE_DOWN = StairRule()
"""Three passes faster, one miss slower: settles at 79.4 %."""


@dataclass(frozen=True, slots=True)
class Stair:
    """Where the staircase stands."""

    log2_bpm: float
    streak: int = 0
    """Passes in a row at this tempo."""
    turns: int = 0
    """How often it has changed its way."""
    heading: int = 0
    """1 when it last went faster, -1 slower, 0 before it moved."""

    @property
    def bpm(self) -> int:
        """The tempo to play, to the nearest beat a minute."""
        return round(math.exp2(self.log2_bpm))


def stair_at(bpm: float) -> Stair:
    """A new staircase at a tempo, kept within the scale."""
    return Stair(min(_HIGH, max(_LOW, math.log2(bpm))))


def climb(stair: Stair, passed: bool, rule: StairRule = THREE_UP_ONE_DOWN) -> Stair:
    """The staircase after one try."""
    if passed and stair.streak + 1 < rule.passes:
        return replace(stair, streak=stair.streak + 1)
    heading = 1 if passed else -1
    turns = stair.turns + (stair.heading == -heading)
    rungs = (rule.up if passed else rule.down) * (rule.coarse if turns < rule.fine_after else 1)
    moved = stair.log2_bpm + heading * rungs / rule.rungs
    return Stair(min(_HIGH, max(_LOW, moved)), 0, turns, heading)


# The belief.


def pass_chance(log2_bpm: float, mu: float) -> float:
    """Chance of passing at a tempo for a player whose half-way tempo is ``mu`` (log2)."""
    return (1 - LAPSE) / (1 + math.exp((log2_bpm - mu) / SLOPE))


_BELOW = SLOPE * math.log((1 - LAPSE) / TARGET - 1)
"""From the half-way tempo to the reported one: negative, in octaves."""


def _normal(weights: Iterable[float]) -> Weights:
    values = tuple(weights)
    total = sum(values)
    return tuple(value / total for value in values)


@lru_cache(maxsize=4096)
def _blurred(weights: Weights, spread: float) -> Weights:
    """The weights with every point spread by a normal curve, level beyond the ends."""
    reach = math.ceil(3.5 * spread / _STEP)
    if reach < 1:
        return weights
    kernel = [math.exp(-0.5 * (k * _STEP / spread) ** 2) for k in range(-reach, reach + 1)]
    scale = sum(kernel)
    padded = (weights[0],) * reach + weights + (weights[-1],) * reach
    return tuple(
        sum(map(mul, kernel, padded[at : at + 2 * reach + 1])) / scale for at in range(GRID)
    )


@lru_cache(maxsize=512)
def _likelihood(log2_bpm: float, passed: bool) -> Weights:
    chances = (pass_chance(log2_bpm, mu) for mu in _X)
    return tuple(chance if passed else 1 - chance for chance in chances)


def _times(a: Weights, b: Weights) -> Weights:
    return tuple(map(mul, a, b))


@dataclass(frozen=True, slots=True)
class Estimate:
    """What is believed of the tempo at which four tries of five are locked in."""

    tries: int
    """Tries it rests on: of the key where one was named, else of the pattern."""
    enough: bool
    """False: not enough tries yet, and the numbers are mostly the first guess."""
    bpm: float
    """The tempo with an 80 % chance of passing."""
    low: float
    high: float
    """An 80 % interval for it."""


def _quantile(weights: Weights, share: float) -> float:
    """The log2 tempo under which ``share`` of the weight lies, between grid points."""
    reached = list(accumulate(weights))
    goal = share * reached[-1]
    index = bisect_left(reached, goal)
    inside = 1 - (reached[index] - goal) / weights[index]
    return _X[index] + (inside - 0.5) * _STEP


KEY_TAIL, WHOLE_TAIL = 0.07, 0.19
"""Weight left out at each end of an 80 % interval: of a key's belief more is kept than the 80 %,
since players are not as steep as the curve supposes, and of a pattern's less, since its keys are
supposed to differ more than they do.  Set on simulated players whose slopes are half to twice
``SLOPE``; what it holds on others stands in the tests."""


def _estimate(weights: Weights, tries: int, enough: bool, tail: float) -> Estimate:
    low, middle, high = (
        2.0 ** min(_HIGH, max(_LOW, _quantile(weights, share) + _BELOW))
        for share in (tail, 0.5, 1 - tail)
    )
    return Estimate(tries, enough, middle, low, high)


@dataclass(frozen=True, slots=True)
class _KeyBelief:
    """What the tries in one key say, without the prior."""

    likelihood: Weights = (1.0,) * GRID
    tries: int = 0
    day: date | None = None
    """The day of the last try."""

    @property
    def marginal(self) -> Weights:
        """The same seen from the pattern: spread by what keys differ."""
        return _blurred(self.likelihood, KEY_SPREAD)

    def on(self, day: date) -> _KeyBelief:
        """The belief on a later day: wider, for the days away."""
        away = max(0, (day - self.day).days) if self.day else 0
        if not away:
            return self
        wider = _blurred(self.likelihood, min(SPREAD, A_DAY * away))
        return replace(self, likelihood=wider, day=day)

    def told(self, log2_bpm: float, passed: bool, day: date) -> _KeyBelief:
        """The belief after a try."""
        now = self.on(day)
        product = _times(now.likelihood, _likelihood(log2_bpm, passed))
        top = max(product)
        last = max(day, now.day) if now.day else day
        return _KeyBelief(tuple(value / top for value in product), now.tries + 1, last)


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of one pattern, over all keys and in each.

    Keys share what is known: the pattern's tempo is the middle of its keys', which
    differ by ``KEY_SPREAD``; the posterior of a key follows from both exactly, on the
    grid, so that a key with few tries stays near the others.
    """

    first_bpm: float
    """Centre of the belief before any try."""
    keys: tuple[tuple[str, _KeyBelief], ...] = ()

    @property
    def tries(self) -> int:
        """Tries in all keys."""
        return sum(belief.tries for _, belief in self.keys)

    def told(self, key: str, bpm: float, passed: bool, day: date) -> Belief:
        """The belief after a try in ``key`` at ``bpm`` on ``day``."""
        known = dict(self.keys)
        known[key] = known.get(key, _KeyBelief()).told(math.log2(bpm), passed, day)
        return replace(self, keys=tuple(known.items()))

    def _pooled(self, day: date, without: str | None = None) -> Weights:
        centre = math.log2(self.first_bpm)
        weights: Weights = tuple(math.exp(-0.5 * ((x - centre) / SPREAD) ** 2) for x in _X)
        for key, belief in self.keys:
            if key != without:
                weights = _normal(_times(weights, belief.on(day).marginal))
        return _normal(weights)

    def whole(self, day: date) -> Estimate:
        """The estimate of the pattern, over its keys, as of ``day``."""
        return _estimate(self._pooled(day), self.tries, self.tries >= ENOUGH, WHOLE_TAIL)

    def of(self, key: str, day: date) -> Estimate:
        """The estimate of the pattern in one key, as of ``day``."""
        own = dict(self.keys).get(key, _KeyBelief()).on(day)
        others = _blurred(self._pooled(day, without=key), KEY_SPREAD)
        weights = _normal(_times(others, own.likelihood))
        enough = self.tries >= ENOUGH and own.tries >= ENOUGH_OF_KEY
        return _estimate(weights, own.tries, enough, KEY_TAIL)


# What is remembered.


@dataclass(frozen=True, slots=True)
class Try:
    """One try in time, as the log tells it."""

    pattern: str
    key: str
    bpm: float
    passed: bool
    """Whether it was locked in."""
    day: date
    """The practice day."""
    practice: str = ""
    """Which practice it was part of: a new one begins a new staircase."""


@dataclass(frozen=True, slots=True)
class Held:
    """What is remembered of one pattern in one key."""

    stair: Stair
    practice: tuple[date, str]
    """The practice of the last try."""
    locked_bpm: float | None = None
    """The fastest tempo at which the rule's passes in a row were met, in the last
    practice in which they were; None: never yet."""
    locked_in: tuple[date, str] | None = None
    """That practice."""

    def told(self, one: Try, rule: StairRule) -> Held:
        """What is remembered after one more try."""
        practice = (one.day, one.practice)
        stair = self.stair
        if practice != self.practice:
            stair = stair_at(one.bpm)
        elif round(one.bpm) != stair.bpm:
            # A person chose another tempo than the staircase: what was played counts.
            stair = replace(stair, log2_bpm=stair_at(one.bpm).log2_bpm, streak=0)
        after = climb(stair, one.passed, rule)
        if not one.passed or stair.streak + 1 < rule.passes:
            return replace(self, stair=after, practice=practice)
        before = self.locked_bpm if self.locked_in == practice else None
        return Held(after, practice, max(before or 0.0, one.bpm), practice)


UNDER = 2 / 24
"""How far under the remembered tempo the next practice starts, in octaves: 6 %."""


@dataclass(slots=True)
class TempoBook:
    """All tries, told one after the other; replaying the same tries gives the same book."""

    default_bpm: float = 72.0
    """Where a pattern starts of which nothing is known: the deck's tempo."""
    rule: StairRule = THREE_UP_ONE_DOWN
    _beliefs: dict[str, Belief] = field(default_factory=dict)
    _held: dict[tuple[str, str], Held] = field(default_factory=dict)

    def tell(self, one: Try) -> Stair:
        """Take in a try; the staircase after it."""
        belief = self._beliefs.get(one.pattern) or Belief(one.bpm)
        self._beliefs[one.pattern] = belief.told(one.key, one.bpm, one.passed, one.day)
        held = self._held[one.pattern, one.key] = self.after(one)
        return held.stair

    def after(self, one: Try) -> Held:
        """What would be remembered of its pattern and key after a try; nothing is taken in."""
        held = self._held.get((one.pattern, one.key))
        return (held or Held(stair_at(one.bpm), (one.day, one.practice))).told(one, self.rule)

    def replay(self, tries: Iterable[Try]) -> None:
        """Take in many tries in order."""
        for one in tries:
            self.tell(one)

    def held(self, pattern: str, key: str) -> Held | None:
        """What is remembered of a pattern in a key; None: never tried."""
        return self._held.get((pattern, key))

    def estimate(self, pattern: str, key: str | None, day: date) -> Estimate:
        """The estimate for a pattern, in one key or (None) over its keys."""
        belief = self._beliefs.get(pattern) or Belief(self.default_bpm)
        return belief.whole(day) if key is None else belief.of(key, day)

    def next_bpm(
        self, pattern: str, key: str, practice: tuple[date, str], begin: float | None = None
    ) -> int:
        """The tempo of the next try: the staircase's in a practice under way; in a new one
        ``begin``, or where it is None what ``start_bpm`` gives."""
        held = self.held(pattern, key)
        if held is not None and held.practice == practice:
            return held.stair.bpm
        if begin is not None:
            return stair_at(begin).bpm
        start = stair_at(self.start_bpm(pattern, key, practice[0])).bpm
        if held is not None and held.locked_bpm is None:
            return min(start, held.stair.bpm)  # it was too fast the last time
        return start

    def start_bpm(self, pattern: str, key: str, day: date) -> int:
        """Where a practice starts: a little under what was last locked in.

        Without that, a little under what other keys of the pattern make likely; without
        any try, the default.
        """
        held = self._held.get((pattern, key))
        belief = self._beliefs.get(pattern)
        if held is not None and held.locked_bpm is not None:
            known = held.locked_bpm
        elif belief is not None and belief.tries >= ENOUGH:
            known = belief.of(key, day).bpm
        else:
            return round(self.default_bpm)
        return stair_at(known * 2.0**-UNDER).bpm
