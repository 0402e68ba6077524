"""The answer log under torture, and what it costs.

    python tests/bench/bench_store.py             1,000 kills and all figures
    python tests/bench/bench_store.py --kills 50  a short form

What a player meets first: an answer to the disk and what it writes ahead (at most 5 KB, by
the real program), a log of 100,000 answers opened, read, checked and copied as once a day, a
replay and a choice, each beside something bare in the same run.  Then a cut at every 512th
byte and random damage.  Then a child appends answers and acknowledges each; it is killed
with SIGKILL at random instants, and after every death the log must hold every acknowledged
answer exactly once.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from statistics import median

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "memory"))
    sys.path.insert(0, str(Path(__file__).resolve().parent))

from log_killer import ITEM, Death, judge, live_and_die, numbered
from memory_log import START, answer, deck
from timing import timed
from torture_damage import ITEMS, given
from torture_program import LINES, Player, preload, start

from drill.errors import StoreError
from drill.memory.copies import keep_copy
from drill.memory.database import PUT_ANSWER, PUT_ITEM, count_new, transaction
from drill.memory.model import learn, replay
from drill.memory.planner import next_item
from drill.memory.pool import Pool
from drill.memory.repair import checked
from drill.memory.schema import answer_row, item_row
from drill.memory.state import State
from drill.memory.store import Store

MOST_AHEAD = 5 * 1024
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


def taking(job: Callable[[], object], times: int) -> float:
    """Median seconds of a job."""
    return median(timed(job, times))


def ratio(what: str, seconds: float, bare: str, base: float) -> None:
    """A line: what it took, beside something bare of the same run."""
    print(
        f"{what}: {1e3 * seconds:.3f} ms; {bare}: {1e3 * base:.3f} ms; ratio {seconds / base:.2f}",
        flush=True,
    )


def appending(folder: Path, answers: int) -> bool:
    """An answer to the disk, and what it writes ahead; whether that is within ``MOST_AHEAD``."""
    at = folder / "append" / "answers.db"
    with Store.open(at) as store, (folder / "bare").open("ab") as bare:
        line = b"C D E C" * 40

        def write(safe: bool = True) -> None:
            bare.write(line)
            bare.flush()
            if safe:
                os.fsync(bare.fileno())

        spent = []
        for n in range(answers):
            row, item = given(n), ITEMS[n * 7 % 60]
            begun = time.perf_counter()
            store.append(row, item)
            spent.append(time.perf_counter() - begun)
        safe, quick = taking(write, 200), taking(lambda: write(False), 200)
    ratio("an answer kept, median", median(spent), "a bare write and fsync", safe)
    ratio("the same", median(spent), "a bare write", quick)
    ratio("an answer kept, 99th of 100", sorted(spent)[len(spent) * 99 // 100], "fsync", safe)
    ahead = [grown for n in range(20) for grown in written_ahead(folder / f"ahead{n}")]
    least, most = min(ahead), max(ahead)
    print(f"written ahead by an answer of the real program: {least} to {most} bytes, "
          f"median {median(ahead):.0f}, {len(ahead)} answers")  # fmt: skip
    return most <= MOST_AHEAD


def written_ahead(home: Path) -> list[int]:
    """How much the write-ahead log grew by each answer of a practice, until it is taken in."""
    home.mkdir()
    child, player = start(home, LINES), Player()
    wal, sizes = home / "answers.db-wal", []
    player.play(child, time.perf_counter() + 60, most=1)  # the first brings the note and the deck
    while True:
        sizes.append(wal.stat().st_size)
        player.play(child, time.perf_counter() + 60, most=1)
        if wal.stat().st_size <= sizes[-1] or len(sizes) > 12:
            break
    child.kill()
    return [after - before for before, after in pairwise(sizes)]


def long_log(folder: Path, answers: int) -> None:
    """Opening, checking and copying a log of so many answers, and a replay of it."""
    small = deck(15, 6, 7)
    items = {item.id: item for item in small}
    rows = [
        replace(
            answer(small[n * 37 % len(small)], n % 4 > 0, START + timedelta(minutes=n), n),
            uuid=f"{n:08x}-0000-4000-8000-000000000000", stamp=n + 1,
        )
        for n in range(answers)
    ]  # fmt: skip
    seconds = taking(lambda: replay(rows, items), 1)
    plain = taking(lambda: sum(1 for row in rows if row.right and row.seconds), 3)
    ratio(f"{answers} answers replayed", seconds, "a bare loop over them", plain)
    path = folder / "many" / "answers.db"
    with Store.open(path) as store, transaction(store.link) as link:
        count_new(link, PUT_ITEM, map(item_row, small))
        count_new(link, PUT_ANSWER, map(answer_row, rows))
    print(f"their file: {path.stat().st_size / 1e6:.1f} MB")

    def bare_rows() -> None:
        with closing(sqlite3.connect(path)) as link:
            assert sum(1 for _ in link.execute("SELECT * FROM answers")) == answers

    def bare_count() -> None:
        with closing(sqlite3.connect(path)) as link:
            link.execute("SELECT count(*) FROM answers").fetchone()

    def copied() -> None:
        shutil.copyfile(path, folder / "copy.db")
        handle = os.open(folder / "copy.db", os.O_RDWR)
        os.fsync(handle)
        os.close(handle)

    opening = taking(lambda: Store.open(path).close(), 5)
    ratio("that file opened and closed", opening, "opened bare, its rows counted",
          taking(bare_count, 5))  # fmt: skip
    base, all_rows = taking(copied, 5), taking(bare_rows, 3)
    with Store.open(path) as store:
        reading = taking(lambda: sum(1 for _ in store.answers()), 1)
        ratio("all of them read", reading, "their bare rows", all_rows)
        now = START + timedelta(minutes=answers)
        found = checked(store, now)
        assert found.answers == answers
        assert (found.unfit, found.misdated) == ((), 0)
        ratio("checked, as drill log --check does", taking(lambda: checked(store, now), 1),
              "their bare rows", all_rows)  # fmt: skip
        days = iter(range(1, 28))
        daily = taking(lambda: keep_copy(store.link, path, f"2031-02-{next(days):02}"), 5)
        ratio("the copy of a day", daily, "a bare copy and fsync", base)


def choosing() -> None:
    """What a choice costs among few and among many cells."""
    for items_in in (deck(15, 6, 7), deck(15, 96, 14)):
        state = State()
        pool = Pool(state, items_in, 1)
        at = START
        for n in range(3000):
            at += timedelta(hours=1)
            asked = items_in[n * 7919 % len(items_in)]
            learn(state, asked, answer(asked, n % 3 > 0, at, n))
        choice = taking(lambda s=state, p=pool, t=at: next_item(s, p, t), 100)  # type: ignore[misc]
        bare_scan = taking(lambda i=items_in: max(i, key=lambda item: item.place), 20)  # type: ignore[misc]
        ratio(f"next of {len(items_in)} cells", choice, "a bare maximum over them", bare_scan)


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--damage", type=int, default=500, help="files with random bytes")
    parser.add_argument("--answers", type=int, default=100_000, help="of the long log")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    rng = random.Random(options.seed)
    preload()
    with tempfile.TemporaryDirectory(prefix="drill-bench-") as name:
        folder = Path(name)
        faults = int(not appending(folder, 2000))
        long_log(folder, options.answers)
        choosing()
        faults += damage(folder, options.damage, rng)
        faults += kills(folder, options.kills, rng)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
