"""Sentences as values, and what each voice makes of their note names.

German, French and Spanish names: the tables of tests/reference/note_names.csv, by hand.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.terms import Name, Note
from drill.theory.instruments import INSTRUMENTS
from drill.theory.language import Language
from drill.theory.scales import parse_key
from drill.wording.sentence import (
    Sentence,
    chord,
    figures,
    fully,
    horn,
    listed,
    pitch,
    prose,
    row,
    sentence,
    tonic,
    written,
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


def test_a_key_a_pitch_and_a_horn() -> None:
    signs = Voice(script=Script.SIGNS)
    spoken = Voice(script=Script.SPOKEN)
    low = pitch(Note("B", -1, 3))
    assert PLAIN.text(sentence(low)) == "Bb3"
    assert signs.text(sentence(low)) == "B♭3"
    assert spoken.text(sentence(low)) == "B flat 3"
    assert signs.text(written(parse_key("Eb harmonic_minor"))) == "E♭ harmonic minor"
    alto = horn(INSTRUMENTS["alto_sax"])
    assert signs.text(alto) == "Alto saxophone in E♭"
    assert spoken.text(alto) == "Alto saxophone in E flat"
    # A horn's own name keeps its letters: an E flat horn is called so in any language.
    assert Voice(Language.GERMAN).text(alto) == "Alto saxophone in Eb"
    assert signs.text(horn(INSTRUMENTS["tuba"])) == "Tuba (C/BB♭), bass clef"


@pytest.mark.parametrize("id_", list(INSTRUMENTS))
def test_every_horn_as_typed_is_its_name_in_the_table(id_: str) -> None:
    assert PLAIN.text(horn(INSTRUMENTS[id_])) == INSTRUMENTS[id_].name


@given(st.lists(st.text(max_size=5) | st.sampled_from([prose(B), row((F, B))]), max_size=6))
def test_parts_joined_read_as_their_parts(parts: list[str]) -> None:
    assert PLAIN.text(sentence(*parts)) == "".join(PLAIN.text(sentence(part)) for part in parts)
    assert bool(sentence(*parts)) is bool("".join(PLAIN.text(sentence(p)) for p in parts))


def test_a_capital_only_where_a_word_begins() -> None:
    assert sentence("the cell").capitalized() == sentence("The cell")
    assert PLAIN.text(sentence(prose(B_FLAT), " is").capitalized()) == "B flat is"
    assert Sentence().capitalized() == Sentence()


@pytest.mark.parametrize(
    ("text", "shown", "spoken"),
    [
        ("1-b3-5-b7", "1-♭3-5-♭7", "1-flat 3-5-flat 7"),
        ("bII7", "♭II7", "flat II7"),
        ("7#5b9", "7♯5♭9", "7 sharp 5 flat 9"),
        ("bb7", "♭♭7", "double flat 7"),
        ("sus4", "sus4", "sus4"),
    ],
)
def test_degrees_have_the_signs_of_their_voice(text: str, shown: str, spoken: str) -> None:
    told = sentence(figures(text))
    assert PLAIN.text(told) == text
    assert Voice(script=Script.SIGNS).text(told) == shown
    assert Voice(script=Script.SPOKEN).text(told) == spoken


def test_a_chord_has_signs_in_its_kind_too() -> None:
    assert Voice(script=Script.SIGNS).text(chord("Bbm7b5/Fb")) == "B♭m7♭5/F♭"
