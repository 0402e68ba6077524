"""Why a cell is asked: the rule that chose it, and the numbers behind it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, tzinfo

from drill.memory.items import Item, instant, practice_day
from drill.memory.model import predict
from drill.memory.planner import DEFAULTS, ChosenCell, Options, Rule, scored
from drill.memory.pool import Pool, note_ages, notes_missed
from drill.memory.state import State


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
    days_away: int | None
    """Practice days since the cell was last asked, 0 for the same day; None when never asked."""
    asked: int
    slips: int
    key_asked: int
    key_slips: int
    rule: Rule
    """What chose it."""
    note_turns: float
    """Prompts of this pool since its notes were asked, in any cell: the mean over them, from 1."""
    notes_missed: float
    """Share of its notes that were missed when they were last asked, 0 to 1."""
    place: int
    """Its place by chance of error and waits among all cells of the pool, 1 for the largest,
    whatever may be asked now."""
    pool: int
    """How many cells the pool has."""
    among: int
    """How many cells could be chosen from by the rule, itself included."""
    waiting: int
    """How many untried cells of the pool have to wait their turn."""


def explain(
    state: State,
    pool: Pool,
    choice: ChosenCell,
    now: datetime,
    options: Options = DEFAULTS,
    zone: tzinfo | None = None,
) -> Why:
    """The numbers behind a choice made at ``now`` with the same options.

    ``zone`` is where practice days begin; None takes that of ``now``.
    """
    item = choice.item
    where = {other.id: n for n, other in enumerate(pool.items)}[item.id]
    seen = scored(state, pool, now, options)
    error, age, score = seen.error, seen.age, seen.score
    lot = pool.arrays.lot
    ahead = (score > score[where]) | ((score == score[where]) & (lot > lot[where]))
    record, key = state.record(item), state.key_record(item.key)
    recall = predict(state, item, now)
    return Why(
        item=item,
        recall=recall.p,
        spread=recall.spread,
        aim_recall=None if options.aim is None else 1.0 - float(error[where]),
        turns=None if record.last is None else int(age[where]),
        days_away=None if record.last is None else days_between(record.last, now, zone),
        asked=record.asked,
        slips=record.slips,
        key_asked=key.asked,
        key_slips=key.slips,
        note_turns=float(note_ages(state, pool)[where]),
        notes_missed=float(notes_missed(state, pool)[where]),
        place=int(ahead.sum()) + 1,
        pool=len(pool),
        rule=choice.rule,
        among=choice.among,
        waiting=choice.waiting,
    )


def days_between(last: float, now: datetime, zone: tzinfo | None) -> int:
    """Practice days from an instant, in days since 1970, to ``now``: 0 on the same one."""
    zone = zone or now.tzinfo
    then = practice_day(instant(round(last * 86_400_000_000)), zone)
    away = date.fromisoformat(practice_day(now, zone)) - date.fromisoformat(then)
    return max(0, away.days)
