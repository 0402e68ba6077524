"""What is known: chances of recall from evidence that cells share.

A performance-factor model (after Pavlik, Cen & Koedinger 2009; Choffin et al. 2019;
Pelanek 2016): a cell's log odds are the sum of a global part (practice and time away),
its key, its pattern with direction, the facts of its notes, and the cell itself.  Each
part has a mean and a variance and is updated by one Gaussian step an answer.

Conventions: time is days since 1970 as a float; time away is never negative, so a clock
set back is harmless.  ``State`` is changed in place by ``learn``; it depends on the
answers and their order alone, so replaying the log gives the same state to the last bit.
Only answers that *teach* (not retyped, not interrupted) change it.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from drill.memory.items import LADDER, Answer, Item, Kind, Outcome, days

PROBIT = 0.39
"""pi / 8: a logistic averaged over a Gaussian (MacKay 1992, from memory)."""
INPUTS = (
    "level", "right answers", "answers", "days away", "days away, early",
    "answers in the key", "days away from the key", "accidentals", "answers on the facts",
)  # fmt: skip
"""What the global weights weigh.  All but the level and the accidentals are kept at 0 or
more, so that practice never lowers a chance and time away never raises one."""
_FREE = (0, 7)
MIDDLE = 3.0
"""Accidentals are counted from here, so that the level stands for a middling key."""
RESTS_FROM, REST = 7.0, 0.4
"""A key left alone fades by ``REST x ln(1 + days / RESTS_FROM)`` on top of what is learned
from the log, which seldom holds long absences.  Set by hand."""
NEW_CELL, NEW_KEY = 2.0, 1.5
"""Stand for time away where there was no answer yet."""
_LIMIT = 20.0
"""Log odds beyond this add nothing."""
_VARIANCE_FLOOR = 1e-6
_PAUSE_DAYS = 10 / 1440
"""A gap of ten minutes is a pause: the first answer after it is not timed."""
_LONGEST_SECONDS = 30.0
_SLOW = 0.5
"""Slow: this much above the running mean of ln(seconds)."""
_LATENCY_RATE = 0.03


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a kind of prompt tells."""

    ease: float
    """Log odds by which this kind is easier than naming the degree alone."""
    weight: float
    """How much one answer counts, 1 for a cell asked blind."""


EVIDENCE: Mapping[str, Evidence] = {
    Kind.NEXT: Evidence(ease=0.4, weight=0.75),
    Kind.DEGREE: Evidence(ease=0.0, weight=1.0),
    Kind.RUN: Evidence(ease=0.0, weight=1.0),
    Kind.EAR: Evidence(ease=-0.4, weight=0.75),
    Kind.TIME: Evidence(ease=-0.4, weight=0.75),
}
"""Set by hand.  A cell asked blind tells more than one with the previous cell in view."""
_OTHER = Evidence(ease=0.0, weight=0.5)
"""Any other kind of prompt about a cell."""


@dataclass(frozen=True, slots=True)
class Priors:
    """The hand-set starting values; halving or doubling them changes little."""

    weights: tuple[float, ...] = (0.0, 0.9, 0.1, 0.1, 0.1, 0.12, 0.2, 0.2, 0.22)
    """One for each of ``INPUTS``."""
    weight_variances: tuple[float, ...] = (2.0, 0.1, 0.3, 0.012, 0.004, 0.02, 0.02, 0.004, 0.02)
    key: float = 0.1
    """Variance of a key's mean before any answer."""
    shape: float = 0.05
    fact: float = 0.12
    item: float = 0.1
    fact_share: float = 0.3
    """How far the mean of a cell's facts counts towards the cell."""
    item_step: float = 0.01
    """Variance that a cell gains with each answer: what was learned from it is not known."""
    drift: float = 0.002
    """Variance that every factor gains with each day away."""
    cap: float = 1.0
    """Largest variance of a key, shape or fact by drift."""
    item_cap: float = 1.5
    sharing: bool = True
    """False: every cell learns alone (for comparison)."""


@dataclass(frozen=True, slots=True)
class Recall:
    """A predicted chance."""

    p: float
    """Chance that every note would be right, 0 to 1."""
    spread: float
    """One standard deviation of that chance from what the model does not know."""


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
    rung: int = 0
    """Place on the ladder of prompt kinds that the cell has earned (cells only)."""

    @property
    def slips(self) -> int:
        return self.asked - self.right


class Factors:
    """Means and variances of one family of factors, with when each was last touched."""

    __slots__ = ("index", "last", "mean", "names", "variance")

    def __init__(self) -> None:
        self.index: dict[str, int] = {}
        self.names: list[str] = []
        self.mean = array("d")
        self.variance = array("d")
        self.last = array("d")
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

    def variance_at(self, place: int, now: float, drift: float, cap: float) -> float:
        """The variance after the days away."""
        variance, last = self.variance[place], self.last[place]
        if now > last:  # False for NaN: never touched
            return min(max(cap, variance), variance + drift * (now - last))
        return variance


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

    def __init__(self, priors: Priors | None = None) -> None:
        self.priors = priors or Priors()
        self.w = array("d", self.priors.weights)
        self.w_variance = array("d", self.priors.weight_variances)
        self.keys, self.shapes, self.facts, self.cells = (Factors() for _ in range(4))
        self.items: list[Item] = []
        self.wiring: list[Wiring] = []
        self.cell_right = array("d")
        self.cell_asked = array("d")
        self.cell_turn = array("q")
        """The turn at which each cell was last asked; -1 when never."""
        self.cell_missed = array("b")
        """1 when the last answer was not right."""
        self.rung = array("b")
        self.good_days: list[frozenset[str]] = []
        self.key_asked = array("d")
        self.key_right = array("d")
        self.fact_asked = array("d")
        self.turns = array("q")
        """The cell asked at each turn, oldest first."""
        self.turn_new = array("b")
        """1 for each turn at which the cell was asked for the first time."""
        self.pace: dict[int, float] = {}
        """Running mean of ln(seconds) of right answers, by number of keystrokes."""
        self.seconds_total = 0.0
        self.seconds_count = 0
        self.last_answer = math.nan

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
        self.fact_asked.extend([0.0] * (len(self.facts.names) - len(self.fact_asked)))
        weights = tuple((f, facts.count(f) / len(facts)) for f in dict.fromkeys(facts))
        self.wiring.append(Wiring(key, shape, facts, weights, float(item.accidentals)))
        self.items.append(item)
        self.cell_right.append(0.0)
        self.cell_asked.append(0.0)
        self.cell_turn.append(-1)
        self.cell_missed.append(0)
        self.rung.append(0)
        self.good_days.append(frozenset())
        return place

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
            rung=self.rung[place],
        )

    def key_record(self, key: str) -> Record:
        """What the log says of a key; its days and rung are not counted."""
        place = self.keys.index.get(key)
        if place is None or not self.key_asked[place]:
            return Record()
        asked, right = int(self.key_asked[place]), int(self.key_right[place])
        return Record(asked=asked, right=right, last=self.keys.last[place])

    def digest(self) -> tuple[object, ...]:
        """Everything the state holds, for comparing two states exactly.

        Registration order and unasked items do not count.
        """

        def family(factors: Factors) -> tuple[object, ...]:
            return tuple(
                sorted(
                    (name, factors.mean[i], factors.variance[i], factors.last[i])
                    for i, name in enumerate(factors.names)
                    if factors.last[i] == factors.last[i]
                )
            )

        cells = sorted(
            (item.id, self.cell_right[i], self.cell_asked[i], self.cell_turn[i],
             self.cell_missed[i], self.rung[i], tuple(sorted(self.good_days[i])))
            for i, item in enumerate(self.items)
            if self.cell_asked[i]
        )  # fmt: skip
        return (
            tuple(self.w), tuple(self.w_variance), family(self.keys), family(self.shapes),
            family(self.facts), family(self.cells), tuple(cells),
            tuple(self.items[i].id for i in self.turns), tuple(sorted(self.pace.items())),
            self.seconds_total, self.seconds_count,
        )  # fmt: skip


def _inputs(state: State, place: int, now: float) -> tuple[float, ...]:
    """The global inputs of a cell: one for each of ``INPUTS``."""
    wiring = state.wiring[place]
    right, asked = state.cell_right[place], state.cell_asked[place]
    if asked:
        away = max(now - state.cells.last[place], 0.0)
        late, early = -math.log1p(away), -math.log1p(8.0 * away) / (1.0 + right)
    else:
        late, early = 0.0, -NEW_CELL
    own = (1.0, math.log1p(right), math.log1p(asked), late, early)
    if not state.priors.sharing:
        return (*own, 0.0, 0.0, 0.0, 0.0)
    key_asked = state.key_asked[wiring.key]
    away = max(now - state.keys.last[wiring.key], 0.0) if key_asked else 0.0
    on_facts = 0.0
    for fact, share in wiring.weights:
        on_facts += share * math.log1p(state.fact_asked[fact])
    return (
        *own,
        math.log1p(key_asked),
        -math.log1p(away) if key_asked else -NEW_KEY,
        MIDDLE - wiring.accidentals,
        on_facts,
    )


def _rest(state: State, key: int, now: float) -> float:
    """What a key loses by being left alone, in log odds."""
    away = now - state.keys.last[key]
    return REST * math.log1p(away / RESTS_FROM) if away > 0.0 and state.priors.sharing else 0.0


@dataclass(frozen=True, slots=True)
class _View:
    """A cell seen at one instant."""

    x: tuple[float, ...]
    z: float
    """Log odds."""
    spread: float
    """Variance of the log odds."""
    key_variance: float
    shape_variance: float
    item_variance: float
    fact_variances: tuple[float, ...]
    """One for each entry of ``Wiring.weights``."""


def _view(state: State, place: int, now: float) -> _View:
    p = state.priors
    wiring = state.wiring[place]
    x = _inputs(state, place, now)
    v_key = state.keys.variance_at(wiring.key, now, p.drift * p.sharing, p.cap)
    v_shape = state.shapes.variance_at(wiring.shape, now, p.drift * p.sharing, p.cap)
    v_item = state.cells.variance_at(place, now, p.drift, p.item_cap)
    facts = state.facts
    v_facts = tuple(
        facts.variance_at(f, now, p.drift * p.sharing, p.cap) for f, _ in wiring.weights
    )
    z = state.keys.mean[wiring.key] + state.shapes.mean[wiring.shape] + state.cells.mean[place]
    spread = v_key + v_shape + v_item
    for (fact, part), variance in zip(wiring.weights, v_facts, strict=True):
        share = part * p.fact_share
        z += share * facts.mean[fact]
        spread += share * share * variance
    z -= _rest(state, wiring.key, now)
    for value, weight, variance in zip(x, state.w, state.w_variance, strict=True):
        z += value * weight
        spread += value * value * variance
    return _View(x, z, spread, v_key, v_shape, v_item, v_facts)


def _chance(z: float, spread: float) -> float:
    z /= math.sqrt(1.0 + PROBIT * spread)
    return 1.0 / (1.0 + math.exp(-min(max(z, -_LIMIT), _LIMIT)))


def predict(state: State, item: Item, now: datetime, kind: str = Kind.DEGREE) -> Recall:
    """The chance that ``item`` would be answered right at ``now`` when asked as ``kind``.

    A cell never asked has a chance too, from its key, its shape and its facts.
    """
    return _recall(state, state.place(item), days(now), kind)


def _recall(state: State, place: int, now: float, kind: str) -> Recall:
    view = _view(state, place, now)
    p = _chance(view.z + EVIDENCE.get(kind, _OTHER).ease, view.spread)
    return Recall(p, min(0.5, p * (1.0 - p) * math.sqrt(view.spread)))


def learn(state: State, item: Item, answer: Answer) -> State:
    """The state after one answer: the same object, changed in place.

    Retyped and interrupted answers change nothing at all.
    """
    place = state.place(item)
    if not answer.teaches:
        return state
    now = days(answer.at)
    evidence = EVIDENCE.get(answer.kind, _OTHER)
    view = _view(state, place, now)
    p = _chance(view.z + evidence.ease, view.spread)
    _learn_factors(state, place, view, _Step(answer, p, evidence.weight, now))
    _learn_latency(state, place, answer, now)
    _learn_record(state, place, answer, p, now)
    return state


@dataclass(frozen=True, slots=True)
class _Step:
    """One answer as the factors see it."""

    answer: Answer
    p: float
    """The chance that was predicted."""
    weight: float
    now: float


def _learn_factors(state: State, place: int, view: _View, step: _Step) -> None:
    """One Gaussian step for every factor that had a part in the answer."""
    wiring, answer = state.wiring[place], step.answer
    p, weight, now = step.p, step.weight, step.now
    information = weight * p * (1.0 - p)
    d = 1.0 + view.spread * information
    pull = weight * ((1.0 if answer.right else 0.0) - p) / d
    shrink = information / d
    w, w_variance = state.w, state.w_variance
    for j, x in enumerate(view.x):
        if x:
            v = w_variance[j]
            moved = w[j] + v * x * pull
            w[j] = moved if j in _FREE else max(moved, 0.0)
            w_variance[j] = max(v - v * v * x * x * shrink, _VARIANCE_FLOOR)
    for factors, j, v in (
        (state.keys, wiring.key, view.key_variance),
        (state.shapes, wiring.shape, view.shape_variance),
        (state.cells, place, view.item_variance),
    ):
        factors.mean[j] += v * pull
        factors.variance[j] = v - v * v * shrink
        factors.last[j] = now
    state.cells.variance[place] += state.priors.item_step
    _learn_facts(state, wiring, view, step)


def _learn_facts(state: State, wiring: Wiring, view: _View, step: _Step) -> None:
    """Each fact learns from its own notes; without outcomes, from the whole answer."""
    facts, answer = state.facts, step.answer
    for (fact, _), variance in zip(wiring.weights, view.fact_variances, strict=True):
        facts.variance[fact] = variance
        facts.last[fact] = step.now
        state.fact_asked[fact] += 1.0
    if not wiring.facts:
        return
    p_note = step.p ** (1.0 / len(wiring.facts))
    information = step.weight * p_note * (1.0 - p_note)
    outcomes = answer.outcomes or (Outcome.RIGHT if answer.right else Outcome.WRONG,) * len(
        wiring.facts
    )
    for fact, outcome in zip(wiring.facts, outcomes, strict=False):
        v = facts.variance[fact]
        d = 1.0 + v * information
        ok = 1.0 if answer.right or outcome == Outcome.RIGHT else 0.0
        facts.mean[fact] += v * step.weight * (ok - p_note) / d
        facts.variance[fact] = v - v * v * information / d


def _learn_latency(state: State, place: int, answer: Answer, now: float) -> None:
    """Whether the answer was quick enough, for the level *by heart* only."""
    seconds = answer.seconds
    timed = seconds is not None and 0.0 < seconds <= _LONGEST_SECONDS
    slow = seconds is not None and not timed
    if timed and seconds is not None:
        state.seconds_total += seconds
        state.seconds_count += 1
        fresh = not (now - state.last_answer <= _PAUSE_DAYS)
        if answer.right and not fresh:
            value = math.log(seconds)
            mean = state.pace.get(answer.keystrokes, value)
            slow = value - mean > _SLOW
            state.pace[answer.keystrokes] = mean + _LATENCY_RATE * (value - mean)
    state.last_answer = now
    if answer.right and not slow and answer.day not in state.good_days[place]:
        state.good_days[place] |= {answer.day}


STEP_UP = (0.6, 0.75, 0.85, 0.9)
"""Predicted recall (before the answer) from which a right answer earns the next rung."""


def _learn_record(state: State, place: int, answer: Answer, p: float, now: float) -> None:
    key = state.wiring[place].key
    state.turn_new.append(0 if state.cell_asked[place] else 1)
    state.cell_asked[place] += 1.0
    state.key_asked[key] += 1.0
    state.cell_missed[place] = 0 if answer.right else 1
    state.cell_turn[place] = len(state.turns)
    state.turns.append(place)
    rung = state.rung[place]
    on_ladder = answer.kind in LADDER
    if not answer.right:
        asked_at = LADDER.index(Kind(answer.kind)) if on_ladder else rung
        state.rung[place] = max(min(rung, asked_at) - 1, 0)
        return
    state.cell_right[place] += 1.0
    state.key_right[key] += 1.0
    if on_ladder and rung < len(STEP_UP) and p >= STEP_UP[rung]:
        state.rung[place] = rung + 1


def replay(
    answers: Iterable[Answer], items: Mapping[str, Item], priors: Priors | None = None
) -> State:
    """The state after a whole log, whatever order it comes in: the log's own order counts.

    Answers to items that are not in ``items`` are passed over.
    """
    state = State(priors)
    for answer in sorted(answers, key=_order):
        item = items.get(answer.item)
        if item is not None:
            learn(state, item, answer)
    return state


def _order(answer: Answer) -> tuple[int, str]:
    return answer.order
