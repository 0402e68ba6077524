"""How much later a practice begins with a long log than with an empty one, as whole processes.

    python tests/bench/bench_start.py                 50,000 answers, and a few sizes
    python tests/bench/bench_start.py --answers 5000  other sizes

``drill --plain --prompts 1`` is run with its input closed: it opens the log, plans, asks and
ends.  The runs with the empty and the long log take turns.  Then, within one process, the time
of one choice with logs that grow, beside the shortest of them.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from drill.decks.load import find, load
from drill.decks.shipped import shipped_folder
from drill.memory.database import PUT_ANSWER, PUT_ITEM, transaction
from drill.memory.items import Answer, Item, practice_day
from drill.memory.model import learn
from drill.memory.planner import next_item
from drill.memory.pool import Pool
from drill.memory.schema import answer_row, item_row
from drill.memory.state import State
from drill.memory.store import Store
from drill.practice.syllabus import build

GOAL_S, GOAL_SPENT_S = 0.3, 0.1
DECK = "major-returning-cells"


def cells() -> tuple[Item, ...]:
    """The cells of the deck that a practice without a name begins with."""
    return build(load(find(DECK, (shipped_folder(),)))).items


def answers(items: tuple[Item, ...], number: int) -> Iterable[Answer]:
    """So many answers, 150 a day, the last of them yesterday."""
    end = datetime.now(UTC) - timedelta(days=1)
    for n in range(number):
        item = items[n * 7919 % len(items)]
        at = end - timedelta(days=(number - n) // 150, seconds=15 * ((number - n) % 150))
        yield Answer(
            f"{n:08d}-0000-4000-8000-000000000000", at, practice_day(at), item.id, n % 4 > 0,
            deck="0123456789abcdef", deck_name=DECK, typed="C D E C",
            outcomes=("right",) * len(item.facts), seconds=4.0, keystrokes=7, stamp=n + 1,
        )  # fmt: skip


def fill(home: Path, items: tuple[Item, ...], number: int) -> None:
    """A log of so many answers."""
    with Store.open(home / "answers.db") as store, transaction(store.link) as link:
        link.executemany(PUT_ITEM, map(item_row, items))
        link.executemany(PUT_ANSWER, map(answer_row, answers(items, number)))


def begun(home: Path) -> tuple[float, float]:
    """Seconds that a practice takes from its start to its end when nobody answers: on the clock,
    and of processor time, user and system."""
    environment = {**os.environ, "DRILL_HOME": str(home)}
    # Compiled files are there as at every start but the first.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    command = [sys.executable, "-m", "drill", "--plain", "--prompts", "1", "--mute"]
    start, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(
        [*command, "--deck", DECK],
        env=environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        check=True,
        cwd=Path(__file__).resolve().parents[2],
    )
    assert b"1." in done.stdout, done
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return time.perf_counter() - start, spent


def starts(folder: Path, items: tuple[Item, ...], number: int, times: int) -> None:
    empty, long = folder / "empty", folder / f"long{number}"
    fill(empty, items, 0)
    fill(long, items, number)
    begun(empty)
    first = begun(long)[1]
    pairs = [(begun(long), begun(empty)) for _ in range(times)]
    size = (long / "answers.db").stat().st_size / 2**20
    print(f"{number:7,} answers ({size:.1f} MiB):")
    for at, (what, goal) in enumerate((("clock", GOAL_S), ("processor time", GOAL_SPENT_S))):
        late = median(filled[at] - bare[at] for filled, bare in pairs)
        base = median(bare[at] for _, bare in pairs)
        least = min(filled[at] for filled, _ in pairs) - min(bare[at] for _, bare in pairs)
        verdict = "met" if late <= goal else "NOT met"
        print(
            f"    {what}: {late:+.3f} s after an empty log's {base:.3f} s (least to least "
            f"{least:+.3f} s), ratio {(base + late) / base:.2f}; at most {goal} s: {verdict}"
        )
    bare = median(spent for _, (_, spent) in pairs)
    print(f"    the first start, without a checkpoint: {first - bare:+.3f} s of processor time")


def choices(items: tuple[Item, ...], sizes: Iterable[int]) -> None:
    """Time of a choice with its learning, with logs that grow."""
    state, done, base = State(), 0, None
    pool = Pool(state, items, 1)
    for size in sizes:
        rows = list(answers(items, size))
        by_id = {item.id: item for item in items}
        for row in rows[done:]:
            learn(state, by_id[row.item], row)
        done, now = size, datetime.now(UTC)
        next_item(state, pool, now)
        spent = []
        for n in range(100):
            start = time.perf_counter()
            chosen = next_item(state, pool, now)
            spent.append(time.perf_counter() - start)
            assert chosen is not None
            learn(state, chosen, replace(rows[-1], uuid=f"{size}{n}", item=chosen.id, at=now))
        cost = median(spent)
        base = base or cost
        print(f"a choice with {size:7,} answers: {1e3 * cost:.2f} ms, ratio {cost / base:.2f}")


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--answers", type=int, nargs="*", default=[5_000, 12_000, 50_000])
    parser.add_argument("--times", type=int, default=5)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="drill-bench-") as name:
        folder = Path(name)
        items = cells()
        for number in options.answers:
            starts(folder, items, number, options.times)
        choices(items, (1_000, 20_000, 200_000))
    return 0


if __name__ == "__main__":
    sys.exit(main())
