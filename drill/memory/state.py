"""What one player's answers add up to: counts, and means and variances of what cells share.

``State`` is changed by ``model.learn`` alone; it depends on the answers and their order, so
replaying the log gives the same state to the last bit.  Time is days since 1970 as a float.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Callable
from copy import copy
from dataclasses import dataclass
from typing import Any

from drill.memory.items import Item
from drill.memory.kinds import LADDER, TURNED, Kind

_LADDER = frozenset(kind.value for kind in LADDER)


@dataclass(frozen=True, slots=True)
class Priors:
    """The hand-set starting values; halving or doubling them changes little."""

    weights: tuple[float, ...] = (0.0, 0.3, 0.8, 0.1, 0.05, 0.12, 0.2, 0.2, 0.3, 0.2, 1.5)
    """What each of the inputs of ``model._view`` weighs: level, right answers, answers, days away,
    the same early on, answers in the key, days away from the key, accidentals, right notes of the
    weakest fact, days away from the facts, strength of the facts.  All but the level and the
    accidentals are kept at 0 or more, so that practice never lowers a chance and time away never
    raises one."""
    weight_variances: tuple[float, ...] = (
        2.0, 0.1, 0.3, 0.012, 0.004, 0.02, 0.02, 0.004, 0.03, 0.02, 0.5,
    )  # fmt: skip
    key: float = 0.1
    """Variance of a key's mean before any answer."""
    shape: float = 0.05
    fact: float = 0.1
    item: float = 0.1
    item_step: float = 0.01
    """Variance that a cell gains with each answer: what was learned from it is not known."""
    fact_step: float = 0.02
    """The same of a fact."""
    drift: float = 0.002
    """Variance that every factor gains with each day away."""
    cap: float = 1.0
    """Largest variance of a key, shape or fact by drift."""
    item_cap: float = 1.5
    sharing: bool = True
    """False: every cell learns alone (for comparison)."""


@dataclass(frozen=True, slots=True)
class Record:
    """What the log says of one cell or one key."""

    asked: int = 0
    right: int = 0
    last: float | None = None
    """Days since 1970 of the last answer; None when never asked."""
    last_right: bool = False
    good_days: int = 0
    """Different practice days with an answer that was right and not slow (cells only)."""
    held: float = 0.0
    """Best chance, a day after a right answer, since the last slip or loss (cells only); see
    ``model.KEPT_FROM``."""
    right_in: frozenset[str] = frozenset()
    """Kinds of prompt in which the last answer was right, with those in which it cannot be asked
    (cells only)."""

    @property
    def slips(self) -> int:
        """How many answers were wrong."""
        return self.asked - self.right


def listed(_: str) -> Any:
    """A row of numbers as a list, which holds its numbers as they are: a replay of a log takes an
    eighth less time."""
    return []


class Factors:
    """Means and variances of one family of factors, with when each was last touched."""

    __slots__ = ("index", "last", "mean", "names", "variance")

    def __init__(self, column: Callable[[str], array[float]] = array) -> None:
        self.index: dict[str, int] = {}
        self.names: list[str] = []
        self.mean = column("d")
        self.variance = column("d")
        self.last = column("d")
        """Days since 1970; NaN when never touched."""

    def add(self, name: str, variance: float) -> int:
        """The place of a factor, new or known."""
        place = self.index.get(name)
        if place is None:
            place = self.index[name] = len(self.names)
            self.names.append(name)
            self.mean.append(0.0)
            self.variance.append(variance)
            self.last.append(math.nan)
        return place

    def branch(self) -> Factors:
        """A copy that can be changed alone."""
        twin = Factors()
        for name in self.__slots__:
            setattr(twin, name, copy(getattr(self, name)))
        return twin


@dataclass(frozen=True, slots=True)
class Wiring:
    """Where an item's factors lie."""

    key: int
    shape: int
    facts: tuple[int, ...]
    """One per note, in order."""
    weights: tuple[tuple[int, float], ...]
    """Each different fact with its share of the notes."""
    accidentals: float


class State:
    """All that is known of one player; changed in place by ``learn`` only."""

    def __init__(
        self, priors: Priors | None = None, column: Callable[[str], array[Any]] = array
    ) -> None:
        """``column`` makes each row of numbers: an array, which numpy reads in place; ``listed``
        for a state that is only learned and asked, cell by cell."""
        self.priors = priors or Priors()
        self.w = list(self.priors.weights)
        self.w_variance = list(self.priors.weight_variances)
        self.keys, self.shapes, self.facts, self.cells = (Factors(column) for _ in range(4))
        self.items: list[Item] = []
        self.wiring: list[Wiring] = []
        self.cell_right = column("d")
        self.cell_asked = column("d")
        self.cell_turn = column("q")
        """The turn at which each cell was last asked; -1 when never."""
        self.cell_missed = column("b")
        """1 when the last answer was not right."""
        self.held = column("d")
        """Best chance a day after a right answer, since the last slip or loss; see ``Record``."""
        self.good_days: list[frozenset[str]] = []
        self.right_in: list[frozenset[str]] = []
        """The kinds of prompt in which each cell was right when it was last asked so."""
        self.key_asked = column("d")
        self.key_right = column("d")
        self.fact_right = column("d")
        """Notes of each fact that were right."""
        self.fact_turn = column("q")
        """The turn at which each fact was last asked; -1 when never."""
        self.fact_missed = column("b")
        """1 when it was missed then."""
        self.turns = column("q")
        """The cell asked at each turn, oldest first."""
        self.turn_day = column("q")
        """The practice day of each turn as an ordinal (``date.toordinal``); 0 when it is none."""
        self.turn_new = column("b")
        """1 for each turn at which the cell was asked for the first time."""
        self.turn_right = column("b")
        """1 for each turn at which the answer was right."""
        self.pace: dict[int, float] = {}
        """Running mean of ln(seconds) of right answers, by number of keystrokes."""
        self.seconds_total = 0.0
        self.seconds_count = 0
        self.last_answer = math.nan

    def branch(self) -> State:
        """A copy that can be changed alone, for looking ahead; pools fit both."""
        twin = State(self.priors)
        for name, value in vars(self).items():
            setattr(twin, name, value.branch() if isinstance(value, Factors) else copy(value))
        return twin

    def place(self, item: Item) -> int:
        """The place of an item, which is registered when it is new.

        The factors of a known id are those it was first registered with.
        """
        place = self.cells.index.get(item.id)
        if place is not None:
            return place
        p = self.priors
        place = self.cells.add(item.id, p.item)
        key = self.keys.add(item.key, p.key if p.sharing else 0.0)
        if key == len(self.key_asked):
            self.key_asked.append(0.0)
            self.key_right.append(0.0)
        shape = self.shapes.add(item.shape, p.shape if p.sharing else 0.0)
        facts = tuple(self.facts.add(f, p.fact if p.sharing else 0.0) for f in item.facts)
        self.grow_facts()
        weights = tuple((f, facts.count(f) / len(facts)) for f in dict.fromkeys(facts))
        self.wiring.append(Wiring(key, shape, facts, weights, float(item.accidentals)))
        self.items.append(item)
        self.cell_right.append(0.0)
        self.cell_asked.append(0.0)
        self.cell_turn.append(-1)
        self.cell_missed.append(0)
        self.held.append(0.0)
        self.good_days.append(frozenset())
        self.right_in.append(frozenset())
        return place

    def grow_facts(self) -> None:
        """Give every fact its place in the arrays beside ``facts``."""
        more = len(self.facts.names) - len(self.fact_right)
        self.fact_right.extend([0.0] * more)
        self.fact_turn.extend([-1] * more)
        self.fact_missed.extend([0] * more)

    def record(self, item: Item) -> Record:
        """What the log says of a cell."""
        place = self.cells.index.get(item.id)
        if place is None or not self.cell_asked[place]:
            return Record()
        return Record(
            asked=int(self.cell_asked[place]),
            right=int(self.cell_right[place]),
            last=self.cells.last[place],
            last_right=not self.cell_missed[place],
            good_days=len(self.good_days[place]),
            held=self.held[place],
            right_in=self.right_kinds(place),
        )

    def right_kinds(self, place: int) -> frozenset[str]:
        """See ``Record.right_in``."""
        item, kinds = self.items[place], self.right_in[place]
        if item.shape.startswith(TURNED):
            return kinds | _LADDER
        return kinds if item.run else kinds | {Kind.RUN.value}

    def key_record(self, key: str) -> Record:
        """What the log says of a key; its days are not counted."""
        place = self.keys.index.get(key)
        if place is None or not self.key_asked[place]:
            return Record()
        asked, right = int(self.key_asked[place]), int(self.key_right[place])
        return Record(asked=asked, right=right, last=self.keys.last[place])
