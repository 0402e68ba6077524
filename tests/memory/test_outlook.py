"""When missed cells come back: what is looked ahead is what the planner then does."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from memory_log import START, answer, deck
from state_digest import digest

from drill.memory.items import Item
from drill.memory.model import learn
from drill.memory.outlook import FAR, outlook
from drill.memory.planner import DEFAULTS, next_item
from drill.memory.pool import Pool
from drill.memory.state import State

LATER = START + timedelta(days=1)


def practised(items: tuple[Item, ...], missed: set[int], seed: int) -> tuple[State, Pool, set[str]]:
    """A practice of thirty prompts; the cells that were missed at their last turn."""
    state = State()
    pool = Pool(state, items, seed)
    wrong = set[str]()
    for n in range(30):
        item = next_item(state, pool, START)
        assert item is not None
        learn(state, item, answer(item, n not in missed, START + timedelta(seconds=15 * n), n))
        (wrong.add if n in missed else wrong.discard)(item.id)
    return state, pool, wrong


@pytest.mark.parametrize("seed", range(4))
def test_the_outlook_is_what_happens_when_every_answer_is_right(seed: int) -> None:
    state, pool, wrong = practised(deck(), {3, 11, 12, 20}, seed)
    before = digest(state)
    told = outlook(state, pool, wrong, LATER, DEFAULTS)
    assert digest(state) == before
    came = dict[str, int]()
    options = replace(DEFAULTS, since=LATER)
    for turn in range(1, FAR + 1):
        item = next_item(state, pool, LATER, options)
        assert item is not None
        came.setdefault(item.id, turn)
        blank = replace(answer(item, True, LATER, 100 + turn), outcomes=(), seconds=None)
        learn(state, item, blank)
    assert told == {item: came[item] for item in wrong if item in came}
    assert set(told) == wrong  # every eighth prompt is theirs: all four come in time


def test_a_cell_too_far_off_is_left_out_and_an_empty_deck_has_none() -> None:
    items = deck(15, 6, 7)
    state, pool, _ = practised(items, set(), 1)
    assert outlook(state, pool, {"of another deck"}, LATER, DEFAULTS) == {}
    told = outlook(state, pool, {item.id for item in items}, LATER, DEFAULTS)
    assert len(told) == FAR
    assert sorted(told.values()) == list(range(1, FAR + 1))
    assert outlook(state, Pool(state, (), 1), {items[0].id}, LATER, DEFAULTS) == {}


def test_a_branch_is_changed_alone() -> None:
    state, pool, _ = practised(deck(), {4}, 2)
    before, chosen = digest(state), next_item(state, pool, LATER)
    twin = state.branch()
    assert digest(twin) == before
    new = replace(deck()[0], id="new", key="new key", facts=("new fact",))
    learn(twin, new, answer(new, False, LATER, 99))
    assert digest(twin) != before
    assert (digest(state), next_item(state, pool, LATER)) == (before, chosen)
