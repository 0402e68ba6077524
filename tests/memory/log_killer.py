"""A child that answers without pause until it is killed, and what must then be in the log."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import threading
from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from drill.memory.items import Answer, Item
from drill.memory.store import Store

ITEM = Item("G:1-2-3-1:4", "G", "1-2-3-1 up", ("G:4", "G:5", "G:6", "G:4"), 1)
START = datetime(2026, 1, 5, tzinfo=UTC)


def numbered(life: str, number: int) -> Answer:
    """The answer that a child gives; some are long, so that pages fill and overflow."""
    return Answer(
        uuid=f"{life}-{number}",
        at=START + timedelta(seconds=number),
        day="2026-01-05",
        item=ITEM.id,
        right=number % 3 > 0,
        typed="C D E C" if number % 7 else "C D E C " * 700,
        outcomes=("right", "right", "right", "right"),
        seconds=number % 5 + 0.5,
    )


def child(path: str, life: str) -> None:
    """Append and acknowledge, for ever."""
    with Store.open(Path(path)) as store:
        number = 0
        while True:
            logged = store.append(numbered(life, number), ITEM)
            os.write(1, f"{logged.answer.uuid}\n".encode())
            number += 1


@dataclass(frozen=True)
class Death:
    """What one child left behind."""

    acknowledged: tuple[str, ...]
    by_signal: bool


def live_and_die(path: Path, life: str, rng: random.Random, longest: float) -> Death:
    """Start a child, kill it with SIGKILL at a random instant after its first sign of life."""
    root = Path(__file__).resolve().parents[2]
    with subprocess.Popen(
        [sys.executable, __file__, str(path), life],
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(root)},
    ) as process:
        assert process.stdout is not None
        first = process.stdout.readline()
        timer = threading.Timer(rng.uniform(0.0, longest), process.send_signal, [signal.SIGKILL])
        timer.start()
        rest = process.stdout.read()
        process.wait()
        timer.join()
    # A line that was cut off was not acknowledged.
    lines = (first + rest).decode().split("\n")[:-1]
    return Death(tuple(lines), process.returncode == -signal.SIGKILL)


def judge(path: Path, deaths: dict[str, Death]) -> list[str]:
    """Everything that is wrong with the log after these deaths; empty when all is well."""
    faults = []
    with Store.open(path) as store:
        faults += [f"notice: {notice}" for notice in store.notices]
        rows = list(store.answers())
    counts = Counter(row.uuid for row in rows)
    faults += [f"doubled: {uuid}" for uuid, count in counts.items() if count > 1]
    for life, death in deaths.items():
        own = [row.uuid for row in rows if row.uuid.startswith(f"{life}-")]
        missing = set(death.acknowledged) - set(own)
        faults += [f"missing: {uuid}" for uuid in sorted(missing)]
        # At most the one answer that was safe but not yet acknowledged.
        if len(own) > len(death.acknowledged) + 1:
            faults.append(f"{life}: {len(own)} kept, {len(death.acknowledged)} acknowledged")
        faults += [
            f"changed: {row.uuid}"
            for row in rows
            if row.uuid in own
            and row.typed != numbered(life, int(row.uuid.rsplit("-", 1)[1])).typed
        ]
    return faults


if __name__ == "__main__":
    child(sys.argv[1], sys.argv[2])
