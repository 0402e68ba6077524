"""A syntax fault hides nothing behind it: what can be read is read on."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.decks import mend, syntax
from drill.decks.load import MOST_BYTES, loads
from drill.decks.whereabouts import Whereabouts
from drill.errors import FaultsError

BAD = """\
title "Flat"
instrument = "kazoo"
patterns = [return3, "thirds"]
keys = ["Db" "Gb"]
due = 11.12.2026
tempo = 999
[goal
right = 90%
days = 99
"""
GOOD = {
    "title": 'title = "T"',
    "instrument": 'instrument = "alto_sax"',
    "patterns": 'patterns = ["thirds"]',
    "keys": 'keys = ["C"]',
}
BROKEN = {"title": 'title "T"', "instrument": "instrument = alto", "patterns": "patterns = [x]",
          "keys": 'keys = ["C" "G"]'}  # fmt: skip


def faults(text: str) -> list[tuple[int, str]]:
    with pytest.raises(FaultsError) as caught:
        loads(text, "d.toml")
    return [(each.line, each.message) for each in caught.value.faults]


def test_every_fault_of_a_file_at_once_also_behind_a_syntax_fault() -> None:
    found = faults(BAD)
    assert [line for line, _ in found] == list(range(1, 10))
    said = dict(found)
    assert "there is no instrument" in said[2]
    assert "expected beats a minute" in said[6]
    assert "expected days" in said[9]
    assert not any("missing" in message for message in said.values())


def test_what_was_set_aside_is_not_called_missing() -> None:
    for some in (each for count in (1, 2, 3) for each in combinations(GOOD, count)):
        text = "\n".join(BROKEN[key] if key in some else GOOD[key] for key in GOOD)
        found = faults(text)
        assert len(found) == len(some)
        assert not any("missing" in message for _, message in found)


def test_a_list_that_is_never_closed_does_not_swallow_the_rest() -> None:
    found = faults('title = "T"\npatterns = ["thirds",\n  "1-2-3-1"\ninstrument = "kazoo"\n')
    assert any("never closed" in message or "in this list" in message for _, message in found)
    assert any("kazoo" in message for _, message in found)


HEAD = 'title = "T"\ninstrument = "alto_sax"\npatterns = ["thirds"]\n'
FOLLOWED = [
    "[practice]\nprompts = 20\n[ gaol\nright = 0.8",
    "[practice]\n[goal]\n[practice]\nprompts = 20",
    "goal = {right = 0.9}\n[goal]\nright = 0.8",
    "[goal]\nright = 0.9\n[[goal]]\nright = 0.8",
    "[[pattern]]\nid = 'fourths'\n[pattern]\nid = 'fifths'\nstep = 3",
    "[goal  # how far, and by when\nright = 0.9",
    "[[patern]\nid = 'fourths'",
    "[]\nright = 0.9",
    "goal = {\nright = 0.9,\n}\n[practice]\nprompts = 20",
]


@pytest.mark.parametrize("text", FOLLOWED)
def test_one_fault_is_told_for_a_table_s_name_and_none_for_what_stands_beneath(text: str) -> None:
    assert len(faults(HEAD + text)) == 1


def test_behind_a_table_that_cannot_be_read_the_next_one_is() -> None:
    found = faults(HEAD + "[gaol\nright = 90%\n[goal]\ndays = 999\n")
    assert [line for line, _ in found] == [4, 5, 7]


@given(st.text(max_size=400))
def test_any_text_gives_a_deck_or_its_faults(text: str) -> None:
    try:
        loads(text, "d.toml")
    except FaultsError as error:
        found = error.faults
    else:
        return
    assert found
    assert all(each.line >= 0 for each in found)


def test_a_text_as_large_as_a_deck_may_be_is_read_twice_and_not_eleven_times(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    reads = []

    def counted(text: str, file: str) -> tuple[dict[str, object], Whereabouts]:
        reads.append(len(text))
        return syntax.parse(text, file)

    monkeypatch.setattr(mend, "parse", counted)
    large = "".join(f"a{n} = 1\n" for n in range(1700)) + "bad\n" * 20
    assert 15_000 < len(large) <= MOST_BYTES
    assert [message for _, message in faults(large)] == ["expected = after the key"] * 2
    assert len(reads) == 1
    reads.clear()
    assert len(faults(BAD + "bad\n" * 20)) >= 10
    assert len(reads) == mend.MOST_ROUNDS


def test_a_list_that_is_not_closed_at_the_end_is_one_fault() -> None:
    found = faults(
        'title = "T"\ninstrument = "alto_sax"\npatterns = ["thirds"]\nkeys = ["C",\n"G"\n'
    )
    assert len(found) == 1
    assert "never closed" in found[0][1]
