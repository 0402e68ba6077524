"""What is known: chances of recall from evidence that cells share.

A performance-factor model (after Pavlik, Cen & Koedinger 2009; Choffin et al. 2019;
Pelanek 2016): a cell's log odds are the sum of a global part (practice and time away),
its key, its pattern with direction, the facts of its notes, and the cell itself.  Each
part has a mean and a variance and is updated by one Gaussian step an answer.  The facts
count for most: a cell is right when each of its notes is, and most cells share theirs.

Conventions: time is days since 1970 as a float; time away is never negative, so a clock
set back is harmless.  ``State`` is changed in place by ``learn``; it depends on the
answers and their order alone, so replaying the log gives the same state to the last bit.
Only answers that *teach* (not retyped, not interrupted) change it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from drill.memory.items import PLAYED, Answer, Item, Kind, Outcome, clocked, days
from drill.memory.state import Priors, State, Wiring

PROBIT = 0.39
"""pi / 8: a logistic averaged over a Gaussian (MacKay 1992, from memory)."""
FREE = (0, 7)
"""Weights that may be below 0."""
MIDDLE = 3.0
"""Accidentals are counted from here, so that the level stands for a middling key."""
RESTS_FROM, REST = 7.0, 0.4
"""A key left alone fades by ``REST x ln(1 + days / RESTS_FROM)`` on top of what is learned
from the log, which seldom holds long absences.  Set by hand."""
NEW_CELL, NEW_KEY, NEW_FACT = 2.0, 1.5, 1.5
"""Stand for time away where there was no answer yet."""
_LIMIT = 20.0
"""Log odds beyond this add nothing."""
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
    PLAYED: Evidence(ease=0.0, weight=0.75),
}
"""Set by hand.  A cell asked blind tells more than one with the previous cell in view."""
_OTHER = Evidence(ease=0.0, weight=0.5)
"""Any other kind of prompt about a cell."""


@dataclass(frozen=True, slots=True)
class Recall:
    """A predicted chance."""

    p: float
    """Chance that every note would be right, 0 to 1."""
    spread: float
    """One standard deviation of that chance from what the model does not know."""


class _Facts(NamedTuple):
    """What the facts of a cell's notes say at one instant."""

    right: float
    """Right notes of the weakest."""
    away: float
    """Mean of ln(1 + days since it was asked)."""
    strength: float
    """Mean of their means."""
    variances: tuple[float, ...]
    """One for each entry of ``Wiring.weights``."""
    spread: float
    """Variance of the strength."""


def _facts(state: State, wiring: Wiring, now: float) -> _Facts:
    weights, facts, p = wiring.weights, state.facts, state.priors
    if not weights or not p.sharing:
        return _Facts(0.0, 0.0, 0.0, (0.0,) * len(weights), 0.0)
    right, away, strength, spread = math.inf, 0.0, 0.0, 0.0
    variances = []
    for fact, share in weights:
        known, variance = state.fact_right[fact], facts.variance[fact]
        right = min(right, known)
        if state.fact_turn[fact] < 0:
            away += share * NEW_FACT
        elif (days_away := now - facts.last[fact]) > 0.0:
            away += share * math.log1p(days_away)
            variance = min(max(p.cap, variance), variance + p.drift * days_away)
        strength += share * facts.mean[fact]
        spread += share * share * variance
        variances.append(variance)
    return _Facts(right, away, strength, tuple(variances), spread)


def _inputs(state: State, place: int, now: float, facts: _Facts) -> tuple[float, ...]:
    """The global inputs of a cell: one for each of ``INPUTS``."""
    log1p = math.log1p
    right, asked = state.cell_right[place], state.cell_asked[place]
    late, early = 0.0, -NEW_CELL
    if asked:
        away = max(now - state.cells.last[place], 0.0)
        late, early = -log1p(away), -log1p(8.0 * away) / (1.0 + right)
    if not state.priors.sharing:
        return (1.0, log1p(right), log1p(asked), late, early, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    wiring = state.wiring[place]
    key_asked = state.key_asked[wiring.key]
    return (
        1.0,
        log1p(right),
        log1p(asked),
        late,
        early,
        log1p(key_asked),
        -log1p(max(now - state.keys.last[wiring.key], 0.0)) if key_asked else -NEW_KEY,
        MIDDLE - wiring.accidentals,
        log1p(facts.right),
        -facts.away,
        facts.strength,
    )


def _rest(state: State, key: int, now: float) -> float:
    """What a key loses by being left alone, in log odds."""
    away = now - state.keys.last[key]
    return REST * math.log1p(away / RESTS_FROM) if away > 0.0 and state.priors.sharing else 0.0


class _View(NamedTuple):
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
    facts = _facts(state, wiring, now)
    x = _inputs(state, place, now, facts)
    drift = p.drift * p.sharing
    v_key = state.keys.variance_at(wiring.key, now, drift, p.cap)
    v_shape = state.shapes.variance_at(wiring.shape, now, drift, p.cap)
    v_item = state.cells.variance_at(place, now, p.drift, p.item_cap)
    z = state.keys.mean[wiring.key] + state.shapes.mean[wiring.shape] + state.cells.mean[place]
    spread = v_key + v_shape + v_item + state.w[-1] ** 2 * facts.spread
    z -= _rest(state, wiring.key, now)
    for value, weight, variance in zip(x, state.w, state.w_variance, strict=True):
        z += value * weight
        spread += value * value * variance
    return _View(x, z, spread, v_key, v_shape, v_item, facts.variances)


def _chance(z: float, spread: float) -> float:
    z /= math.sqrt(1.0 + PROBIT * spread)
    return 1.0 / (1.0 + math.exp(-min(max(z, -_LIMIT), _LIMIT)))


def predict(state: State, item: Item, now: datetime, kind: str = Kind.DEGREE) -> Recall:
    """The chance that ``item`` would be answered right at ``now`` when asked as ``kind``.

    A cell never asked has a chance too, from its key, its shape and its facts.
    """
    return _recall(state, state.place(item), days(now), kind)


def log_odds(state: State, item: Item, now: datetime) -> float:
    """The log odds by the means alone, as if nothing were uncertain."""
    return _view(state, state.place(item), days(now)).z


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
    _learn_record(state, place, answer)
    _learn_held(state, place, answer, _chance(view.z, view.spread), now)
    return state


class _Step(NamedTuple):
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
            vx = w_variance[j] * x
            moved = w[j] + vx * pull
            w[j] = moved if moved > 0.0 or j in FREE else 0.0
            w_variance[j] -= vx * vx * shrink  # stays above 0: the spread holds more than vx * x
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
    turn, step_variance = len(state.turns), state.priors.fact_step * state.priors.sharing
    for (fact, _), variance in zip(wiring.weights, view.fact_variances, strict=True):
        facts.variance[fact] = variance + step_variance
        facts.last[fact] = step.now
        state.fact_turn[fact] = turn
        state.fact_missed[fact] = 0
    notes = len(wiring.facts)
    if not notes:
        return
    p_note = step.p ** (1.0 / notes)
    weight, information = step.weight, step.weight * p_note * (1.0 - p_note)
    outcomes = answer.outcomes or (Outcome.RIGHT if answer.right else Outcome.WRONG,) * notes
    everything, good = answer.right, Outcome.RIGHT
    for fact, outcome in zip(wiring.facts, outcomes, strict=False):
        if everything or outcome == good:
            state.fact_right[fact] += 1.0
            surprise = 1.0 - p_note
        else:
            state.fact_missed[fact] = 1
            surprise = -p_note
        v = facts.variance[fact]
        gain = v / (1.0 + v * information)
        facts.mean[fact] += gain * weight * surprise
        facts.variance[fact] = v - v * gain * information


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


def _learn_record(state: State, place: int, answer: Answer) -> None:
    key = state.wiring[place].key
    state.turn_new.append(0 if state.cell_asked[place] else 1)
    state.turn_right.append(1 if answer.right else 0)
    state.cell_asked[place] += 1.0
    state.key_asked[key] += 1.0
    state.cell_missed[place] = 0 if answer.right else 1
    state.cell_turn[place] = len(state.turns)
    state.turns.append(place)
    state.turn_day.append(_ordinal(answer.day))
    if answer.right:
        state.cell_right[place] += 1.0
        state.key_right[key] += 1.0


def _ordinal(day: str) -> int:
    """A practice day as a number; 0 when it is no date."""
    try:
        return date.fromisoformat(day).toordinal()
    except ValueError:
        return 0


KEPT_FROM, KEPT_WITHIN = 0.8, 0.1
"""What was by heart is lost without a slip when predicted recall is below the first and more
than the second under the goal."""


def _learn_held(state: State, place: int, answer: Answer, p: float, now: float) -> None:
    """How well a right answer says that the cell will be known tomorrow, for *by heart* only.

    Kept until the cell is missed or had fallen too low, so that an evening's slips in other
    cells, which lower this one's chance a little, take nothing away.
    """
    if not answer.right:
        state.held[place] = 0.0
        return
    held = state.held[place]
    kept = held if p >= KEPT_FROM else min(held, p + KEPT_WITHIN)
    state.held[place] = max(kept, _recall(state, place, now + 1.0, Kind.DEGREE).p)


def replay(
    answers: Iterable[Answer],
    items: Mapping[str, Item],
    priors: Priors | None = None,
    now: datetime | None = None,
) -> State:
    """The state after a whole log, whatever order it comes in: the log's own order counts.

    Answers to items that are not in ``items`` are passed over.  Those dated after ``now``
    count as ``items.clocked`` says; None trusts every date.
    """
    state = State(priors)
    for answer in clocked(sorted(answers, key=_order), now):
        item = items.get(answer.item)
        if item is not None:
            learn(state, item, answer)
    return state


def _order(answer: Answer) -> tuple[int, str]:
    return answer.order
