"""Sentences as values, and what each voice makes of their note names.

German, French and Spanish names: the tables of tests/reference/note_names.csv, by hand.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.terms import Name
from drill.theory.language import Language
from drill.theory.scales import parse_key
from drill.wording.sentence import (
    Sentence,
    fully,
    listed,
    prose,
    row,
    sentence,
    tonic,
)
from drill.wording.voice import PLAIN, Script, Voice

B_FLAT, F_DOUBLE, F, B = Name("B", -1), Name("F", 2), Name("F"), Name("B")
G = parse_key("G")


@pytest.mark.parametrize(
    ("language", "script", "told"),
    [
        (Language.ENGLISH, Script.TYPED, "B flat, F natural: Bb F## in Bb"),
        (Language.ENGLISH, Script.SIGNS, "B flat, F natural: B♭ Fx in B♭"),
        (Language.ENGLISH, Script.SPOKEN,
         "B flat, F natural: B flat, F double sharp in B flat"),
        (Language.GERMAN, Script.TYPED, "B, F: B Fisis in B"),
        (Language.FRENCH, Script.TYPED, "si bémol, fa bécarre: sib fa## in sib"),
        (Language.FRENCH, Script.SPOKEN,
         "si bémol, fa bécarre: si bémol, fa double dièse in si bémol"),
        (Language.MOVABLE, Script.TYPED, "me, te: me ti# in Bb"),
    ],
)  # fmt: skip
def test_one_sentence_in_many_voices(language: Language, script: Script, told: str) -> None:
    said = sentence(
        prose(B_FLAT, G), ", ", fully(F, G), ": ", row((B_FLAT, F_DOUBLE), G), " in ", tonic(B_FLAT)
    )
    assert Voice(language, script).text(said) == told


@pytest.mark.parametrize(
    ("many", "told"),
    [(0, ""), (1, "F"), (2, "F and B flat"), (3, "F, B flat and B"), (4, "F, B flat, B and F")],
)
def test_lists_are_english(many: int, told: str) -> None:
    names = (F, B_FLAT, B, F)[:many]
    assert PLAIN.text(listed(prose(name) for name in names)) == told


@given(st.lists(st.text(max_size=5) | st.sampled_from([prose(B), row((F, B))]), max_size=6))
def test_parts_joined_read_as_their_parts(parts: list[str]) -> None:
    assert PLAIN.text(sentence(*parts)) == "".join(PLAIN.text(sentence(part)) for part in parts)
    assert bool(sentence(*parts)) is bool("".join(PLAIN.text(sentence(p)) for p in parts))


def test_a_capital_only_where_a_word_begins() -> None:
    assert sentence("the cell").capitalized() == sentence("The cell")
    assert PLAIN.text(sentence(prose(B_FLAT), " is").capitalized()) == "B flat is"
    assert Sentence().capitalized() == Sentence()
