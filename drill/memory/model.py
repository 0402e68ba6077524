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
from datetime import datetime
from operator import attrgetter

from drill.memory.items import Answer, Item, NoteResult, clocked, date_of, days
from drill.memory.kinds import PLAYED, Kind
from drill.memory.state import Priors, State

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
LIMIT = 20.0
"""Log odds beyond this add nothing."""
_PAUSE_DAYS = 10 / 1440
"""A gap of ten minutes is a pause: the first answer after it is not timed."""
_LONGEST_SECONDS = 30.0
_SLOW = 0.5
"""Slow: this much above the running mean of ln(seconds)."""
_LATENCY_RATE = 0.03
_GOOD, _BAD = NoteResult.RIGHT.value, NoteResult.WRONG.value


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


# A replay spends nearly all its time in what follows, answer by answer.  So some things are
# written out that would read better as calls, and every sum keeps its order: another order
# would change the last bit of what a log teaches.

_Facts = tuple[float, float, float, float, list[float]]
"""What the facts of a cell's notes say at one instant: right notes of the weakest; mean of
ln(1 + days since it was asked); mean of their means, the strength; variance of the strength;
and the variance of each, one for each entry of ``Wiring.weights``."""


def _facts(state: State, weights: tuple[tuple[int, float], ...], now: float) -> _Facts:
    p, facts = state.priors, state.facts
    if not weights or not p.sharing:
        return 0.0, 0.0, 0.0, 0.0, [0.0] * len(weights)
    known, last, mean, variance = state.fact_right, facts.last, facts.mean, facts.variance
    drift, cap, log1p = p.drift, p.cap, math.log1p
    right, away, strength, spread = math.inf, 0.0, 0.0, 0.0
    variances = []
    for fact, share in weights:
        v, days_away, notes = variance[fact], now - last[fact], known[fact]
        right = notes if notes < right else right
        if days_away > 0.0:
            away += share * log1p(days_away)
            v = grown if (grown := v + drift * days_away) <= cap else max(cap, v)
        elif state.fact_turn[fact] < 0:
            away += share * NEW_FACT
        strength += share * mean[fact]
        spread += share * share * v
        variances.append(v)
    return right, away, strength, spread, variances


_View = tuple[tuple[float, ...], float, float, float, float, float, list[float]]
"""A cell seen at one instant: its global inputs, one for each of ``Priors.weights``; log odds, and
their variance; the variances of its key, its shape, itself and its facts."""


def _view(state: State, place: int, now: float) -> _View:
    p, wiring, log1p = state.priors, state.wiring[place], math.log1p
    keys, shapes, cells, key, shape = (
        state.keys, state.shapes, state.cells, wiring.key, wiring.shape,
    )  # fmt: skip
    v_key, v_shape, v_item = keys.variance[key], shapes.variance[shape], cells.variance[place]
    z = keys.mean[key] + shapes.mean[shape] + cells.mean[place]
    right, asked = state.cell_right[place], state.cell_asked[place]
    late, early = 0.0, 0.0 if asked else -NEW_CELL
    away = now - cells.last[place]
    if away > 0.0:  # False for NaN: never asked
        late, early = -log1p(away), -log1p(8.0 * away) / (1.0 + right)
        grown = v_item + p.drift * away
        v_item = grown if grown <= p.item_cap else max(p.item_cap, v_item)
    if not p.sharing:
        x = (1.0, log1p(right), log1p(asked), late, early, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
        z, spread = _weighed(state, x, z, v_key + v_shape + v_item)
        return x, z, spread, v_key, v_shape, v_item, [0.0] * len(wiring.weights)
    in_key = state.key_asked[key]
    key_late = 0.0 if in_key else -NEW_KEY
    away = now - keys.last[key]
    if away > 0.0:
        key_late = -log1p(away)
        z -= REST * log1p(away / RESTS_FROM)
        v_key = grown if (grown := v_key + p.drift * away) <= p.cap else max(p.cap, v_key)
    away = now - shapes.last[shape]
    if away > 0.0:
        v_shape = grown if (grown := v_shape + p.drift * away) <= p.cap else max(p.cap, v_shape)
    notes, notes_away, strength, doubt, v_facts = _facts(state, wiring.weights, now)
    x = (
        1.0, log1p(right), log1p(asked), late, early, log1p(in_key), key_late,
        MIDDLE - wiring.accidentals, log1p(notes), -notes_away, strength,
    )  # fmt: skip
    z, spread = _weighed(state, x, z, v_key + v_shape + v_item + state.w[-1] ** 2 * doubt)
    return x, z, spread, v_key, v_shape, v_item, v_facts


def _weighed(state: State, x: tuple[float, ...], z: float, spread: float) -> tuple[float, float]:
    """Log odds and their variance with what the global inputs bring."""
    a, b, c, d, e, f, g, h, i, j, k = x
    aw, bw, cw, dw, ew, fw, gw, hw, iw, jw, kw = state.w
    z = (
        z + a * aw + b * bw + c * cw + d * dw + e * ew + f * fw + g * gw + h * hw + i * iw
        + j * jw + k * kw
    )  # fmt: skip
    av, bv, cv, dv, ev, fv, gv, hv, iv, jv, kv = state.w_variance
    spread = (
        spread + a * a * av + b * b * bv + c * c * cv + d * d * dv + e * e * ev + f * f * fv
        + g * g * gv + h * h * hv + i * i * iv + j * j * jv + k * k * kv
    )  # fmt: skip
    return z, spread


def _chance(z: float, spread: float) -> float:
    z /= math.sqrt(1.0 + PROBIT * spread)
    if z > LIMIT:
        z = LIMIT
    elif z < -LIMIT:
        z = -LIMIT
    return 1.0 / (1.0 + math.exp(-z))


def predict(state: State, item: Item, now: datetime, kind: str = Kind.DEGREE) -> Recall:
    """The chance that ``item`` would be answered right at ``now`` when asked as ``kind``.

    A cell never asked has a chance too, from its key, its shape and its facts.
    """
    _, z, spread, _, _, _, _ = _view(state, state.place(item), days(now))
    p = _chance(z + EVIDENCE.get(kind, _OTHER).ease, spread)
    return Recall(p, min(0.5, p * (1.0 - p) * math.sqrt(spread)))


def chance(state: State, place: int, now: float) -> float:
    """The chance that a cell's notes would be named right by its degree: ``predict``'s, for the
    cell at a place in the state, at an instant in days."""
    _, z, spread, _, _, _, _ = _view(state, place, now)
    return _chance(z, spread)


def log_odds(state: State, item: Item, now: datetime) -> float:
    """The log odds by the means alone, as if nothing were uncertain."""
    return _view(state, state.place(item), days(now))[1]


def learn(state: State, item: Item, answer: Answer) -> State:
    """The state after one answer: the same object, changed in place.

    Retyped and interrupted answers change nothing at all.
    """
    place = state.place(item)
    if not answer.teaches:
        return state
    now, evidence = days(answer.at), EVIDENCE.get(answer.kind, _OTHER)
    view = _view(state, place, now)
    z, spread = view[1], view[2]
    p = _chance(z + evidence.ease, spread)
    _learn_factors(state, place, view, now, p, evidence.weight, answer.right)
    _learn_facts(state, place, view[-1], now, p, evidence.weight, answer)
    _learn_latency(state, place, answer, now)
    _learn_record(state, place, answer)
    if not answer.right:
        state.held[place] = 0.0
    else:
        _learn_held(state, place, z, spread, now)
    return state


def _learn_factors(  # noqa: PLR0917 - the inner step of a replay: names would cost a tenth of it
    state: State, place: int, view: _View, now: float, p: float, weight: float, right: bool
) -> None:
    """One Gaussian step for every factor that had a part in the answer, but for the facts.

    ``p`` is the chance that was predicted.
    """
    inputs, _, spread, v_key, v_shape, v_item, _ = view
    wiring, keys, shapes, cells = state.wiring[place], state.keys, state.shapes, state.cells
    information = weight * p * (1.0 - p)
    d = 1.0 + spread * information
    pull = weight * ((1.0 if right else 0.0) - p) / d
    shrink = information / d
    w, w_variance = state.w, state.w_variance
    for j, x in enumerate(inputs):
        if x:
            v = w_variance[j]
            vx = v * x
            moved = w[j] + vx * pull
            w[j] = moved if moved > 0.0 or j in FREE else 0.0
            w_variance[j] = v - vx * vx * shrink  # stays above 0: the spread holds more
    j = wiring.key
    keys.mean[j] += v_key * pull
    keys.variance[j] = v_key - v_key * v_key * shrink
    keys.last[j] = now
    j = wiring.shape
    shapes.mean[j] += v_shape * pull
    shapes.variance[j] = v_shape - v_shape * v_shape * shrink
    shapes.last[j] = now
    cells.mean[place] += v_item * pull
    cells.variance[place] = v_item - v_item * v_item * shrink + state.priors.item_step
    cells.last[place] = now


def _learn_facts(  # noqa: PLR0917 - likewise
    state: State, place: int, variances: list[float], now: float, p: float, weight: float,
    answer: Answer,
) -> None:  # fmt: skip
    """Each fact learns from its own notes; without outcomes, from the whole answer."""
    facts, wiring, missed = state.facts, state.wiring[place], state.fact_missed
    mean, variance, last, turns = facts.mean, facts.variance, facts.last, state.fact_turn
    turn, step = len(state.turns), state.priors.fact_step * state.priors.sharing
    for (fact, _), v in zip(wiring.weights, variances, strict=True):
        variance[fact] = v + step
        last[fact] = now
        turns[fact] = turn
        missed[fact] = 0
    notes = len(wiring.facts)
    if not notes:
        return
    p_note = p ** (1.0 / notes)
    information = weight * p_note * (1.0 - p_note)
    everything, known, good = answer.right, state.fact_right, _GOOD
    outcomes = answer.outcomes or (good if everything else _BAD,) * notes
    for fact, outcome in zip(wiring.facts, outcomes, strict=False):
        if everything or outcome == good:
            known[fact] += 1.0
            surprise = 1.0 - p_note
        else:
            missed[fact] = 1
            surprise = -p_note
        v = variance[fact]
        gain = v / (1.0 + v * information)
        mean[fact] += gain * weight * surprise
        variance[fact] = v - v * gain * information


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
    key, right = state.wiring[place].key, answer.right
    state.turn_new.append(0 if state.cell_asked[place] else 1)
    state.turn_right.append(1 if right else 0)
    state.cell_asked[place] += 1.0
    state.key_asked[key] += 1.0
    state.cell_missed[place] = 0 if right else 1
    kinds = state.right_in[place]
    if (answer.kind in kinds) != right:
        state.right_in[place] = kinds | {answer.kind} if right else kinds - {answer.kind}
    state.cell_turn[place] = len(state.turns)
    state.turns.append(place)
    day = date_of(answer.day)
    state.turn_day.append(day.toordinal() if day else 0)
    if right:
        state.cell_right[place] += 1.0
        state.key_right[key] += 1.0


KEPT_FROM, KEPT_WITHIN = 0.8, 0.1
"""What was by heart is lost without a slip when predicted recall is below the first and more
than the second under the goal."""


def _learn_held(state: State, place: int, z: float, spread: float, now: float) -> None:
    """How well a right answer says that the cell will be known tomorrow, for *by heart* only.

    Kept until the cell is missed or had fallen too low, so that an evening's slips in other
    cells, which lower this one's chance a little, take nothing away.  ``z`` and ``spread`` are
    those of the cell before the answer.
    """
    kept = state.held[place]
    if kept and (p := _chance(z, spread)) < KEPT_FROM:
        kept = min(kept, p + KEPT_WITHIN)
    _, z, spread, _, _, _, _ = _view(state, place, now + 1.0)
    state.held[place] = max(kept, _chance(z, spread))


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
    for answer in clocked(sorted(answers, key=attrgetter("order")), now):
        item = items.get(answer.item)
        if item is not None:
            learn(state, item, answer)
    return state
