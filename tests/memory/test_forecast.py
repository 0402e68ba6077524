"""The planner run ahead: forecasts, due dates, and when it is enough for today."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from datetime import timedelta

import pytest
from memory_log import START, answer, deck
from state_digest import digest

from drill.memory import forecast as forecast_module
from drill.memory.advice import PROMPTS, WORTH, advice
from drill.memory.ahead import Day, Drawn, course, known
from drill.memory.forecast import LEAST_DAYS, LEAST_PROMPTS, Aim, forecast
from drill.memory.items import day_begins, practice_day
from drill.memory.levels import ByHeart, by_heart, outlook
from drill.memory.model import learn, predict
from drill.memory.planner import DEFAULTS, next_item
from drill.memory.pool import Pool
from drill.memory.state import State

DECK = deck(3, 1, 7)
GOAL = ByHeart(0.85, 4)
AIM = Aim(GOAL, 0.9)


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Few courses, so that the tests are quick."""
    monkeypatch.setattr(forecast_module, "COURSES", 5)


def practised(
    days: list[int], prompts: int = 21, chance: float = 0.9, seed: int = 1
) -> tuple[State, Pool]:
    """Practices on those days from the start, by a player who is right so often."""
    state, rng = State(), random.Random(seed)
    pool = Pool(state, DECK, seed)
    for day in days:
        begun = START + timedelta(days=day)
        for n in range(prompts):
            item = next_item(state, pool, begun, replace(DEFAULTS, since=begun))
            assert item is not None
            at = begun + timedelta(seconds=15 * n)
            learn(state, item, answer(item, rng.random() < chance, at, 1000 * day + n))
    return state, pool


def at(day: int) -> dict[str, object]:
    now = START + timedelta(days=day, minutes=20)
    return {"now": now, "today": practice_day(now)}


def test_what_is_by_heart_is_what_the_levels_say() -> None:
    state, pool = practised([0, 1, 2, 3, 4, 5])
    for day in (5, 6, 12, 40):
        now = START + timedelta(days=day, hours=1)
        assert known(state, pool, now, GOAL) == by_heart(outlook(state, DECK, now, GOAL).levels)
    assert known(state, pool, START + timedelta(days=5, hours=1), GOAL) > 0


def test_a_player_drawn_is_the_believed_one_where_nothing_is_drawn() -> None:
    state, pool = practised([0, 1])
    drawn = Drawn(state, pool, random.Random(1), ("degree",), believed=True)
    now = START + timedelta(days=2)
    for item in DECK:
        assert predict(drawn.player, item, now).p == predict(state, item, now).p
    before = digest(state)
    drawn.practise(now, 10, DEFAULTS)
    assert digest(state) == before
    assert len(drawn.state.turns) == len(drawn.player.turns) == len(state.turns) + 10
    # The player keeps what he was drawn to be; only counts and instants go on.
    assert drawn.player.keys.mean == state.keys.mean
    assert drawn.state.keys.mean != state.keys.mean


def test_players_drawn_differ_as_much_as_is_not_known() -> None:
    state, pool = practised([0, 1, 2])
    now = START + timedelta(days=3)
    item = DECK[0]
    chances = [
        predict(Drawn(state, pool, random.Random(n), ("degree",)).player, item, now).p
        for n in range(60)
    ]
    told = predict(state, item, now)
    mean = sum(chances) / 60
    spread = math.sqrt(sum((p - mean) ** 2 for p in chances) / 59)
    assert mean == pytest.approx(told.p, abs=0.15)
    assert 0.3 * told.spread < spread < 3 * told.spread


def test_too_little_practice_is_said_and_nothing_is_invented() -> None:
    state, pool = practised([0, 1])
    seen = forecast(state, pool, **at(1), aim=AIM)  # type: ignore[arg-type]
    assert (seen.enough, seen.practice_days) == (False, 2)
    assert (seen.days, seen.soonest, seen.latest) == (None, None, None)
    few_prompts, other = practised([0, 1, 2], prompts=5)
    assert LEAST_PROMPTS > 15
    assert not forecast(few_prompts, other, **at(2), aim=AIM).enough  # type: ignore[arg-type]
    fresh = State()
    nothing = forecast(fresh, Pool(fresh, DECK, 1), **at(0), aim=AIM)  # type: ignore[arg-type]
    assert (nothing.enough, nothing.prompts_a_day, nothing.by_heart) == (False, 0.0, 0)


def test_a_forecast_has_an_order_changes_nothing_and_is_the_same_twice() -> None:
    state, pool = practised([0, 1, 2])
    before = digest(state)
    seen = forecast(state, pool, **at(2), aim=AIM)  # type: ignore[arg-type]
    assert seen.enough
    assert seen.days is not None
    assert seen.soonest is not None
    assert 0 < seen.soonest <= seen.days
    assert seen.latest is None or seen.latest >= seen.days
    assert (seen.cells, seen.wanted, seen.practice_days) == (21, 19, LEAST_DAYS)
    assert seen.prompts_a_day == pytest.approx(21.0)
    assert digest(state) == before
    assert forecast(state, pool, **at(2), aim=AIM) == seen  # type: ignore[arg-type]


def test_the_deck_s_own_share_is_forecast() -> None:
    state, pool = practised([0, 1, 2])
    third = forecast(state, pool, **at(2), aim=replace(AIM, share=1 / 3))  # type: ignore[arg-type]
    most = forecast(state, pool, **at(2), aim=AIM)  # type: ignore[arg-type]
    assert (third.wanted, most.wanted) == (7, 19)
    assert third.days is not None
    assert third.days <= (most.days or math.inf)


def test_idle_days_slow_it() -> None:
    steady, pool = practised([0, 1, 2])
    idle, other = practised([0, 4, 8])
    soon = forecast(steady, pool, **at(2), aim=AIM).days  # type: ignore[arg-type]
    late = forecast(idle, other, **at(8), aim=AIM)  # type: ignore[arg-type]
    assert late.prompts_a_day == pytest.approx(63 / 9)
    assert soon is not None
    assert (late.days or math.inf) > soon


def test_a_goal_that_is_reached_is_now() -> None:
    state, pool = practised([0, 1, 2, 3, 4, 5, 6, 7], chance=1.0)
    seen = forecast(state, pool, **at(7), aim=AIM)  # type: ignore[arg-type]
    assert seen.by_heart >= seen.wanted
    assert (seen.days, seen.soonest, seen.latest) == (0.0, 0.0, 0.0)


def test_a_due_date_finds_so_many_and_a_pace_is_named() -> None:
    state, pool = practised([0, 2, 4], prompts=14)
    day = practice_day(START + timedelta(days=10))
    seen = forecast(state, pool, **at(4), aim=replace(AIM, due=day)).due  # type: ignore[arg-type]
    assert seen is not None
    assert (seen.day, seen.days) == (day, 6)
    assert seen.by_heart is not None
    assert seen.least is not None
    assert seen.most is not None
    assert 0 <= seen.least <= seen.by_heart <= seen.most <= 21
    later = practice_day(START + timedelta(days=40))
    far = forecast(state, pool, **at(4), aim=replace(AIM, due=later)).due  # type: ignore[arg-type]
    assert far is not None
    assert far.by_heart is not None
    assert far.by_heart >= seen.by_heart
    # What takes a high pace in six days takes a lower one, or the present, in thirty-six.
    assert (far.pace or 0) <= (seen.pace or math.inf)
    past = replace(AIM, due=practice_day(START))
    assert forecast(state, pool, **at(4), aim=past).due is None  # type: ignore[arg-type]


def test_more_prompts_a_day_make_more_by_heart() -> None:
    state, pool = practised([0, 1, 2])
    now = START + timedelta(days=2, minutes=20)

    def reached(prompts: int) -> int:
        drawn = Drawn(state, pool, random.Random(3), ("degree",))
        plan = [Day(after, prompts) for after in range(1, 8)]
        return list(course(drawn, pool, plan, now, GOAL, DEFAULTS))[-1][1]

    assert reached(0) <= reached(5) < reached(42)


# Enough for today.


def advised(state: State, pool: Pool, day: float, goal: ByHeart = GOAL):  # type: ignore[no-untyped-def]
    now = START + timedelta(days=day)
    return advice(state, pool, now, day_begins(now), goal=goal)


def test_nothing_is_advised_before_the_day_s_first_practice() -> None:
    state, pool = practised([0, 1])
    assert advised(state, pool, 2) is None
    fresh = State()
    assert advised(fresh, Pool(fresh, DECK, 1), 0) is None
    assert advised(fresh, Pool(fresh, (), 1), 0) is None


def test_another_practice_is_worth_less_the_more_was_asked_today() -> None:
    told = []
    for prompts in (1, 21, 63):
        state, pool = practised([0, 1, 2])
        begun = START + timedelta(days=3)
        for n in range(prompts):
            item = next_item(state, pool, begun, replace(DEFAULTS, since=begun))
            assert item is not None
            learn(state, item, answer(item, True, begun + timedelta(seconds=15 * n), 9000 + n))
        found = advised(state, pool, 3.02, ByHeart(0.99, 3))
        assert found is not None
        few = prompts < PROMPTS
        assert found.enough == (not found.due or (found.now < WORTH * found.later and not few))
        told.append(found)
    shares = [each.now / each.later for each in told if each.later]
    assert shares == sorted(shares, reverse=True)
    assert told[-1].enough
    assert told[-1].due == 0  # every cell was asked today: the list is finished
    assert told[-1].tomorrow > 0
    assert told[0].due > told[1].due


def test_the_same_state_gives_the_same_advice_and_stays_as_it_is() -> None:
    state, pool = practised([0, 1])
    before = digest(state)
    assert advised(state, pool, 1.02) == advised(state, pool, 1.02)
    assert digest(state) == before
