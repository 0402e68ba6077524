"""What a kill leaves, and then hurt: the write-ahead log, the shared index, either file.

Each hurt log is opened as a start does.  ``silent`` is the fault that is looked for: answers
gone and no word of it.  Beside what the program gives back stands what each of its two ways
gives alone: rows read from bare pages, and the daily copies.
"""

from __future__ import annotations

import os
import random
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from drill.errors import StoreError
from drill.memory.copies import copies_of
from drill.memory.items import Answer, Item
from drill.memory.salvage import salvage
from drill.memory.store import FILE_NAME, Store

START = datetime(2031, 1, 5, 18, tzinfo=UTC)
ITEMS = tuple(
    Item(f"k{n}:s:{n}", f"k{n}", "s", tuple(f"k{n}:{d}" for d in range(4)), n % 8, f"k{n}", n)
    for n in range(60)
)
DAYS, A_DAY, TODAY = 4, 40, 25


def given(number: int) -> Answer:
    at = START + timedelta(days=number // A_DAY, seconds=7 * number)
    return Answer(
        f"{number:08x}-0000-4000-8000-000000000000", at, at.date().isoformat(),
        ITEMS[number * 7 % 60].id, number % 3 > 0, "0123456789abcdef", "cells", "degree",
        "C D E C", ("right",) * 4, seconds=2.5, keystrokes=8,
    )  # fmt: skip


def killed(folder: Path, days: int = DAYS, today: int = TODAY, first: int = 0) -> list[Answer]:
    """A log of some days, each with its copy, as a kill leaves it during the last one."""
    source = folder / "source" / FILE_NAME
    rows: list[Answer] = []
    for day in range(days + 1):
        with Store.open(source, day=f"2031-01-{5 + day:02}") as store:
            for _ in range(A_DAY if day < days else today):
                answer = given(first + len(rows))
                item = next(item for item in ITEMS if item.id == answer.item)
                rows.append(store.append(answer, item).answer)
            if day == days:
                shutil.copytree(source.parent, folder / "left")
    shutil.rmtree(source.parent)
    return rows


def flip(file: Path, rng: random.Random) -> None:
    data = bytearray(file.read_bytes())
    for _ in range(rng.choice((1, 1, 1, 8))):
        data[rng.randrange(len(data))] ^= rng.randint(1, 255)
    file.write_bytes(data)


def cut(file: Path, rng: random.Random) -> None:
    data = file.read_bytes()
    file.write_bytes(data[: rng.randrange(len(data))])


def zeros(file: Path, rng: random.Random) -> None:
    data = bytearray(file.read_bytes())
    begin = rng.randrange(len(data))
    data[begin : begin + 4096] = bytes(len(data[begin : begin + 4096]))
    file.write_bytes(data)


def noise(file: Path, rng: random.Random) -> None:
    file.write_bytes(rng.randbytes(file.stat().st_size))


def gone(file: Path, _: random.Random) -> None:
    file.unlink()


Hurt = Callable[[Path, random.Random], None]
WAYS: tuple[Hurt, ...] = (flip, cut, zeros, noise, gone)
FILES = (FILE_NAME, f"{FILE_NAME}-wal", f"{FILE_NAME}-shm", f"{FILE_NAME}.last")


def damaged(rng: random.Random, number: int) -> bool:
    """Each file hurt in each way, and changed for another log's, so many times each."""
    memory = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
    with tempfile.TemporaryDirectory(prefix="torture-", dir=memory) as name:
        one, two = Path(name) / "one", Path(name) / "two"
        rows = killed(one)
        killed(two, 1, 9, 100_000)

        def swap(file: Path, _: random.Random) -> None:
            shutil.copyfile(two / "left" / file.name, file)

        copied = {answer for copy in copies_of(one / "left" / FILE_NAME)
                  for answer in salvage(copy, b"").answers}  # fmt: skip
        good = True
        for file in FILES:
            for way in (*WAYS, swap):
                found: Counter[str] = Counter()
                outcomes = Counter(
                    _try(one / "left", Path(name) / "try", file, way, rng, rows, copied, found)
                    for _ in range(number if way in (flip, cut, zeros) else max(1, number // 20))
                )
                good &= not found["silent"] and not found["foreign"]
                _tell(file, way.__name__, found, outcomes, outcomes.total() * len(rows))
    return good


def _try(
    left: Path, home: Path, file: str, way: Hurt, rng: random.Random, rows: list[Answer],
    copied: set[Answer], found: Counter[str],
) -> str:  # fmt: skip
    """How it ended; what became of the answers is added to ``found``."""
    shutil.rmtree(home, ignore_errors=True)
    shutil.copytree(left, home)
    way(home / file, rng)
    path = home / FILE_NAME
    whole = set(rows)
    found["by pages"] += len(whole & set(salvage(path).answers))
    found["by copies"] += len(whole & copied)
    try:
        with Store.open(path) as store:
            kept, said = set(store.answers()), bool(store.notices)
    except StoreError:
        found["kept"] += len(rows)  # nothing was touched
        return "refused"
    found["kept"] += len(whole & kept)
    found["foreign"] += len(kept - whole) if way.__name__ != "swap" else 0
    lost = not whole <= kept
    found["silent"] += lost and not said
    return "part, told" if lost else "whole, told" if said else "whole"


def _tell(file: str, way: str, found: Counter[str], outcomes: Counter[str], answers: int) -> None:
    kept, pages, copies = (
        f"{100 * found[name] / answers:.2f}" for name in ("kept", "by pages", "by copies")
    )
    print(
        f"{file:<16}{way:<6} {outcomes.total():>4} tries: silent {found['silent']}, never given "
        f"{found['foreign']}; kept {kept} % (pages alone {pages}, copies alone {copies}); "
        + ", ".join(f"{name} {count}" for name, count in outcomes.most_common()),
        flush=True,
    )
