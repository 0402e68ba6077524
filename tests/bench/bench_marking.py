"""How long an answer takes to mark, and how often the slip named is the one that was made.

    python tests/bench/bench_marking.py [--all] [--seed N]

Slips are injected by an independent computation (``tests/marking/outside_cells.py``:
mingus's scales, the reference tables' degrees and horns, the line of fifths by hand) over
15 major keys, the catalogue's patterns, five horns and both directions: one cell of each
run by chance, every cell with --all.  An answer is *unique* where no other slip gives it.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent / "marking")]

from outside_cells import (  # noqa: E402
    DOWN,
    FIFTEEN,
    INJECTIONS,
    UP,
    Asked,
    explanations,
    injected,
    patterns,
    run,
)

from drill.marking.mark import Marker  # noqa: E402
from drill.marking.question import Question  # noqa: E402
from drill.terms import Direction  # noqa: E402
from drill.theory.engine import Engine  # noqa: E402
from drill.theory.instruments import INSTRUMENTS  # noqa: E402
from drill.theory.patterns import PATTERNS  # noqa: E402
from drill.theory.runs import build_run  # noqa: E402
from drill.theory.scales import parse_key  # noqa: E402
from drill.wording.slips import marker as marker_of  # noqa: E402

HORNS = ("alto_sax", "tenor_sax", "flute", "horn_f", "clarinet_a")
MOST = 4
"""Answers of one slip for one cell, drawn by chance."""


class Bench:
    """Questions and a marker, all scales spelled beforehand as a practice does."""

    def __init__(self) -> None:
        self.engine = Engine()
        self.marker = self.fresh()

    def fresh(self) -> Marker:
        return marker_of(self.engine)

    def question(self, asked: Asked) -> Question:
        made = build_run(
            self.engine, parse_key(asked.tonic), PATTERNS[asked.pattern], Direction(asked.direction)
        )
        return Question(made, asked.place, INSTRUMENTS[asked.horn])


def cells(chance: random.Random, *, every: bool) -> Iterator[Asked]:
    """The cells to be asked."""
    for pattern in patterns():
        for tonic in FIFTEEN:
            for direction in (UP, DOWN):
                size = len(run(pattern, tonic, direction))
                for place in range(size) if every else (chance.randrange(size),):
                    yield Asked(pattern, tonic, direction, place, chance.choice(HORNS))


def micros(call: Callable[[], object], number: int) -> float:
    """Median microseconds of a call, over five rounds."""
    rounds = []
    for _ in range(5):
        begin = time.perf_counter()
        for _ in range(number):
            call()
        rounds.append((time.perf_counter() - begin) / number)
    return 1e6 * statistics.median(rounds)


def speed(bench: Bench) -> None:
    asked = Asked("return3", "Eb", UP, 3, "alto_sax")
    question = bench.question(asked)
    text = " ".join(asked.cell)
    table = {name: name for name in {*asked.cell, *"CDEFGAB"}}

    def look_up() -> bool:
        return [table.get(token) for token in text.split()] == list(asked.cell)

    base = micros(look_up, 20000)
    right = micros(lambda: bench.marker.mark(question, text), 2000)
    print(f"time to mark an answer to 1-2-3-1 on 4 of Eb, alto ({text})")
    print(f"  {'baseline: four look-ups in a dict':36} {base:8.1f} us")
    print(f"  {'right answer':36} {right:8.1f} us   {right / base:6.0f} x baseline")
    wrong = {slip: (injected(slip, asked) or [None])[0] for slip in INJECTIONS}
    wrong["unexplained"] = ("C", "D#", "G", "G#", "B")
    for slip, answer in wrong.items():
        if answer is None:
            continue
        typed = " ".join(answer)
        named = bench.marker.mark(question, typed).slip
        took = micros(lambda typed=typed: bench.marker.mark(question, typed), 500)
        cold = bench.fresh()
        begin = time.perf_counter()
        cold.mark(question, typed)
        first = 1e6 * (time.perf_counter() - begin)
        print(
            f"  {slip:36} {took:8.1f} us   {took / base:6.0f} x baseline; "
            f"first of a practice {first:5.0f} us; named {named}"
        )
    print("  aim: each below 200 us\n")


def diagnosis(bench: Bench, chance: random.Random, *, every: bool) -> None:
    total: Counter[str] = Counter()
    named_it: Counter[str] = Counter()
    unique: Counter[str] = Counter()
    unique_named: Counter[str] = Counter()
    first_fits: Counter[str] = Counter()
    kept: Counter[str] = Counter()
    rights = called_wrong = called_right = asked_cells = 0
    for asked in cells(chance, every=every):
        asked_cells += 1
        question = bench.question(asked)
        for text in (" ".join(asked.cell), "-".join(asked.cell).lower(), ", ".join(asked.cell)):
            rights += 1
            called_wrong += not bench.marker.mark(question, text).right
        for slip in INJECTIONS:
            answers = injected(slip, asked)
            chance.shuffle(answers)
            for answer in answers[:MOST]:
                fitting = explanations(asked, answer)
                verdict = bench.marker.mark(question, " ".join(answer))
                called_right += verdict.right
                total[slip] += 1
                named_it[slip] += verdict.slip == slip
                first_fits[slip] += fitting[0] == slip
                kept[slip] += slip in {found.slip.value for found in verdict.hypotheses}
                if fitting == (slip,):
                    unique[slip] += 1
                    unique_named[slip] += verdict.slip == slip
    print(f"diagnosis: {asked_cells} cells, {sum(total.values())} wrong answers")
    print(f"  {'injected slip':24}{'answers':>8}{'unique':>8}  named when unique  named"
          "  first that fits  kept")  # fmt: skip
    for slip in INJECTIONS:
        share = f"{100 * unique_named[slip] / unique[slip]:.1f} %" if unique[slip] else "-"
        of = total[slip] or 1
        print(
            f"  {slip:24}{total[slip]:8}{unique[slip]:8}{share:>18}"
            f"{100 * named_it[slip] / of:6.1f} %{100 * first_fits[slip] / of:14.1f} %"
            f"{100 * kept[slip] / of:8.1f} %"
        )
    every_unique, every_answer = sum(unique.values()), sum(total.values())
    plain = 100 * sum(first_fits.values()) / every_answer
    print(
        f"  named where it is the only explanation: "
        f"{100 * sum(unique_named.values()) / every_unique:.2f} % of {every_unique} (aim 95 %)\n"
        f"  named over all: {100 * sum(named_it.values()) / every_answer:.2f} %; "
        f"by the plain first-that-fits order {plain:.2f} %\n"
        f"  right answers called wrong: {called_wrong} of {rights} (must be 0)\n"
        f"  injected slips called right: {called_right} of {every_answer} (must be 0)"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--all", action="store_true", help="every cell of every run")
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    bench = Bench()
    speed(bench)
    diagnosis(bench, random.Random(args.seed), every=args.all)


if __name__ == "__main__":
    main()
