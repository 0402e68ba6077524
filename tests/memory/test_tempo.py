"""The staircase against published convergence points; the belief against simulated players."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from datetime import date, timedelta
from statistics import mean, median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.memory.tempo import (
    ENOUGH,
    HIGH,
    LOW,
    THREE_UP_ONE_DOWN,
    Belief,
    Estimate,
    Stair,
    StairRule,
    TempoBook,
    Try,
    climb,
    stair_at,
)
from drill.wording.timing import estimate_told

DAY = date(2024, 3, 1)


def chance(log2_bpm: float, mu: float, slope: float = 0.09, lapse: float = 0.0) -> float:
    """A simulated player, written apart from the module's own curve."""
    return (1 - lapse) * 0.5 * (1 - math.tanh((log2_bpm - mu) / (2 * slope)))


def settles(rule: StairRule, seed: int, tries: int = 6000) -> float:
    """The mean chance of passing where the staircase spends its time, for one player."""
    rng = random.Random(seed)
    mu = math.log2(rng.uniform(80, 130))
    stair = stair_at(60)
    chances = []
    for number in range(tries):
        p = chance(stair.log2_bpm, mu)
        if number > 200:
            chances.append(p)
        stair = climb(stair, rng.random() < p, rule)
    return mean(chances)


FINE = StairRule(coarse=1.0, rungs=96)
"""Small steps: the published points hold in the limit of small steps."""


@pytest.mark.parametrize(("passes", "point"), [(1, 0.5), (2, 0.707), (3, 0.794), (4, 0.841)])
def test_the_staircase_settles_where_levitt_says(passes: int, point: float) -> None:
    """Source: Levitt (1971), Transformed up-down methods: 50, 70.7, 79.4, 84.1 %."""
    rule = replace(FINE, passes=passes)
    assert mean(settles(rule, seed) for seed in range(4)) == pytest.approx(point, abs=0.02)


def test_the_rule_in_use_settles_near_its_point() -> None:
    """24 rungs an octave are coarse against a slope of 0.09 octave; still within 4 points."""
    found = mean(settles(THREE_UP_ONE_DOWN, seed) for seed in range(4))
    assert found == pytest.approx(0.794, abs=0.04)


def test_the_steps_of_the_staircase() -> None:
    rung = 2 ** (1 / 24)
    assert rung == pytest.approx(1.0293, abs=5e-5)
    stair = stair_at(100)

    def after(*passes: bool) -> float:
        now = stair
        for passed in passes:
            now = climb(now, passed)
        return 2**now.log2_bpm / 100

    yes, no = True, False
    assert after(yes) == after(yes, yes) == pytest.approx(1)
    assert after(yes, yes, yes) == pytest.approx(rung**3)
    assert after(no) == pytest.approx(rung**-3)
    assert after(no, no) == pytest.approx(rung**-6)
    assert after(yes, yes, no) == pytest.approx(rung**-3)
    # up 3, first turn: down 3, second turn: up 1, then fine.
    first = (yes, yes, yes, no)
    assert after(*first) == pytest.approx(1)
    assert after(*first, yes, yes, yes) == pytest.approx(rung)
    assert after(*first, yes, yes, yes, yes, yes, yes) == pytest.approx(rung**2)
    assert after(*first, yes, yes, yes, no) == pytest.approx(1)


@given(st.floats(20, 400), st.lists(st.booleans(), max_size=200))
def test_the_staircase_stays_on_the_scale(bpm: float, passes: list[bool]) -> None:
    stair = stair_at(bpm)
    for passed in passes:
        stair = climb(stair, passed)
        assert LOW - 1e-6 <= 2**stair.log2_bpm <= HIGH + 1e-6
        assert 40 <= stair.bpm <= 260
        assert 0 <= stair.streak < 3


def simulate(seed: int, tries: int) -> tuple[float, Estimate, Stair]:
    """A player's true 80 % tempo, what is believed after some tries, and the staircase."""
    rng = random.Random(seed)
    mu = math.log2(90) + rng.gauss(0, 0.35)
    mu = min(math.log2(190), max(math.log2(55), mu))
    belief, stair = Belief(90), stair_at(90)
    for _ in range(tries):
        passed = rng.random() < chance(stair.log2_bpm, mu, lapse=0.03)
        belief = belief.told("G", 2**stair.log2_bpm, passed, DAY)
        stair = climb(stair, passed)
    true = 2 ** (mu + 0.09 * math.log(0.97 / 0.8 - 1))
    return true, belief.of("G", DAY), stair


def test_after_sixty_tries_the_estimate_is_within_a_few_percent() -> None:
    runs = [simulate(seed, 60) for seed in range(80)]
    off = [abs(estimate.bpm / true - 1) for true, estimate, _ in runs]
    assert median(off) < 0.04
    assert mean(off) < 0.05
    rule = [abs(2**stair.log2_bpm / true - 1) for true, _, stair in runs]
    assert mean(off) < mean(rule)  # the belief uses every try, the staircase the last few


def believed(
    seed: int, tries: int, keys: int, first: float
) -> tuple[Estimate, float, Estimate, float]:
    """A player whose slope is half to twice the model's, tried in some keys by the staircase:
    what is believed of the first key and of the pattern, each with the truth."""
    rng = random.Random(seed)
    slope = 0.09 * 2 ** rng.uniform(-1, 1)
    middle = math.log2(rng.uniform(70, 140))
    mus = [middle + (rng.gauss(0, 0.12) if keys > 1 else 0.0) for _ in range(keys)]
    belief, stairs = Belief(first), [stair_at(first)] * keys
    for number in range(tries * keys):
        at = number % keys
        passed = rng.random() < chance(stairs[at].log2_bpm, mus[at], slope, 0.03)
        belief = belief.told(f"k{at}", 2 ** stairs[at].log2_bpm, passed, DAY)
        stairs[at] = climb(stairs[at], passed)
    down = slope * math.log(0.97 / 0.8 - 1)
    return belief.of("k0", DAY), 2 ** (mus[0] + down), belief.whole(DAY), 2 ** (mean(mus) + down)


def test_the_intervals_hold_the_truth_as_often_as_they_say() -> None:
    """80 %, for players whose slopes are half to twice the model's, begun near their tempo or far
    from it, in one key or three: 75 to 88 % of them, of a key and of a pattern."""
    runs = [
        believed(seed, tries, keys, first)
        for first in (72, 90)
        for keys in (1, 3)
        for tries in (20, 40)
        for seed in range(9000, 9030)
    ]
    assert 0.75 <= mean(key.low <= true <= key.high for key, true, _, _ in runs) <= 0.88
    assert 0.75 <= mean(whole.low <= true <= whole.high for _, _, whole, true in runs) <= 0.88


def test_more_tries_narrow_and_days_away_widen() -> None:
    def width(estimate: Estimate) -> float:
        return math.log2(estimate.high / estimate.low)

    widths = [mean(width(simulate(seed, n)[1]) for seed in range(10)) for n in (5, 20, 60)]
    assert widths[0] > widths[1] > widths[2]
    belief = Belief(90)
    for n in range(30):
        belief = belief.told("G", 90 + n % 5, n % 5 != 4, DAY)
    away = [width(belief.of("G", DAY + timedelta(days=n))) for n in (0, 3, 10, 40)]
    assert away == sorted(away)
    assert away[1] > away[0] * 1.05
    assert width(belief.of("G", DAY - timedelta(days=9))) == away[0]  # a clock set back


def test_nothing_is_claimed_under_twelve_tries() -> None:
    belief = Belief(90)
    for n in range(ENOUGH):
        assert estimate_told(belief.whole(DAY)) == "not enough tries yet"
        belief = belief.told("G", 90, n % 4 != 3, DAY)
    whole = belief.whole(DAY)
    assert whole.enough
    assert whole.tries == 12
    assert whole.low < whole.bpm < whole.high
    assert estimate_told(whole) == f"{whole.bpm:.0f} ({whole.low:.0f} to {whole.high:.0f})"
    assert belief.of("G", DAY).enough
    assert not belief.of("F#", DAY).enough  # no try in that key


def test_a_key_with_few_tries_is_drawn_to_the_others() -> None:
    belief = Belief(90)
    for key in ("C", "G", "F"):
        for n in range(20):
            belief = belief.told(key, 140, n % 5 != 4, DAY)
    pooled = belief.whole(DAY).bpm
    assert 125 < pooled < 155
    untried = belief.of("F#", DAY)
    assert untried.bpm == pytest.approx(pooled, rel=0.02)
    assert untried.high / untried.low > 1.1 * belief.of("C", DAY).high / belief.of("C", DAY).low
    for _ in range(3):
        belief = belief.told("F#", 140, False, DAY)
    few = belief.of("F#", DAY).bpm
    for _ in range(12):
        belief = belief.told("F#", 100, False, DAY)
    many = belief.of("F#", DAY).bpm
    assert 110 < few < 0.95 * untried.bpm
    assert many < 0.85 * few
    assert belief.of("C", DAY).bpm > 120  # the others stay


def test_sharing_between_keys_helps_where_tries_are_few() -> None:
    """Ten keys, five tries in each, keys that differ by 0.12 octave: pooled against alone."""
    pooled_off, alone_off = [], []
    for seed in range(8):
        rng = random.Random(seed)
        middle = math.log2(rng.uniform(70, 150))
        keys = {f"key {n}": middle + rng.gauss(0, 0.12) for n in range(10)}
        shared, alone = Belief(90), {key: Belief(90) for key in keys}
        for key, mu in keys.items():
            bpm = 90.0
            for _ in range(5):
                passed = rng.random() < chance(math.log2(bpm), mu, lapse=0.03)
                shared = shared.told(key, bpm, passed, DAY)
                alone[key] = alone[key].told(key, bpm, passed, DAY)
                bpm *= 1.15 if passed else 1 / 1.15
        for key, mu in keys.items():
            true = 2 ** (mu + 0.09 * math.log(0.97 / 0.8 - 1))
            pooled_off.append(abs(math.log2(shared.of(key, DAY).bpm / true)))
            alone_off.append(abs(math.log2(alone[key].of(key, DAY).bpm / true)))
    assert mean(pooled_off) < 0.9 * mean(alone_off)


# What is remembered.


def practice(book: TempoBook, passes: str, bpm: int, day: date = DAY, name: str = "a") -> int:
    """Play what the staircase says, + passed and - missed; the next tempo."""
    for mark in passes:
        bpm = book.tell(Try("1-2-3-1", "G", bpm, mark == "+", day, name)).bpm
    return bpm


def test_the_next_practice_starts_a_little_under_what_was_locked_in() -> None:
    book = TempoBook(default_bpm=80)
    assert book.start_bpm("1-2-3-1", "G", DAY) == 80
    assert practice(book, "++++++", 80) == round(80 * 2 ** (6 / 24))
    held = book.held("1-2-3-1", "G")
    assert held is not None
    assert held.locked_bpm == 87  # 80, then 87: both three times in a row
    next_day = DAY + timedelta(days=1)
    start = book.start_bpm("1-2-3-1", "G", next_day)
    assert start == round(87 * 2 ** (-2 / 24)) == 82
    # A bad day: slower is locked in, and that is what is remembered.
    practice(book, "---+++", start, next_day, "b")
    held = book.held("1-2-3-1", "G")
    assert held is not None
    assert held.locked_bpm == 63
    assert book.start_bpm("1-3-5-3", "G", next_day) == 80


def test_another_key_starts_from_what_the_pattern_makes_likely() -> None:
    book = TempoBook(default_bpm=60)
    practice(book, "+++" * 10 + "-+++-+++-+++", 60)
    start = book.start_bpm("1-2-3-1", "F#", DAY)
    expected = book.estimate("1-2-3-1", "F#", DAY).bpm * 2 ** (-2 / 24)
    assert start == round(expected)
    assert start > 80
    assert book.start_bpm("1-3-5-3", "F#", DAY) == 60
    assert estimate_told(book.estimate("1-3-5-3", None, DAY)) == "not enough tries yet"


def test_a_new_practice_begins_a_new_staircase() -> None:
    book = TempoBook()
    practice(book, "+++-+++-", 80, DAY, "a")
    stair = book.tell(Try("1-2-3-1", "G", 76, False, DAY, "b"))
    assert stair.turns == 0
    assert stair.bpm == round(76 * 2 ** (-3 / 24))


def test_a_tempo_chosen_by_hand_is_what_counts() -> None:
    book = TempoBook()
    practice(book, "++", 80)
    stair = book.tell(Try("1-2-3-1", "G", 100, True, DAY, "a"))
    assert (stair.bpm, stair.streak) == (100, 1)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["1-2-3-1", "1-3-5-3"]),
            st.sampled_from(["G", "F#", "Bb"]),
            st.integers(40, 260),
            st.booleans(),
            st.integers(0, 3),
        ),
        max_size=30,
    ),
    st.integers(0, 30),
)
def test_a_replayed_log_gives_the_same_book(
    rows: list[tuple[str, str, int, bool, int]], cut: int
) -> None:
    tries = [
        Try(pattern, key, bpm, passed, DAY + timedelta(days=day))
        for pattern, key, bpm, passed, day in rows
    ]
    live, replayed = TempoBook(), TempoBook()
    for one in tries:
        live.tell(one)
    replayed.replay(tries[:cut])
    replayed.replay(tries[cut:])
    assert live == replayed
    last = DAY + timedelta(days=9)
    for pattern in ("1-2-3-1", "1-3-5-3"):
        assert 40 <= live.start_bpm(pattern, "G", last) <= 260
        estimate = live.estimate(pattern, "G", last)
        assert LOW - 1e-6 <= estimate.low <= estimate.bpm <= estimate.high <= HIGH + 1e-6
