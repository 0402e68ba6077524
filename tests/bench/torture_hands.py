"""Other hands and clocks: restores and merges under a practice, wrong clocks, hostile logs."""

from __future__ import annotations

import random
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from fuzz_inputs import ODD
from torture_damage import ITEMS, given
from torture_program import LINES, SCREENS, Child, Player, start
from torture_screens import ScreenPlayer

from drill.memory.items import Answer
from drill.memory.schema import answer_row, item_row
from drill.memory.store import FILE_NAME, Store
from drill.shown import first_harmful

CODES = frozenset({0, 1, 2, 65, 69, 72, 73, 78, 129, 130, 143})
"""The exit codes that the help names, and those of a signal."""


def ran(home: Path, *words: str, before: Callable[[], None] = lambda: None) -> tuple[int, str, str]:
    """A command: its code, what it wrote, what it said."""
    err = home.parent / f"{home.name}-said.txt"
    child = start(home, words, before=before, err=err)
    code = child.wait()
    return code, child.read.decode(errors="replace"), err.read_text(encoding="utf-8")


def _stopped(child: Child, player: Player) -> None:
    time.sleep(0.1)
    child.kill()
    player.count(child)


def orphans(home: Path) -> int:
    """Answers whose cell is not in the log."""
    with closing(sqlite3.connect(home / FILE_NAME)) as link:
        query = "SELECT count(*) FROM answers WHERE item NOT IN (SELECT id FROM items)"
        return int(link.execute(query).fetchone()[0])


def under_a_practice(rng: random.Random, times: int) -> bool:
    """A backup, a merge and a restore by a second program while one practises."""
    bad = 0
    kept = 0
    for n in range(times):
        screens = n % 2 == 1
        with TemporaryDirectory(prefix="torture-") as name:
            home, other = Path(name) / "home", Path(name) / "other"
            home.mkdir()
            other.mkdir()
            with Store.open(other / FILE_NAME) as store:
                for number in range(30):
                    row = given(1_000_000 + number)
                    item = next(item for item in ITEMS if item.id == row.item)
                    store.append(row, item)
            player = ScreenPlayer() if screens else Player()
            child = start(home, SCREENS if screens else LINES, screens=screens)
            if not screens:  # on a busy machine a start takes its time
                player.play(child, time.perf_counter() + 60, most=2)
            first, second, third = (rng.uniform(0.5, 2.0) for _ in range(3))
            player.play(child, time.perf_counter() + first + (2.0 if screens else 0.0))
            codes = [ran(home, "backup", str(Path(name) / "b.db"))[0]]
            player.play(child, time.perf_counter() + second)
            codes.append(ran(home, "merge", str(other / FILE_NAME))[0])
            player.play(child, time.perf_counter() + second)
            codes.append(ran(home, "restore", str(Path(name) / "b.db"), "--yes")[0])
            before = len(player.sent)
            player.play(child, time.perf_counter() + third)
            _stopped(child, player)
            later = set(player.sent[before + 1 :]) & set(player.acknowledged)
            with Store.open(home / FILE_NAME) as store:
                typed = {answer.typed for answer in store.answers()}
                said = store.notices
            missing = later - typed
            kept += len(later)
            code, _, err = ran(home, "hand-in", "--name", "Bo", "--out", str(Path(name) / "r"))
            wrong = codes != [0, 0, 0] or missing or orphans(home) or code or said
            if wrong:
                bad += 1
                print(f"  {n}: codes {codes} {code}, missing {len(missing)}, said {said} {err!r}")
    print(f"backup, merge and restore under {times} practices: {kept} later answers, FAILED {bad}")
    return not bad and kept > 0


CLOCKS: dict[str, tuple[float, ...]] = {
    "1970": (-20_500, 0),
    "three days ahead": (3, 0),
    "ten years ahead": (3650, 0),
    "a hundred years ahead": (36_500, 0),
    "ten years back": (-3650, 0),
    "back and forth": (0, 3, -20_500, 36_500, -1, 0),
    "wrong at the end": (0, -20_500),
    "ahead at the end": (0, 3650),
}
"""Days by which the clock is wrong, practice by practice; the last is that of the hand-in."""


def clocks() -> bool:
    """Practices with a wrong clock, and a hand-in of all of it that another clock reads."""
    import drill.cli
    from drill.clock import utc_now
    from drill.reports import reading

    def shifted(days: float) -> Callable[[], None]:
        def before() -> None:
            drill.cli.utc_now = lambda: utc_now() + timedelta(days=days)  # type: ignore[attr-defined]

        return before

    good = True
    for what, faults in CLOCKS.items():
        with TemporaryDirectory(prefix="torture-") as name:
            home, player = Path(name) / "home", Player()
            home.mkdir()
            for days in faults:
                child = start(home, LINES, before=shifted(days))
                player.play(child, time.perf_counter() + 30, most=12)
                _stopped(child, player)
            file = Path(name) / "r"
            last = shifted(faults[-1])
            words = ("hand-in", "--name", "Bo", "--out", str(file))
            code, _, said = ran(home, *words, before=last)
            handed = len(reading.load(file, utc_now()).answers) if not code else 0
            logged = len(ran(home, "log", "--json")[1].splitlines())
            codes = [ran(home, *words, before=last)[0] for words in (("progress",), ("why",))]
            fine = code == 0 and handed == logged >= len(player.acknowledged) and codes == [0, 0]
            told = "given with a wrong clock" in " ".join(said.replace("drill:", "").split())
            print(
                f"  clock {what}: {handed} of {logged} answers handed in, told {told}, "
                f"{'good' if fine else f'FAILED {code} {codes} {said!r}'}"
            )
            good &= fine
    return good


COLUMNS = (
    "uuid", "day", "deck", "deck_name", "item", "kind", "typed", "slip", "details",
    "hypotheses", "outcomes", "stamp", "seconds", "keystrokes", "tempo",
)  # fmt: skip


def hostile_logs(rng: random.Random, times: int) -> bool:
    """Odd text and numbers in every column of a log that is merged, then printed."""
    bad = taken = refused = 0
    for n in range(times):
        with TemporaryDirectory(prefix="torture-") as name:
            home, other = Path(name) / "home", Path(name) / "o.db"
            home.mkdir()
            Store.open(other).close()
            rows = [odd_row(given(number), rng) for number in range(20)]
            with closing(sqlite3.connect(other)) as link:
                put_rows(link, "items", [item_row(item) for item in ITEMS])
                put_rows(link, "answers", [answer_row(row) for row in rows])
                link.commit()
            code, _, said = ran(home, "merge", str(other))
            left_out = said.count("left out\n")
            outputs = [ran(home, *words) for words in (
                ("log",), ("log", "--json"), ("progress", "--json"), ("log", "--check"),
                ("hand-in", "--name", "Bo", "--out", "-"),
            )]  # fmt: skip
            text = "".join(out + err for _, out, err in outputs) + said
            lines = len(outputs[0][1].splitlines())
            taken, refused = taken + lines, refused + left_out
            wrong = (
                code
                or first_harmful(text, "\n\t\r") is not None
                or "Traceback" in text
                or any(each[0] not in CODES for each in outputs)
                or lines + left_out != len(rows)
            )
            if wrong:
                bad += 1
                print(f"  {n}: {code} {[each[0] for each in outputs]} {lines} {left_out} {said!r}")
    print(f"{times} hostile logs merged: {taken} rows taken, {refused} left out, {bad} FAILED")
    return not bad


def odd_row(row: Answer, rng: random.Random) -> Answer:
    """The row with one column that nobody would write, or as it is."""
    if rng.random() < 0.3:
        return replace(row, stamp=int(row.at.timestamp() * 1e6))
    column = rng.choice(COLUMNS)
    text = "".join(rng.choice(ODD) for _ in range(rng.randint(1, 4)))
    number = rng.choice((2**63 - 1, -(2**63), 2**62, -1, 10**18))
    value: object = text
    if column in ("hypotheses", "outcomes"):
        value = (text,) * rng.choice((1, 2, 500))
    elif column in ("stamp", "keystrokes"):
        value = number
    elif column in ("seconds", "tempo"):
        value = rng.choice((1e300, -1.0, 1e18))
    changed: dict[str, Any] = {"stamp": int(row.at.timestamp() * 1e6), column: value}
    return replace(row, **changed)


def put_rows(link: sqlite3.Connection, table: str, rows: list[tuple[object, ...]]) -> None:
    names = [each[1] for each in link.execute(f"PRAGMA table_info({table})")][1:]
    marks = ", ".join("?" * len(names))
    link.executemany(f"INSERT OR IGNORE INTO {table} ({', '.join(names)}) VALUES ({marks})", rows)
