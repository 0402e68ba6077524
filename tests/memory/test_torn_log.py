"""What was written ahead and then hurt: noticed, given back, never lost in silence.

Each of these failed before: the library drops what it cannot follow without a word.
"""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import stat
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from memory_log import START, answer, deck

from drill.errors import StoreError
from drill.memory import database
from drill.memory.copies import KEPT, copies_of
from drill.memory.exchange import backup, merge, restore
from drill.memory.items import Answer
from drill.memory.lastseen import LastSeen, note
from drill.memory.salvage import salvage
from drill.memory.store import Store

DECK = deck()
posix = pytest.mark.skipif(sys.platform == "win32", reason="POSIX files")


def killed(folder: Path, before: int = 40, after: int = 20) -> tuple[Path, list[Answer]]:
    """A log as a kill leaves it: some answers in the file, the last ones written ahead alone."""
    source = folder / "source" / "answers.db"
    rows = fill(source, range(before))
    store = Store.open(source)
    for n in range(before, before + after):
        row = answer(DECK[n % 9], n % 3 > 0, START + timedelta(minutes=n), n)
        rows.append(store.append(row, DECK[n % 9]).answer)
    left = folder / "left"
    shutil.copytree(source.parent, left)
    store.close()
    return left / "answers.db", rows


def fill(path: Path, numbers: range) -> list[Answer]:
    with Store.open(path) as store:
        return [
            store.append(
                answer(DECK[n % 9], n % 3 > 0, START + timedelta(minutes=n), n), DECK[n % 9]
            ).answer
            for n in numbers
        ]


def opened(path: Path) -> tuple[list[Answer], tuple[str, ...]]:
    with Store.open(path) as store:
        return list(store.answers()), store.notices


def test_an_ordinary_kill_is_no_damage_and_nothing_is_said(tmp_path: Path) -> None:
    path, rows = killed(tmp_path)
    assert path.with_name("answers.db-wal").stat().st_size > 0
    assert opened(path) == (rows, ())
    assert sorted(each.name for each in path.parent.iterdir()) == ["answers.db"]


@pytest.mark.parametrize("seed", range(12))
def test_a_byte_flipped_in_what_was_written_ahead_loses_nothing_in_silence(
    tmp_path: Path, seed: int
) -> None:
    path, rows = killed(tmp_path)
    rng = random.Random(seed)
    wal = path.with_name("answers.db-wal")
    data = bytearray(wal.read_bytes())
    at = rng.randrange(32 if seed % 4 == 0 else len(data))
    data[at] ^= 1 << rng.randrange(8)
    wal.write_bytes(data)
    kept, notices = opened(path)
    assert set(kept) <= set(rows)
    assert len(kept) >= len(rows) - 1  # the row that was hit, where it stands nowhere else
    assert kept == rows or "not found" in notices[0]
    assert opened(path) == (kept, ())  # said once


@pytest.mark.parametrize("name", ["answers.db-wal", "answers.db-shm"])
def test_each_cut_is_told_where_answers_are_gone(tmp_path: Path, name: str) -> None:
    path, rows = killed(tmp_path)
    whole = path.with_name(name).read_bytes()
    for number, cut in enumerate(range(0, len(whole), max(1, len(whole) // 9))):
        folder = tmp_path / str(number)
        shutil.copytree(path.parent, folder)
        (folder / name).write_bytes(whole[:cut])
        kept, notices = opened(folder / "answers.db")
        assert kept == rows[: len(kept)]
        lost = len(rows) - len(kept)
        assert lost == 0 or f"{lost} answer" in notices[0]
        assert lost == 0 or name.endswith("wal")


def test_a_write_ahead_log_that_was_taken_away_is_told(tmp_path: Path) -> None:
    path, rows = killed(tmp_path)
    path.with_name("answers.db-wal").unlink()
    kept, notices = opened(path)
    assert kept == rows[: len(kept)]
    lost = len(rows) - len(kept)
    assert lost
    assert f" {lost} answer" in notices[0]
    assert "not found" in notices[0]


def test_a_missing_file_beside_a_write_ahead_log_is_no_empty_log(tmp_path: Path) -> None:
    path, rows = killed(tmp_path)
    path.unlink()
    kept, notices = opened(path)
    assert set(rows[-20:]) <= set(kept) <= set(rows)
    assert "it is missing, but its write-ahead log is not" in notices[0]


@pytest.mark.parametrize("swapped", ["answers.db", "answers.db-wal"])
def test_a_file_changed_for_another_log_s_loses_nothing_in_silence(
    tmp_path: Path, swapped: str
) -> None:
    path, rows = killed(tmp_path / "one")
    other, _ = killed(tmp_path / "two", 7, 3)
    shutil.copyfile(other.with_name(swapped), path.with_name(swapped))
    kept, notices = opened(path)
    assert len(set(kept) & set(rows)) == len(rows) or notices


def test_daily_copies_give_back_what_no_page_can(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    rows = fill(path, range(60))
    with Store.open(path, day="2026-01-05") as store:
        last = answer(DECK[0], True, START + timedelta(days=1), 99)
        rows.append(store.append(last, DECK[0]).answer)
    path.write_bytes(b"another program wrote over it " * 999)
    kept, notices = opened(path)
    assert kept == rows[:60]
    assert "60 more came from the daily copies" in notices[0]


def test_a_week_of_copies_is_kept_one_a_day_each_private(tmp_path: Path) -> None:
    path = tmp_path / "home" / "answers.db"
    fill(path, range(5))
    for n in [*range(10, 20), 19]:
        Store.open(path, day=f"2026-03-{n}").close()
    Store.open(path, day="2099-01-01").close()  # a clock that was ahead for a day
    Store.open(path, day="2026-03-20").close()
    names = [each.name for each in copies_of(path)]
    assert names == [f"answers-2026-03-{n}.db" for n in range(20, 13, -1)]
    assert len(names) == KEPT
    for copy in copies_of(path):
        assert [each.uuid for each in salvage(copy).answers] == [f"{n:06d}" for n in range(5)]
    if sys.platform != "win32":
        modes = {stat.S_IMODE(each.stat().st_mode) for each in copies_of(path)}
        assert modes == {0o600}


def test_a_restore_takes_the_copies_of_the_other_log_away(tmp_path: Path) -> None:
    path = tmp_path / "home" / "answers.db"
    fill(path, range(3))
    with Store.open(path) as store:
        saved = backup(store, tmp_path / "saved.db")
    fill(path, range(3, 9))
    with Store.open(path, day="2026-03-01") as store:
        assert copies_of(path)
        restore(store, saved)
        assert copies_of(path) == ()


def test_an_answer_writes_five_kilobytes_ahead_at_most(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    with Store.open(path) as store:
        size = 0
        for n in range(200):
            row = answer(DECK[n % 70], True, START + timedelta(minutes=n), n, typed="C D E C")
            store.append(row, DECK[n % 70])
            if n in (9, 49, 199):
                size = path.with_name("answers.db-wal").stat().st_size
                assert size <= 5 * 1024 * (n + 1)
        assert 0 < size <= 128 * 1024  # it is taken into the file again and again


KILLED_START = """
import os, signal, sys
from pathlib import Path
import drill.memory.logfile as logfile
from drill.memory.store import Store
real, left = logfile.connect, int(sys.argv[2])
def counted(*args, **more):
    global left
    left -= 1
    if left < 0:
        os.kill(os.getpid(), signal.SIGKILL)
    return real(*args, **more)
logfile.connect = counted
Store.open(Path(sys.argv[1]))
"""


@posix
def test_a_killed_first_start_says_nothing_alarming(tmp_path: Path) -> None:
    for after in range(3):
        path = tmp_path / str(after) / "answers.db"
        line = [sys.executable, "-c", KILLED_START, str(path), str(after)]
        subprocess.run(line, check=False, cwd=Path(__file__).parents[2])
        assert opened(path) == ([], ())


# What is no file


@posix
@pytest.mark.parametrize("suffix", ["", "-wal", "-shm", "-journal", ".last"])
@pytest.mark.parametrize("kind", ["pipe", "folder", "device"])
def test_what_is_no_file_is_refused_and_never_waited_for(
    tmp_path: Path, suffix: str, kind: str
) -> None:
    path = tmp_path / "answers.db"
    fill(path, range(3))
    place = path.with_name(f"answers.db{suffix}")
    place.unlink(missing_ok=True)
    if kind == "pipe":
        os.mkfifo(place)
    elif kind == "folder":
        place.mkdir()
    else:
        place.symlink_to("/dev/zero")
    said = "a folder" if kind == "folder" else "not an ordinary file"
    with pytest.raises(StoreError, match=f"{place.name}: {said}"):
        Store.open(path)
    if not suffix:
        with Store.open(tmp_path / "own.db") as store, pytest.raises(StoreError, match=said):
            merge(store, path)


@posix
def test_gigabytes_of_zeros_are_refused_at_once(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    with path.open("wb") as file:
        file.truncate(4 << 30)  # sparse
    with pytest.raises(StoreError, match=r"not an answer log, or one too large .*4,295 MB"):
        Store.open(path)
    assert path.stat().st_size == 4 << 30
    with Store.open(tmp_path / "own.db") as store, pytest.raises(StoreError, match="not an intact"):
        merge(store, path)
    assert sorted(os.listdir(tmp_path)) == ["answers.db", "own.db"]


# Private


@posix
def test_a_log_and_all_beside_it_are_their_owner_s_alone(tmp_path: Path) -> None:
    mask = os.umask(0o022)
    try:
        path = tmp_path / "home" / "answers.db"
        with Store.open(path, day="2026-01-01") as store:
            store.append(answer(DECK[0], True, START, 1), DECK[0])
            saved = backup(store, tmp_path / "saved.db")
            restore(store, saved)
            store.append(answer(DECK[0], True, START, 2), DECK[0])
            modes = {each.name: stat.S_IMODE(each.stat().st_mode) for each in path.parent.iterdir()}
        assert set(modes.values()) == {0o600}
        assert "answers.db-wal" in modes
        assert stat.S_IMODE(saved.stat().st_mode) == 0o600
        assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
        path.chmod(0o644)  # as the first version left it
        Store.open(path).close()
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    finally:
        os.umask(mask)


# A log that may only be read


AS_NOBODY = """
import fcntl, os, shutil, sys, tempfile
from pathlib import Path
from drill.memory.exchange import backup, reading
if os.getuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
with reading(Path(sys.argv[1])) as store:
    print(store.count(), *store.notices)
    backup(store, Path(sys.argv[2]))
"""


@posix
@pytest.mark.parametrize("hurt", [False, True])
def test_a_log_is_read_where_it_cannot_be_written(hurt: bool) -> None:
    import tempfile

    folder = Path(tempfile.mkdtemp(prefix="drill-ro-"))  # not where another user may not enter
    target = Path(tempfile.mkdtemp(prefix="drill-to-"))
    try:
        path = folder / "home" / "answers.db"
        fill(path, range(5))
        if hurt:
            data = bytearray(path.read_bytes())
            data[-200:] = bytes(200)
            path.write_bytes(data)
        os.chmod(folder, 0o755)
        os.chmod(target, 0o777)
        path.chmod(0o444)
        path.parent.chmod(0o555)
        before = {each.name: each.read_bytes() for each in path.parent.iterdir()}
        line = [sys.executable, "-c", AS_NOBODY, str(path), str(target / "b.db")]
        root = Path(__file__).parents[2]
        done = subprocess.run(line, capture_output=True, text=True, check=False, cwd=root)
        assert done.stderr == ""
        if hurt:
            assert "is damaged, and cannot be mended where it may only be read" in done.stdout
        else:
            assert done.stdout == "5\n"
        assert salvage(target / "b.db").answers
        assert {each.name: each.read_bytes() for each in path.parent.iterdir()} == before
    finally:
        path.parent.chmod(0o755)
        shutil.rmtree(folder)
        shutil.rmtree(target)


def test_a_disk_without_room_for_the_shared_index_is_called_full(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The library says "disk I/O error" there, and a folder made writable would not help."""
    fault = sqlite3.OperationalError("disk I/O error")
    room = [10**9]
    monkeypatch.setattr(shutil, "disk_usage", lambda path: SimpleNamespace(free=room[0]))
    assert "disk I/O error" in str(database.explained(tmp_path / "answers.db", fault))
    room[0] = 4096
    said = database.explained(tmp_path / "answers.db", fault)
    assert "the disk is full" in str(said)
    assert isinstance(said, database.UnwritableError)  # it may still be read


def test_where_everything_could_be_read_nothing_is_called_lost(tmp_path: Path) -> None:
    """One page of an index is damaged: all rows are found in the table."""
    path, rows = killed(tmp_path)
    with Store.open(path):
        pass
    with sqlite3.connect(path) as link:
        (page,) = link.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'answers_stamp'"
        ).fetchone()
        (size,) = link.execute("PRAGMA page_size").fetchone()
    data = bytearray(path.read_bytes())
    data[(page - 1) * size : page * size] = b"\xff" * size
    path.write_bytes(data)
    note(path, LastSeen(len(rows), rows[-1].uuid))  # as a program that was killed leaves it
    kept, notices = opened(path)
    assert kept == rows
    assert "damaged" in notices[0]
    assert "not found" not in notices[0]
