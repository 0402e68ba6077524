"""Logs of another hand, and a log that is changed under a running program.

Each of these failed before.
"""

from __future__ import annotations

import errno
import shutil
import sqlite3
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from memory_log import START, answer, deck

from drill.errors import StoreError
from drill.memory.bounds import LAST_STAMP, unfit, unfit_item
from drill.memory.exchange import backup, merge, restore, set_aside
from drill.memory.items import Answer, Item, clocked
from drill.memory.repair import checked, dated_well
from drill.memory.schema import (
    ANSWER_COLUMNS,
    BadRowError,
    answer_row,
    checksum,
    item_row,
    read_answer,
)
from drill.memory.store import Store

DECK = deck()
HOSTILE = ("C\x1b]0;x\x07", "C\x9b31m", "C\x85", "C\u202e", "C\u200b", "C\U000e0041", "C\ud800")
NOW = START + timedelta(days=9)


def fill(path: Path, numbers: range) -> list[Answer]:
    with Store.open(path) as store:
        return [
            store.append(answer(DECK[n % 9], True, START + timedelta(minutes=n), n), DECK[n % 9])
            .answer
            for n in numbers
        ]  # fmt: skip


def forge(path: Path, *rows: Answer, items: tuple[Item, ...] = ()) -> None:
    """Put rows into a log as another program may: with checksums that fit."""
    Store.open(path).close()
    link = sqlite3.connect(path)
    for table, made in (("answers", map(answer_row, rows)), ("items", map(item_row, items))):
        for row in made:
            names = [each[1] for each in link.execute(f"PRAGMA table_info({table})")][1:]
            marks = ", ".join("?" * len(row))
            link.execute(f"INSERT INTO {table} ({', '.join(names)}) VALUES ({marks})", row)
    link.commit()
    link.close()


# A restore under a running program


def test_answers_after_a_restore_keep_their_items_and_the_program_notices(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    with Store.open(path) as running:
        running.append(answer(DECK[0], True, START, 0), DECK[0])
        with Store.open(path) as second:
            saved = backup(second, tmp_path / "saved.db")
        for n in range(1, 9):
            running.append(answer(DECK[n], True, START, n), DECK[n])
        assert running.generation == 0
        with Store.open(path) as second:
            restore(second, saved)
        for n in range(10, 19):
            running.append(answer(DECK[n - 10], True, START, n), DECK[n - 10])
        assert running.generation == 1
        assert {each.item for each in running.answers()} <= set(running.items())
        assert running.count() == 10
    with Store.open(path) as store:
        assert store.notices == ()
        assert store.count() == 10


def test_a_restore_is_noticed_by_who_only_looks(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    fill(path, range(3))
    with Store.open(path) as store:
        saved = backup(store, tmp_path / "saved.db")
    fill(path, range(3, 9))
    with Store.open(path) as looking:
        assert looking.look_again() == 0
        with Store.open(path) as second:
            restore(second, saved)
        assert looking.look_again() == 1
        assert looking.look_again() == 1


def test_a_log_of_larger_pages_is_restored_into_a_new_one(tmp_path: Path) -> None:
    old = Path(__file__).parent / "kept" / "answers-layout-1.db"
    path = tmp_path / "answers.db"
    fill(path, range(3))
    with Store.open(path) as running, Store.open(path) as second:
        restore(second, old)
        assert running.count() == second.count() == 24
        running.append(answer(DECK[0], True, NOW, 99), DECK[0])
    with Store.open(path) as store:
        assert (store.count(), store.notices) == (25, ())


@pytest.mark.parametrize("other", [".", "..", "/", "sub"])
def test_a_folder_in_the_place_of_another_log_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, other: str
) -> None:
    """A path such as "." has no name to look beside: ``drill merge .`` ended in a report (seed "1
    commands", input 2543 of the fuzzing bench)."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "sub").mkdir()
    with Store.open(tmp_path / "home" / "answers.db") as store:
        for takes in (merge, restore):
            with pytest.raises(StoreError, match=r": a folder: name a file made by this program"):
                takes(store, Path(other))


def test_a_full_disk_is_no_fault_of_the_backup(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither where the copy that is looked at finds no room, nor where one's own log does."""
    fill(tmp_path / "theirs.db", range(3))

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with Store.open(tmp_path / "answers.db") as store:
        with monkeypatch.context() as patched:
            patched.setattr(Store, "become", full)
            with pytest.raises(OSError, match="No space left"):
                restore(store, tmp_path / "theirs.db")
        monkeypatch.setattr(shutil, "copyfile", full)
        for takes in (merge, restore):
            with pytest.raises(StoreError, match=r"theirs.db: cannot be copied .* no space left"):
                takes(store, tmp_path / "theirs.db")


def test_a_log_merged_with_itself_stays_itself(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    fill(path, range(3))
    (tmp_path / "other.db").symlink_to(path)
    with Store.open(path) as store:
        assert merge(store, tmp_path / "other.db").added == 0
        store.append(answer(DECK[0], True, NOW, 99), DECK[0])
    with Store.open(path) as store:
        assert store.count() == 4


# Rows that this program never writes


@pytest.mark.parametrize("text", HOSTILE, ids=ascii)
@pytest.mark.parametrize(
    "column", ["item", "kind", "slip", "deck", "deck_name", "typed", "details", "hypotheses"]
)
def test_a_text_that_acts_on_a_terminal_stays_out_with_a_line(
    tmp_path: Path, column: str, text: str
) -> None:
    if column == "typed" and text == "C\u200b":
        pytest.skip("a joiner between notes is read, and was kept by the first version")
    changed: dict[str, Any] = {column: (text,) if column == "hypotheses" else text}
    bad = replace(answer(DECK[0], True, START, 1, stamp=1), **changed)
    forge(tmp_path / "o.db", bad, answer(DECK[0], True, START, 2, stamp=2), items=DECK[:1])
    with Store.open(tmp_path / "answers.db") as store:
        counts = merge(store, tmp_path / "o.db")
        assert counts.added == 1
        (line,) = counts.refused
        assert line.startswith("answer 1: its ")
        assert line.isprintable()
        assert [each.uuid for each in store.answers()] == ["000002"]


WILD: dict[str, dict[str, object]] = {
    "a stamp after which none fits": {"stamp": 2**63 - 1},
    "a stamp near it": {"stamp": 2**63 - 4},
    "a stamp beyond any date": {"stamp": LAST_STAMP + 1},
    "a stamp before any date": {"stamp": -(2**62)},
    "a day of no calendar": {"day": "2031-02-30"},
    "a day of other digits": {"day": "٢٠٣١-٠١-٠١"},
    "no uuid": {"uuid": "a b"},
    "a uuid without end": {"uuid": "a" * 65},
    "an outcome of none": {"outcomes": ("right", "maybe")},
    "outcomes without end": {"outcomes": ("right",) * 999},
    "a text without end": {"typed": "C " * 20_000},
    "a time before the prompt": {"seconds": -1.0},
    "keys without end": {"keystrokes": 2**60},
    "a tempo without end": {"tempo": 1e300},
}


@pytest.mark.parametrize("wild", WILD.values(), ids=WILD)
def test_a_row_out_of_bounds_stays_out_and_practice_goes_on(
    tmp_path: Path, wild: dict[str, object]
) -> None:
    bad = replace(answer(DECK[0], True, START, 1, stamp=1), **wild)  # type: ignore[arg-type]
    forge(tmp_path / "o.db", bad, items=DECK[:1])
    with Store.open(tmp_path / "answers.db") as store:
        counts = merge(store, tmp_path / "o.db")
        assert (counts.added, len(counts.refused)) == (0, 1)
        for n in range(3):
            store.append(answer(DECK[0], True, NOW, 10 + n), DECK[0])
        assert store.count() == 3


@pytest.mark.parametrize("text", ["[" * 9_000, "7"])
def test_a_list_that_is_none_makes_a_bad_row(text: str) -> None:
    """Brackets in brackets end in a RecursionError, which is no ValueError."""
    row = list(answer_row(answer(DECK[0], True, START, 1, stamp=1)))
    row[ANSWER_COLUMNS.index("hypotheses")] = text
    row[-1] = checksum(tuple(row[:-1]))
    with pytest.raises(BadRowError, match="a list expected"):
        read_answer(tuple(row))


def test_a_cell_out_of_bounds_stays_out(tmp_path: Path) -> None:
    bad = replace(DECK[1], shape="1-2\x1b[31m")
    forge(tmp_path / "o.db", answer(DECK[0], True, START, 1, stamp=1), items=(DECK[0], bad))
    with Store.open(tmp_path / "answers.db") as store:
        counts = merge(store, tmp_path / "o.db")
        assert (counts.added, len(counts.refused)) == (1, 1)
        assert set(store.items()) == {DECK[0].id}


def test_what_terminals_put_between_notes_is_no_reason_to_lose_an_answer() -> None:
    """The first version kept an answer as the terminal sent it."""
    for typed in ("C D\x1b[A E", "\x1b[200~C D E C\x1b[201~", "\ufeffC D", "C\x1b[0m D"):
        assert unfit(answer(DECK[0], True, START, 1, stamp=1, typed=typed)) == ""


@given(st.builds(Answer, uuid=st.text(), at=st.datetimes(timezones=st.just(UTC)), day=st.text(),
       item=st.text(), right=st.booleans(), typed=st.text(), details=st.text()))  # fmt: skip
def test_a_reason_is_always_fit_to_print(row: Answer) -> None:
    assert unfit(row).isprintable()


def test_whatever_a_practice_writes_is_fit() -> None:
    assert not any(unfit_item(item) for item in DECK)
    rows = [answer(DECK[n], n % 2 > 0, START, n, stamp=n + 1) for n in range(20)]
    assert [unfit(row) for row in rows] == [""] * 20


# A log that holds such rows already


def test_a_wild_stamp_in_the_log_itself_does_not_end_practice(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    forge(path, answer(DECK[0], True, START, 1, stamp=2**63 - 1), items=DECK[:1])
    rows = fill(path, range(10, 14))
    assert all(row.stamp < LAST_STAMP for row in rows)


def test_a_check_finds_and_a_repair_sets_aside(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    good = fill(path, range(5))
    orphan = answer(DECK[40], True, START, 50, stamp=10)
    early = answer(DECK[0], True, datetime(1970, 1, 2, tzinfo=UTC), 51, stamp=11)
    late = answer(DECK[0], True, NOW + timedelta(days=3650), 52, stamp=12)
    wild = answer(DECK[0], True, START, 53, stamp=2**63 - 1)
    acts = answer(DECK[0], True, START, 54, stamp=13, slip="\x1b[2J")
    forge(path, orphan, early, late, wild, acts)
    with Store.open(path) as running, Store.open(path) as store:
        found = checked(store, NOW)
        assert (found.answers, found.orphans, found.misdated) == (10, 1, 2)
        assert [line.partition(": ")[2] for line in found.unfit] == [
            "its slip holds U+001B", "its stamp is out of bounds",
        ]  # fmt: skip
        kept = set_aside(store)
        assert kept is not None
        assert set_aside(store) is None
        assert checked(store, NOW).unfit == ()
        assert set(good) <= set(store.answers())
        assert store.count() == 8
        running.append(answer(DECK[0], True, NOW, 99), DECK[0])
        assert running.generation == 1
    whole, aside = kept
    with Store.open(whole) as store:
        assert store.count() == 10
    with Store.open(aside) as store:
        assert {each.uuid for each in store.answers()} == {"000053", "000054"}


def test_dates_of_a_wrong_clock_are_told_from_right_ones() -> None:
    row = answer(DECK[0], True, NOW, 1)
    for away, well in ((-3650, True), (0, True), (1, True), (3, False), (36500, False)):
        at = NOW + timedelta(days=away)
        assert dated_well(replace(row, at=at, day=at.date().isoformat()), NOW) is well
    assert clocked((row,), NOW) == (row,)
