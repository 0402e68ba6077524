"""The model: replay, order, range, monotony, and what each answer teaches.

No outside table exists for these numbers; the checks are the properties that common
practice asks of any such model, and the published forms it is built from.
"""

from __future__ import annotations

import math
import random
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st
from memory_log import START, Given, answer, deck, given, log_of
from state_digest import digest

from drill.memory.items import Answer, Item, days
from drill.memory.kinds import CLOSING
from drill.memory.model import EVIDENCE, learn, predict, replay
from drill.memory.pool import Pool, chances
from drill.memory.state import Priors, State

DECK = deck()
ITEMS = {item.id: item for item in DECK}


def live(log: list[Answer]) -> State:
    state = State()
    for row in log:
        learn(state, ITEMS[row.item], row)
    return state


@examples(given(len(DECK)))
def test_a_replayed_log_equals_the_live_state_to_the_last_bit(entries: list[Given]) -> None:
    log = log_of(DECK, entries)
    assert digest(replay(reversed(log), ITEMS)) == digest(live(log))


@examples(given(len(DECK), shortest=2), st.randoms(use_true_random=False))
def test_shuffling_rows_of_one_instant_changes_nothing(
    entries: list[Given], rng: random.Random
) -> None:
    log = [replace(row, at=START, stamp=0) for row in log_of(DECK, entries)]
    shuffled = list(log)
    rng.shuffle(shuffled)
    assert digest(replay(shuffled, ITEMS)) == digest(replay(log, ITEMS))


def test_asking_for_chances_of_other_cells_leaves_the_state_as_it_is() -> None:
    log = log_of(DECK, [Given(n, n % 3 > 0, 0.1) for n in range(9)])
    state = live(log)
    before = digest(state)
    for item in DECK:
        predict(state, item, START)
    Pool(state, DECK, 1)
    assert digest(state) == before


FLIPS = st.floats(0.0, 1000.0)


@examples(given(6, shortest=1), st.data())
def test_more_slips_at_the_latest_turns_never_raise_a_chance(
    entries: list[Given], data: st.DataObject
) -> None:
    cell = entries[-1].cell
    since = data.draw(st.integers(0, len(entries) - 1))
    later = data.draw(FLIPS)

    def chance(right: bool) -> float:
        log = log_of(
            DECK,
            [
                replace(e, right=right) if n >= since and e.cell == cell else e
                for n, e in enumerate(entries)
            ],
        )
        now = log[-1].at + timedelta(days=later)
        return predict(replay(log, ITEMS), DECK[cell], now).p

    assert chance(False) <= chance(True) + 1e-12


@settings(max_examples=60)
@examples(given(4, shortest=2), st.data())
def test_one_older_slip_hardly_ever_raises_a_chance_and_never_by_much(
    entries: list[Given], data: st.DataObject
) -> None:
    """Right answers after a slip surprise more, so they may overtake by a hair; not by more."""
    n = data.draw(st.integers(0, len(entries) - 1))
    chance = []
    for right in (False, True):
        changed = [*entries[:n], replace(entries[n], right=right), *entries[n + 1 :]]
        log = log_of(DECK, changed)
        chance.append(predict(replay(log, ITEMS), DECK[entries[n].cell], log[-1].at).p)
    assert chance[0] <= chance[1] + 0.05


@examples(given(8, shortest=1), FLIPS, FLIPS)
def test_time_away_never_raises_a_chance(entries: list[Given], a: float, b: float) -> None:
    log = log_of(DECK, entries)
    state = live(log)
    last = max(row.at for row in log)
    near, far = sorted((a, b))
    for item in DECK[:10]:
        # What is not known grows with time and draws a chance towards one half: below it the
        # chance may rise by that alone.
        p = predict(state, item, last + timedelta(days=near)).p
        assert predict(state, item, last + timedelta(days=far)).p <= max(p, 0.5) + 1e-9


@pytest.mark.parametrize("answers", [10_000, pytest.param(100_000, marks=pytest.mark.slow)])
def test_chances_stay_in_range_after_many_adversarial_answers(answers: int) -> None:
    items = deck(2, 1, 3)
    rng = random.Random(3)
    state = State()
    at = START
    for n in range(answers):
        block = n // 500 % 4
        right = (False, True, n % 2 == 0, rng.random() < 0.5)[block]
        away = (0.0, 1e-6, rng.uniform(-3.0, 3.0), 10.0 ** rng.uniform(-6.0, 2.0))[n % 4]
        at = max(START, min(at + timedelta(days=away), START + timedelta(days=300_000)))
        kind = rng.choice((*EVIDENCE, "something new"))
        learn(state, items[n % len(items)], answer(items[n % len(items)], right, at, n, kind=kind))
        if n % 997 == 0 or n > answers - 10:
            for item in items:
                for later in (-1000, 0, 1, 100_000):
                    recall = predict(state, item, at + timedelta(days=later))
                    assert 0.0 < recall.p < 1.0
                    assert 0.0 <= recall.spread <= 0.5
    for factors in (state.keys, state.shapes, state.facts, state.cells):
        assert all(math.isfinite(m) for m in factors.mean)
        assert all(0.0 < v < 3.0 for v in factors.variance)
    assert all(w >= 0.0 for n, w in enumerate(state.w) if n not in {0, 7})


@examples(given(len(DECK)), st.floats(-5.0, 500.0))
def test_the_pool_gives_the_same_chances_as_the_single_prediction(
    entries: list[Given], later: float
) -> None:
    log = log_of(DECK, entries)
    state = live(log)
    now = (log[-1].at if log else START) + timedelta(days=later)
    pool = Pool(state, DECK, 1)
    for item, p in zip(pool.items, chances(state, pool, days(now)), strict=True):
        assert p == pytest.approx(predict(state, item, now).p, abs=1e-12)


def test_what_one_cell_teaches_reaches_its_key_and_its_shape_but_less_the_strangers() -> None:
    right, wrong = State(), State()
    learn(right, DECK[0], answer(DECK[0], True, START))
    learn(wrong, DECK[0], answer(DECK[0], False, START))
    gap = {item.id: predict(right, item, START).p - predict(wrong, item, START).p for item in DECK}
    same_key, same_shape, stranger = gap["k0:s1:3"], gap["k3:s0:3"], gap["k3:s1:3"]
    assert gap["k0:s0:0"] > same_key > stranger > 0.0
    assert same_shape > stranger


def test_a_note_teaches_its_own_fact() -> None:
    """Of two answers that both miss one note, each lowers the note that it missed."""
    first = State()
    learn(first, DECK[0], answer(DECK[0], False, START))  # misses the second note
    other = State()
    missed_third = ("right", "right", "wrong", "right")
    learn(other, DECK[0], answer(DECK[0], False, START, outcomes=missed_third))
    second, third = DECK[0].facts[1], DECK[0].facts[2]
    a, b = first.facts, other.facts
    assert a.mean[a.index[second]] < b.mean[b.index[second]]
    assert b.mean[b.index[third]] < a.mean[a.index[third]]


def test_a_blind_prompt_tells_more_than_one_with_the_previous_cell_in_view() -> None:
    def after(kind: str) -> float:
        state = State()
        learn(state, DECK[0], answer(DECK[0], True, START, kind=kind))
        return predict(state, DECK[0], START).p

    assert after("run") > after("next") > predict(State(), DECK[0], START).p
    assert predict(State(), DECK[0], START, "next").p > predict(State(), DECK[0], START, "ear").p


@pytest.mark.parametrize("change", [{"again": True}, {"interrupted": True}, {"kind": CLOSING}])
def test_retyped_interrupted_and_closing_answers_teach_nothing(change: dict[str, object]) -> None:
    state = live(log_of(DECK, [Given(0, False, 0.0)]))
    before = digest(state)
    learn(state, DECK[0], answer(DECK[0], True, START, 9, **change))
    assert digest(state) == before


def test_a_clock_set_back_counts_as_no_time_away() -> None:
    state = State()
    learn(state, DECK[0], answer(DECK[0], True, START))
    then = predict(state, DECK[0], START).p
    assert predict(state, DECK[0], START - timedelta(days=400)).p == pytest.approx(then)
    learn(state, DECK[0], answer(DECK[0], True, START - timedelta(days=400), 2))
    assert 0.0 < predict(state, DECK[0], START).p < 1.0


def test_a_long_absence_lowers_every_chance_and_loses_no_answer() -> None:
    state = live(log_of(DECK, [Given(n % 5, True, 0.001) for n in range(40)]))
    soon, late = START + timedelta(hours=1), START + timedelta(days=700)
    for item in DECK[:5]:
        assert predict(state, item, late).p < predict(state, item, soon).p
        assert predict(state, item, late).p > predict(State(), item, late).p
        assert state.record(item).asked == 8


def test_two_decks_that_share_a_cell_share_what_is_known_of_it() -> None:
    state = State()
    easy, tricky = Pool(state, DECK[:5], 1), Pool(state, DECK[3:9], 1)
    learn(state, DECK[3], answer(DECK[3], True, START))
    shared = chances(state, easy, days(START))[3], chances(state, tricky, days(START))[0]
    assert shared[0] == shared[1] > 0.5


def test_a_cell_whose_factors_the_teacher_changed_keeps_what_it_was_first_known_by() -> None:
    """Ids name the content, so a known id with other factors is the same cell still."""
    state = live(log_of(DECK, [Given(0, True, 0.0)]))
    edited = replace(DECK[0], key="k9", facts=())
    assert predict(state, edited, START) == predict(state, DECK[0], START)


def test_an_item_without_notes_or_with_odd_names_is_no_problem() -> None:
    odd = Item("", "", "", (), 10**9)
    worse = Item("\0\ud800", "\n", "", ("a",) * 500, 0)
    state = State()
    for n, item in enumerate((odd, worse, odd, worse)):
        learn(state, item, answer(item, n > 1, START, n, outcomes=("right", "nonsense")))
        assert 0.0 < predict(state, item, START).p < 1.0
    pool = Pool(state, (odd, worse), 1)
    assert chances(state, pool, days(START))[1] == pytest.approx(predict(state, worse, START).p)


def test_the_chance_is_the_moderated_logistic() -> None:
    """Moderated: kappa = 1 / sqrt(1 + pi s2 / 8) (MacKay 1992, from memory): by integration."""
    from drill.memory.model import _chance

    for z, s2 in ((0.0, 1.0), (1.0, 0.5), (-2.0, 1.5), (3.0, 0.1)):
        steps = [-8 + 0.001 * n for n in range(16001)]
        density = [math.exp(-x * x / 2) for x in steps]
        exact = sum(
            d / (1 + math.exp(-(z + math.sqrt(s2) * x)))
            for x, d in zip(steps, density, strict=True)
        ) / sum(density)
        assert _chance(z, s2) == pytest.approx(exact, abs=0.01)


def test_without_sharing_only_the_cell_itself_learns() -> None:
    state = State(Priors(sharing=False))
    learn(state, DECK[0], answer(DECK[0], False, START))
    assert set(state.keys.mean) | set(state.facts.mean) | set(state.shapes.mean) == {0.0}
    assert state.cells.mean[0] < 0.0


def test_a_slow_right_answer_earns_no_good_day_and_a_wrong_one_none() -> None:
    state = State()
    at = START
    for n in range(20):  # the usual pace: 4 seconds
        at += timedelta(seconds=20)
        learn(state, DECK[n % 5], answer(DECK[n % 5], True, at, n))
    at += timedelta(seconds=30)
    learn(state, DECK[7], answer(DECK[7], True, at, 50, seconds=9.0))
    at += timedelta(seconds=30)
    learn(state, DECK[8], answer(DECK[8], True, at, 51, seconds=4.4))
    at += timedelta(seconds=30)
    learn(state, DECK[9], answer(DECK[9], False, at, 52, seconds=3.0))
    at += timedelta(hours=3)
    learn(state, DECK[10], answer(DECK[10], True, at, 53, seconds=12.0))  # first after a pause
    found = [state.record(DECK[n]).good_days for n in (7, 8, 9, 10)]
    assert found == [0, 1, 0, 1]


def test_the_same_day_counts_once_however_often_and_in_whatever_order() -> None:
    state = State()
    for n, away in enumerate((0, 0, 1, 0, 2, 1)):
        learn(state, DECK[0], answer(DECK[0], True, START + timedelta(days=away), n, stamp=n + 1))
    assert state.record(DECK[0]).good_days == 3


def test_bigger_numbers_than_any_clock_are_still_numbers() -> None:
    state = State()
    for n, at in enumerate((START.replace(year=9999), START.replace(year=1), START)):
        learn(state, DECK[0], answer(DECK[0], True, at, n))
        assert 0.0 < predict(state, DECK[0], START.replace(year=9999)).p < 1.0
    assert math.isfinite(predict(state, DECK[0], START.replace(year=1)).spread)
