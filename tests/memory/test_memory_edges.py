"""What a practice is worth is looked at a week later."""

from __future__ import annotations

from datetime import timedelta

import pytest
from memory_log import START, answer, deck

from drill.memory import advice, salvage
from drill.memory.items import days
from drill.memory.model import learn
from drill.memory.pool import Pool, chances
from drill.memory.state import State


def test_what_a_practice_is_worth_is_looked_at_a_week_after_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    state, items = State(), deck(2, 1, 4)
    for number, item in enumerate(items[:5]):
        learn(state, item, answer(item, number % 2 > 0, START, number))
    looked: list[float] = []

    def watched(state: State, pool: Pool, now: float, ease: float = 0.0) -> object:
        looked.append(now - days(START))
        return chances(state, pool, now, ease)

    monkeypatch.setattr(advice, "chances", watched)
    pool = Pool(state, items, 1)
    told = advice.advice(state, pool, START, START - timedelta(hours=1))
    assert told is not None
    assert {round(each, 6) for each in looked} == {0.0, 1.0, 7.0, 8.0}


@pytest.mark.parametrize(
    ("data", "value", "length"),
    [
        (b"\x00", 0, 1),
        (b"\x7f", 127, 1),
        (b"\x81\x00", 128, 2),
        (b"\xff" * 7 + b"\x7f", 2**56 - 1, 8),
        (b"\xff" * 9, 2**64 - 1, 9),
    ],
)
def test_an_integer_of_a_record_has_one_to_nine_bytes(data: bytes, value: int, length: int) -> None:
    """SQLite's file format, section 1.6: seven bits of each of eight bytes, all of the ninth."""
    assert salvage._varint(data, 0) == (value, length)
    assert salvage._varint(b"x" + data + b"x", 1) == (value, 1 + length)
