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
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from drill.memory.items import LADDER, Answer, Item, Kind, days
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
    since: datetime | None = None
    """When this practice began: cells missed before it come back early; None: no such rule."""
    aim: datetime | None = None
    """The day that counts (audition, lesson): errors are predicted for it; None: now."""


DEFAULTS = Options()


@dataclass(frozen=True, slots=True)
class Bounds:
    """How long a practice is; None: no bound."""

    minutes: float | None = None
    prompts: int | None = None

    def reached(self, prompts: int, seconds: float) -> bool:
        """Whether a practice of so many prompts and seconds is over."""
        if self.prompts is not None and prompts >= self.prompts:
            return True
        return self.minutes is not None and seconds >= 60.0 * self.minutes


@dataclass(frozen=True, slots=True)
class Choice:
    """A chosen cell with the numbers that chose it."""

    item: Item
    error: float
    """Predicted chance of error, at the aimed day when there is one."""
    age: float
    """Prompts of this pool since it was last asked."""


def choose(state: State, pool: Pool, now: datetime, options: Options = DEFAULTS) -> Choice | None:
    """The next cell with its reasons; None when the pool is empty.

    In a pool too small for the gaps they are shortened, so that with two cells or more the
    same cell never comes twice in a row.
    """
    if not len(pool):
        return None
    error, age, score = _scored(state, pool, now, options)
    best = (score == score.max()).nonzero()[0]
    pick = int(best[pool.lot[best].argmax()])
    return Choice(pool.items[pick], float(error[pick]), float(age[pick]))


def _scored(
    state: State, pool: Pool, now: datetime, options: Options
) -> tuple[Floats, Floats, Floats]:
    """Chance of error, age and score of each item; a score below 0 rests."""
    import numpy as np

    error = 1.0 - chances(state, pool, _aimed(now, options))
    age = ages(state, pool)
    slipped = missed_items(state, pool)
    score = np.fmax(error, np.where(slipped, MISSED_ERROR, LEAST_ERROR)) * age
    score *= np.sqrt(note_ages(state, pool)) * (1.0 + notes_missed(state, pool))
    free = _allowed(state, pool, options)
    if options.since is not None and _may_return(state):
        returning = free & slipped & asked_before(state, pool, days(options.since))
        free = returning if returning.any() else free
    score[~free] = -1.0
    return error, age, score


def _may_return(state: State) -> bool:
    """Whether none of the prompts since the last round number of them was a known cell's."""
    here = len(state.turns) % RETURNS_EVERY
    return not any(state.cell_asked[place] > 1 for place in state.turns[len(state.turns) - here :])


def _aimed(now: datetime, options: Options) -> float:
    """The instant for which errors are predicted: the day aimed at while it is to come."""
    return days(now) if options.aim is None else max(days(now), days(options.aim))


def next_item(state: State, pool: Pool, now: datetime, options: Options = DEFAULTS) -> Item | None:
    """The next cell to ask; None when the pool is empty."""
    choice = choose(state, pool, now, options)
    return None if choice is None else choice.item


def _allowed(state: State, pool: Pool, options: Options) -> Bools:
    """Which items may be asked now: at least one."""
    free: Bools = pool.place >= 0
    recent = state.turns[-max(options.cell_gap, options.key_gap, 1) :]
    for back, place in enumerate(reversed(recent), start=1):
        narrowed = free.copy()
        if back <= options.cell_gap:
            narrowed &= pool.place != place
        if back <= options.key_gap:
            narrowed &= pool.key != state.wiring[place].key
        if not narrowed.any() and back <= options.cell_gap:
            narrowed = free & (pool.place != place)  # one key only: at least another cell
        if narrowed.any():
            free = narrowed
    if options.new_in_ten is not None and sum(state.turn_new[-9:]) >= options.new_in_ten:
        old = free & ~untried(state, pool)
        return old if old.any() else free
    return free


def block(items: Sequence[Item], start: Item) -> tuple[Item, ...]:
    """The whole run that ``start`` belongs to, in order; ``start`` alone if it has no run."""
    if not start.run:
        return (start,)
    return tuple(sorted((i for i in items if i.run == start.run), key=lambda i: i.place))


def kind_for(state: State, item: Item, now: datetime, allowed: Sequence[str] = LADDER) -> Kind:
    """How to ask a cell: with less help as recall grows, a step back after a slip.

    A cell climbs by right answers at a growing predicted recall, one rung an answer, and a
    slip takes it one rung below the kind at which it happened.  A cell that has faded
    since is not asked above its predicted recall.  ``allowed`` limits the kinds; when
    nothing in it is on the ladder, the cell is asked by its degree.
    """
    rungs = sorted(LADDER.index(Kind(kind)) for kind in allowed if kind in LADDER)
    if not rungs:
        return Kind.DEGREE
    record = state.record(item)
    reach = record.rung
    p = predict(state, item, now).p
    while reach and p < KEEP[reach - 1]:
        reach -= 1
    return LADDER[max((r for r in rungs if r <= reach), default=rungs[0])]


KEEP = (0.5, 0.65, 0.75, 0.8)
"""Predicted recall below which a rung that was earned is not used."""


def missed(answers: Sequence[Answer]) -> tuple[str, ...]:
    """Ids of the cells missed in one practice, each once, for asking them once more at its end.

    In the order of their last miss.  Retyped and interrupted answers do not count; a cell
    that was right at its last turn is not asked again.  The answers to the closing round
    itself are not to be passed in: there is no loop.
    """
    last: dict[str, bool] = {}
    for answer in answers:
        if answer.teaches:
            last.pop(answer.item, None)
            last[answer.item] = answer.right
    return tuple(item for item, right in last.items() if not right)


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


@dataclass(frozen=True, slots=True)
class Why:
    """The numbers behind a choice, all from the model and the log."""

    item: Item
    recall: float
    """Predicted chance of a right answer at the instant asked about."""
    spread: float
    """One standard deviation of it."""
    aim_recall: float | None
    """The same at the aimed day; None without one."""
    turns: int | None
    """Prompts of this pool since the cell was last asked; None when never asked."""
    days_away: float | None
    """Days since the cell was last asked, 0 or more; None when never asked."""
    asked: int
    slips: int
    key_asked: int
    key_slips: int
    note_turns: float
    """Prompts of this pool since its notes were asked, in any cell: the mean over them, from 1."""
    notes_missed: float
    """Share of its notes that were missed when they were last asked, 0 to 1."""
    place: int
    """Its place in the pool by the rule, 1 for the cell that would be asked."""
    pool: int
    """How many cells it was compared with, itself included."""

    def sentences(self, cell: str, key: str) -> tuple[str, str]:
        """Two sentences for a player, with the caller's names for the cell and the key."""
        chance = f"{round(100 * self.recall)} %"
        if self.turns is None or self.days_away is None:
            first = f"{cell} is new: it has not been asked yet."
        else:
            when = "today" if self.days_away < 1 else _days_ago(self.days_away)
            first = (
                f"{cell} was asked {_times(self.asked)} with {_slips(self.slips)}, "
                f"last {self.turns} {_plural('prompt', self.turns)} back, {when}."
            )
        seen = (
            f"{key} had {_slips(self.key_slips)} in {self.key_asked} "
            f"{_plural('answer', self.key_asked)}"
            if self.key_asked
            else f"{key} is new too"
        )
        aim = (
            f" ({round(100 * self.aim_recall)} % on the day)" if self.aim_recall is not None else ""
        )
        missed = f"{round(100 * self.notes_missed)} % of them missed last time"
        second = (
            f"{seen}, and the chance that you have the cell now is about {chance}{aim}; "
            f"by chance of error times its wait and its notes' wait"
            f"{f' ({missed})' if self.notes_missed else ''} it stands {self.place} of {self.pool}."
        )
        return first, second


def explain(
    state: State, pool: Pool, item: Item, now: datetime, options: Options = DEFAULTS
) -> Why:
    """Why ``item`` is asked at ``now``, or how far it is from being asked.

    Raises KeyError when the item is not in the pool.
    """
    where = {other.id: n for n, other in enumerate(pool.items)}[item.id]
    error, age, score = _scored(state, pool, now, options)
    ahead = (score > score[where]) | ((score == score[where]) & (pool.lot > pool.lot[where]))
    record, key = state.record(item), state.key_record(item.key)
    recall = predict(state, item, now)
    return Why(
        item=item,
        recall=recall.p,
        spread=recall.spread,
        aim_recall=None if options.aim is None else 1.0 - float(error[where]),
        turns=None if record.last is None else int(age[where]),
        days_away=None if record.last is None else max(days(now) - record.last, 0.0),
        asked=record.asked,
        slips=record.slips,
        key_asked=key.asked,
        key_slips=key.slips,
        note_turns=float(note_ages(state, pool)[where]),
        notes_missed=float(notes_missed(state, pool)[where]),
        place=int(ahead.sum()) + 1,
        pool=len(pool),
    )


def _plural(word: str, number: int) -> str:
    return word if number == 1 else word + "s"


def _times(number: int) -> str:
    return "once" if number == 1 else f"{number} times"


def _slips(number: int) -> str:
    return "no slip" if number == 0 else f"{number} {_plural('slip', number)}"


def _days_ago(away: float) -> str:
    whole = round(away)
    return "yesterday" if whole == 1 else f"{whole} days ago"
