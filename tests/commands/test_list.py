"""``drill list``: everything that can be named, searched, and as JSON; and ``?`` at a question."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from desk_tools import ran

from drill.commands import deck
from drill.commands import list as command
from drill.decks.load import load
from drill.errors import ExitCode
from drill.opening.listing import Listed, rows
from drill.theory.chords import CHORDS
from drill.theory.instruments import INSTRUMENTS
from drill.theory.keys import ORDERS
from drill.theory.patterns import PATTERNS, ROOT_ORDERS, find_pattern
from drill.theory.progressions import PROGRESSIONS
from drill.theory.scales import SCALES, find_scale

TRUMPETS = ["trumpet_bb", "trumpet_c", "trumpet_eb", "piccolo_trumpet_bb", "piccolo_trumpet_a"]
KNOWN = {
    "horns": list(INSTRUMENTS),
    "patterns": list(PATTERNS),
    "scales": list(SCALES),
    "chords": [f"chord-{chord}" for chord in CHORDS],
    "orders": [*ORDERS, *ROOT_ORDERS, *PROGRESSIONS],
}


@pytest.mark.parametrize("what", KNOWN)
def test_everything_is_listed_by_its_id(tmp_path: Path, what: str) -> None:
    got = ran(command, (what, "--json"), tmp_path)
    (listed,) = json.loads(got.out).values()
    assert [each["id"] for each in listed] == KNOWN[what]
    assert all(set(each) == {"id", "name", "what", "kind", "aliases"} for each in listed)
    plain = ran(command, (what,), tmp_path).out.splitlines()
    assert all(len(line) <= 80 for line in plain)
    assert [line.split()[0] for line in plain if line[0] != " "] == KNOWN[what]


@pytest.mark.parametrize(
    ("words", "ids"),
    [
        (("horns", "trumpet"), TRUMPETS),
        (("scales", "double", "flat"), []),
        (("scales", "dominant", "octatonic"), ["octatonic_half_whole"]),
        (("chords", "CΔ"), ["chord-maj7"]),
        (("orders", "progression", "blues"), ["blues", "jazz-blues", "minor-blues"]),
        (("patterns", "1-3-5-7"), ["sevenths4", "sevenths_alt", "ninths5"]),
    ],
)
def test_words_narrow_the_list(tmp_path: Path, words: tuple[str, ...], ids: list[str]) -> None:
    got = ran(command, (*words, "--json"), tmp_path)
    assert [each["id"] for each in json.loads(got.out)[words[0]]] == ids
    assert got.code is (ExitCode.OK if ids else ExitCode.FAILURE)


def test_nothing_found_is_said_once(tmp_path: Path) -> None:
    got = ran(command, ("horns", "kazoo"), tmp_path)
    assert (got.code, got.out) == (ExitCode.FAILURE, "")
    assert "no horns with the word 'kazoo': drill list horns shows all" in got.err


def test_what_is_listed_is_taken() -> None:
    for row in rows(Listed.SCALES):
        assert find_scale(row.id).id == row.id
    for row in (*rows(Listed.PATTERNS), *rows(Listed.CHORDS)):
        assert find_pattern(row.id).id == row.id


def test_a_question_mark_lists_what_the_question_takes(tmp_path: Path) -> None:
    typed = (
        "Keys\n? clarinet\nclarinet_a\n?\n? 7b9\nchord-7b9\n? dorian\ndorian\n?\nall\n?\n\n\n"
        f"{tmp_path / 'keys.toml'}\n"
    )
    got = ran(deck, ("new",), tmp_path, typed)
    made = load(tmp_path / "keys.toml")
    assert (made.instrument, made.patterns[0].id, made.scales) == (
        "clarinet_a", "chord-7b9", ("dorian",),
    )  # fmt: skip
    for said in ("clarinet_bb", "return3", "chord-7b9", "dorian", "fourths", "nothing to choose"):
        assert said in got.err
