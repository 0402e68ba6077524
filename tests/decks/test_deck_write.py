"""Decks written out and read back are the same decks, in this reader and in another."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest
import tomlkit
from deck_strategies import deck_values
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from drill.decks.build import build
from drill.decks.load import loads
from drill.decks.schema import Deck
from drill.decks.write import Reason, write
from drill.errors import FaultsError
from drill.terms import Key, Name

SLOW = settings(
    max_examples=120, deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)  # fmt: skip


def built(values: dict[str, object]) -> Deck:
    """The deck of drawn values; a draw with one pattern twice, or too many runs, is set aside."""
    try:
        return build(values, "drawn")
    except FaultsError as error:
        said = str(error)
        assert "twice" in said or "runs (patterns" in said or "catalogue" in said, said
        assume(False)
        raise


@SLOW
@given(deck_values())
def test_a_written_deck_reads_back_as_the_same_deck(values: dict[str, object]) -> None:
    deck = built(values)
    again = loads(write(deck), "again.toml")
    assert again == deck
    assert again.fingerprint == deck.fingerprint
    assert write(again) == write(deck)


@pytest.mark.parametrize(
    "text",
    [
        'progression = "Dm7 G7 Cmaj7"',
        'progression = "iiø7 V7/ii im6"\nvoice_leading = true',
        'patterns = ["return3", "C/E F Gm7/C", "Ebm7"]',
        '[[pattern]]\nprogression = "F#m7b5 B7b9 Em6"\nname = "minor cadence"\nguide_tones = true',
        '[[pattern]]\nprogression = "jazz-blues"\ndescent = "same-shape"',
        'patterns = ["return3", { id = "thirds", begin = 3 }]\nfinish = 5',
        'patterns = [{ cell = "1-2-4", all = "permutations" }]\ngroups_of = 4',
        '[[pattern]]\ncell = "1-2-3-1"\nbegin = 2\ndescent = "same-shape"',
    ],
)
def test_chords_and_runs_with_ends_and_groups_read_back(text: str) -> None:
    deck = loads(f'title = "T"\ninstrument = "flute"\nkeys = ["F", "Gb"]\n{text}', "d.toml")
    assert loads(write(deck), "again.toml") == deck


@SLOW
@given(
    deck_values(),
    st.lists(st.text(max_size=40), max_size=3),
    st.text(max_size=40),
)
def test_headings_and_reasons_are_comments_whatever_they_say(
    values: dict[str, object], heading: list[str], said: str
) -> None:
    deck = built(values)
    ids = (deck.patterns[0].id, deck.patterns[-1].id)
    about: list[Key | str | int] = [deck.keys[0], deck.keys[-1], *ids, *deck.degrees]
    reasons = [Reason(each, said) for each in about]
    text = write(deck, heading=heading, reasons=reasons)
    assert loads(text, "again.toml") == deck
    # tomlkit is another reader of TOML 1.0, by other people
    assert tomlkit.parse(text).unwrap() == tomllib.loads(text)


def test_reasons_stand_beside_what_they_are_about() -> None:
    deck = build(
        {
            "title": "Tricky",
            "instrument": "tenor_sax",
            "patterns": ["thirds", "return3"],
            "keys": ["F#", "Db"],
            "degrees": [4],
        },
        "options",
    )
    text = write(
        deck,
        heading=["Made from 40 answers"],
        reasons=[
            Reason(Key(Name("F", 1), "major"), "3 of 12 right: E for E#"),
            Reason("return3", "9 of 20 right"),
            Reason(4, "most runs broke here"),
        ],
    )
    assert text.splitlines()[:9] == [
        "# Made from 40 answers",
        "",
        'title = "Tricky"',
        'instrument = "tenor_sax" # Tenor saxophone in Bb',
        "",
        "# What to play",
        "patterns = [",
        '    "thirds", # 1-3',
        '    "return3", # 1-2-3-1: 9 of 20 right',
    ]
    assert '    "F#", # F# major: 3 of 12 right: E for E#' in text.splitlines()
    assert "# on 4: most runs broke here" in text.splitlines()


def test_named_groups_are_written_by_name() -> None:
    values = {"title": "T", "instrument": "flute", "patterns": ["scale"], "scales": ["dorian"]}
    for keys in ("all", "sharps", "fourths", "up to 3 sharps and flats"):
        text = write(build({**values, "keys": keys}, "options"))
        assert f'keys = "{keys}" #' in text
    concert = write(build({**values, "concert_keys": ["Bb", "C"]}, "options"))
    assert 'concert_keys = ["Bb", "C"]' in concert


def test_harmful_text_of_a_draft_cannot_leave_its_literal() -> None:
    deck = build({"title": "T", "instrument": "flute", "patterns": ["scale"]}, "options")
    text = write(replace(deck, title='x"\ninstrument = "oboe" \x1b[2J', note='a"""\nb = 1\n\x00'))
    assert "\x1b" not in text
    assert "\x00" not in text
    read = tomllib.loads(text)
    assert read["title"] == 'x"\ninstrument = "oboe" \x1b[2J'
    assert read["instrument"] == "flute"


def test_an_ending_that_all_patterns_share_is_written_once() -> None:
    text = (
        'title = "T"\ninstrument = "flute"\npatterns = ["thirds", "triad3"]\nkeys = ["C"]\n'
        'ending = "{}"\n'
    )
    for ending in ("clipped", "closed"):
        written = write(loads(text.format(ending), "t.toml"))
        assert written.count("ending") == 1
        assert f'ending = "{ending}"' in written
    assert "ending" not in write(loads(text.format("overrun"), "t.toml"))
