"""What a practice and its planner are worth, on simulated learners who do not share the model.

    python tests/bench/bench_memory.py                what a player meets (16 players a world)
    python tests/bench/bench_memory.py --quick        4 players a world, a few minutes
    python tests/bench/bench_memory.py --kept-back    the world by which nothing was set, too
    python tests/bench/bench_memory.py --planner      the planner alone (24 learners a condition)

What a player meets: the practice itself is driven, with its kinds of prompt, copies, closing
round and limits; ``players`` says what is assumed of them and ``course_table`` what is counted.
The planner alone, with blind prompts and nothing introduced:

Every policy meets the same learners (paired), with seeds that were not used for setting
the model.  Recall is the learner's true mean chance over all 630 cells, in percent, after
so many days without practice.  *Gain* is over the same learner without any practice.  All
intervals are 95 %, from the spread over learners.  Simulated learners are not people.
"""

from __future__ import annotations

import argparse
import json
import math
import multiprocessing
import sys
import time
from collections import defaultdict
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import course_table
import numpy as np
from learners import (
    ACCIDENTALS,
    PROMPT_SECONDS,
    STRUCTURES,
    WORLDS,
    Array,
    Learner,
    course,
)
from players import KEPT_BACK, MASTER, SETTINGS_SHOWN, Shown
from policies import POLICIES, Alone, Ours, PerItem, Policy

DAYS = 30
HOUR = 0.3
SCHEDULES = {"commuter": (40, (0, 2, 4)), "daily": (150, tuple(range(7)))}
"""Prompts a practice, and the days of the week with one."""
GOAL = 0.9
HARD = 5
"""Keys with so many accidentals or more are the hardest."""
FIRST_SEED = 640_000
HEAD = "   ratio of gains, ours to it   prompts to 90 %"
Condition = tuple[str, str, str]
"""World, structure, schedule."""


@dataclass(frozen=True, slots=True)
class Result:
    """One learner under one policy; shares of 1."""

    recall: tuple[float, float, float]
    """After 1, 7 and 30 days."""
    hard: float
    """Recall of the hardest keys after 7 days."""
    prompts: float | None
    """Prompts until the mean chance a day later reached 90 %; None when it never did."""


@dataclass(frozen=True, slots=True)
class Prediction:
    """How well chances were predicted on randomly chosen prompts of one learner."""

    loss: dict[str, float]
    """Expected log loss by predictor, ``truth`` and ``running mean`` among them."""
    bins: dict[str, list[list[float]]]
    """By predictor, for tenths of the predicted chance: number, sum predicted, sum true."""


def practice_times(schedule: str) -> list[list[float]]:
    """The instants of all prompts, in days, a list for each practice."""
    prompts, weekdays = SCHEDULES[schedule]
    return [
        [day + HOUR + n * PROMPT_SECONDS / 86400 for n in range(prompts)]
        for day in range(DAYS)
        if day % 7 in weekdays
    ]


def run(condition: Condition, policy_name: str, seed: int) -> Result:
    world, structure, schedule = condition
    learner = Learner(world, structure, seed)
    policy = POLICIES[policy_name](learner, seed)
    turn, reached, before = 0, None, 0.0
    now = 0.0
    for practice in practice_times(schedule):
        for now in practice:
            cell = policy.pick(now)
            response, _ = learner.answer(cell, now)
            policy.tell(cell, response, now)
            turn += 1
        tomorrow = float(learner.cell_chances(now + 1.0).mean())
        if reached is None and tomorrow >= GOAL:
            part = (GOAL - before) / max(tomorrow - before, 1e-9)
            reached = turn - len(practice) * (1.0 - part)
        before = tomorrow
    chances = [learner.cell_chances(DAYS - 1 + HOUR + 0.05 + d) for d in (1, 7, 30)]
    hard = np.array(ACCIDENTALS)[course().key] >= HARD
    return Result(
        (float(chances[0].mean()), float(chances[1].mean()), float(chances[2].mean())),
        float(chances[1][hard].mean()),
        reached,
    )


def untaught(condition: Condition, seed: int) -> float:
    """Recall after the same time without any practice."""
    return float(Learner(condition[0], condition[1], seed).cell_chances(DAYS + 6 + HOUR).mean())


def predict(condition: Condition, seed: int) -> Prediction:
    """Predictors listen to a learner who is asked at random, each before the answer."""
    world, structure, schedule = condition
    learner = Learner(world, structure, seed)
    chooser = POLICIES["random"](learner, seed)
    ours, alone, cards = Ours(learner, seed), Alone(learner, seed), PerItem(learner, seed)
    listeners: tuple[Policy, ...] = (ours, alone, cards)
    right, total = 1.0, 2.0
    names = ("ours", "unshared", "fsrs", "running mean", "truth")
    loss = dict.fromkeys(names, 0.0)
    bins = {name: [[0.0, 0.0, 0.0] for _ in range(10)] for name in names}
    for practice in practice_times(schedule):
        for now in practice:
            cell = chooser.pick(now)
            guesses = [
                ours.prediction(cell, now),
                alone.prediction(cell, now),
                cards.predict(cell, now),
                right / total,
            ]
            response, truth = learner.answer(cell, now)
            for name, guess in zip(names, [*guesses, truth], strict=True):
                q = min(max(guess, 0.005), 0.995)
                loss[name] -= truth * math.log(q) + (1 - truth) * math.log(1 - q)
                box = bins[name][min(int(10 * q), 9)]
                box[0] += 1
                box[1] += q
                box[2] += truth
            for listener in listeners:
                listener.tell(cell, response, now)
            right += response.right
            total += 1
    return Prediction({name: value / (total - 2) for name, value in loss.items()}, bins)


def task(job: tuple[Condition, int, tuple[str, ...]]) -> dict[str, object]:
    """All policies for one learner."""
    condition, seed, policies = job
    return {
        "condition": condition,
        "seed": seed,
        "untaught": untaught(condition, seed),
        "runs": {name: asdict(run(condition, name, seed)) for name in policies},
        "prediction": asdict(predict(condition, seed)),
    }


def interval(values: Array) -> tuple[float, float]:
    """Mean and half width of its 95 % interval (normal, over learners)."""
    half = 1.96 * values.std(ddof=1) / math.sqrt(len(values)) if len(values) > 1 else math.nan
    return float(values.mean()), float(half)


def ratio(top: Array, bottom: Array) -> tuple[float, float, float]:
    """Ratio of two paired means with its 95 % interval (delta method)."""
    value = top.mean() / bottom.mean()
    if len(top) < 2:
        return float(value), math.nan, math.nan
    rest = top - value * bottom
    half = 1.96 * rest.std(ddof=1) / math.sqrt(len(rest)) / abs(bottom.mean())
    return float(value), float(value - half), float(value + half)


class Table:
    """The results of one condition as arrays over its learners."""

    def __init__(self, rows: list[dict[str, Any]]) -> None:
        self.rows = rows
        self.policies: list[str] = list(rows[0]["runs"])
        self.start = np.array([r["untaught"] for r in rows])

    def field(self, policy: str, name: str, part: int | None = None) -> Array:
        values = [r["runs"][policy][name] for r in self.rows]
        if part is not None:
            values = [v[part] for v in values]
        return np.array([math.nan if v is None else v for v in values])

    def gain(self, policy: str) -> Array:
        gained: Array = self.field(policy, "recall", 1) - self.start
        return gained

    def loss(self, name: str) -> Array:
        return np.array([r["prediction"]["loss"][name] for r in self.rows])

    def towards_truth(self, name: str) -> Array:
        mean, truth = self.loss("running mean"), self.loss("truth")
        share: Array = (mean - self.loss(name)) / (mean - truth)
        return share

    def calibration(self, name: str) -> float:
        """Mean distance of predicted from true chance over tenths, weighted by number."""
        bins = np.sum([r["prediction"]["bins"][name] for r in self.rows], axis=0)
        return float(np.abs(bins[:, 1] - bins[:, 2]).sum() / bins[:, 0].sum())

    def best_oracle(self) -> str:
        oracles = [p for p in self.policies if p.startswith("oracle")]
        return max(oracles, key=lambda p: float(self.field(p, "recall", 1).mean()))

    def lines(self) -> list[str]:
        ours = self.gain("ours")
        heads = ("1 day", "7 days", "30 days", "hard keys", "ours - it")
        out = [f"  {'policy':15} {' '.join(f'{head:>11}' for head in heads)}{HEAD}"]
        for p in self.policies:
            cells = [interval(100 * self.field(p, "recall", n)) for n in range(3)]
            cells.append(interval(100 * self.field(p, "hard")))
            shown = " ".join(f"{m:5.1f} ±{h:4.1f}" for m, h in cells)
            difference, half = interval(100 * (ours - self.gain(p)))
            value, low, high = ratio(ours, self.gain(p))
            reached = self.field(p, "prompts")
            done = ~np.isnan(reached)
            text = (
                f"{reached[done].mean():.0f} ({done.sum()}/{len(done)})" if done.any() else "never"
            )
            out.append(
                f"  {p:15} {shown} {difference:+6.2f} ±{half:4.2f} "
                f"{value:12.3f} ({low:6.3f} to {high:6.3f}) {text:>17}"
            )
        for name in ("ours", "unshared", "fsrs"):
            share, half = interval(100 * self.towards_truth(name))
            out.append(
                f"  log loss {name:9} {self.loss(name).mean():.4f} (running mean "
                f"{self.loss('running mean').mean():.4f}, truth {self.loss('truth').mean():.4f}): "
                f"{share:.0f} ±{half:.0f} % of the way; calibration off by "
                f"{100 * self.calibration(name):.1f} points"
            )
        return out


def goals(tables: dict[Condition, Table]) -> list[str]:
    """Each aim, met or not, with the figure and where it is worst."""
    out: list[str] = []

    def say(text: str, pairs: list[tuple[Condition, float]], least: float, shape: str) -> None:
        if not pairs:
            return
        worst = min(pairs, key=lambda pair: pair[1])
        failed = [c for c, value in pairs if not value >= least]
        verdict = "met" if not failed else f"NOT met in {len(failed)} of {len(pairs)}"
        out.append(f"  {text}: {verdict}; worst {shape.format(worst[1])} ({'/'.join(worst[0])})")
        out.extend(
            f"      {shape.format(value)} {'/'.join(c)}" for c, value in pairs if c in failed
        )

    some = [c for c in tables if c[2] == "commuter" and c[1] in {"structured", "medium"}]
    first = [c for c in some if c[0] != "interference"]
    for title, chosen in (("first two worlds", first), ("all three worlds", some)):
        pairs = [(c, ratio(tables[c].gain("ours"), tables[c].gain("circle"))) for c in chosen]
        say(f"gain / circle, commuter, {title}, 1.5", [(c, r[0]) for c, r in pairs], 1.5, "{:.2f}")
        say("  its lower bound, 1.4", [(c, r[1]) for c, r in pairs], 1.4, "{:.2f}")
        pairs = [(c, ratio(tables[c].gain("ours"), tables[c].gain("rotation"))) for c in chosen]
        say("gain / rotation, 1.1", [(c, r[0]) for c, r in pairs], 1.1, "{:.2f}")

    def ahead(c: Condition, other: str) -> float:
        t = tables[c]
        return float(100 * (t.gain("ours") - t.gain(other)).mean())

    say(
        "7-day recall - shuffled, -0.5 points",
        [(c, ahead(c, "shuffled")) for c in tables],
        -0.5,
        "{:+.2f}",
    )
    mean = float(np.mean([ahead(c, "shuffled") for c in tables]))
    out.append(
        f"  mean over shuffled, above 0: {'met' if mean > 0 else 'NOT met'}; {mean:+.2f} points"
    )
    for oracle in ("best of both oracles", "oracle"):

        def which(c: Condition, oracle: str = oracle) -> str:
            return tables[c].best_oracle() if oracle.startswith("best") else oracle

        say(
            f"recall / {oracle}, 0.96",
            [
                (
                    c,
                    ratio(
                        tables[c].field("ours", "recall", 1), tables[c].field(which(c), "recall", 1)
                    )[0],
                )
                for c in tables
            ],
            0.96,
            "{:.3f}",
        )
        say(
            f"gain / {oracle}, 0.90",
            [(c, ratio(tables[c].gain("ours"), tables[c].gain(which(c)))[0]) for c in tables],
            0.90,
            "{:.3f}",
        )
    fewer = []
    for c, t in tables.items():
        a, b = t.field("circle", "prompts"), t.field("ours", "prompts")
        both = ~np.isnan(a) & ~np.isnan(b)
        if c[2] == "daily" and both.any():
            fewer.append((c, float(a[both].mean() / b[both].mean())))
    say("daily, prompts to 90 %, circle / ours (where both got there), 1.25", fewer, 1.25, "{:.2f}")
    towards = [(c, float(100 * t.towards_truth("ours").mean())) for c, t in tables.items()]
    say("log loss, way from running mean to truth, 25 %", towards, 25.0, "{:.0f} %")
    better = [(c, float((t.loss("fsrs") - t.loss("ours")).mean())) for c, t in tables.items()]
    say("log loss better than per-item fsrs", better, 0.0, "{:+.4f}")
    alone = [
        (c, ratio(t.gain("ours"), t.gain("circle"))[0])
        for c, t in tables.items()
        if c[1] == "independent"
    ]
    say("independent: gain / circle, 1", alone, 1.0, "{:.3f}")
    return out


def met_by_players(options: argparse.Namespace) -> None:
    """Print what players of the practice meet, and which aims are met."""
    worlds = [*SETTINGS_SHOWN, MASTER, *([KEPT_BACK] if options.kept_back else [])]
    worlds = [world for world in worlds if options.only in world.name]
    count = options.learners or (4 if options.quick else 16)
    begun = time.perf_counter()
    print(f"{count} players a world, seeds from {course_table.FIRST_SEED}; recall in percent")
    told: dict[tuple[str, str], course_table.Told] = {}
    with multiprocessing.get_context("spawn").Pool(options.processes) as pool:
        for world in worlds:
            for shown in Shown:
                jobs = [
                    (world.name, str(shown), course_table.FIRST_SEED + n, options.short)
                    for n in range(count)
                ]
                rows = [row for _, row in pool.imap(course_table.task, jobs)]
                one = told[world.name, str(shown)] = course_table.Told(rows)
                if world is not MASTER:
                    print("\n".join(_told_of(world.name, str(shown), one)), flush=True)
    print("\nAims:")
    print("\n".join(course_table.goals(told)))
    print(f"\n{time.perf_counter() - begun:.0f} s")
    if options.json:
        flat = {f"{name} / {shown}": one.rows for (name, shown), one in told.items()}
        options.json.write_text(json.dumps(flat), encoding="utf-8")


def _told_of(name: str, shown: str, one: course_table.Told) -> list[str]:
    typed, first = one.mean("typed"), 100 * one.mean("first_right")
    head = f"{name}; shown notes teach {shown}; {typed:.0f} answers typed a practice"
    return ["", f"  {head}, the first {first:.0f} % right", *one.lines()]


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--quick", action="store_true", help="few learners, few conditions")
    parser.add_argument("--short", action="store_true", help="only the ways that the aims need")
    parser.add_argument("--planner", action="store_true", help="the planner alone")
    parser.add_argument("--kept-back", action="store_true", help="also the world kept back")
    parser.add_argument("--learners", type=int, help="16, or 24 with --planner, where left out")
    parser.add_argument("--seed", type=int, default=FIRST_SEED)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--only", default="", help="conditions that contain this, as in commuter")
    parser.add_argument("--json", type=Path, help="also write every figure there")
    options = parser.parse_args()
    conditions = [(w, s, schedule) for schedule in SCHEDULES for s in STRUCTURES for w in WORLDS]
    if not options.planner:
        met_by_players(options)
        return
    learners = options.learners or 24
    if options.quick:
        conditions, learners = [("activation", "medium", "commuter")], 8
    conditions = [c for c in conditions if options.only in "/".join(c)]
    jobs = [(c, options.seed + n, tuple(POLICIES)) for c in conditions for n in range(learners)]
    begun = time.perf_counter()
    grouped: dict[Condition, list[dict[str, object]]] = defaultdict(list)
    with multiprocessing.get_context("spawn").Pool(options.processes) as pool:
        for result in pool.imap(task, jobs):
            grouped[tuple(result["condition"])].append(result)  # type: ignore[arg-type,index]
    tables = {c: Table(rows) for c, rows in grouped.items()}
    print(
        f"{learners} learners a condition, seeds from {options.seed}; "
        "recall in percent of 630 cells"
    )
    for condition, table in tables.items():
        start = interval(100 * table.start)
        print(f"\n{' / '.join(condition)}: without practice {start[0]:.1f} ±{start[1]:.1f}")
        print("\n".join(table.lines()))
    print("\naims")
    print("\n".join(goals(tables)))
    print(f"\n{time.perf_counter() - begun:.0f} s")
    if options.json:
        options.json.write_text(json.dumps([r for rows in grouped.values() for r in rows]))


if __name__ == "__main__":
    main()
