"""How long an answer takes to mark, and how often the slip named is the one that was made.

    python tests/bench/bench_marking.py [--all] [--seed N]

Two tables.  The second, of ``marking_slips.py``, has 59 kinds of slips over 15 keys, 8
patterns in major and 4 in seven other scales, both directions and four horns, each prompt
after another one, and chords on moving roots.  An answer is *unique* where no kind with
other slips gives it; a single wrong note explains nothing that another kind explains.

The first is of the tests' own injections:

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
from dataclasses import replace
from functools import partial
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent / "marking"), str(HERE)]

from marking_slips import (  # noqa: E402
    CHORDS,
    MODES,
    SCALES,
    SHIFT,
    chord_slips,
    everything,
    is_unique,
    named,
)
from marking_slips import HORNS as SLIP_HORNS  # noqa: E402
from marking_slips import KINDS as SLIP_KINDS  # noqa: E402
from marking_slips import Asked as Injected  # noqa: E402
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

from drill.marking.forms import catalogue, form_of  # noqa: E402
from drill.marking.question import Question  # noqa: E402
from drill.marking.verdict import Slip  # noqa: E402
from drill.terms import Descent, Direction  # noqa: E402
from drill.theory.instruments import INSTRUMENTS  # noqa: E402
from drill.theory.patterns import PATTERNS, ROOT_ORDERS, find_pattern, free_pattern  # noqa: E402
from drill.theory.runs import build_run  # noqa: E402
from drill.theory.scales import parse_key  # noqa: E402
from drill.wording.slips import marker as marker_of  # noqa: E402

HORNS = ("alto_sax", "tenor_sax", "flute", "horn_f", "clarinet_a")
MOST = 4
"""Answers of one slip for one cell, drawn by chance."""


class Bench:
    """Questions and a marker, all scales spelled beforehand as a practice does."""

    def __init__(self) -> None:
        self.marker = marker_of()

    def question(self, asked: Asked) -> Question:
        made = build_run(
            parse_key(asked.tonic), PATTERNS[asked.pattern], Direction(asked.direction)
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
    """Median microseconds of processor time of a call, over five rounds."""
    rounds = []
    for _ in range(5):
        begin = time.process_time()
        for _ in range(number):
            call()
        rounds.append((time.process_time() - begin) / number)
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
    wrong = {slip: answers[0] for slip in INJECTIONS if (answers := injected(slip, asked))}
    wrong["unexplained"] = ("C", "D#", "G", "G#", "B")
    for slip, answer in wrong.items():
        typed = " ".join(answer)
        named = bench.marker.mark(question, typed).slip
        took = micros(partial(bench.marker.mark, question, typed), 500)
        form_of.cache_clear()
        catalogue.cache_clear()
        begin = time.process_time()
        bench.marker.mark(question, typed)
        first = 1e6 * (time.process_time() - begin)
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


MAJOR = ((1, 2, 3, 1), (1, 3), (1, 2, 3, 4), (1, 2, 3, 4, 5), (1, 3, 5, 3), (1, 2, 3, 5),
         (1, 3, 5, 7), (1, 3, 5))  # fmt: skip
MINOR = ((1, 2, 3, 1), (1, 2, 3), (1, 3, 5, 3), (1, 2, 3, 4, 5))
"""The patterns asked in major, and in the minors and modes; all come down in mirror."""


class Kinds:
    """Counts by kind of slip."""

    def __init__(self) -> None:
        self.total: Counter[str] = Counter()
        self.named: Counter[str] = Counter()
        self.unique: Counter[str] = Counter()
        self.unique_named: Counter[str] = Counter()
        self.instead: Counter[str] = Counter()
        self.taken_for: dict[str, Counter[str]] = {}

    def count(self, kind: str, said: str, *, named: bool, unique: bool) -> None:
        if unique and not named:
            self.taken_for.setdefault(kind, Counter())[said] += 1
        self.total[kind] += 1
        self.named[kind] += named
        self.unique[kind] += unique
        self.unique_named[kind] += named and unique


def keyed_questions(bench: Bench, chance: random.Random) -> Iterator[tuple[Injected, Question]]:
    """A question for each key, pattern and direction, with another prompt before it."""
    before: tuple[Injected, Question] | None = None
    for kind in SCALES:
        for fifth in range(-7, 8):
            tonic = named(fifth - SHIFT[kind])
            for digits in MAJOR if kind == "major" else MINOR:
                for direction in (UP, DOWN):
                    place = chance.randrange(7)
                    start = place if direction == UP else -place % 7
                    horn = chance.choice(list(SLIP_HORNS))
                    cell = "-".join(map(str, digits))
                    pattern = free_pattern((cell,), descent=Descent.MIRROR)
                    key = parse_key(tonic, kind)
                    made = build_run(key, pattern, Direction(direction))
                    last = before[0] if before else None
                    asked = Injected(tonic, kind, digits, direction, start, horn, last)
                    question = Question(
                        made, place, INSTRUMENTS[horn], before[1].asked if before else None
                    )
                    spelled = tuple(str(note.name) for note in question.cell.notes)
                    assert spelled == asked.cell, (asked, spelled)
                    yield asked, question
                    if chance.random() < 0.5:
                        before = asked, question


def kinds_of_slips(bench: Bench, chance: random.Random) -> None:
    """The second table."""
    counted, asked_cells, called_right = Kinds(), 0, 0
    for asked, question in keyed_questions(bench, chance):
        asked_cells += 1
        giving = everything(asked)
        for kind, (_, slips) in SLIP_KINDS.items():
            answers = [answer for answer, kinds in giving.items() if kind in kinds]
            chance.shuffle(answers)
            for answer in answers[:MOST]:
                verdict = bench.marker.mark(question, " ".join(answer))
                called_right += verdict.right
                named_it = verdict.slip is not None and verdict.slip.value in slips
                if named_it and kind in MODES and verdict.slip is Slip.MIXTURE:
                    instead = verdict.hypotheses[0].instead
                    counted.instead[kind] += instead is None or instead.scale != MODES[kind]
                counted.count(
                    kind, str(verdict.slip), named=named_it, unique=is_unique(kind, giving[answer])
                )
    for kind, slips, answer, question in chord_questions(bench, chance):
        verdict = bench.marker.mark(question, " ".join(answer))
        called_right += verdict.right
        named_it = verdict.slip is not None and verdict.slip.value in slips
        counted.count(kind, str(verdict.slip), named=named_it, unique=True)
    _tell(counted, asked_cells, called_right)


def chord_questions(
    bench: Bench, chance: random.Random
) -> Iterator[tuple[str, frozenset[str], tuple[str, ...], Question]]:
    """Slips of chords, each on the roots of the circle of fourths; unique answers only."""
    for kind in CHORDS:
        pattern = replace(find_pattern(f"chord-{kind}"), roots=ROOT_ORDERS["fourths"])
        made = build_run(parse_key("C"), pattern, Direction.UP)
        for index, cell in enumerate(made.cells):
            found: dict[tuple[str, ...], list[tuple[str, str]]] = {}
            for name, slips, answer in chord_slips(cell.label, kind, chance):
                found.setdefault(answer, []).append((name, slips))
            question = Question(made, index, None)
            right = {tuple(str(note.name) for note in notes) for notes in (cell.notes, *cell.also)}
            for answer, ways in found.items():
                if answer not in right and len({slips for _, slips in ways}) == 1:
                    name, slips = ways[0]
                    yield name, frozenset(slips.split()), answer, question


def _taken(counted: Kinds, kind: str) -> str:
    """What unique answers were called instead."""
    said = counted.taken_for.get(kind, Counter()).most_common(2)
    return "  " + ", ".join(f"{slip} {times}" for slip, times in said) if said else ""


def _tell(counted: Kinds, asked_cells: int, called_right: int) -> None:
    print(
        f"kinds of slips: {len(counted.total)} kinds, {asked_cells} cells in keys, "
        f"{sum(counted.total.values())} wrong answers"
    )
    print(f"  {'kind':34}{'answers':>8}{'named':>9}{'unique':>8}{'named':>9}  wrong key said")
    for kind, total in counted.total.items():
        unique = counted.unique[kind]
        share = f"{100 * counted.unique_named[kind] / unique:.1f} %" if unique else "-"
        wrong = f"{counted.instead[kind]:8}" if kind in MODES else ""
        print(
            f"  {kind:34}{total:8}{100 * counted.named[kind] / total:7.1f} %{unique:8}"
            f"{share:>9}{wrong}{_taken(counted, kind)}"
        )
    every = sum(counted.unique.values())
    print(
        f"  named where only one kind explains it: "
        f"{100 * sum(counted.unique_named.values()) / every:.2f} % of {every} (aim 97 %)\n"
        f"  injected slips called right: {called_right} (must be 0)"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--all", action="store_true", help="every cell of every run")
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    bench = Bench()
    speed(bench)
    diagnosis(bench, random.Random(args.seed), every=args.all)
    kinds_of_slips(bench, random.Random(args.seed))


if __name__ == "__main__":
    main()
