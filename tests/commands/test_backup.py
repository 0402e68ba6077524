"""``drill merge``, ``backup`` and ``restore``: two machines, one log."""

from __future__ import annotations

import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from desk_tools import NOW, ran

from drill.commands import backup, merge, restore
from drill.errors import ExitCode, StoreError, TakenError, UsageError
from drill.memory.items import Answer, Item
from drill.memory.store import Store

ITEM = Item("G:major:1-2-3-1/up:4", "G:major", "1-2-3-1/up", ("G:major:C",), 1)


def log(home: Path, *numbers: int) -> Path:
    """A home whose log holds answers with these numbers."""
    with Store.open(home / "answers.db") as store:
        for number in numbers:
            at = NOW + timedelta(seconds=number)
            store.append(Answer(f"uuid-{number}", at, "2031-03-14", ITEM.id, True), ITEM)
    return home


def held(home: Path) -> list[str]:
    with Store.open(home / "answers.db") as store:
        return [each.uuid for each in store.answers()]


def test_a_backup_merges_into_another_machine(tmp_path: Path) -> None:
    one, two = log(tmp_path / "one", 1, 2, 3), log(tmp_path / "two", 3, 4)
    file = tmp_path / "one.db"
    assert "3 answers copied to" in ran(backup, (str(file),), one).err
    got = ran(merge, (str(file),), two)
    assert "2 answers taken in" in got.err
    assert "1 was here already; the log now holds 4" in got.err
    assert held(two) == [f"uuid-{n}" for n in (1, 2, 3, 4)]
    assert "0 answers taken in" in ran(merge, (str(file),), two).err
    assert held(two) == [f"uuid-{n}" for n in (1, 2, 3, 4)]


def test_a_backup_is_not_written_over_and_needs_answers(tmp_path: Path) -> None:
    home = log(tmp_path / "home", 1)
    ran(backup, (str(tmp_path / "b.db"),), home)
    with pytest.raises(TakenError, match="exists already") as taken:
        ran(backup, (str(tmp_path / "b.db"),), home)
    assert taken.value.path == tmp_path / "b.db"
    with pytest.raises(UsageError, match="no answers to back up"):
        ran(backup, (str(tmp_path / "c.db"),), tmp_path / "empty")
    assert not (tmp_path / "empty").exists()


def test_restore_needs_consent_and_keeps_a_copy(tmp_path: Path) -> None:
    home = log(tmp_path / "home", 1, 2)
    file = tmp_path / "b.db"
    ran(backup, (str(file),), home)
    log(home, 3)
    with pytest.raises(UsageError, match="--yes"):
        ran(restore, (str(file),), home)
    assert len(held(home)) == 3
    got = ran(restore, (str(file),), home, typed="no\n")
    assert (got.code, len(held(home))) == (ExitCode.FAILURE, 3)
    assert "3 answers" in got.err
    got = ran(restore, (str(file), "--yes"), home)
    assert held(home) == ["uuid-1", "uuid-2"]
    assert "holds the 2 answers" in got.err
    (kept,) = home.glob("answers.db.before-restore*")
    assert str(kept) in got.err
    ran(merge, (str(kept),), home)
    assert len(held(home)) == 3
    assert ran(restore, (str(file),), home, typed="yes\n").code is ExitCode.OK
    assert len(held(home)) == 2


@pytest.mark.parametrize("words", [("--yes",), ()])
def test_what_is_no_backup_changes_nothing(tmp_path: Path, words: tuple[str, ...]) -> None:
    home = log(tmp_path / "home", 1, 2)
    bad = tmp_path / "bad.db"
    bad.write_bytes(b"SQLite format 3\0" + b"?" * 5000)
    with pytest.raises(StoreError):
        ran(restore, (str(bad), *words), home, typed="yes\n")
    with pytest.raises(StoreError):
        ran(merge, (str(bad),), home)
    with pytest.raises(UsageError, match="no file"):
        ran(restore, (str(tmp_path / "none"), "--yes"), home)
    with pytest.raises(StoreError, match="no answer log there"):
        ran(merge, (str(tmp_path / "none"),), home)
    assert held(home) == ["uuid-1", "uuid-2"]


# -- each of these failed before: the wrong disk was blamed, and what lay beside was taken away


FULL = """
import resource, signal, sys
from pathlib import Path
from drill.errors import DrillError
from drill.memory.exchange import backup
from drill.memory.store import Store
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
with Store.open(Path(sys.argv[1])) as store:
    resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))
    try:
        backup(store, Path(sys.argv[2]))
    except DrillError as error:
        print(error)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="resource limits")
def test_a_backup_without_room_names_its_own_place_and_leaves_nothing(tmp_path: Path) -> None:
    home = log(tmp_path / "home", *range(40))
    stick = tmp_path / "stick"
    stick.mkdir()
    line = [sys.executable, "-c", FULL, str(home / "answers.db"), str(stick / "b.db")]
    root = Path(__file__).parents[2]
    done = subprocess.run(line, capture_output=True, text=True, check=True, cwd=root)
    assert done.stdout.startswith(f"{stick / 'b.db'}: ")
    assert done.stdout.count("\n") == 1
    assert list(stick.iterdir()) == []
    assert held(home) == [f"uuid-{n}" for n in range(40)]


def test_a_file_of_the_user_s_beside_a_backup_stays(tmp_path: Path) -> None:
    home = log(tmp_path / "home", 1)
    (tmp_path / "mine.part").write_text("another text", encoding="utf-8")
    ran(backup, (str(tmp_path / "mine"),), home)
    assert (tmp_path / "mine.part").read_text(encoding="utf-8") == "another text"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["home", "mine", "mine.part"]


def test_a_backup_makes_no_folder_of_a_mistyped_path(tmp_path: Path) -> None:
    home = log(tmp_path / "home", 1)
    with pytest.raises(StoreError, match=r"there is no folder .*stik: make it first"):
        ran(backup, (str(tmp_path / "stik" / "b.db"),), home)
    assert not (tmp_path / "stik").exists()


def test_rows_that_are_left_out_of_a_merge_are_told_one_by_one(tmp_path: Path) -> None:
    one = log(tmp_path / "one", 1)
    with Store.open(one / "answers.db") as store:
        for number in range(2, 30):
            at = NOW + timedelta(seconds=number)
            row = Answer(f"u{number}", at, "2031-03-14", ITEM.id, True, slip="\x1b[2J")
            store.append(row, ITEM)
    got = ran(merge, (str(one / "answers.db"),), log(tmp_path / "two", 50))
    assert "answer 2: its slip holds U+001B: left out" in got.err
    assert "8 more were left out" in got.err
    assert "1 answer taken in" in got.err


def test_on_a_new_machine_there_is_nothing_to_agree_to(tmp_path: Path) -> None:
    file = tmp_path / "all.bak"
    log(tmp_path / "old", 1, 2)
    ran(backup, (str(file),), tmp_path / "old")
    got = ran(restore, (str(file),), tmp_path / "new")
    assert got.code is ExitCode.OK
    assert "held before" not in got.err
