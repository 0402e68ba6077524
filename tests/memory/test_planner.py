"""What is asked next, and how: the rule, the gaps, new cells, runs, kinds, bounds, reasons."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st
from memory_log import START, Given, answer, deck, given, log_of

from drill.memory.items import Answer, Item, days
from drill.memory.kinds import CLOSING, Kind
from drill.memory.model import learn, predict, replay
from drill.memory.planner import (
    EAR_FROM,
    HELP_BELOW,
    LEAST_ERROR,
    MISSED_ERROR,
    Options,
    block,
    choose,
    closing_round,
    kind_for,
    missed,
    next_item,
    run_is_due,
)
from drill.memory.pool import Pool, ages, chances, note_ages, notes_missed
from drill.memory.state import State

DECK = deck()
ITEMS = {item.id: item for item in DECK}


def play(
    prompts: int,
    right: object = True,
    items: tuple[Item, ...] = DECK,
    options: Options | None = None,
    seed: int = 1,
) -> tuple[State, Pool, list[Item]]:
    """A practice: ``right`` is a bool, or a set of keys in which the player is right."""
    state = State()
    pool = Pool(state, items, seed)
    asked = []
    for n in range(prompts):
        at = START + timedelta(seconds=15 * n)
        item = next_item(state, pool, at, options or Options())
        assert item is not None
        ok = item.key in right if isinstance(right, set) else bool(right)
        learn(state, item, answer(item, ok, at, n))
        asked.append(item)
    return state, pool, asked


def test_no_key_within_two_prompts_and_no_cell_within_eight() -> None:
    _, _, asked = play(300, {"k0", "k1"})
    for n, item in enumerate(asked):
        assert item.key not in {other.key for other in asked[max(0, n - 2) : n]}
        assert item.id not in {other.id for other in asked[max(0, n - 8) : n]}


@pytest.mark.parametrize("cells", [1, 2, 3, 5])
def test_a_deck_of_one_key_and_few_cells_goes_on_without_repeating_at_once(cells: int) -> None:
    _, _, asked = play(40, False, deck(1, 1, cells))
    counts = Counter(item.id for item in asked)
    assert len(counts) == cells
    assert max(counts.values()) - min(counts.values()) <= 2
    if cells > 1:
        assert all(a.id != b.id for a, b in pairwise(asked))


def test_two_keys_take_turns() -> None:
    _, _, asked = play(30, True, deck(2, 1, 7))
    assert all(a.key != b.key for a, b in pairwise(asked))


def test_an_empty_deck_has_no_next_cell() -> None:
    state = State()
    assert next_item(state, Pool(state, (), 1), START) is None


def test_the_choice_is_the_largest_error_times_wait() -> None:
    state, pool, asked = play(120, {"k0", "k1", "k2"})
    now = START + timedelta(days=1)
    free = Options(key_gap=0, cell_gap=0, new_in_ten=None)
    choice = choose(state, pool, now, free)
    assert choice is not None
    error = 1.0 - chances(state, pool, days(now))
    age = ages(state, pool)
    turn = {fact: n for n, item in enumerate(asked) for fact in item.facts}
    # As ``answer`` has it: the second note is missed.
    missed_now = {
        fact: item.key not in {"k0", "k1", "k2"} and fact == item.facts[1]
        for item in asked
        for fact in item.facts
    }
    score = []
    for item, e, a in zip(pool.items, error, age, strict=True):
        least = LEAST_ERROR if state.record(item).last_right else MISSED_ERROR
        waited = sum(120 - turn.get(fact, -1) for fact in item.facts) / 4
        share = sum(missed_now.get(fact, False) for fact in item.facts) / 4
        score.append(max(e, least) * a * waited**0.5 * (1 + share))
    assert choice.item == pool.items[score.index(max(score))]
    assert choice.error == pytest.approx(1.0 - predict(state, choice.item, now).p)


def test_a_note_s_wait_and_miss_are_counted_in_every_cell_that_holds_it() -> None:
    """1-2-3-1 on the first degree, then on the second: the note 2 and 3 are in both."""
    items = deck(1, 1, 7)
    state = State()
    pool = Pool(state, items, 1)
    assert list(note_ages(state, pool)) == [1.0] * 7
    learn(state, items[0], answer(items[0], False, START, 0))  # 2 is missed
    learn(state, items[3], answer(items[3], True, START, 1))  # 4 5 6 4
    waited, missed_share = note_ages(state, pool), notes_missed(state, pool)
    # Prompts since: 1, 2 and 3 two, 4, 5 and 6 one, 7 never: as old as both and one more.
    sums = [8, 7, 6, 4, 6, 7, 10]
    assert list(waited) == [total / 4 for total in sums]
    assert list(missed_share) == [0.25, 0.5, 0.0, 0.0, 0.0, 0.0, 0.25]
    learn(state, items[1], answer(items[1], True, START, 2))  # 2 3 4 2, and 2 is right
    assert not notes_missed(state, pool).any()


def test_a_cell_without_notes_waits_as_long_as_it_waited_itself() -> None:
    bare = replace(DECK[0], id="bare", facts=())
    state = State()
    pool = Pool(state, (*DECK, bare), 1)
    learn(state, bare, answer(bare, False, START, 0))
    for n, item in enumerate(DECK[3:6]):
        learn(state, item, answer(item, True, START, n + 1))
    assert note_ages(state, pool)[-1] == ages(state, pool)[-1] == 4
    assert notes_missed(state, pool)[-1] == 0.0
    assert chances(state, pool, days(START))[-1] == pytest.approx(predict(state, bare, START).p)


def test_ages_count_only_the_prompts_of_the_deck_itself() -> None:
    state, pool, asked = play(30)
    other = deck(9, 1, 3)[-3:]
    before = ages(state, pool)
    for n in range(50):
        learn(state, other[n % 3], answer(other[n % 3], True, START, 100 + n))
    assert list(ages(state, pool)) == list(before)
    where = [item.id for item in pool.items].index(asked[-1].id)
    assert before[where] == 1
    where = [item.id for item in pool.items].index(asked[-5].id)
    assert before[where] == 5


@examples(given(len(DECK), shortest=1), st.integers(0, 5))
def test_the_same_log_and_seed_give_the_same_cell_after_a_replay(
    entries: list[Given], seed: int
) -> None:
    log = log_of(DECK, entries)
    live = State()
    pool = Pool(live, DECK, seed)
    for row in log:
        next_item(live, pool, row.at)
        learn(live, ITEMS[row.item], row)
    again = replay(log, ITEMS)
    now = log[-1].at + timedelta(minutes=1)
    assert choose(live, pool, now) == choose(again, Pool(again, DECK, seed), now)


def test_another_seed_begins_elsewhere() -> None:
    first = {play(1, seed=seed)[2][0].id for seed in range(12)}
    assert len(first) > 5


@settings(max_examples=50)
@examples(given(10, longest=25, shortest=1), st.floats(0.0, 60.0))
def test_a_slip_never_lowers_a_cell_s_place_in_the_queue(
    entries: list[Given], later: float
) -> None:
    place = {}
    for right in (True, False):
        log = log_of(DECK, [*entries[:-1], replace(entries[-1], right=right)])
        state = replay(log, ITEMS)
        pool = Pool(state, DECK[:1] + DECK[10:11] + (ITEMS[log[-1].item],), 1)
        now = log[-1].at + timedelta(days=later)
        where = [i.id for i in pool.items].index(log[-1].item)
        error = 1.0 - chances(state, pool, days(now))[where]
        place[right] = max(error, LEAST_ERROR if right else MISSED_ERROR)
    assert place[False] >= place[True] - 1e-12


def test_missed_cells_come_back_sooner_than_those_got_right_beside_them() -> None:
    """Over one practice: a player who misses two of every seven degrees, whatever the key."""
    waits: dict[bool, list[int]] = {True: [], False: []}
    for seed in range(6):
        state, last = State(), dict[str, tuple[int, bool]]()
        pool = Pool(state, deck(5, 1, 7), seed)
        for n in range(250):
            at = START + timedelta(seconds=15 * n)
            item = next_item(state, pool, at)
            assert item is not None
            if item.id in last:
                turn, was_right = last[item.id]
                waits[was_right].append(n - turn)
            right = item.place not in {2, 5}
            last[item.id] = (n, right)
            learn(state, item, answer(item, right, at, n))
    mean = {right: sum(own) / len(own) for right, own in waits.items()}
    assert mean[False] < 0.75 * mean[True]


def test_cells_missed_in_an_earlier_practice_return_within_the_first_prompts() -> None:
    state, pool, asked = play(30)
    slipped = [asked[0], asked[7]]
    for n, item in enumerate(slipped):
        learn(state, item, answer(item, False, START + timedelta(minutes=10), 100 + n))
    begun = START + timedelta(days=1)
    back = []
    for n in range(16):  # the first eight turns they rest, as any cell does
        at = begun + timedelta(seconds=15 * n)
        found = next_item(state, pool, at, Options(since=begun))
        assert found is not None
        learn(state, found, answer(found, True, at, 200 + n))
        back.append(found.id)
    assert {item.id for item in slipped} <= set(back)


def test_new_cells_enter_a_few_at_a_time() -> None:
    state, _, asked = play(70, options=Options(new_in_ten=3))
    seen: set[str] = set()
    new = []
    for item in asked:
        new.append(item.id not in seen)
        seen.add(item.id)
    # At the very beginning there is nothing else to ask.
    settled = new[14:]
    assert max(sum(settled[n : n + 10]) for n in range(len(settled) - 9)) == 3
    assert list(state.turn_new) == [int(fresh) for fresh in new]
    assert len(seen) < len({item.id for item in play(70)[2]})


def test_a_day_to_aim_at_is_planned_for_and_then_forgotten() -> None:
    state, pool, _ = play(60, {"k0", "k1", "k2"})
    now = START + timedelta(days=1)
    aim = now + timedelta(days=40)
    choice = choose(state, pool, now, Options(aim=aim))
    assert choice is not None
    assert choice.error == pytest.approx(1.0 - predict(state, choice.item, aim).p)
    assert choice.error > 1.0 - predict(state, choice.item, now).p
    late = aim + timedelta(days=3)
    assert choose(state, pool, late, Options(aim=aim)) == choose(state, pool, late)


def test_a_block_is_the_whole_run_in_order() -> None:
    start = ITEMS["k2:s1:4"]
    assert [item.id for item in block(DECK[::-1], start)] == [f"k2:s1:{d}" for d in range(7)]
    alone = replace(start, run="")
    assert block(DECK, alone) == (alone,)


def told(state: State, right: bool, count: int, item: Item = DECK[0], at: datetime = START) -> None:
    """So many answers to a cell, all alike."""
    for n in range(count):
        learn(state, item, answer(item, right, at + timedelta(minutes=n), len(state.turns)))


def test_the_cell_before_is_shown_only_where_recall_is_expected_to_be_low() -> None:
    """Evidence is shared: a cell never asked is asked with help or without by what others show."""
    weak, strong = State(), State()
    for item in DECK[:20:2]:
        told(weak, False, 3, item)
        told(strong, True, 3, item)
    now = START + timedelta(minutes=10)
    for state in (weak, strong):
        for item in DECK[1:20:2]:
            low = predict(state, item, now).p < HELP_BELOW
            kind = kind_for(state, item, now, ["next", "degree", "run"])
            assert kind is (Kind.NEXT if low else Kind.DEGREE)
    assert {kind_for(weak, item, now) for item in DECK[1:20:2]} == {Kind.NEXT}
    assert Kind.NEXT not in {kind_for(strong, item, now) for item in DECK[1:20:2]}


def test_a_slip_brings_one_step_more_help() -> None:
    state = State()
    told(state, True, 8)
    now = START + timedelta(hours=1)
    assert kind_for(state, DECK[0], now) is Kind.TIME  # by all kinds there are
    told(state, False, 1, at=now)
    assert predict(state, DECK[0], now).p > HELP_BELOW
    assert kind_for(state, DECK[0], now, ["next", "degree"]) is Kind.NEXT
    assert kind_for(state, DECK[0], now, ["degree"]) is Kind.DEGREE


def test_a_cell_that_has_faded_is_asked_with_more_help() -> None:
    state = State()
    told(state, True, 2)
    kinds = ["next", "degree", "ear"]
    found = []
    for day in (0, 1, 10, 100, 1000, 10_000, 100_000):
        now = START + timedelta(days=day, minutes=6)
        p = predict(state, DECK[0], now).p
        wanted = "ear" if p >= EAR_FROM else "degree" if p >= HELP_BELOW else "next"
        assert kind_for(state, DECK[0], now, kinds) == wanted
        found.append(kinds.index(wanted))
    assert found == sorted(found, reverse=True)
    assert found[0] > found[-1]


def test_a_run_is_due_once_all_its_cells_are_right_and_recall_is_high() -> None:
    state, run = State(), block(DECK, DECK[0])
    for item in run[:-1]:
        told(state, True, 2, item)
    now = START + timedelta(minutes=10)
    assert not run_is_due(state, run, now)  # one was never asked
    told(state, True, 2, run[-1])
    assert run_is_due(state, run, now)
    assert not run_is_due(state, run, now + timedelta(days=100_000))  # faded
    told(state, False, 1, run[2], now)
    assert not run_is_due(state, run, now)
    assert not run_is_due(state, run[:1], now)


@pytest.mark.parametrize(
    ("allowed", "kinds"),
    [
        (["next"], {Kind.NEXT}),
        (["next", "ear"], {Kind.NEXT, Kind.EAR}),
        (["run"], {Kind.RUN}),
        (["run", "degree"], {Kind.DEGREE}),  # a whole run is a check and no step
        ([], {Kind.DEGREE}),
        (["what is it"], {Kind.DEGREE}),
    ],
)
def test_only_allowed_kinds_are_asked(allowed: list[str], kinds: set[Kind]) -> None:
    state = State()
    told(state, False, 6)
    found = set()
    for n in range(30):
        at = START + timedelta(minutes=10 + n)
        kind = kind_for(state, DECK[0], at, allowed)
        found.add(kind)
        learn(state, DECK[0], answer(DECK[0], True, at, 10 + n, kind=kind.value))
    assert found == kinds


def rows(*entries: tuple[int, bool]) -> list[Answer]:
    return [answer(DECK[cell], right, START, n) for n, (cell, right) in enumerate(entries)]


def test_the_closing_round_holds_each_cell_whose_last_turn_was_a_miss() -> None:
    log = rows((0, False), (1, False), (2, True), (0, False), (1, True), (3, False), (0, False))
    assert missed(log) == (DECK[3].id, DECK[0].id)
    log.append(answer(DECK[5], False, START, 90, interrupted=True))
    log.append(answer(DECK[3], True, START, 91, again=True))
    assert missed(log) == (DECK[3].id, DECK[0].id)


def test_the_closing_round_keeps_keys_apart_and_has_no_loop() -> None:
    state = State()
    pool = Pool(state, DECK[:30], 1)
    log = rows((0, False), (1, False), (15, False), (16, False), (34, False))
    last = closing_round(log, pool)
    assert {item.id for item in last} == {DECK[n].id for n in (0, 1, 15, 16)}
    assert all(a.key != b.key for a, b in pairwise(last))
    closing = [answer(item, False, START, 50 + n, kind=CLOSING) for n, item in enumerate(last)]
    assert missed(closing) == ()


def test_a_deck_edited_by_the_teacher_keeps_what_is_known_and_asks_what_is_new() -> None:
    state, _, asked = play(60)
    before = len(state.turns)
    edited = Pool(state, DECK[:40] + deck(7, 1, 7)[-7:], 1)
    item = next_item(state, edited, START + timedelta(days=1))
    assert item is not None
    assert len(state.turns) == before
    assert state.record(asked[0]).asked >= 1
    met = set()
    for n in range(60):
        at = START + timedelta(days=1, seconds=15 * n)
        item = next_item(state, edited, at)
        assert item is not None
        met.add(item.key)
        learn(state, item, answer(item, True, at, 500 + n))
    assert "k6" in met
