"""The chances and ages of many cells at once: one deck, or any part of one.

A ``Pool`` holds, for a fixed choice of items, where their factors lie in a ``State``.
Its arrays come from numpy, which is loaded when they are first asked for: the first prompt of a
practice is chosen without them, see ``first``.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from threading import Lock
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from drill.memory.introducing import IntroPlace, places
from drill.memory.items import Item
from drill.memory.model import LIMIT, MIDDLE, NEW_CELL, NEW_FACT, NEW_KEY, PROBIT, REST, RESTS_FROM
from drill.memory.state import State

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Arrays:
    """A pool's items beside one another, each array in the order of ``Pool.items``."""

    place: Ints
    """Where each lies in the state."""
    key: Ints
    shape: Ints
    easy: Floats
    bare: Bools
    """Which have no facts; they get one of no weight."""
    fact: Ints
    """The facts of all of them, laid end to end."""
    share: Floats
    """The share of the notes that each of those has."""
    start: Ints
    """Where each item's facts begin."""
    rank: Ints
    """The place of its key in the order of introduction."""
    part: Ints
    """What is walked up and down within a key, by number."""
    later: Bools
    lot: Floats
    """A fixed number from 0 to 1 for each: the same on every machine and in every run."""


class Pool:
    """A choice of items to ask from, wired to one state."""

    def __init__(
        self,
        state: State,
        items: Sequence[Item],
        seed: int,
        order: Mapping[str, IntroPlace] | None = None,
    ) -> None:
        """Items listed twice count once; ``seed`` decides among equals and orders new cells.

        ``order`` says by item id in which order new cells are introduced; None goes by
        accidentals.
        """
        self.items: tuple[Item, ...] = tuple({item.id: item for item in items}.values())
        self.seed = seed
        self.places: tuple[int, ...] = tuple(map(state.place, self.items))
        """Where each item lies in the state."""
        if not state.facts.names:
            state.facts.add("", 0.0)
            state.grow_facts()
        self.order: Mapping[str, IntroPlace] = order or places(self.items)
        self._wiring = [state.wiring[place] for place in self.places]
        self._arrays: Arrays | None = None
        self._making = Lock()
        self._counts: WeakKeyDictionary[State, Counted] = WeakKeyDictionary()

    @property
    def arrays(self) -> Arrays:
        """The items as arrays, made when they are first asked for, in whichever thread."""
        with self._making:
            if self._arrays is None:
                self._arrays = self._made()
            return self._arrays

    def _made(self) -> Arrays:
        import numpy as np

        wiring = self._wiring
        bare = np.array([not w.weights for w in wiring])
        shares = [w.weights or ((0, 0.0),) for w in wiring]
        flat = [pair for pairs in shares for pair in pairs]
        lengths = np.array([0] + [len(pairs) for pairs in shares], dtype=np.int64)
        stand = [self.order[item.id] for item in self.items]
        parts = {(one.key, one.part): 0 for one in stand}
        parts = {part: n for n, part in enumerate(parts)}
        return Arrays(
            place=np.array(self.places, dtype=np.int64),
            key=np.array([w.key for w in wiring], dtype=np.int64),
            shape=np.array([w.shape for w in wiring], dtype=np.int64),
            easy=np.array([MIDDLE - w.accidentals for w in wiring]),
            bare=bare,
            fact=np.array([f for f, _ in flat], dtype=np.int64),
            share=np.array([s for _, s in flat]),
            start=np.cumsum(lengths)[:-1],
            rank=np.array([one.key for one in stand], dtype=np.int64),
            part=np.array([parts[one.key, one.part] for one in stand], dtype=np.int64),
            later=np.array([one.later for one in stand], dtype=bool),
            lot=np.array([self.lot(item) for item in self.items]),
        )

    def lot(self, item: Item) -> float:
        """A number from 0 up to 1 drawn by the seed and the item's name alone."""
        text = f"{self.seed}:{item.id}".encode(errors="surrogatepass")
        return int.from_bytes(hashlib.blake2b(text, digest_size=6).digest()) / 2.0**48

    def counted(self, state: State) -> Counted:
        """The prompts of this pool in a state, or in a branch of one, up to date."""
        counts = self._counts.get(state)
        if counts is None:
            counts = self._counts[state] = Counted(state, self)
        counts.follow(state)
        return counts

    def __len__(self) -> int:
        return len(self.items)


def chances(state: State, pool: Pool, now: float, ease: float = 0.0) -> Floats:
    """Chance of a right answer for each item of the pool; ``model.predict``'s numbers."""
    import numpy as np

    mean, variance = _log_odds(state, pool, now)
    z = (mean + ease) / np.sqrt(1.0 + PROBIT * variance)
    chance: Floats = 1.0 / (1.0 + np.exp(-np.clip(z, -LIMIT, LIMIT)))
    return chance


def _log_odds(state: State, pool: Pool, now: float) -> tuple[Floats, Floats]:
    """Mean and variance of the log odds of each item."""
    import numpy as np

    p, w, wv = state.priors, state.w, state.w_variance
    drift = p.drift * p.sharing
    read = np.frombuffer
    of = pool.arrays
    at = of.place
    right = read(state.cell_right)[at]
    asked = read(state.cell_asked)[at]
    away = np.where(asked > 0, np.fmax(now - read(state.cells.last)[at], 0.0), 0.0)
    inputs = [
        (1, np.log1p(right)),
        (2, np.log1p(asked)),
        (3, -np.log1p(away)),
        (4, -np.where(asked > 0, np.log1p(8.0 * away) / (1.0 + right), NEW_CELL)),
    ]
    mean = read(state.cells.mean)[at] + w[0]
    variance = _aged(state.cells.variance, state.cells.last, now, p.drift, p.item_cap)[at] + wv[0]
    key_mean = read(state.keys.mean).copy()
    key_variance = _aged(state.keys.variance, state.keys.last, now, drift, p.cap)
    if p.sharing:
        key_asked = read(state.key_asked)
        alone = np.where(key_asked > 0, np.fmax(now - read(state.keys.last), 0.0), 0.0)
        key_mean -= REST * np.log1p(alone / RESTS_FROM)
        key_away = np.where(key_asked > 0, np.log1p(alone), NEW_KEY)
        key_mean += w[5] * np.log1p(key_asked) - w[6] * key_away
        key_variance += wv[5] * np.log1p(key_asked) ** 2 + wv[6] * key_away**2
        facts_away = np.log1p(np.fmax(now - read(state.facts.last), 0.0))
        facts_away[np.frombuffer(state.fact_turn, dtype=np.int64) < 0] = NEW_FACT
        known = read(state.fact_right)[of.fact]
        inputs += [
            (7, of.easy),
            (8, np.where(of.bare, 0.0, np.log1p(np.minimum.reduceat(known, of.start)))),
            (9, -np.add.reduceat(facts_away[of.fact] * of.share, of.start)),
            (10, np.add.reduceat(read(state.facts.mean)[of.fact] * of.share, of.start)),
        ]
    for j, x in inputs:
        mean += w[j] * x
        variance += wv[j] * x**2
    share = of.share * w[10]
    shape_variance = _aged(state.shapes.variance, state.shapes.last, now, drift, p.cap)
    fact_variance = _aged(state.facts.variance, state.facts.last, now, drift, p.cap)
    mean += key_mean[of.key] + read(state.shapes.mean)[of.shape]
    variance += key_variance[of.key] + shape_variance[of.shape]
    variance += np.add.reduceat(fact_variance[of.fact] * share**2, of.start)
    return mean, variance


def _aged(variances: object, lasts: object, now: float, drift: float, cap: float) -> Floats:
    """Variances after the days away, as ``model._view`` has them."""
    import numpy as np

    variance: Floats = np.frombuffer(variances)  # type: ignore[call-overload]
    away = np.fmax(now - np.frombuffer(lasts), 0.0)  # type: ignore[call-overload]
    away = np.where(np.isnan(away), 0.0, away)
    grown: Floats = np.minimum(np.maximum(variance, cap), variance + drift * away)
    return np.where(away > 0.0, grown, variance)


class Counted:
    """How many prompts of a pool there were in all, and up to the last turn of each cell and
    each fact.  Each turn is counted once, so that a long log makes no prompt slower."""

    __slots__ = ("_inside", "_turns", "cell", "fact", "total")

    def __init__(self, state: State, pool: Pool) -> None:
        """Counts the whole log, in one pass."""
        import numpy as np

        self._inside = frozenset(pool.places)
        inside = np.zeros(len(state.items), dtype=np.int64)
        inside[list(pool.places)] = 1
        upto = np.concatenate(([0], np.cumsum(inside[np.array(state.turns, dtype=np.int64)])))
        self._turns = len(state.turns)
        self.total = int(upto[-1])
        """Prompts of the pool."""
        self.cell: Ints = upto[np.array(state.cell_turn, dtype=np.int64) + 1]
        """Those up to each cell's last turn, it included; 0 when it was never asked."""
        self.fact: Ints = upto[np.array(state.fact_turn, dtype=np.int64) + 1]

    def follow(self, state: State) -> None:
        """Count the turns that came since."""
        self.cell = _as_long(self.cell, len(state.items))
        self.fact = _as_long(self.fact, len(state.fact_turn))
        for place in state.turns[self._turns :]:
            self.total += place in self._inside
            self.cell[place] = self.total
            for fact, _ in state.wiring[place].weights:
                self.fact[fact] = self.total
        self._turns = len(state.turns)


def _as_long(counts: Ints, length: int) -> Ints:
    """The counts with zeros for what was registered since."""
    import numpy as np

    if len(counts) == length:
        return counts
    return np.concatenate((counts, np.zeros(length - len(counts), dtype=np.int64)))


def ages(state: State, pool: Pool) -> Floats:
    """Prompts of this pool since each item was last asked, from 1 for the latest.

    Prompts outside the pool do not count, so another deck's practice changes nothing
    here.  An item never asked is as old as all of them and up to a whole pool more, by lot.
    """
    import numpy as np

    of = pool.arrays
    turn = np.frombuffer(state.cell_turn, dtype=np.int64)[of.place]
    count = pool.counted(state)
    since = count.total - count.cell[of.place] + 1
    age: Floats = np.where(turn >= 0, since, count.total + of.lot * len(pool))
    return age


def note_ages(state: State, pool: Pool) -> Floats:
    """Prompts of this pool since the notes of each item were last asked, in any cell: the mean
    over its notes, from 1.

    A note never asked is as old as all prompts of the pool, and one more.
    """
    import numpy as np

    if not state.turns:
        return np.ones(len(pool))
    count, of = pool.counted(state), pool.arrays
    since = count.total + 1 - count.fact
    age: Floats = np.add.reduceat(since[of.fact] * of.share, of.start)
    return np.where(of.bare, ages(state, pool), age)


def notes_missed(state: State, pool: Pool) -> Floats:
    """The share of each item's notes that were missed when they were last asked, in any cell."""
    import numpy as np

    of, wrong = pool.arrays, np.frombuffer(state.fact_missed, dtype=np.int8)
    share: Floats = np.add.reduceat(wrong[of.fact] * of.share, of.start)
    return share


def missed(state: State, pool: Pool) -> Bools:
    """Which items were missed at their last turn."""
    import numpy as np

    found: Bools = np.frombuffer(state.cell_missed, dtype=np.int8)[pool.arrays.place] == 1
    return found


def asked_before(state: State, pool: Pool, now: float) -> Bools:
    """Which items were last asked before an instant, in days; not those never asked."""
    import numpy as np

    found: Bools = np.frombuffer(state.cells.last)[pool.arrays.place] < now
    return found


def untried(state: State, pool: Pool) -> Bools:
    """Which items were never asked."""
    import numpy as np

    new: Bools = np.frombuffer(state.cell_turn, dtype=np.int64)[pool.arrays.place] < 0
    return new
