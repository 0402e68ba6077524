"""Progressions in decks: symbols, functions, names, voice leading and guide tones."""

from __future__ import annotations

import pytest

from drill.decks.load import loads
from drill.decks.schema import Deck
from drill.errors import FaultsError
from drill.terms import Direction
from drill.theory.runs import build_run

HEAD = 'title = "Changes"\ninstrument = "tenor_sax"\nkeys = ["F", "Gb"]\n'


def deck(text: str) -> Deck:
    return loads(HEAD + text, "changes.toml")


def symbols(of: Deck, key: int = 0) -> list[str]:
    run = build_run(of.keys[key], of.patterns[0], Direction.UP, horn=of.horn)
    return [cell.symbol for cell in run.cells]


def faults(text: str) -> list[str]:
    with pytest.raises(FaultsError) as raised:
        deck(text)
    return [f"{f.line}:{f.column}: {f.message}" for f in raised.value.faults]


def test_a_line_of_symbols_moves_to_every_key() -> None:
    of = deck('progression = "Cmaj7 A7 Dm7 G7"')
    assert symbols(of) == ["Fmaj7", "D7", "Gm7", "C7"]
    assert symbols(of, 1) == ["Gbmaj7", "Eb7", "Abm7", "Db7"]
    assert len(of.patterns[0].cells) == 4


@pytest.mark.parametrize(
    "text",
    [
        'progression = "Imaj7 VI7 ii7 V7"',
        'progression = ["I-VI-ii-V"]',
        'patterns = ["Cmaj7 A7 Dm7 G7"]',
        'patterns = [{ progression = "Bbmaj7 G7 Cm7 F7" }]',
        '[[pattern]]\nprogression = "Gmaj7 E7 Am7 D7"\nin = "G"',
    ],
)
def test_the_same_changes_in_other_ways(text: str) -> None:
    assert symbols(deck(text)) == ["Fmaj7", "D7", "Gm7", "C7"]


def test_the_key_of_symbols_can_be_named() -> None:
    of = deck('[[pattern]]\nprogression = "Dm7 G7"\nin = "F"')
    assert of.patterns[0].roots == ("6", "2")
    assert symbols(of) == ["Dm7", "G7"]


def test_voice_leading_and_guide_tones_are_for_all_or_for_one() -> None:
    of = deck(
        'progression = ["ii7 V7 Imaj7", "blues"]\nvoice_leading = true\n'
        '[[pattern]]\nprogression = "Gm7 C7"\nguide_tones = true\nvoice_leading = false\n'
    )
    assert [(each.led, each.guide) for each in of.patterns] == [
        (True, False), (True, False), (False, True),
    ]  # fmt: skip
    assert of.patterns[2].text == "b3-b7 | 3-b7"


def test_each_of_them_changes_the_fingerprint() -> None:
    plain = 'progression = "Dm7 G7 Cmaj7"\n'
    decks = [
        deck(plain),
        deck('progression = "ii7 V7 Imaj7"\n'),
        deck(plain + "voice_leading = true"),
        deck(plain + "guide_tones = true"),
        deck('progression = "Dm7 Db7 Cmaj7"\n'),
    ]
    assert len({each.fingerprint for each in decks}) == len(decks)
    # The same cells on the same roots, written as cells, are the same assignment.
    cells = 'cells = ["1-b3-5-b7", "1-3-5-b7", "1-3-5-7"]\nmode = "root"\nroots = "ii-V-I"'
    assert deck(f"[[pattern]]\n{cells}").fingerprint == decks[0].fingerprint


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'progression = "Dm7 G7x Cmaj7"',
            "4:15: 'G7x' is not a chord symbol that can be read",
        ),
        ('progression = "ii7 Dm7"', "4:15: 'Dm7' is not a chord function: write a numeral such as"),
        ("progression = 3", "4:15: progression: expected a list, found a whole number"),
        ('progression = ""', "4:15: a progression has 1 to 48 chords, such as Dm7 G7 Cmaj7"),
        ("progression = []", "4:1: nothing to drill: progression is empty"),
        (
            'patterns = ["thirds"]\nvoice_leading = true',
            "5:17: voice_leading goes with a progression",
        ),
        (
            '[[pattern]]\nid = "thirds"\nguide_tones = true',
            "6:1: guide_tones belongs to a progression",
        ),
        (
            '[[pattern]]\nprogression = "Dm7"\nroots = "fourths"',
            "6:1: roots does not belong to a progression",
        ),
        ('[[pattern]]\nprogression = "Dm7"\nin = "H"', '6:6: in: "H" is not a tonic'),
        (
            '[[pattern]]\nprogression = "Dm7"\ncell = "1-2"',
            "4:1: a pattern needs one of id, cell, cells, progression and from, found cell",
        ),
        ('chords = "Dm7"', '4:1: there is no key "chords" here'),
    ],
)
def test_faults_have_their_place(text: str, said: str) -> None:
    assert any(each.startswith(said) for each in faults(text)), faults(text)
