"""Anything may be handed to the deck reader: it gives a deck, or says why not.

A short run; the same functions take any number of inputs in ``tests/bench``.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from deck_strategies import deck_values
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drill.decks.build import KEYS, build
from drill.decks.load import load, loads
from drill.decks.schema import Deck
from drill.errors import FaultsError
from drill.shown import first_harmful

SHIPPED = sorted((Path(__file__).parents[2] / "decks").glob("*.toml"))
TEXTS = [path.read_text(encoding="utf-8") for path in SHIPPED]
SCRAPS = [
    '"', "'", '"""', "[", "]", "[[", "]]", "{", "}", "=", ",", "\n", "\r", "#", "\\", "\x00",
    "\x1b", "\ufeff", "é", "1e999", "nan", "-0", "true", "9" * 30, "0x" + "f" * 20, "[keys]\n",
    "keys = {}\n", "[[pattern]]\n", "cell = '1-2'\n", "1-2-3", "\u202e", "\U0001f3b7",
    "a.b.c = 1\n", "2030-13-01", "[" * 30, "a." * 30, "roots = []\n", "[goal]\n",
    "due = 1979-05-27 07:32:00Z\n",
]  # fmt: skip


def outcome(read: Callable[[], Deck], text: str) -> Deck | None:
    """The deck; or None, once its faults each had a reason and a place within the text."""
    try:
        return read()
    except FaultsError as error:
        faults = error.faults
    assert faults
    lines = text.replace("\r\n", "\n").split("\n")
    for fault in faults:
        assert fault.message
        assert first_harmful(str(fault)) is None
        assert 0 <= fault.line <= len(lines)
        if fault.line:
            assert 1 <= fault.column <= len(lines[fault.line - 1]) + 1
    return None


@settings(max_examples=300)
@given(st.data())
def test_shipped_decks_cut_and_patched(data: st.DataObject) -> None:
    text = data.draw(st.sampled_from(TEXTS))
    for _ in range(data.draw(st.integers(1, 4))):
        begin = data.draw(st.integers(0, len(text)))
        end = data.draw(st.integers(begin, min(len(text), begin + 12)))
        put = data.draw(st.sampled_from(SCRAPS) | st.text(max_size=3))
        text = text[:begin] + put + text[end:]
    found = outcome(lambda: loads(text, "fuzzed.toml"), text)
    if found is not None:
        assert found.patterns
        assert found.keys
        assert found.directions
        assert first_harmful(found.title) is None
        assert len(found.fingerprint) == 16


@settings(max_examples=300)
@given(st.lists(st.sampled_from(SCRAPS) | st.sampled_from([f"{key} = " for key in KEYS])))
def test_scraps_of_toml(scraps: list[str]) -> None:
    text = "".join(scraps)
    outcome(lambda: loads(text, "fuzzed.toml"), text)


@settings(max_examples=300)
@given(st.binary(max_size=200))
def test_bytes_of_no_kind(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "bytes.toml"
    path.write_bytes(data)
    outcome(lambda: load(path), data.decode("utf-8-sig", errors="replace"))


ODD = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8)
    | st.dates() | st.datetimes() | st.times() | st.sampled_from(["all", "1-2-3", "G", "up"]),
    lambda inner: st.lists(inner, max_size=4)
    | st.dictionaries(st.sampled_from([*KEYS, "id", "cell", "cells", "roots", "low", "start"])
                      | st.text(max_size=4), inner, max_size=4),
    max_leaves=8,
)  # fmt: skip
"""Values of every type that TOML has, and null for good measure."""


@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow])
@given(deck_values(), st.dictionaries(st.sampled_from(KEYS), ODD, min_size=1, max_size=3))
def test_a_value_of_the_wrong_kind_is_a_fault_and_no_crash(
    values: dict[str, object], odd: dict[str, object]
) -> None:
    outcome(lambda: build({**values, **odd}, "drawn"), "")
