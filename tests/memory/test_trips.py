"""What trips a player, counted from small logs by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from memory_log import START, answer, deck

from drill.memory.items import Answer
from drill.memory.trips import Rate, trips

DECK = deck(2, 1, 7)
ITEMS = {item.id: item for item in DECK}


def test_an_empty_log_trips_nobody() -> None:
    seen = trips((), ITEMS)
    assert (seen.answers, seen.slips, seen.facts, seen.slowest) == (0, (), (), ())


def test_slips_by_kind_with_the_cells_to_drill() -> None:
    log = [
        answer(DECK[0], False, START, 1, slip="backwards"),
        answer(DECK[1], False, START, 2, slip="wrong-degree"),
        answer(DECK[2], False, START, 3, slip="backwards"),
        answer(DECK[2], False, START, 4, slip="backwards"),
        answer(DECK[3], True, START, 5),
        answer(DECK[4], False, START, 6, slip="backwards", again=True),
    ]
    seen = trips(log, ITEMS)
    assert seen.answers == 5
    assert [(s.slip, s.count, s.share) for s in seen.slips] == [
        ("backwards", 3, 0.75),
        ("wrong-degree", 1, 0.25),
    ]


def test_facts_are_counted_note_by_note_and_ranked_by_what_is_certain() -> None:
    miss_second = ("right", "wrong", "right", "right")
    log = [answer(DECK[0], False, START, n, outcomes=miss_second) for n in range(2)]
    log += [answer(DECK[7], n % 3 == 0, START, 10 + n) for n in range(30)]
    seen = trips(log, ITEMS)
    # 20 misses in 30 are surer than 2 in 2.
    assert [(r.name, r.asked, r.missed) for r in seen.facts] == [
        (DECK[7].facts[1], 30, 20),
        (DECK[0].facts[1], 2, 2),
    ]


def test_the_wilson_interval_against_published_values() -> None:
    """10 of 100: 0.0552; 0 of 10: 0; 8 of 10: 0.4902 (Wilson 1927, figures recomputed)."""
    assert Rate("", 100, 10).at_least == pytest.approx(0.0552, abs=1e-4)
    assert Rate("", 10, 8).at_least == pytest.approx(0.4902, abs=1e-4)
    assert Rate("", 10, 0).at_least == pytest.approx(0.0, abs=1e-12)
    assert (Rate("", 0, 0).at_least, Rate("", 0, 0).share) == (0.0, 0.0)


def test_the_interval_agrees_with_scipy() -> None:
    stats = pytest.importorskip("scipy.stats")
    for missed, asked in ((1, 3), (5, 9), (40, 41), (3, 300)):
        low = stats.binomtest(missed, asked).proportion_ci(0.95, method="wilson").low
        assert Rate("", asked, missed).at_least == pytest.approx(low, abs=1e-4)


def test_keys_that_are_mixed_up_with_others() -> None:
    log = [
        answer(DECK[n % 14], n % 14 < 7, START, n, slip=None if n % 14 < 7 else "other-key")
        for n in range(28)
    ]
    seen = trips(log, ITEMS, key_slips={"other-key", "other-signature"})
    (mixed,) = seen.mixed_keys
    assert (mixed.rate, mixed.others) == (Rate("k1", 14, 14), ())
    assert trips(log, ITEMS).mixed_keys == ()
    told = [replace(row, details="k3" if n in {7, 8, 9} else "k2" if n == 21 else "")
            for n, row in enumerate(log)]  # fmt: skip
    seen = trips(told, ITEMS, {"other-key"}, instead=lambda row: row.details)
    assert seen.mixed_keys[0].others == (("k3", 3), ("k2", 1))


def test_where_runs_break_is_the_first_slip_of_each_run() -> None:
    def run(number: int, breaks_at: int | None, first: int = 0) -> list[Answer]:
        return [
            answer(DECK[d], d not in {breaks_at, 6}, START, 100 * number + d, kind="run")
            for d in range(first, 7)
        ]

    log = run(1, 3) + run(2, 3) + run(3, None)
    log += [answer(DECK[5], False, START, 999, kind="degree")]
    seen = trips(log, ITEMS)
    counted = {r.name: (r.asked, r.missed) for r in seen.breaks}
    # Two runs broke on the fourth cell: what comes after in them is not counted.
    assert counted == {
        "0": (3, 0),
        "1": (3, 0),
        "2": (3, 0),
        "3": (3, 2),
        "4": (1, 0),
        "5": (1, 0),
        "6": (1, 1),
    }
    assert {r.name: (r.asked, r.missed) for r in seen.places}["5"] == (4, 1)


def test_slowest_cells_need_three_timed_right_answers() -> None:
    log = [answer(DECK[0], True, START, n, seconds=s) for n, s in enumerate((5.0, 9.0, 6.0))]
    log += [answer(DECK[1], True, START, 10 + n, seconds=2.0) for n in range(3)]
    log += [answer(DECK[2], True, START, 20 + n, seconds=99.0) for n in range(2)]
    log += [answer(DECK[1], False, START, 30, seconds=99.0)]
    log += [answer(DECK[1], True, START, 31, seconds=None)]
    seen = trips(log, ITEMS)
    assert [(s.item, s.seconds, s.times) for s in seen.slowest] == [
        (DECK[0].id, 6.0, 3),
        (DECK[1].id, 2.0, 3),
    ]


def test_answers_to_unknown_items_are_passed_over() -> None:
    assert trips([answer(DECK[0], True, START)], {}).answers == 0
