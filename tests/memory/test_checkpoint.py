"""A log opened from its checkpoint is the log replayed, whatever became of the file."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st
from memory_log import START, Given, answer, deck, given, log_of
from state_digest import digest

from drill.memory import checkpoint
from drill.memory.checkpoint import keep, model_version, opened
from drill.memory.exchange import backup, merge, restore
from drill.memory.items import Answer, clocked
from drill.memory.model import replay
from drill.memory.state import State
from drill.memory.store import Store

DECK = deck(3, 2, 5)
ITEMS = {item.id: item for item in DECK}


@pytest.fixture(autouse=True)
def eager(monkeypatch: pytest.MonkeyPatch) -> None:
    """A checkpoint after every start that learned something."""
    monkeypatch.setattr(checkpoint, "WORTH_KEEPING", 1)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "answers.db") as made:
        yield made


def rows(number: int, first: int = 0, away: float = 0.01) -> list[Answer]:
    return [
        answer(DECK[n * 7 % len(DECK)], n % 3 > 0, START + timedelta(days=n * away), n)
        for n in range(first, first + number)
    ]


def put(store: Store, answers: list[Answer]) -> None:
    for row in answers:
        store.append(row, ITEMS[row.item])


def whole(store: Store, now: datetime | None = None) -> State:
    return replay(store.answers(), store.items(), now=now)


def test_only_what_came_since_is_learned_anew(store: Store, tmp_path: Path) -> None:
    file = tmp_path / "cache" / "learned.json"
    assert opened(store, file).replayed == 0
    assert not file.exists()  # nothing was learned, nothing is kept
    put(store, rows(40))
    assert opened(store, file).replayed == 40
    put(store, rows(5, first=40))
    again = opened(store, file)
    assert (again.replayed, again.seq) == (5, 45)
    assert again.newest == START + timedelta(days=0.44)
    assert digest(again.state) == digest(whole(store))
    assert opened(store, file).replayed == 0
    assert opened(store, None).replayed == 45


@settings(max_examples=20, deadline=None)
@examples(entries=given(len(DECK), longest=30), cut=st.integers(0, 30))
def test_a_checkpoint_and_the_rest_are_the_whole_log(
    tmp_path_factory: pytest.TempPathFactory, entries: list[Given], cut: int
) -> None:
    folder, log = tmp_path_factory.mktemp("log"), log_of(DECK, entries)
    with Store.open(folder / "answers.db") as store:
        put(store, log[:cut])
        first = opened(store, folder / "learned.json")
        assert digest(first.state) == digest(whole(store))
        put(store, log[cut:])
        second = opened(store, folder / "learned.json")
        assert digest(second.state) == digest(whole(store))
        assert second.replayed == len(log[cut:])
        third = opened(store, folder / "learned.json")
        assert (third.replayed, digest(third.state)) == (0, digest(second.state))
        for name, value in vars(whole(store)).items():  # what a digest leaves out, too
            if isinstance(value, list | dict | int | str):
                assert getattr(third.state, name) == value, name


@pytest.mark.parametrize("way", ["cut", "hit", "empty", "other", "folder", "nonsense", "fields"])
def test_a_damaged_or_foreign_file_is_passed_over(store: Store, tmp_path: Path, way: str) -> None:
    file = tmp_path / "learned.json"
    put(store, rows(30))
    opened(store, file)
    data = file.read_bytes()
    file.unlink()
    if way == "folder":
        file.mkdir()
    elif way == "fields":  # whole by its digest, and not what is expected
        body = b'{"model": "", "log": 3}'
        file.write_bytes(checkpoint._digest(body).encode() + b"\n" + body)
    else:
        middle = len(data) // 2
        hit = data[:middle] + bytes([data[middle] ^ 1]) + data[middle + 1 :]
        broken = {"cut": data[:-9], "hit": hit, "empty": b"", "other": b"\x7fELF\xff\n"}
        file.write_bytes(broken.get(way, b"nonsense"))
    again = opened(store, file)
    assert again.replayed == 30
    assert digest(again.state) == digest(whole(store))
    if way != "folder":
        assert opened(store, file).replayed == 0  # and a new one was made


def test_another_model_replays(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "learned.json"
    put(store, rows(20))
    opened(store, file)
    monkeypatch.setattr(checkpoint, "model_version", lambda: "another")
    assert opened(store, file).replayed == 20


def test_the_model_s_version_is_that_of_its_sources(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Changed:
        __file__ = str(tmp_path / "model.py")

    (tmp_path / "model.py").write_text("REST = 0.5")
    before = model_version()
    monkeypatch.setattr(checkpoint, "_SOURCES", (Changed,))
    model_version.cache_clear()
    assert model_version() != before
    model_version.cache_clear()


def test_another_log_or_a_merge_of_older_answers_replays(tmp_path: Path) -> None:
    file = tmp_path / "learned.json"
    with Store.open(tmp_path / "a.db") as one, Store.open(tmp_path / "b.db") as two:
        put(one, rows(20))
        opened(one, file)
        put(two, rows(20, first=100))
        assert digest(opened(two, None).state) == digest(whole(two))
        assert opened(two, file).replayed == 20  # the file is the other log's
    with Store.open(tmp_path / "b.db") as two:
        opened(two, file)
        merge(two, tmp_path / "a.db")  # older answers, written later
        again = opened(two, file)
        assert again.replayed == 40
        assert digest(again.state) == digest(whole(two))


def test_a_restored_log_replays(store: Store, tmp_path: Path) -> None:
    file = tmp_path / "learned.json"
    put(store, rows(10))
    backup(store, tmp_path / "kept.db")
    put(store, rows(10, first=10))
    opened(store, file)
    restore(store, tmp_path / "kept.db")
    put(store, rows(10, first=50))  # as many rows, other answers
    again = opened(store, file)
    assert again.replayed == 20
    assert digest(again.state) == digest(whole(store))


def test_where_nothing_can_be_written_the_log_opens_all_the_same(
    store: Store, tmp_path: Path
) -> None:
    put(store, rows(10))
    (tmp_path / "file").write_text("")
    assert opened(store, tmp_path / "file" / "learned.json").replayed == 10
    keep(tmp_path / "file" / "learned.json", whole(store), store.reach(), START)


# The clock.


def test_a_practice_dated_a_year_ahead_counts_as_given_before_the_next(
    store: Store, tmp_path: Path
) -> None:
    """One practice with the clock a year ahead: forgetting goes on all the same."""
    file = tmp_path / "learned.json"
    ahead, today = START + timedelta(days=365), START + timedelta(days=1)
    put(store, [answer(DECK[0], True, ahead, 1)])
    now = START + timedelta(days=1)
    assert opened(store, file, now).state.record(DECK[0]).last == pytest.approx(_days(now))
    assert not file.exists()  # it is not yet known when that was
    put(store, [answer(DECK[1], True, today, 2)])
    for later in (30, 200):
        state = opened(store, file, START + timedelta(days=later)).state
        assert state.record(DECK[0]).last == pytest.approx(_days(today))
        assert state.record(DECK[1]).last == pytest.approx(_days(today))
    assert opened(store, None).state.record(DECK[0]).last == pytest.approx(_days(ahead))


def test_only_answers_after_now_are_brought_back() -> None:
    log = [answer(DECK[n], True, START + timedelta(days=d), n) for n, d in enumerate((0, 9, 3, 5))]
    now = START + timedelta(days=6)
    found = clocked(log, now)
    assert [(row.at - START).days for row in found] == [0, 3, 3, 5]
    assert found[1].day == log[2].day
    assert [(row.at - START).days for row in clocked(log, START + timedelta(days=4))] == [
        0,
        3,
        3,
        4,
    ]
    assert clocked(log, START + timedelta(days=10)) is log
    assert clocked(log, None) is log
    assert clocked((), now) == ()


def _days(at: datetime) -> float:
    return (at - datetime(1970, 1, 1, tzinfo=at.tzinfo)) / timedelta(days=1)
