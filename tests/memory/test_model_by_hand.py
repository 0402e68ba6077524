"""What a log teaches, counted a second time.

The sums of ``memory.model`` written out plainly, factor by factor, with the values that were set
by hand as they were on 2026-11-27.  Who changes one of them changes what every log teaches: then
the benchmark of memory is to be run, and this file follows.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import timedelta

import pytest
from memory_log import Given, deck, log_of

from drill.memory.items import Answer, Item, days
from drill.memory.model import learn, log_odds, predict
from drill.memory.pool import Pool, chances
from drill.memory.state import State

DECK = deck(3, 2, 3)
ITEMS = {item.id: item for item in DECK}
FREE = (0, 7)
"""Weights that may be below 0."""


@dataclass
class Part:
    """One factor: its mean and variance, and when it was last touched, in days."""

    variance: float
    mean: float = 0.0
    last: float | None = None

    def away(self, now: float) -> float:
        return 0.0 if self.last is None else max(0.0, now - self.last)

    def spread(self, now: float, cap: float) -> float:
        grown = self.variance + 0.002 * self.away(now)
        return self.variance if grown > cap and self.variance > cap else min(cap, grown)


@dataclass
class ByHand:
    """A player, as the log so far tells."""

    w: list[float] = field(
        default_factory=lambda: [0.0, 0.3, 0.8, 0.1, 0.05, 0.12, 0.2, 0.2, 0.3, 0.2, 1.5]
    )
    doubts: list[float] = field(
        default_factory=lambda: [2.0, 0.1, 0.3, 0.012, 0.004, 0.02, 0.02, 0.004, 0.03, 0.02, 0.5]
    )
    parts: dict[str, Part] = field(default_factory=dict)
    right: Counter[str] = field(default_factory=Counter)
    asked: Counter[str] = field(default_factory=Counter)

    def part(self, family: str, name: str) -> Part:
        first = {"key": 0.1, "shape": 0.05, "fact": 0.1, "cell": 0.1}[family]
        return self.parts.setdefault(f"{family} {name}", Part(first))

    def seen(self, item: Item, now: float) -> tuple[list[float], float, float]:
        """The inputs, log odds and their variance."""
        key, shape, cell = (
            self.part("key", item.key), self.part("shape", item.shape), self.part("cell", item.id),
        )  # fmt: skip
        facts = {name: item.facts.count(name) / len(item.facts) for name in item.facts}
        notes = {name: self.part("fact", name) for name in facts}
        late = early = 0.0
        if cell.away(now):
            late = -math.log(1 + cell.away(now))
            early = -math.log(1 + 8 * cell.away(now)) / (1 + self.right[item.id])
        elif not self.asked[item.id]:
            early = -2.0
        key_late = -math.log(1 + key.away(now)) if self.asked[item.key] else -1.5
        notes_away = sum(
            share * (1.5 if notes[name].last is None else math.log(1 + notes[name].away(now)))
            for name, share in facts.items()
        )
        x = [
            1.0,
            math.log(1 + self.right[item.id]),
            math.log(1 + self.asked[item.id]),
            late,
            early,
            math.log(1 + self.asked[item.key]),
            key_late,
            3.0 - item.accidentals,
            math.log(1 + min(self.right[name] for name in facts)),
            -notes_away,
            sum(share * notes[name].mean for name, share in facts.items()),
        ]
        z = key.mean + shape.mean + cell.mean - 0.4 * math.log(1 + key.away(now) / 7)
        z += sum(a * b for a, b in zip(x, self.w, strict=True))
        variance = key.spread(now, 1.0) + shape.spread(now, 1.0) + cell.spread(now, 1.5)
        variance += self.w[-1] ** 2 * sum(
            share**2 * notes[name].spread(now, 1.0) for name, share in facts.items()
        )
        variance += sum(a * a * v for a, v in zip(x, self.doubts, strict=True))
        return x, z, variance

    def chance(self, item: Item, now: float, ease: float = 0.0) -> float:
        _, z, variance = self.seen(item, now)
        return 1 / (1 + math.exp(-(z + ease) / math.sqrt(1 + 0.39 * variance)))

    def learn(self, item: Item, answer: Answer, ease: float, weight: float) -> None:
        now = days(answer.at)
        x, _, variance = self.seen(item, now)
        p = self.chance(item, now, ease)
        told = weight * p * (1 - p)
        pull = weight * (answer.right - p) / (1 + variance * told)
        shrink = told / (1 + variance * told)
        families = (("key", item.key, 1.0), ("shape", item.shape, 1.0), ("cell", item.id, 1.5))
        for family, name, cap in families:
            part = self.part(family, name)
            v = part.spread(now, cap)
            part.mean += v * pull
            part.variance = v - v * v * shrink + (0.01 if family == "cell" else 0.0)
            part.last = now
        for at, (value, v) in enumerate(zip(x, self.doubts, strict=True)):
            moved = self.w[at] + v * value * pull
            self.w[at] = moved if at in FREE else max(0.0, moved)
            self.doubts[at] = v - (v * value) ** 2 * shrink
        each = p ** (1 / len(item.facts))
        told = weight * each * (1 - each)
        for name in dict.fromkeys(item.facts):
            part = self.part("fact", name)
            part.variance, part.last = part.spread(now, 1.0) + 0.02, now
        for name, outcome in zip(item.facts, answer.outcomes, strict=True):
            part = self.part("fact", name)
            good = answer.right or outcome == "right"
            gain = part.variance / (1 + part.variance * told)
            part.mean += gain * weight * (good - each)
            part.variance -= part.variance * gain * told
            self.right[name] += good
        self.right[item.id] += answer.right
        self.asked[item.id] += 1
        self.asked[item.key] += 1


GIVEN = [
    Given(cell, cell % 4 != 1 and turn % 5 != 3, away)
    for turn, (cell, away) in enumerate(
        (cell, away)
        for away in (0.0, 0.01, 1.0, 30.0, 400.0, 0.002, 3.0)
        for cell in (0, 1, 4, 9, 0, 12, 17, 1, 0)
    )
]
KINDS = {"degree": (0.0, 1.0), "next": (0.4, 0.75), "ear": (-0.4, 0.75), "copied": (0.0, 0.5)}


@pytest.mark.parametrize("kind", KINDS)
def test_a_log_teaches_what_its_sums_say(kind: str) -> None:
    ease, weight = KINDS[kind]
    state, by_hand = State(), ByHand()
    for number, bare in enumerate(log_of(DECK, GIVEN)):
        row = replace(bare, kind=kind)
        item = ITEMS[row.item]
        learn(state, item, row)
        by_hand.learn(item, row, ease, weight)
        later = row.at + timedelta(days=number % 9)
        other = DECK[number * 5 % len(DECK)]
        assert predict(state, other, later, kind).p == pytest.approx(
            by_hand.chance(other, days(later), ease), rel=1e-9
        )
        assert log_odds(state, other, later) == pytest.approx(
            by_hand.seen(other, days(later))[1], rel=1e-9
        )
    assert state.w == pytest.approx(by_hand.w)
    assert state.w_variance == pytest.approx(by_hand.doubts)
    for family, told in (("key", state.keys), ("shape", state.shapes), ("fact", state.facts)):
        for name, mean, variance in zip(told.names, told.mean, told.variance, strict=True):
            part = by_hand.part(family, name)
            assert (mean, variance) == pytest.approx((part.mean, part.variance))


def test_a_pool_counts_the_same_chances() -> None:
    state, by_hand = State(), ByHand()
    for row in log_of(DECK, GIVEN):
        learn(state, ITEMS[row.item], row)
        by_hand.learn(ITEMS[row.item], row, 0.0, 1.0)
    bare = Item("k9:bare", "k9", "s0", (), 0)
    later = days(row.at) + 12.5
    found = chances(state, Pool(state, (*DECK, bare), 1), later)
    assert list(found[:-1]) == pytest.approx([by_hand.chance(item, later) for item in DECK])
