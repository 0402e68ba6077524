"""Many answers made from columns are what they are when made one by one."""

from __future__ import annotations

from dataclasses import fields
from itertools import repeat
from typing import Any

import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st
from memory_log import START, Given, answer, deck, given, log_of

from drill.memory.items import Answer, in_columns

DECK = deck(2, 1, 5)
NAMES = tuple(field.name for field in fields(Answer))


@settings(max_examples=20)
@examples(given(len(DECK), longest=12), st.sets(st.sampled_from(NAMES[5:])))
def test_answers_made_from_columns_are_those_made_one_by_one(
    rows: list[Given], left_out: set[str]
) -> None:
    wanted = [
        Answer(**{name: getattr(each, name) for name in NAMES if name not in left_out})
        for each in log_of(DECK, rows)
    ]
    columns: dict[str, Any] = {
        name: [getattr(each, name) for each in wanted] for name in NAMES if name not in left_out
    }
    assert in_columns(len(wanted), **columns) == wanted


def test_a_column_may_be_endless_and_no_field_is_shared_by_accident() -> None:
    one = answer(DECK[0], True, START)
    columns = {name: repeat(getattr(one, name)) for name in NAMES}
    first, second = in_columns(2, **{**columns, "uuid": ("a", "b", "c")})
    assert (first.uuid, second.uuid, first.item) == ("a", "b", one.item)


def test_a_column_that_is_missing_unknown_or_too_short_is_refused() -> None:
    needed: dict[str, Any] = {name: repeat("") for name in NAMES[:5]}
    assert len(in_columns(3, **needed)) == 3
    with pytest.raises(TypeError, match="mood"):
        in_columns(3, **needed, mood=repeat(""))
    with pytest.raises(TypeError, match="uuid"):
        in_columns(3, **{name: needed[name] for name in NAMES[1:5]})
    with pytest.raises(ValueError, match="day"):
        in_columns(3, **{**needed, "day": ("", "")})
