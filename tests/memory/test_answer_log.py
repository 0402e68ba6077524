"""The store: what is written is read, once, in order, by every program, after every fault."""

from __future__ import annotations

import multiprocessing
import os
import random
import signal
import sqlite3
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from memory_log import START, answer, deck
from state_digest import digest

from drill.errors import StoreError
from drill.memory.exchange import backup, merge, restore
from drill.memory.items import Answer, Item
from drill.memory.model import replay
from drill.memory.schema import MIGRATIONS, clean
from drill.memory.store import Store

DECK = deck()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "answers.db"


def fill(path: Path, numbers: range, tag: str = "") -> list[Answer]:
    with Store.open(path) as store:
        return [
            store.append(
                answer(
                    DECK[n % 9], n % 3 > 0, START + timedelta(minutes=n), n, uuid=f"{tag}{n:05d}"
                ),
                DECK[n % 9],
            ).answer
            for n in numbers
        ]


def test_what_is_appended_is_read_again_in_order(path: Path) -> None:
    rows = fill(path, range(50))
    with Store.open(path) as store:
        assert list(store.answers()) == rows
        assert store.items() == {item.id: item for item in DECK[:9]}
        assert (store.count(), store.last_seq(), store.notices) == (50, 50, ())


anything = st.text(st.characters(codec=None, exclude_categories=()), max_size=30)
odd_answers = st.builds(
    Answer,
    uuid=anything,
    at=st.datetimes(timezones=st.sampled_from([UTC, timezone(timedelta(hours=-9)), None])),
    day=anything,
    item=anything,
    right=st.booleans(),
    deck=anything,
    deck_name=anything,
    kind=anything,
    typed=anything,
    outcomes=st.lists(anything, max_size=4).map(tuple),
    slip=st.none() | anything,
    hypotheses=st.lists(anything, max_size=3).map(tuple),
    seconds=st.none() | st.floats() | st.integers(0, 9),
    keystrokes=st.integers(-(2**70), 2**70),
    again=st.booleans(),
    interrupted=st.booleans(),
    tempo=st.none() | st.floats(),
    details=anything,
)
odd_items = st.builds(
    Item, anything, anything, anything, st.lists(anything, max_size=5).map(tuple),
    st.integers(-(2**70), 2**70), anything, st.integers(-(2**70), 2**70),
)  # fmt: skip


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(odd_answers, odd_items), max_size=4, unique_by=lambda p: p[0].uuid))
def test_no_answer_however_odd_breaks_the_store(
    tmp_path_factory: pytest.TempPathFactory, pairs: list[tuple[Answer, Item]]
) -> None:
    path = tmp_path_factory.mktemp("odd") / "answers.db"
    with Store.open(path) as store:
        kept = [store.append(row, item).answer for row, item in pairs]
    for (given_row, _), row in zip(pairs, kept, strict=True):
        assert replace(row, stamp=0) == replace(clean(given_row), stamp=0)
        assert row.typed == given_row.typed
    with Store.open(path) as store:
        assert store.notices == ()
        assert list(store.answers()) == kept
        items = store.items()
        assert set(items) == {item.id for _, item in pairs}
        replay(store.answers(), items)


@pytest.mark.parametrize("sql", ["UPDATE answers SET right = 1", "DELETE FROM answers"])
def test_the_log_is_append_only(path: Path, sql: str) -> None:
    fill(path, range(3))
    link = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        link.execute(sql)
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        link.execute(sql.replace("answers", "items").replace("right", "place"))
    link.close()
    with Store.open(path) as store:
        assert store.count() == 3


def test_the_same_uuid_is_kept_once_and_the_kept_one_is_given_back(path: Path) -> None:
    with Store.open(path) as store:
        first = store.append(answer(DECK[0], True, START, 1), DECK[0])
        again = store.append(answer(DECK[1], False, START, 1), DECK[1])
        assert again == first
        assert store.count() == 1


def test_a_clock_set_back_keeps_the_order_of_the_log(path: Path) -> None:
    with Store.open(path) as store:
        for n, away in enumerate((0, 1, -1, -1, 2)):
            store.append(answer(DECK[0], True, START + timedelta(days=away), n), DECK[0])
        rows = list(store.answers())
    assert [row.uuid for row in rows] == [f"{n:06d}" for n in range(5)]
    assert [(row.at - START).days for row in rows] == [0, 1, -1, -1, 2]
    stamps = [row.stamp for row in rows]
    assert stamps == sorted(set(stamps))


def test_a_replayed_store_equals_what_was_learned_live(path: Path) -> None:
    rows = fill(path, range(200))
    with Store.open(path) as store:
        items = store.items()
        assert digest(replay(store.answers(), items)) == digest(replay(rows, items))


def test_two_programs_see_each_other_s_answers(path: Path) -> None:
    with Store.open(path) as one, Store.open(path) as two:
        one.append(answer(DECK[0], True, START, 1), DECK[0])
        two.append(answer(DECK[1], True, START, 2), DECK[1])
        one.append(answer(DECK[2], True, START, 3), DECK[2])
        assert [logged.answer.uuid for logged in two.since(0)] == ["000001", "000002", "000003"]
        assert [logged.seq for logged in one.since(1)] == [2, 3]
        assert one.since(3) == ()
        assert set(two.items()) == {item.id for item in DECK[:3]}


def _writer(path: str, tag: str) -> None:
    fill(Path(path), range(100), tag)


def test_programs_that_start_and_write_at_once_lose_nothing(path: Path) -> None:
    context = multiprocessing.get_context("spawn")
    tasks = [context.Process(target=_writer, args=(str(path), tag)) for tag in "abc"]
    for task in tasks:
        task.start()
    for task in tasks:
        task.join()
    assert [task.exitcode for task in tasks] == [0, 0, 0]
    with Store.open(path) as store:
        rows = list(store.answers())
        assert {row.uuid for row in rows} == {f"{t}{n:05d}" for t in "abc" for n in range(100)}
        assert len({row.stamp for row in rows}) == len(rows) == 300
        assert [entry.answer for entry in store.since(0)] == rows


# Versions of the layout


HERE = len(MIGRATIONS)
NEWER = (*MIGRATIONS, ("ALTER TABLE answers ADD COLUMN more TEXT", "CREATE TABLE extra (x)"))


def user_version(path: Path) -> int:
    link = sqlite3.connect(path)
    (version,) = link.execute("PRAGMA user_version").fetchone()
    link.close()
    return int(version)


def test_an_older_file_is_migrated_and_its_copy_is_kept(path: Path) -> None:
    rows = fill(path, range(5))
    with Store.open(path, NEWER) as store:
        assert list(store.answers()) == rows
        (notice,) = store.notices
    copy = path.with_name(f"answers.db.layout-{HERE}-1")
    assert copy.name in notice
    assert (user_version(path), user_version(copy)) == (HERE + 1, HERE)
    with Store.open(copy) as store:
        assert list(store.answers()) == rows
    with Store.open(path, NEWER) as store:
        assert store.notices == ()


def test_a_newer_file_is_refused_and_not_touched(path: Path) -> None:
    fill(path, range(5))
    Store.open(path, NEWER).close()
    before = {file.name: file.read_bytes() for file in path.parent.iterdir()}
    with pytest.raises(StoreError, match="newer version.*update the program"):
        Store.open(path)
    assert {file.name: file.read_bytes() for file in path.parent.iterdir()} == before


def test_a_newer_file_is_refused_even_if_that_stands_in_its_log_only(
    path: Path, tmp_path: Path
) -> None:
    fill(path, range(5))
    store = Store.open(path, NEWER)  # not closed: the write-ahead log holds the new version
    elsewhere = tmp_path / "copy"
    elsewhere.mkdir()
    for name in ("answers.db", "answers.db-wal"):
        (elsewhere / name).write_bytes((path.parent / name).read_bytes())
    store.close()
    head = (elsewhere / "answers.db").read_bytes()[60:64]
    assert head == HERE.to_bytes(4)
    with pytest.raises(StoreError, match="newer version"):
        Store.open(elsewhere / "answers.db")
    assert sorted(file.name for file in elsewhere.iterdir()) == ["answers.db", "answers.db-wal"]


class Killer(tuple):  # type: ignore[type-arg]
    """Migrations that end the process between two statements."""

    def __iter__(self):  # type: ignore[no-untyped-def]
        yield self[0]
        os.kill(os.getpid(), signal.SIGKILL)


def _killed_migration(path: str) -> None:
    Store.open(Path(path), (*MIGRATIONS, Killer(NEWER[-1])))


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL")
def test_a_migration_killed_midway_leaves_the_old_file_whole(path: Path) -> None:
    rows = fill(path, range(5))
    task = multiprocessing.get_context("spawn").Process(target=_killed_migration, args=(str(path),))
    task.start()
    task.join()
    assert task.exitcode == -signal.SIGKILL
    assert user_version(path) == HERE
    with Store.open(path) as store:
        assert list(store.answers()) == rows
    with Store.open(path, NEWER) as store:
        assert list(store.answers()) == rows


def test_a_migration_that_fails_changes_nothing(path: Path) -> None:
    rows = fill(path, range(5))
    broken = (*MIGRATIONS, ("CREATE TABLE extra (x)", "NONSENSE"))
    with pytest.raises(StoreError):
        Store.open(path, broken)
    assert user_version(path) == HERE
    with Store.open(path) as store:
        assert list(store.answers()) == rows


# Two laptops


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sets(st.integers(0, 40)), st.sets(st.integers(0, 40)), st.sets(st.integers(0, 40)))
def test_a_merge_is_the_union_whatever_the_order_and_however_often(
    tmp_path_factory: pytest.TempPathFactory, a: set[int], b: set[int], c: set[int]
) -> None:
    folder = tmp_path_factory.mktemp("merge")
    pool = random.Random(1).sample(range(41), 41)  # numbers that are not in order of time
    paths = []
    for name, own in zip("abc", (a, b, c), strict=True):
        paths.append(folder / f"{name}.db")
        with Store.open(paths[-1]) as store:
            for n in sorted(own):
                at = START + timedelta(minutes=pool[n])
                # The same answer on two machines has one uuid and one stamp: it was merged before.
                store.append(answer(DECK[n % 9], n % 2 > 0, at, n), DECK[n % 9])
    rows = []
    for order in ((0, 1, 2), (2, 0, 1), (1, 2, 0, 2, 0)):
        target = folder / f"{order}.db"
        with Store.open(target) as store:
            for n in order:
                merge(store, paths[n])
            assert merge(store, paths[order[0]]).added == 0
            rows.append(({row.uuid for row in store.answers()}, store.items()))
    assert rows[0] == rows[1] == rows[2]
    assert rows[0][0] == {f"{n:06d}" for n in a | b | c}


def test_a_merge_counts_and_keeps_the_order_of_time(path: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    mine, theirs = fill(path, range(0, 20, 2), "m"), fill(other, range(1, 20, 2), "t")
    before = other.read_bytes()
    with Store.open(path) as store:
        counts = merge(store, other)
        assert (counts.added, counts.known) == (10, 0)
        rows = list(store.answers())
    assert rows == sorted(mine + theirs, key=lambda row: row.order)
    assert other.read_bytes() == before
    assert not other.with_name("other.db-wal").exists()


def test_a_log_that_is_open_elsewhere_is_merged_with_what_is_not_yet_in_its_file(
    path: Path, tmp_path: Path
) -> None:
    with Store.open(tmp_path / "open.db") as other, Store.open(path) as store:
        other.append(answer(DECK[0], True, START, 1), DECK[0])
        assert merge(store, tmp_path / "open.db").added == 1


@pytest.mark.parametrize("content", [None, b"", b"no database" * 999, b"SQLite format 3\0"])
def test_a_merge_with_what_is_no_log_takes_nothing(
    path: Path, tmp_path: Path, content: bytes | None
) -> None:
    fill(path, range(3))
    other = tmp_path / "other.db"
    if content is not None:
        other.write_bytes(content)
    with Store.open(path) as store:
        if content == b"":
            assert merge(store, other).added == 0
        else:
            with pytest.raises(StoreError, match=r"other\.db"):
                merge(store, other)
        assert store.count() == 3
    assert content is None or other.read_bytes() == content


def test_a_merge_leaves_out_a_row_whose_text_is_none_and_takes_the_others(
    path: Path, tmp_path: Path
) -> None:
    fill(path, range(3), "m")
    other = tmp_path / "other.db"
    fill(other, range(3, 7), "t")
    before = other.read_bytes().replace(b"one-note-off", b"one\xffnote-off")
    other.write_bytes(before)
    with Store.open(path) as store:
        counts = merge(store, other)
        assert (counts.added, len(counts.refused), store.count()) == (2, 2, 5)
    assert other.read_bytes() == before
    assert [each.name for each in tmp_path.glob("other*")] == ["other.db"]


# Backup and restore


def test_a_backup_is_restored_and_the_present_log_is_kept_beside(
    path: Path, tmp_path: Path
) -> None:
    early = fill(path, range(5))
    (tmp_path / "saved").mkdir()
    with Store.open(path) as store:
        saved = backup(store, tmp_path / "saved" / "monday.db")
        with pytest.raises(StoreError, match="exists already"):
            backup(store, saved)
    late = fill(path, range(5, 9))
    with Store.open(path) as store:
        kept = restore(store, saved)
        assert list(store.answers()) == early
        store.append(answer(DECK[20], True, START + timedelta(days=9), 99), DECK[20])
        assert store.count() == 6
        assert DECK[20].id in store.items()
    with Store.open(kept) as store:
        assert list(store.answers()) == early + late
    assert [file.name for file in saved.parent.iterdir()] == ["monday.db"]


def test_a_restore_from_a_damaged_file_changes_nothing(path: Path, tmp_path: Path) -> None:
    rows = fill(path, range(400))
    torn = tmp_path / "torn.db"
    torn.write_bytes(path.read_bytes()[:30_000])
    with Store.open(path) as store:
        with pytest.raises(StoreError, match="not an intact answer log"):
            restore(store, torn)
        assert list(store.answers()) == rows
    assert [file.name for file in path.parent.iterdir()] == ["answers.db"]


# Faults of the machine


def test_a_full_disk_loses_nothing_kept_so_far_and_goes_on_when_there_is_room(path: Path) -> None:
    with Store.open(path) as store:
        kept = [store.append(answer(DECK[0], True, START, n), DECK[0]).answer for n in range(20)]
        link = store.link
        (pages,) = link.execute("PRAGMA page_count").fetchone()
        link.execute(f"PRAGMA max_page_count={pages}")
        refused = ""
        while not refused:
            row = answer(DECK[0], True, START, len(kept))
            try:
                kept.append(store.append(row, DECK[0]).answer)
            except StoreError as error:
                refused = str(error)
        assert "disk is full: make room" in refused
        assert list(store.answers()) == kept
        link.execute("PRAGMA max_page_count=1000000")
        store.append(answer(DECK[0], True, START, 999), DECK[0])
        assert store.count() == len(kept) + 1
    with Store.open(path) as store:
        assert store.notices == ()


def by_itself(code: str, path: Path) -> subprocess.CompletedProcess[str]:
    """A program of its own that is handed a log; it finds these tests and drill."""
    here = Path(__file__).parent
    return subprocess.run(
        [sys.executable, "-c", code, str(path), str(here), str(here.parents[1])],
        capture_output=True, text=True, check=False,
    )  # fmt: skip


NO_ROOM = """
import resource, signal, sys
from pathlib import Path
sys.path[:0] = sys.argv[2:]
from memory_log import START, answer, deck
from drill.errors import StoreError
from drill.memory.store import Store
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
item = deck()[0]
with Store.open(Path(sys.argv[1])) as store:
    store.append(answer(item, True, START, 0), item)
    resource.setrlimit(resource.RLIMIT_FSIZE, (160_000, 160_000))
    try:
        for n in range(1, 2000):
            store.append(answer(item, True, START, n), item)
            print(n)
    except StoreError as error:
        print(error, file=sys.stderr)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="resource limits")
def test_a_file_that_cannot_grow_keeps_all_that_was_acknowledged(path: Path) -> None:
    done = by_itself(NO_ROOM, path)
    assert str(path) in done.stderr
    assert "Traceback" not in done.stderr
    acknowledged = len(done.stdout.split())
    assert 5 < acknowledged < 1999
    with Store.open(path) as store:
        assert store.notices == ()
        assert store.count() == acknowledged + 1


AS_NOBODY = """
import os, sys
from pathlib import Path
sys.path[:0] = sys.argv[2:]
from memory_log import START, answer, deck
from drill.errors import StoreError
from drill.memory.store import Store
if os.getuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
try:
    with Store.open(Path(sys.argv[1])) as store:
        store.append(answer(deck()[0], True, START, 1), deck()[0])
except StoreError as error:
    print(error)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX permissions")
@pytest.mark.parametrize("exists", [True, False])
def test_a_folder_that_cannot_be_written_is_one_clear_line(exists: bool, tmp_path: Path) -> None:
    import shutil
    import tempfile

    # Not under pytest's own folder, which another user may not enter.
    folder = Path(tempfile.mkdtemp(prefix="drill-ro-"))
    try:
        path = folder / "answers.db"
        if exists:
            fill(path, range(2))
            path.chmod(0o444)
        folder.chmod(0o555)
        done = by_itself(AS_NOBODY, path)
        assert done.returncode == 0, done.stderr
        assert done.stdout.count("\n") == 1
        assert str(path) in done.stdout
        assert "set DRILL_HOME to another folder" in done.stdout
    finally:
        folder.chmod(0o755)
        shutil.rmtree(folder)


def test_a_file_held_by_another_program_is_one_clear_line(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("drill.memory.database._BUSY_SECONDS", 0.1)
    with Store.open(path) as store:
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="another program holds the answer log"):
            store.append(answer(DECK[0], True, START, 1), DECK[0])
        other.execute("ROLLBACK")
        other.close()
        store.append(answer(DECK[0], True, START, 1), DECK[0])
        assert store.count() == 1


def test_another_program_s_database_is_refused_and_not_changed(path: Path) -> None:
    path.parent.mkdir()
    link = sqlite3.connect(path)
    link.execute("CREATE TABLE recipes (name)")
    link.commit()
    link.close()
    before = path.read_bytes()
    with pytest.raises(StoreError, match="another program's database"):
        Store.open(path)
    assert path.read_bytes() == before


def test_a_closed_store_says_so(path: Path) -> None:
    store = Store.open(path)
    store.close()
    store.close()
    with pytest.raises(StoreError, match="is closed"):
        store.append(answer(DECK[0], True, START, 1), DECK[0])


def test_a_folder_in_the_file_s_place_is_one_clear_line(path: Path) -> None:
    path.mkdir(parents=True)
    with pytest.raises(StoreError, match=r"answers\.db"):
        Store.open(path)


def test_an_answer_far_in_the_past_or_future_is_kept(path: Path) -> None:
    with Store.open(path) as store:
        for n, year in enumerate((9999, 1, 2026)):
            store.append(answer(DECK[0], True, datetime(year, 6, 1, tzinfo=UTC), n), DECK[0])
        assert [row.at.year for row in store.answers()] == [9999, 1, 2026]
