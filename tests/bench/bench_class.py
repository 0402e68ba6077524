"""What a class report costs, beside a plain recount of the same files in the same run.

    python tests/bench/bench_class.py                   # a class of 40 x 5,000 answers
    python tests/bench/bench_class.py --district 500    # and 500 students x 2,000
    python tests/bench/bench_class.py --district 5000   # ten million answers: some minutes
    python tests/bench/bench_class.py --schools 200     # 200 schools of 8 x 250, and half

Aims: the class under 2 s; schools at a cost that grows no faster than they do; the district
in under 1 GiB over all processes.  Each report is made by the command itself in a fresh
process, to JSON, HTML and CSV.  The baseline reads the same files with json alone and
counts right answers by key: no check, no model, no report.  Nearly all of the difference
is the model's replay, which goes answer by answer and which no columnar engine could do;
so there is none.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from drill.decks.load import load  # noqa: E402
from drill.memory.items import Answer, Item, microseconds, practice_day  # noqa: E402
from drill.practice.syllabus import build  # noqa: E402
from drill.reports.results import HandedDeck, Results, encode  # noqa: E402

DECK = ROOT / "decks" / "major-returning-cells.toml"
START = datetime(2026, 1, 5, 16, 0, tzinfo=UTC)
MODELS = 20
"""Students who are drawn one by one; the others answer as one of these, with ids of their own."""
MARK = "#########"
SLIPS = ("signature-forgotten", "swapped", "other-signature", "one-note-off")

MEASURED = """
import resource, sys, time
from drill.cli import main
began = time.perf_counter()
code = main(sys.argv[1:])
taken = time.perf_counter() - began
own, theirs = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
cpu = own.ru_utime + own.ru_stime + theirs.ru_utime + theirs.ru_stime
print(taken, cpu, own.ru_maxrss / 1024, theirs.ru_maxrss / 1024, code, file=sys.stderr)
"""


def answers(items: tuple[Item, ...], fingerprint: str, count: int, seed: int) -> Iterator[Answer]:
    """A model student: twelve weeks of practice, better as it goes."""
    chance = Random(seed)
    skill = chance.uniform(0.2, 0.6)
    for number in range(count):
        item = chance.choice(items)
        at = START + timedelta(days=84 * number // count, seconds=9 * (number % 600))
        right = chance.random() < skill + 0.35 * number / count - 0.03 * item.accidentals
        yield Answer(
            uuid=f"{MARK}-{number:07}-4000-8000-{seed:012}",
            at=at,
            day=practice_day(at),
            item=item.id,
            right=right,
            deck=fingerprint,
            deck_name="cells",
            kind=chance.choice(("next", "degree", "degree", "run")),
            outcomes=("right",) * 4 if right else ("right", "wrong", "right", "right"),
            slip=None if right else chance.choice(SLIPS),
            seconds=round(chance.lognormvariate(1.4, 0.4), 2),
            keystrokes=8,
            again=chance.random() < 0.1,
            stamp=microseconds(at),
        )


def write_files(folder: Path, students: int, count: int) -> int:
    """Results files of that many students; how many bytes they take."""
    deck = load(DECK)
    items = build(deck).items
    handed = HandedDeck("cells", deck.fingerprint, DECK.read_text(encoding="utf-8"), len(items))
    bodies = []
    for seed in range(min(MODELS, students)):
        mine = tuple(answers(items, deck.fingerprint, count, seed))
        ids = {answer.item for answer in mine}
        asked = tuple(item for item in items if item.id in ids)
        value = Results(
            f"Student {MARK}", START + timedelta(days=85), "0.1.0", handed, asked,
            frozenset(ids), mine, horn=deck.instrument,
        )  # fmt: skip
        bodies.append(encode(value).partition(b"\n")[2])
    total = 0
    for number in range(students):
        body = bodies[number % len(bodies)].replace(MARK.encode(), f"{number:09}".encode())
        data = f"drill-results 2 {hashlib.sha256(body).hexdigest()}\n".encode() + body
        (folder / f"{number:05}.drill-results").write_bytes(data)
        total += len(data)
    return total


def apart(folder: Path, schools: int) -> None:
    """Move the files into a folder for each school."""
    for number, path in enumerate(sorted(folder.glob("*.drill-results"))):
        school = folder / f"school-{number % schools:03}"
        school.mkdir(exist_ok=True)
        path.rename(school / path.name)


def recount(folder: Path) -> tuple[float, int, int]:
    """Seconds, answers that count, and right ones, by json and a counter."""
    began = time.perf_counter()
    asked: Counter[str] = Counter()
    right: Counter[str] = Counter()
    for path in sorted(folder.rglob("*.drill-results")):
        _, first, *lines = path.read_bytes().splitlines()
        cells = json.loads(first)["items"]
        keys = [json.loads(line)[1] for line in lines[:cells]]
        for line in lines[cells:]:
            row = json.loads(line)
            if not row[11] & 3:
                asked[keys[row[4]]] += 1
                right[keys[row[4]]] += row[6]
    return time.perf_counter() - began, asked.total(), right.total()


@dataclass(frozen=True, slots=True)
class Measured:
    """What one report cost."""

    agrees: bool
    """Whether its totals are those of the recount."""
    cpu: float
    """Seconds of processor time, over all processes."""


def measure(title: str, students: int, count: int, aim: str, schools: int = 0) -> Measured:
    """One report with its figures beside the recount."""
    with tempfile.TemporaryDirectory(prefix="drill-bench-") as name:
        folder = Path(name)
        size = write_files(folder, students, count)
        if schools:
            apart(folder, schools)
        print(f"{title}: {students:,} x {count:,} answers, {size / 1e6:,.0f} MB in files")
        baseline, asked, right = recount(folder)
        out = folder / "report.json"
        words = [
            "class",
            name,
            "--json",
            "--html",
            f"{name}/c.html",
            "--csv",
            f"{name}/c.csv",
            "--csv-cells",
            f"{name}/cells.csv",
        ]
        words += ["--folders"] if schools else []
        with out.open("w", encoding="utf-8") as file:
            run = subprocess.run(
                [sys.executable, "-c", MEASURED, *words],
                cwd=ROOT, stdout=file, stderr=subprocess.PIPE, text=True, check=False,
            )  # fmt: skip
        *_, last = run.stderr.splitlines()
        taken, cpu, own, child, code = map(float, last.split())
        data = json.loads(out.read_bytes())
        agrees = code == 0 and (data["asked"], data["right"]) == (asked, right)
        agrees &= not schools or len(data["groups"]) == schools
        print(f"  plain recount, json alone        {baseline:8.2f} s")
        print(
            f"  report as JSON, HTML and CSV     {taken:8.2f} s = {taken / baseline:.2f} x the "
            f"recount; {cpu:.2f} s of processor time, {1e6 * cpu / students / count:.1f} us an "
            f"answer ({aim})"
        )
        print(
            f"  most memory                      {own:8.0f} MiB in the program, {child:.0f} MiB in "
            "its largest helper"
        )
        print(f"  totals equal the recount: {'yes' if agrees else f'NO: {run.stderr}'}\n")
        return Measured(agrees, cpu)


def main() -> int:
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--district", type=int, default=0, metavar="N", help="students x 2,000")
    reader.add_argument("--schools", type=int, default=0, metavar="N", help="of 8 x 250, by folder")
    asked = reader.parse_args()
    good = measure("class", 40, 5000, "aim 2 s").agrees
    if asked.district:
        good &= measure("district", asked.district, 2000, "aim 1 GiB in all").agrees
    if asked.schools:
        half, whole = asked.schools // 2, asked.schools
        one = measure(f"{half} schools", 8 * half, 250, "by school", half)
        two = measure(f"{whole} schools", 8 * whole, 250, "by school", whole)
        ratio = two.cpu / one.cpu
        print(f"twice the schools took {ratio:.2f} times the processor time (aim: 2 at most)")
        good &= one.agrees and two.agrees
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
