"""Levels, what is due, and the weeks."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st
from memory_log import START, Given, answer, deck, given, log_of

from drill.memory.ahead import known
from drill.memory.items import Answer, Item, day_begins
from drill.memory.kinds import LADDER, TURNED, Kind
from drill.memory.levels import (
    ByHeart,
    Level,
    enough,
    goal_of,
    known_by_heart,
    level,
    level_at,
    outlook,
)
from drill.memory.model import learn, predict, replay
from drill.memory.pool import Pool
from drill.memory.progress import weeks
from drill.memory.state import State

DECK = deck(2, 1, 5)
ITEMS = {item.id: item for item in DECK}
EASY = ByHeart(recall=0.6, days=3)


def practise(days: int, right: int = 10, prompts: int = 10, first: int = 0) -> list[Answer]:
    """Every day each cell in turn; the first ``right`` cells are known."""
    out = []
    for day in range(first, first + days):
        for n in range(prompts):
            at = START + timedelta(days=day, seconds=15 * n)
            out.append(answer(DECK[n % 10], n % 10 < right, at, 1000 * day + n))
    return out


def test_a_cell_goes_from_untried_to_by_heart_on_its_third_good_day() -> None:
    state = State()
    assert level(state, DECK[0], START) is Level.UNTRIED
    found = []
    for day in range(3):
        for row in practise(1, first=day):
            learn(state, ITEMS[row.item], row)
        found.append(level(state, DECK[0], START + timedelta(days=day, minutes=5), EASY))
    assert found == [Level.HOLDING, Level.HOLDING, Level.BY_HEART]


def test_kinds_that_the_goal_names_have_to_come_right_too() -> None:
    state, rows = State(), practise(4)
    for row in rows[:30]:
        learn(state, ITEMS[row.item], row)
    now = START + timedelta(days=3)
    by_ear = replace(EASY, kinds=frozenset({Kind.EAR.value}))
    assert level(state, DECK[0], now, EASY) is Level.BY_HEART
    assert level(state, DECK[0], now, by_ear) is Level.HOLDING
    assert not known_by_heart(state, DECK[0], now, by_ear)
    pool = Pool(state, [DECK[0]], 1)
    assert (known(state, pool, now, EASY), known(state, pool, now, by_ear)) == (1, 0)
    learn(state, DECK[0], replace(rows[30], kind=Kind.EAR.value))
    later = rows[30].at
    assert level(state, DECK[0], later, by_ear) is Level.BY_HEART
    assert known(state, pool, later, by_ear) == 1
    # Missed by ear, then right with the page: by heart again, but not by ear.
    at = later
    for n, (kind, right) in enumerate([("ear", False), *[("next", True)] * 4]):
        at = later + timedelta(minutes=n)
        learn(state, DECK[0], replace(rows[30], kind=kind, right=right, outcomes=(), at=at))
    assert level(state, DECK[0], at, EASY) is Level.BY_HEART
    assert level(state, DECK[0], at, by_ear) is Level.HOLDING


def test_what_can_be_asked_in_one_way_only_needs_no_other() -> None:
    every = frozenset(kind.value for kind in LADDER)
    turned = replace(DECK[0], id="turned", shape=f"{TURNED}signature")
    alone, of_a_run = replace(DECK[0], id="alone", run=""), replace(DECK[0], id="run", run="r")
    state = State()
    for item in (turned, alone, of_a_run):
        learn(state, item, replace(practise(1)[0], item=item.id))
    assert state.record(turned).right_in >= every
    assert state.record(alone).right_in == {"degree", "run"}
    assert state.record(of_a_run).right_in == {"degree"}


def test_the_goal_of_a_deck_takes_the_kinds_in_which_a_cell_is_asked() -> None:
    assert goal_of(0.8, 2, ("ear", "signature")) == ByHeart(0.8, 2, frozenset({"ear"}))


def test_the_goal_decides() -> None:
    """What counts is the recall that the last right answer promised for the next day."""
    state = replay(practise(3), ITEMS)
    now = START + timedelta(days=2, minutes=5)
    p = state.record(DECK[0]).held
    last = replay(practise(3)[:21], ITEMS)  # as it was after that answer
    assert p == pytest.approx(predict(last, DECK[0], START + timedelta(days=3)).p)
    assert level(state, DECK[0], now, ByHeart(p - 0.001, 3)) is Level.BY_HEART
    assert level(state, DECK[0], now, ByHeart(p + 0.001, 3)) is Level.HOLDING
    assert level(state, DECK[0], now, ByHeart(p - 0.001, 4)) is Level.HOLDING


def test_by_heart_fades_before_it_is_lost() -> None:
    state = replay(practise(8), ITEMS)
    goal = ByHeart(state.record(DECK[0]).held - 0.01, 3)
    seen = []
    for days in (8, 9, 15, 30, 60, 120, 240, 480, 2000, 20_000):
        p = predict(state, DECK[0], START + timedelta(days=days)).p
        found = level(state, DECK[0], START + timedelta(days=days), goal)
        kept = p >= min(0.8, goal.recall - 0.1)
        assert (found is Level.FADING) == (kept and p < goal.recall)
        assert (found is Level.BY_HEART) == (p >= goal.recall)
        seen.append(found)
    assert list(dict.fromkeys(seen))[:3] == [Level.BY_HEART, Level.FADING, Level.HOLDING]
    now = START + timedelta(days=15)
    learn(state, DECK[0], answer(DECK[0], False, now, 9999))
    assert level(state, DECK[0], now, goal) is Level.SHAKY


@settings(max_examples=60, deadline=None)
@examples(entries=given(len(DECK), longest=40), recall=st.sampled_from((0.6, 0.75, 0.9)))
def test_by_heart_is_lost_by_a_slip_or_well_under_the_goal_alone(
    entries: list[Given], recall: float
) -> None:
    goal, state = ByHeart(recall, 1), State()
    known = set[str]()
    for row in log_of(DECK, entries):
        learn(state, ITEMS[row.item], row)
        now = {item.id for item in DECK if _by_heart(state, item, row, goal)}
        for lost in known - now:
            p = predict(state, ITEMS[lost], row.at).p
            assert (lost == row.item and not row.right) or p < min(0.8, recall - 0.1) + 1e-9
        known = now


def _by_heart(state: State, item: Item, row: Answer, goal: ByHeart) -> bool:
    """By its level; what is told without one says the same."""
    found = level(state, item, row.at, goal)
    assert found is level_at(state.record(item), predict(state, item, row.at).p, goal)
    assert known_by_heart(state, item, row.at, goal) == (found in (Level.FADING, Level.BY_HEART))
    return found in (Level.FADING, Level.BY_HEART)


def test_a_slip_makes_a_cell_shaky_and_time_away_too() -> None:
    state = replay(practise(3), ITEMS)
    now = START + timedelta(days=2, minutes=5)
    assert level(state, DECK[0], now + timedelta(days=20_000), EASY) is not Level.BY_HEART
    learn(state, DECK[0], answer(DECK[0], False, now, 9999))
    assert level(state, DECK[0], now, EASY) is Level.SHAKY


def test_the_outlook_counts_every_cell_once() -> None:
    log = practise(3, right=6, prompts=8)
    state = replay(log, ITEMS)
    now = START + timedelta(days=2, minutes=5)
    seen = outlook(state, DECK, now, EASY)
    assert sum(seen.levels.values()) == 10
    assert seen.levels[Level.UNTRIED] == 2
    assert seen.levels[Level.SHAKY] >= 2
    below = sum(predict(state, item, now).p < 0.6 for item in DECK[:8])
    assert seen.due == below
    assert outlook(State(), (), now).due == 0


def test_a_key_has_enough_answers_from_the_fifth_on() -> None:
    state = State()
    for n in range(5):
        assert not enough(state, "k0")
        learn(state, DECK[0], answer(DECK[0], True, START, n))
    assert enough(state, "k0")


def test_odd_days_in_a_log_break_nothing() -> None:
    log = [replace(row, day="someday") for row in practise(3)]
    assert len(weeks(log, ITEMS, DECK, EASY)) <= 1


def test_what_was_asked_today_is_not_due_before_tomorrow() -> None:
    state = replay(practise(3, right=6), ITEMS)
    goal, now = ByHeart(0.999, 3), START + timedelta(days=2, hours=1)
    assert outlook(state, DECK, now, goal).due == 10  # every cell is under the goal
    assert outlook(state, DECK, now, goal, day_begins(now)).due == 0
    half = practise(1, prompts=4, first=3)
    for row in half:
        learn(state, ITEMS[row.item], row)
    now = START + timedelta(days=3, hours=1)
    assert outlook(state, DECK, now, goal, day_begins(now)).due == 6
    later = now + timedelta(days=1)
    assert outlook(state, DECK, later, goal, day_begins(later)).due == 10


def test_the_weeks_count_what_the_log_holds() -> None:
    log = practise(3, right=6) + practise(2, right=8, first=7)  # START is a Monday
    log.append(answer(DECK[0], True, START + timedelta(days=8), 99_999, again=True))
    found = weeks(reversed(log), ITEMS, DECK, EASY)
    assert [(w.begins, w.asked, w.right, w.practice_days) for w in found] == [
        ("2026-01-05", 30, 18, 3),
        ("2026-01-12", 20, 16, 2),
    ]
    assert [w.error_rate for w in found] == [pytest.approx(0.4), pytest.approx(0.2)]
    assert found[0].seconds == 4.0
    state = replay(log, ITEMS)
    end = max(row.at for row in log if not row.again)
    mean = sum(predict(state, item, end).p for item in DECK) / len(DECK)
    assert found[-1].recall == pytest.approx(mean)


def test_weeks_of_another_deck_are_left_out_but_teach() -> None:
    log = practise(3)
    found = weeks(log, ITEMS, DECK[:2], EASY)
    assert [(w.asked, w.right) for w in found] == [(6, 6)]
    assert weeks(log, ITEMS, (), EASY) == ()
