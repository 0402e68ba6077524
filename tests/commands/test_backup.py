"""``drill merge``, ``backup`` and ``restore``: two machines, one log."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from desk_tools import NOW, ran

from drill.commands import backup, merge, restore
from drill.errors import ExitCode, StoreError, UsageError
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
    assert "1 were here already; the log now holds 4" in got.err
    assert held(two) == [f"uuid-{n}" for n in (1, 2, 3, 4)]
    assert "0 answers taken in" in ran(merge, (str(file),), two).err
    assert held(two) == [f"uuid-{n}" for n in (1, 2, 3, 4)]


def test_a_backup_is_not_written_over_and_needs_answers(tmp_path: Path) -> None:
    home = log(tmp_path / "home", 1)
    ran(backup, (str(tmp_path / "b.db"),), home)
    with pytest.raises(StoreError, match="exists already"):
        ran(backup, (str(tmp_path / "b.db"),), home)
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
