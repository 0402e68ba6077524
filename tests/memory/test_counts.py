"""Prompts are counted once each: what a pool counts beside a plain count of the whole log."""

from __future__ import annotations

from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st
from memory_log import Given, deck, given, log_of

from drill.memory.model import learn
from drill.memory.pool import Pool, ages, note_ages
from drill.memory.state import State

DECK = deck(3, 1, 5)
SOME = DECK[::2]


def by_hand(state: State, pool: Pool) -> tuple[list[float], list[float]]:
    """Ages of the cells and of their notes, from the list of all turns."""
    chosen = {item.id for item in pool.items}
    turns = [state.items[place] for place in state.turns]
    inside = [item.id in chosen for item in turns]

    def since(when: list[int]) -> float:
        return sum(inside[when[-1] + 1 :]) + 1 if when else sum(inside) + 1

    cells, notes = [], []
    for n, item in enumerate(pool.items):
        when = [t for t, other in enumerate(turns) if other.id == item.id]
        cells.append(since(when) if when else sum(inside) + pool.arrays.lot[n] * len(pool))
        times = [since([t for t, o in enumerate(turns) if f in o.facts]) for f in item.facts]
        notes.append(sum(times) / len(times))
    return cells, notes


def assert_counted(state: State, pool: Pool) -> None:
    cells, notes = by_hand(state, pool)
    assert ages(state, pool).tolist() == cells
    if state.turns:
        assert [round(age, 9) for age in note_ages(state, pool)] == [round(n, 9) for n in notes]


@settings(max_examples=25)
@examples(entries=given(len(DECK), longest=14), begun=st.integers(0, 14))
def test_counting_on_is_counting_anew(entries: list[Given], begun: int) -> None:
    state, log = State(), log_of(DECK, entries)
    pool = None
    for n, row in enumerate(log):
        if n == begun:
            pool = Pool(state, SOME, 1)
        learn(state, next(i for i in DECK if i.id == row.item), row)
        if pool is not None and n % 3 == 0:
            assert_counted(state, pool)
    pool = pool or Pool(state, SOME, 1)
    assert_counted(state, pool)
    twin = state.branch()
    for row in log:
        learn(twin, DECK[0], row)
    assert_counted(twin, pool)
    assert_counted(state, pool)
