"""The answer log under torture, and what it costs.

    python tests/bench/bench_store.py             1,000 kills and all figures
    python tests/bench/bench_store.py --kills 50  a short form

A child appends answers and acknowledges each; it is killed with SIGKILL at random instants.
After every death the log must hold every acknowledged answer exactly once.  Then: a cut at
every 512th byte, random damage, and times for an answer, a replay and a choice, the append
beside a bare write-and-flush of the same bytes in the same run.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from statistics import median

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "memory"))

from log_killer import ITEM, Death, judge, live_and_die, numbered
from memory_log import START, answer, deck

from drill.errors import StoreError
from drill.memory.exchange import merge
from drill.memory.model import learn, replay
from drill.memory.planner import next_item
from drill.memory.pool import Pool
from drill.memory.state import State
from drill.memory.store import Store

PER_FILE = 50
"""Deaths on one file before a new one is begun, so that judging stays quick."""


def kills(folder: Path, number: int, rng: random.Random) -> int:
    """So many deaths; gives the number of faults."""
    faults: list[str] = []
    acknowledged = done = 0
    begun = time.perf_counter()
    while done < number:
        path = folder / f"kills{done}" / "answers.db"
        deaths: dict[str, Death] = {}
        for n in range(min(PER_FILE, number - done)):
            life = f"life{n}"
            deaths[life] = live_and_die(path, life, rng, rng.choice((0.0, 0.005, 0.05)))
            if not deaths[life].by_signal:
                faults.append(f"{life} ended by itself")
        faults += judge(path, deaths)
        acknowledged += sum(len(death.acknowledged) for death in deaths.values())
        done += len(deaths)
        shutil.rmtree(path.parent)
    print(
        f"kills survived: {done - len(faults)} of {done}; {acknowledged} answers acknowledged, "
        f"{sum(f.startswith('missing') for f in faults)} missing, "
        f"{sum(f.startswith('doubled') for f in faults)} doubled "
        f"({time.perf_counter() - begun:.0f} s)"
    )
    for fault in faults[:20]:
        print("   ", fault)
    return len(faults)


def damage(folder: Path, tries: int, rng: random.Random) -> int:
    """Cuts and random bytes; gives the number of wrong or silent outcomes."""
    whole = folder / "whole.db"
    with Store.open(whole) as store:
        rows = [store.append(numbered("life", n), ITEM).answer for n in range(150)]
    data = whole.read_bytes()
    cuts = [bytearray(data[:cut]) for cut in range(0, len(data), 512)]
    torn = [("cut", bytes(cut)) for cut in cuts]
    for _ in range(tries):
        hit = bytearray(data)
        for _ in range(rng.choice((1, 1, 4, 30))):
            hit[rng.randrange(len(hit))] = rng.randrange(256)
        torn.append(("hit", bytes(hit)))
    seen: Counter[str] = Counter()
    wrong, lost = 0, {"cut": 0, "hit": 0}
    for kind, content in torn:
        path = folder / "torn" / "answers.db"
        path.parent.mkdir()
        path.write_bytes(content)
        try:
            with Store.open(path) as store:
                kept = list(store.answers())
                said = bool(store.notices)
            fine = set(kept) <= set(rows) and (kept == rows or said)
            aside = path.with_name("answers.db.damaged-1")
            fine &= not aside.exists() or aside.read_bytes() == content
            lost[kind] += len(rows) - len(kept)
            seen[f"{kind}: whole" if kept == rows else f"{kind}: rebuilt with a notice"] += 1
        except StoreError:
            fine = path.read_bytes() == content
            seen[f"{kind}: refused with a message, not touched"] += 1
        wrong += not fine
        shutil.rmtree(path.parent)
    print(f"damaged files: {len(torn)}, wrong or silent: {wrong}; {dict(seen)}")
    hits = max(1, len(torn) - len(cuts))
    print(f"    answers lost to random bytes: {lost['hit'] / hits:.2f} of {len(rows)} a file")
    return wrong


def timed(job: Callable[[], object], times: int) -> float:
    """Median seconds of a job."""
    spent = []
    for _ in range(times):
        begun = time.perf_counter()
        job()
        spent.append(time.perf_counter() - begun)
    return median(spent)


def costs(folder: Path) -> None:
    """Times of an append beside a bare one, of a replay and of a choice."""
    number = iter(range(10**9))
    with Store.open(folder / "cost.db") as store, (folder / "bare").open("ab") as bare:
        line = b"C D E C" * 40

        def write() -> None:
            bare.write(line)
            bare.flush()
            os.fsync(bare.fileno())

        append = timed(lambda: store.append(numbered("cost", next(number)), ITEM), 2000)
        base = timed(write, 200)
        print(
            f"an answer kept: {1e3 * append:.3f} ms; a bare write and fsync of a line: "
            f"{1e3 * base:.3f} ms; ratio {append / base:.2f}"
        )
    small = deck(15, 6, 7)
    items = {item.id: item for item in small}
    rows = [
        answer(small[n * 37 % len(small)], n % 4 > 0, START + timedelta(minutes=n), n, stamp=n + 1)
        for n in range(100_000)
    ]
    seconds = timed(lambda: replay(rows, items), 1)
    plain = timed(lambda: sum(1 for row in rows if row.right and row.seconds), 3)
    print(
        f"100,000 answers replayed: {seconds:.2f} s ({1e6 * seconds / len(rows):.1f} us each); "
        f"a bare loop over them {plain:.3f} s, ratio {seconds / plain:.0f}"
    )
    with Store.open(folder / "many.db") as store:
        for n in range(0, len(rows), 1000):  # by way of a merge: one transaction for many
            shutil.rmtree(folder / "part", ignore_errors=True)
            with Store.open(folder / "part" / "answers.db") as part:
                for row in rows[n : n + 1000]:
                    part.append(replace(row, uuid=str(row.stamp)), items[row.item])
            merge(store, folder / "part" / "answers.db")
        reading = timed(lambda: sum(1 for _ in store.answers()), 1)
    opening = timed(lambda: Store.open(folder / "many.db").close(), 1)
    print(f"100,000 answers read from disk: {reading:.2f} s; that file opened: {opening:.3f} s")
    for items_in in (small, deck(15, 96, 14)):
        state = State()
        pool = Pool(state, items_in, 1)
        at = START
        for n in range(3000):
            at += timedelta(hours=1)
            asked = items_in[n * 7919 % len(items_in)]
            learn(state, asked, answer(asked, n % 3 > 0, at, n))
        choice = timed(lambda s=state, p=pool, t=at: next_item(s, p, t), 100)  # type: ignore[misc]
        bare_scan = timed(lambda i=items_in: max(i, key=lambda item: item.place), 20)  # type: ignore[misc]
        print(
            f"next of {len(items_in)} cells: {1e3 * choice:.2f} ms; a bare maximum over them "
            f"{1e3 * bare_scan:.2f} ms, ratio {choice / bare_scan:.2f}"
        )


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--damage", type=int, default=500, help="files with random bytes")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    rng = random.Random(options.seed)
    with tempfile.TemporaryDirectory(prefix="drill-bench-") as name:
        folder = Path(name)
        costs(folder)
        faults = damage(folder, options.damage, rng)
        faults += kills(folder, options.kills, rng)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
