"""The order of introduction: easy keys first, a few at a time, the way up before the way down.

The order of keys is that of university handouts (C G F D Bb A Eb E Ab ..., see
tests/reference/practice_orders.csv); how many keys at a time is the project's own rule,
set on simulated learners.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from memory_log import START, answer, deck

from drill.memory.introducing import (
    FIRST_KEYS,
    MORE_KEYS,
    UP_FIRST,
    WELL,
    IntroPlace,
    NewLimits,
    places,
)
from drill.memory.items import Item
from drill.memory.model import learn
from drill.memory.planner import Options, Rule, choose, next_item
from drill.memory.pool import Pool
from drill.memory.state import State

EVERYTHING = Options(new=NewLimits(keys=0))
"""Nothing is introduced: every cell may be asked from the beginning."""


KEYS = 15
ITEMS = tuple(
    replace(item, accidentals=int(item.key.removeprefix("k")) // 2) for item in deck(KEYS, 2, 7)
)
"""Two accidentals more every other key; shape 0 goes up, shape 1 is its way down."""
ORDER = {
    item.id: IntroPlace(int(item.key.removeprefix("k")), "", later=":s1:" in item.id)
    for item in ITEMS
}


def practise(
    state: State,
    pool: Pool,
    prompts: int,
    right: object,
    options: Options | None = None,
    day: int = 0,
) -> list[Item]:
    """One practice; ``right`` says of an item whether it is answered right."""
    now = START + timedelta(days=day)
    begun = (options or Options()).begun(state, now)
    asked = []
    for n in range(prompts):
        item = next_item(state, pool, now, begun)
        if item is None:
            break
        ok = right(item) if callable(right) else bool(right)
        learn(state, item, answer(item, ok, now + timedelta(seconds=15 * n), len(state.turns)))
        asked.append(item)
    return asked


def keys_of(asked: list[Item]) -> set[int]:
    return {ORDER[item.id].key for item in asked}


def fresh(seed: int = 1) -> tuple[State, Pool]:
    state = State()
    return state, Pool(state, ITEMS, seed, ORDER)


@pytest.mark.parametrize("seed", range(8))
def test_four_keys_are_open_at_first_and_two_more_each_practice(seed: int) -> None:
    state, pool = fresh(seed)
    first = practise(state, pool, 40, False)
    assert keys_of(first) == set(range(FIRST_KEYS))
    second = practise(state, pool, 60, False, day=1)
    assert keys_of(second) <= set(range(FIRST_KEYS + MORE_KEYS))
    third = practise(state, pool, 60, False, day=2)
    assert max(keys_of(third)) < FIRST_KEYS + 2 * MORE_KEYS
    assert max(keys_of(second + third)) >= FIRST_KEYS  # never waiting for what is missed


def test_whoever_knows_the_keys_has_all_of_them_open_within_25_prompts() -> None:
    for seed in range(8):
        state, pool = fresh(seed)
        practise(state, pool, 25, True)
        choice = choose(state, pool, START, Options().begun(State(), START))
        assert choice is not None
        # What still waits are ways down whose way up has not begun, and no key.
        open_now = Pool(state, [i for i in ITEMS if not ORDER[i.id].later], seed, ORDER)
        told = choose(state, open_now, START, Options(new=NewLimits(turn=0)))
        assert told is not None
        assert told.waiting == 0


def test_a_slip_at_a_first_meeting_begins_the_row_anew() -> None:
    state, pool = fresh()
    met: set[str] = set()

    def right(item: Item) -> bool:
        met.add(item.id)
        return len(met) % WELL != 0

    asked = practise(state, pool, 8 * WELL, right)
    assert len(met) >= 4 * WELL
    assert len(keys_of(asked)) == FIRST_KEYS


def test_a_way_down_begins_when_enough_of_its_way_up_was_asked() -> None:
    state, pool = fresh()
    up: dict[int, set[str]] = {}
    for item in practise(state, pool, 120, False):
        place = ORDER[item.id]
        if place.later:
            assert len(up.get(place.key, ())) >= UP_FIRST
        else:
            up.setdefault(place.key, set()).add(item.id)
    assert any(ORDER[state.items[p].id].later for p in state.turns)


@pytest.mark.parametrize("most", [1, 2, 3])
@pytest.mark.parametrize("right", [True, False])
def test_new_keys_are_obeyed_to_the_letter(most: int, right: bool) -> None:
    state, pool = fresh()
    met: set[int] = set()
    for day in range(4):
        asked = practise(state, pool, 40, right, Options(new=NewLimits(keys=most)), day)
        fresh_keys = keys_of(asked) - met
        assert len(fresh_keys) == most
        assert fresh_keys == set(range(len(met), len(met) + most))
        met |= fresh_keys


@given(most=st.integers(0, 12), seed=st.integers(0, 50), chance=st.integers(0, 4))
def test_new_cells_are_obeyed_to_the_letter(most: int, seed: int, chance: int) -> None:
    state, pool = fresh(seed)
    count = iter(range(1000))
    known: set[str] = set()
    for day in range(3):
        asked = practise(
            state, pool, 20, lambda item: next(count) % 4 < chance,
            Options(new=NewLimits(cells=most)), day,
        )  # fmt: skip
        fresh_cells = {item.id for item in asked} - known
        assert len(fresh_cells) == min(most, 20)
        known |= fresh_cells
    assert bool(known) == bool(most)


def test_with_no_new_cell_allowed_and_none_known_there_is_nothing_to_ask() -> None:
    state, pool = fresh()
    assert next_item(state, pool, START, Options(new=NewLimits(cells=0))) is None


def test_all_keys_at_once_for_those_who_want_it() -> None:
    state, pool = fresh()
    asked = practise(state, pool, 60, False, EVERYTHING)
    assert len(keys_of(asked)) > 10


def test_what_was_asked_once_is_never_closed_again() -> None:
    state, pool = fresh()
    far = next(item for item in ITEMS if ORDER[item.id].key == KEYS - 1)
    learn(state, far, answer(far, False, START, 0))
    asked = practise(state, pool, 40, True, day=1, options=Options(new=NewLimits(keys=1)))
    assert far in asked


def test_without_an_order_keys_come_by_their_accidentals() -> None:
    found = places(reversed(ITEMS))
    keys = sorted(ITEMS, key=lambda item: found[item.id].key)
    assert [item.accidentals for item in keys] == sorted(item.accidentals for item in ITEMS)


def test_the_rule_that_chose_is_told() -> None:
    state, pool = fresh()
    now = START
    begun = Options().begun(state, now)
    first = choose(state, pool, now, begun)
    assert first is not None
    assert first.rule is Rule.FIRST
    # Four keys, their ways up: 28 of 210 cells may come.
    assert (first.among, first.waiting) == (4 * 7, len(ITEMS) - 4 * 7)
    practise(state, pool, 30, False)
    tomorrow = now + timedelta(days=1)
    later = Options(new=NewLimits(cells=0)).begun(state, tomorrow)
    back = choose(state, pool, tomorrow, later)
    assert back is not None
    assert back.rule in (Rule.RETURN, Rule.KNOWN)
    plain = choose(state, pool, tomorrow, replace(later, since=None))
    assert plain is not None
    assert plain.rule is Rule.KNOWN
