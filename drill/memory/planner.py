"""What to ask next, and how: chance of error times prompts since last asked.

The rule is adaptive sequencing in its plain form (after Mettler, Massey & Kellman 2011):
the cell with the largest ``max(chance of error, 0.02) x prompts since it was last asked``,
never a key asked within the last 2 prompts, never a cell asked within the last 8.  Cells
are made of notes that other cells hold too, so the wait of a cell's notes counts as well,
by its square root, and a cell whose notes were missed when they were last asked, wherever
that was, comes up to twice as soon.  Time and seed come from the caller; the same log,
seed and instant give the same cell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum
from functools import reduce
from typing import TYPE_CHECKING

from drill.memory.introducing import NewLimits, may_enter
from drill.memory.items import Answer, Item, days
from drill.memory.kinds import LADDER, Kind
from drill.memory.model import predict
from drill.memory.pool import (
    Pool,
    ages,
    asked_before,
    chances,
    note_ages,
    notes_missed,
    untried,
)
from drill.memory.pool import missed as missed_items
from drill.memory.state import State

if TYPE_CHECKING:
    from drill.memory.pool import Bools, Floats

LEAST_ERROR = 0.02
"""No cell counts as safer than this, so that every cell comes round again."""
MISSED_ERROR = 0.5
"""A cell missed at its last turn counts as no safer than this, whatever its neighbours say."""
RETURNS_EVERY = 8
"""Every so many prompts a cell missed in an earlier practice comes back, while there are any.
On simulated learners this costs nothing on average; every second prompt costs half a point of
recall after a week, for weakest first is a trap."""


HELP_BELOW = 0.25
"""Predicted recall below which the previous cell is shown."""
EAR_FROM = 0.75
"""Predicted recall from which a cell is asked by ear, where a deck asks by ear at all."""
RUN_FROM = 0.8
"""Mean predicted recall from which a run is worth a check as a whole."""


class Rule(StrEnum):
    """What chose a cell."""

    SCORE = "score"
    """The largest chance of error times its wait, among all that may be asked."""
    KNOWN = "known"
    """The same among the cells asked before: new ones had to wait."""
    FIRST = "first"
    """A first meeting: the cell is new, and its turn among new ones is drawn by lot."""
    RETURN = "return"
    """Missed in an earlier practice: every eighth prompt belongs to such cells."""


@dataclass(frozen=True, slots=True)
class Options:
    """How to choose."""

    key_gap: int = 2
    """Prompts for which a key rests after it was asked; 0 lets keys come in a row."""
    cell_gap: int = 8
    """Prompts for which a cell rests; 0 lets it come twice in a row."""
    new_in_ten: int | None = 9
    """New cells enter a few at a time: at most so many of any ten prompts, while there are
    others to ask; None: no limit."""
    new: NewLimits = field(default_factory=NewLimits)
    """How much may be new in one practice."""
    since: datetime | None = None
    """When this practice began: cells missed before it come back early; None: no such rule."""
    aim: datetime | None = None
    """The day that counts (audition, lesson): errors are predicted for it; None: now."""

    def begun(self, state: State, now: datetime) -> Options:
        """The options of a practice that begins now."""
        return replace(self, since=now, new=replace(self.new, turn=len(state.turns)))


DEFAULTS = Options()


@dataclass(frozen=True, slots=True)
class ChosenCell:
    """A chosen cell with the numbers that chose it."""

    item: Item
    error: float
    """Predicted chance of error, at the aimed day when there is one."""
    age: float
    """Prompts of this pool since it was last asked."""
    rule: Rule
    """What chose it."""
    among: int
    """How many cells it was chosen from, itself included."""
    waiting: int
    """How many untried cells have to wait: for their key, their way up or another practice."""


def choose(
    state: State, pool: Pool, now: datetime, options: Options = DEFAULTS
) -> ChosenCell | None:
    """The next cell with its reasons; None when there is nothing that may be asked.

    In a pool too small for the gaps they are shortened, so that with two cells or more the
    same cell never comes twice in a row.
    """
    if not len(pool):
        return None
    seen = scored(state, pool, now, options)
    if not seen.free.any():
        return None
    score = seen.score.copy()
    score[~seen.free] = -1.0
    best = (score == score.max()).nonzero()[0]
    pick = int(best[pool.arrays.lot[best].argmax()])
    rule = seen.rule
    if rule is not Rule.RETURN and state.cell_turn[pool.places[pick]] < 0:
        rule = Rule.FIRST
    return ChosenCell(
        pool.items[pick],
        float(seen.error[pick]),
        float(seen.age[pick]),
        rule,
        int(seen.free.sum()),
        len(pool) - int(seen.enter.sum()),
    )


@dataclass(frozen=True, slots=True)
class Scored:
    """A pool at one instant, cell by cell, as the rule sees it."""

    error: Floats
    age: Floats
    score: Floats
    enter: Bools
    """Which cells are introduced already or may be."""
    free: Bools
    """Which of them may be asked now."""
    rule: Rule
    """What narrowed them."""


def scored(state: State, pool: Pool, now: datetime, options: Options) -> Scored:
    """Every cell of the pool with its score now, and what may be asked."""
    import numpy as np

    error = 1.0 - chances(state, pool, aimed(now, options))
    age = ages(state, pool)
    slipped = missed_items(state, pool)
    score = np.fmax(error, np.where(slipped, MISSED_ERROR, LEAST_ERROR)) * age
    score *= np.sqrt(note_ages(state, pool)) * (1.0 + notes_missed(state, pool))
    enter = may_enter(state, pool, options.new)
    free, rule = _allowed(state, pool, options, enter)
    if options.since is not None and may_return(state):
        returning = free & slipped & asked_before(state, pool, days(options.since))
        if returning.any():
            free, rule = returning, Rule.RETURN
    return Scored(error, age, score, enter, free, rule)


def may_return(state: State) -> bool:
    """Whether none of the prompts since the last round number of them was a known cell's."""
    here = len(state.turns) % RETURNS_EVERY
    return not any(state.cell_asked[place] > 1 for place in state.turns[len(state.turns) - here :])


def aimed(now: datetime, options: Options) -> float:
    """The instant for which errors are predicted: the day aimed at while it is to come."""
    return days(now) if options.aim is None else max(days(now), days(options.aim))


def next_item(state: State, pool: Pool, now: datetime, options: Options = DEFAULTS) -> Item | None:
    """The next cell to ask; None when the pool is empty."""
    choice = choose(state, pool, now, options)
    return None if choice is None else choice.item


def _allowed(state: State, pool: Pool, options: Options, enter: Bools) -> tuple[Bools, Rule]:
    """Which items may be asked now, and whether new ones had to wait."""
    free, new = _rested(state, pool, options, enter), untried(state, pool)
    if new_must_wait(state, options):
        old = free & ~new
        if old.any():
            free = old
    waits = (new & ~free).any() and not (new & free).any()
    return free, Rule.KNOWN if waits else Rule.SCORE


def new_must_wait(state: State, options: Options) -> bool:
    """Whether enough of the last prompts were new, as long as there are others to ask."""
    return options.new_in_ten is not None and sum(state.turn_new[-9:]) >= options.new_in_ten


def _rested(state: State, pool: Pool, options: Options, enter: Bools) -> Bools:
    """Those of some cells whose key and cell have rested: at least one."""
    free, cell, key = enter.copy(), pool.arrays.place, pool.arrays.key
    recent = state.turns[-max(options.cell_gap, options.key_gap, 1) :]
    for back, place in enumerate(reversed(recent), start=1):
        narrowed = free.copy()
        if back <= options.cell_gap:
            narrowed &= cell != place
        if back <= options.key_gap:
            narrowed &= key != state.wiring[place].key
        if not narrowed.any() and back <= options.cell_gap:
            narrowed = free & (cell != place)  # one key only: at least another cell
        if narrowed.any():
            free = narrowed
    return free


def block(items: Sequence[Item], start: Item) -> tuple[Item, ...]:
    """The whole run that ``start`` belongs to, in order; ``start`` alone if it has no run."""
    if not start.run:
        return (start,)
    return tuple(sorted((i for i in items if i.run == start.run), key=lambda i: i.place))


def kind_for(state: State, item: Item, now: datetime, allowed: Sequence[str] = LADDER) -> Kind:
    """How to ask a cell: with less help as its predicted recall grows, a step back after a slip.

    The previous cell is shown only where recall is expected to be low.  ``allowed`` limits
    the kinds; when nothing in it is on the ladder, the cell is asked by its degree.  A whole
    run is a check and no step (see ``run_is_due``), unless nothing else is allowed.
    """
    kinds = [kind for kind in LADDER if kind in allowed]
    if not kinds:
        return Kind.DEGREE
    steps = [kind for kind in kinds if kind != Kind.RUN] or kinds
    p = predict(state, item, now).p
    reach = LADDER.index(Kind.DEGREE if p >= HELP_BELOW else Kind.NEXT)
    if p >= EAR_FROM:
        reach = LADDER.index(Kind.TIME)
    fitting = [kind for kind in steps if LADDER.index(kind) <= reach] or steps[:1]
    back = state.record(item).asked and not state.record(item).last_right
    return fitting[max(0, len(fitting) - (2 if back else 1))]


def run_is_due(state: State, run: Sequence[Item], now: datetime) -> bool:
    """Whether a whole run is worth a check: each cell right when last asked, recall high."""
    records = [state.record(item) for item in run]
    if len(run) < 2 or not all(record.asked and record.last_right for record in records):
        return False
    return sum(predict(state, item, now).p for item in run) >= RUN_FROM * len(run)


def missed(answers: Sequence[Answer]) -> tuple[str, ...]:
    """Ids of the cells missed in one practice, each once, for asking them once more at its end.

    In the order of their last miss.  Retyped and interrupted answers do not count; a cell
    that was right at its last turn is not asked again.  The answers to the closing round
    itself are not to be passed in: there is no loop.
    """
    return reduce(missed_then, answers, ())


def missed_then(before: tuple[str, ...], answer: Answer) -> tuple[str, ...]:
    """What ``missed`` gives after one answer more, where it gave ``before``."""
    if not answer.teaches:
        return before
    others = tuple(item for item in before if item != answer.item)
    return others if answer.right else (*others, answer.item)


def closing_round(answers: Sequence[Answer], pool: Pool) -> tuple[Item, ...]:
    """The missed cells of one practice that are in the pool, with keys apart where they can be."""
    items = {item.id: item for item in pool.items}
    waiting = [items[i] for i in missed(answers) if i in items]
    out: list[Item] = []
    while waiting:
        last = out[-1].key if out else None
        pick = next((i for i in waiting if i.key != last), waiting[0])
        waiting.remove(pick)
        out.append(pick)
    return tuple(out)
