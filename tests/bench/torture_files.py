"""Logs that were cut, flipped, written by a later version, or killed while migrated."""

from __future__ import annotations

import os
import random
import shutil
import signal
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from torture_program import LINES, Player, start

from drill.errors import StoreError
from drill.memory.items import Answer
from drill.memory.schema import MIGRATIONS
from drill.memory.store import FILE_NAME, Store

ANSWERS = 300


@dataclass(slots=True)
class Outcome:
    """What opening a hurt file gave, through the command ``drill log``."""

    code: int
    lines: list[str]
    said: str


def opened(home: Path) -> Outcome:
    """Print the log with the real command."""
    err = home / "said.txt"
    child = start(home, ("log", "--json"), err=err)
    code = child.wait()
    return Outcome(code, child.read.decode().splitlines(), err.read_text(encoding="utf-8"))


def a_log(home: Path) -> list[str]:
    """Make a log of ``ANSWERS`` answers with the real program; its lines as ``drill log`` has."""
    player = Player()
    child = start(home, LINES)
    player.play(child, time.perf_counter() + 60, most=ANSWERS)
    child.kill()
    with Store.open(home / FILE_NAME) as store:  # what is in the write-ahead log joins the file
        assert store.count() >= ANSWERS - 1
    return opened(home).lines


def _judge(home: Path, hurt: bytes, whole: set[str], n: object) -> str:
    """``whole``, ``part`` or ``refused``; ``FAILED`` where it was silent, altered or unclear."""
    file = home / FILE_NAME
    for old in home.glob(f"{FILE_NAME}*"):
        old.unlink()
    file.write_bytes(hurt)
    found = opened(home)
    kept = set(found.lines)
    aside = [path for path in home.glob(f"{FILE_NAME}.damaged-*") if path.read_bytes() == hurt]
    bad = ""
    if len(kept) != len(found.lines) or not kept <= whole:
        bad = "an answer was doubled or altered"
    elif found.code not in (0, 1) or "Traceback" in found.said or found.said.count("\n") > 1:
        bad = "no clear message"
    elif found.code == 0 and kept != whole and not (hurt and aside and "set aside" in found.said):
        bad = "" if not hurt and "empty file" in found.said else "lost without a word or a copy"
    elif found.code == 1 and file.read_bytes() != hurt:
        bad = "refused, and yet changed"
    if bad:
        print(f"  {n}: {bad}; code {found.code}, {len(kept)} kept, said {found.said[-200:]!r}")
        return "FAILED"
    if found.code == 1:
        return "refused"
    return "whole" if kept == whole else "part"


def _tally(results: Sequence[tuple[str, int]]) -> str:
    words = ("whole", "part", "refused", "FAILED")
    return ", ".join(f"{word} {sum(r == word for r, _ in results)}" for word in words)


def _home(folder: str) -> Path:
    home = Path(folder) / "home"
    home.mkdir()
    return home


def cuts(every: int) -> bool:
    """The file cut at every so many bytes; what stands before the cut is kept."""
    with tempfile.TemporaryDirectory(prefix="torture-") as folder:
        home = _home(folder)
        whole = a_log(home)
        data = (home / FILE_NAME).read_bytes()
        results = [
            (_judge(home, data[:at], set(whole), f"cut at {at}"), at)
            for at in range(0, len(data), every)
        ]
    print(f"cut at every {every}th byte of {len(data)}: {_tally(results)}")
    return all(result != "FAILED" for result, _ in results)


def flips(rng: random.Random, number: int) -> bool:
    """One to eight bytes changed anywhere."""
    with tempfile.TemporaryDirectory(prefix="torture-") as folder:
        home = _home(folder)
        whole = a_log(home)
        data = (home / FILE_NAME).read_bytes()
        results = []
        kept = 0
        for n in range(number):
            hurt = bytearray(data)
            for _ in range(rng.randint(1, 8)):
                hurt[rng.randrange(100 if rng.random() < 0.1 else len(hurt))] ^= rng.randint(1, 255)
            results.append((_judge(home, bytes(hurt), set(whole), f"flip {n}"), n))
            kept += results[-1][0] in ("whole", "part")
    print(f"bytes flipped in {number} copies of {len(whole)} answers: {_tally(results)}")
    return all(result != "FAILED" for result, _ in results)


def newer_version() -> bool:
    """A file of a later layout is refused and not touched."""
    with tempfile.TemporaryDirectory(prefix="torture-") as folder:
        home = _home(folder)
        a_log(home)
        with Store.open(home / FILE_NAME, (*MIGRATIONS, ("CREATE TABLE later (x)",))):
            pass
        data = (home / FILE_NAME).read_bytes()
        found = opened(home)
        good = found.code == 1 and "update the program" in found.said and not found.lines
        good &= (home / FILE_NAME).read_bytes() == data
    print(f"a newer version's log: {'refused, untouched' if good else found.said}")
    return good


SLOW = (
    "CREATE TABLE copy_1 AS SELECT * FROM answers",
    "CREATE TABLE copy_2 AS SELECT a.* FROM copy_1 a, (SELECT 1 FROM copy_1 LIMIT 40)",
    "CREATE INDEX copy_2_typed ON copy_2 (typed)",
    "DROP TABLE copy_1",
)
"""A migration that takes some hundredths of a second."""


def killed_migrations(rng: random.Random, number: int) -> bool:
    """SIGKILL at random instants of a migration: before or after, never between."""
    later = (*MIGRATIONS, SLOW)
    before = after = bad = 0
    with tempfile.TemporaryDirectory(prefix="torture-") as folder:
        made, file = Path(folder) / "made.db", Path(folder) / FILE_NAME
        answers = _invented(made)
        lasts = 0.0
        for n in range(number + 5):
            for old in Path(folder).glob(f"{FILE_NAME}*"):
                old.unlink()
            shutil.copyfile(made, file)
            began = time.perf_counter()
            pid = os.fork()
            if pid == 0:
                Store.open(file, later).close()
                os._exit(0)
            if n < 5:  # not killed: how long it takes on this machine now
                os.waitpid(pid, 0)
                lasts = max(lasts, time.perf_counter() - began)
                continue
            time.sleep(rng.uniform(0.0, lasts))
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
            try:
                with Store.open(file) as store:
                    before += 1
                    bad += tuple(store.answers()) != answers
            except StoreError:
                after += 1
            with Store.open(file, later) as store:
                bad += tuple(store.answers()) != answers
    print(f"a migration killed {number} times: {before} before, {after} after, {bad} FAILED")
    return not bad


def _invented(path: Path) -> tuple[Answer, ...]:
    from datetime import UTC, datetime, timedelta

    from drill.memory.items import Item

    item = Item("i", "k", "s", ("f",), 0)
    with Store.open(path) as store:
        for n in range(400):
            at = datetime(2031, 1, 1, tzinfo=UTC) + timedelta(seconds=n)
            store.append(Answer(f"u{n}", at, "2031-01-01", "i", True, typed=f"C {n}"), item)
        return tuple(store.answers())
