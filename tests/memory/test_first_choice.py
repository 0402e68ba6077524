"""The first prompt, chosen cell by cell, is the planner's own: the two rules beside each other."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from memory_log import START, answer, deck

from drill.memory.first import MOST, first_choice
from drill.memory.introducing import IntroPlace, NewLimits
from drill.memory.items import Item
from drill.memory.model import learn
from drill.memory.planner import Options, Rule, choose
from drill.memory.pool import Pool
from drill.memory.state import State

BARE = Item("bare", "k2", "s9", (), 2)
ITEMS = (*deck(9, 2, 7), BARE)
OTHERS = deck(11, 3, 7)[-30:]
"""Another deck's cells: keys in common and keys of their own."""
ORDER = {
    item.id: IntroPlace(int(item.key[1:]), item.shape[-1:], ":s1:" in item.id) for item in ITEMS
}


def practised(dice: random.Random, days: int) -> tuple[State, datetime]:
    """What some days of practice leave: with this deck as planned, and with another one."""
    state, now = State(), START
    pool, other = Pool(state, ITEMS, 1, ORDER), Pool(state, OTHERS, 1)
    skill = dice.random()
    for day in range(days):
        now = START + timedelta(days=day * dice.choice((1, 1, 5)))
        begun = Options(new=NewLimits(keys=dice.choice((None, 0, 3)))).begun(state, now)
        for n in range(dice.randrange(45)):
            asked = choose(state, other if dice.random() < 0.2 else pool, now, begun)
            if asked is not None:
                at = now + timedelta(seconds=15 * n)
                learn(state, asked.item, answer(asked.item, dice.random() < skill, at, n))
    return state, now + timedelta(days=dice.random() * 3)


def wishes(dice: random.Random, now: datetime) -> Options:
    return Options(
        key_gap=dice.choice((2, 0, 5)),
        cell_gap=dice.choice((8, 0)),
        new_in_ten=dice.choice((9, 9, 2, None)),
        new=NewLimits(dice.choice((None, None, 0, 1, 20)), dice.choice((None, None, 0, 3))),
        aim=dice.choice((None, now + timedelta(days=9), now - timedelta(days=2))),
    )


def same(state: State, items: tuple[Item, ...], seed: int, now: datetime, options: Options) -> Rule:
    """Both choices, which must be one; what chose it."""
    begun = options.begun(state, now)
    quick = first_choice(state, Pool(state, items, seed, ORDER), now, begun)
    slow = choose(state, Pool(state, items, seed, ORDER), now, begun)
    assert slow is not None
    assert quick is not None
    assert quick.error == pytest.approx(slow.error, abs=1e-9)
    assert quick.age == pytest.approx(slow.age, rel=1e-9)
    assert quick == replace(slow, error=quick.error, age=quick.age)
    return quick.rule


def test_the_first_prompt_is_the_planner_s() -> None:
    """On three hundred drawn histories and wishes, every rule of choosing among them."""
    dice, seen = random.Random(20261126), Counter[Rule]()
    for number in range(300):
        state, now = practised(dice, number % 6)
        cells = dice.choice((ITEMS, ITEMS, ITEMS[::3], ITEMS[:5], (BARE,)))
        if (options := wishes(dice, now)).new.cells == 0 and not state.turns:
            continue  # nothing may be asked: told below
        if choose(state, Pool(state, cells, 1, ORDER), now, options) is not None:
            seen[same(state, cells, number, now, options)] += 1
    assert min(seen[rule] for rule in Rule) >= 5, seen


def test_the_planner_itself_chooses_what_is_not_the_first_prompt() -> None:
    state = State()
    pool, begun = Pool(state, ITEMS, 1, ORDER), Options().begun(state, START)
    assert first_choice(state, pool, START, begun) is not None
    learn(state, ITEMS[0], answer(ITEMS[0], True, START))
    assert first_choice(state, pool, START, begun) is None


def test_the_planner_itself_chooses_where_nothing_may_be_asked_or_too_much() -> None:
    state = State()
    assert first_choice(state, Pool(state, (), 1), START, Options()) is None
    nothing_new = Options(new=NewLimits(cells=0))
    assert first_choice(state, Pool(state, ITEMS, 1, ORDER), START, nothing_new) is None
    many = tuple(replace(BARE, id=f"b{n}") for n in range(MOST + 1))
    assert first_choice(state, Pool(state, many, 1), START, Options()) is None
    assert first_choice(state, Pool(state, many[:-1], 1), START, Options()) is not None


def test_cells_too_close_to_call_are_left_to_the_planner(monkeypatch: pytest.MonkeyPatch) -> None:
    state = State()
    pool = Pool(state, ITEMS, 1, ORDER)
    assert first_choice(state, pool, START, Options()) is not None
    monkeypatch.setattr(Pool, "lot", lambda _, item: 0.5)
    assert first_choice(state, pool, START, Options()) is None


def test_a_cell_asked_at_the_very_first_turn_is_no_new_one() -> None:
    state = State()
    learn(state, ITEMS[0], answer(ITEMS[0], True, START))
    later = START + timedelta(days=1)
    begun = Options(new=NewLimits(cells=0)).begun(state, later)
    found = first_choice(state, Pool(state, ITEMS[:2], 1, ORDER), later, begun)
    assert found is not None
    assert found.item == ITEMS[0]
