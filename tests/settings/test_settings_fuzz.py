"""No text, however odd, stops the program; and nothing is refused without a reason."""

from __future__ import annotations

import tempfile
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drill.errors import Fault, UsageError
from drill.places import places
from drill.settings.catalogue import BY_NAME, FIELDS, value_of
from drill.settings.keymap import KnownAction
from drill.settings.load import check_text, load
from drill.settings.values import Settings
from drill.shown import is_harmful

ACTIONS = (
    KnownAction("mute", ("f2",), ("stand",)),
    KnownAction("hear", ("f3",)),
    KnownAction("type", ("a",), (), True),
)
NAMES = [own.name for own in FIELDS] + ["keys.mute", "keys.hear", "keys", "practice", "nonsense"]

keys = st.sampled_from(NAMES) | st.sampled_from([own.key for own in FIELDS])
scalars = (
    st.sampled_from(['""', '"deck"', '"on"', '"f3"', '"#"', "true", "false", "[]", "nan", "-inf"])
    | st.integers().map(str)
    | st.floats().map(repr)
    | st.text(st.characters(blacklist_characters="'\n\r"), max_size=8).map(lambda t: f"'{t}'")
    | st.sampled_from(["2030-01-01", "12:00:00", "{}", "{ a = 1 }", "0x1F", "1e999", '"\\u0000"'])
    | st.sampled_from([word.value for own in FIELDS for word in own.words or ()]).map(repr)
)
values = scalars | st.lists(scalars, max_size=4).map(lambda found: "[" + ", ".join(found) + "]")
lines = (
    st.tuples(keys, values).map(lambda pair: f"{pair[0]} = {pair[1]}")
    | st.sampled_from(["[practice]", "[keys]", "[[keys]]", "[keys.stand]", "# c", "\ufeff", "\t"])
    | st.text(max_size=12)
)
documents = st.lists(lines, max_size=8).map("\n".join)


def check(found: Settings, faults: tuple[Fault, ...]) -> None:
    """Settings that keep their own promises, and faults that a person can read."""
    assert 0 <= found.volume <= 1
    assert 430 <= found.a4 <= 450
    assert found.hold in (True, False)
    assert len(found.student) <= 60
    assert not any(map(is_harmful, found.student))
    assert found.practice.kinds is None or found.practice.kinds
    for own in FIELDS:
        value: Any = value_of(found, own)
        plain = value_of(Settings(), own)
        assert isinstance(value, type(plain)) or own.optional
    for fault in faults:
        assert fault.message
        assert not any(map(is_harmful, str(fault)))
        assert fault.line >= 0


@given(documents)
@settings(max_examples=400, suppress_health_check=[HealthCheck.too_slow])
def test_texts_like_settings(text: str) -> None:
    found, faults = check_text(text, "f.toml", ACTIONS)
    check(found, faults)
    assert check_text(text, "f.toml", ACTIONS) == (found, faults)
    if not faults and text.isascii():
        # what had no fault is not passed over: a word was either a default or it counts
        assert "nonsense" not in [line.split(" ")[0] for line in text.split("\n")]


@given(st.text())
@settings(max_examples=200)
def test_any_text(text: str) -> None:
    check(*check_text(text, "f.toml", ACTIONS))


@given(st.binary(max_size=200) | documents.map(lambda text: text.encode("utf-16")))
@settings(max_examples=100)
def test_any_bytes(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        house = places({"DRILL_HOME": folder})
        house.settings.write_bytes(data)
        loaded = load(house, {}, {}, None, ACTIONS)
        check(loaded.settings, loaded.faults)


@given(
    st.dictionaries(
        st.sampled_from([own.environment for own in FIELDS])
        | st.text(max_size=9).map("DRILL_".__add__),
        st.text(max_size=20) | st.sampled_from(["on", "deck", "440", "next ear", "silent"]),
        max_size=6,
    )
)
@settings(max_examples=200)
def test_any_environment(environment: dict[str, str]) -> None:
    loaded = load(places({"DRILL_HOME": "/nowhere/at/all"}), environment)
    check(loaded.settings, loaded.faults)


@given(st.sampled_from(list(BY_NAME)), st.text(max_size=30))
@settings(max_examples=200)
def test_any_flag(name: str, text: str) -> None:
    house = places({"DRILL_HOME": "/nowhere/at/all"})
    try:
        loaded = load(house, {}, {name: text})
    except UsageError as refused:
        loaded, said = load(house, {}), str(refused)
    else:
        said = "taken"
    assert said
    assert not any(map(is_harmful, said))
    assert loaded.faults == ()
    check(loaded.settings, loaded.faults)
