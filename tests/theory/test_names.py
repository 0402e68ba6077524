"""Note names in every language: all names of an open-source engraver's tables, hints, words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from theory_tables import table

from drill.errors import TheoryError
from drill.terms import LETTERS, Key, Name
from drill.theory.language import Language
from drill.theory.names import (
    accidental_words,
    foreign,
    movable,
    read_movable,
    read_name,
    say_name,
    show_name,
)
from drill.theory.spelling import parse_name
from drill.wording.reading import foreign_told
from drill.wording.voice import Voice

ENGRAVERS = {
    "nederlands": Language.DUTCH,
    "deutsch": Language.GERMAN,
    "svenska": Language.SWEDISH,
    "suomi": Language.FINNISH,
    "norsk": Language.NORWEGIAN,
    "english": Language.ENGLISH_SF,
    "italiano": Language.ITALIAN,
    "français": Language.FRENCH,
    "español": Language.SPANISH,
    "português": Language.PORTUGUESE,
    "català": Language.CATALAN,
    "vlaams": Language.FLEMISH,
}
"""The engraver's name of each language of note_names.csv."""
FIXED = [language for language in Language if language is not Language.MOVABLE]
ENGLISH, GERMAN = Language.ENGLISH, Language.GERMAN

NAMES = st.builds(Name, st.sampled_from(LETTERS), st.integers(-3, 3))
LANGUAGES = st.sampled_from(FIXED)


def test_all_539_names_of_the_twelve_tables_read_in_their_language() -> None:
    # Source: the note-name tables of an open-source engraver, notes of the CSV.
    rows = table("note_names")
    assert len(rows) == 539
    assert {row["language"] for row in rows} == set(ENGRAVERS)
    wrong = [
        row
        for row in rows
        for typed in (row["token"], row["token"].upper(), row["token"].capitalize())
        if read_name(typed, ENGRAVERS[row["language"]]) != parse_name(row["canonical"])
    ]
    assert wrong == []


def hint(token: str, language: Language) -> str:
    """What a player is told of a token of another language."""
    return Voice(language).text(foreign_told(token, language))


def test_engravers_english_is_read_or_hinted_at_but_never_misread() -> None:
    """What players' English takes of that table it reads alike; the rest is the s and f forms."""
    refused = set()
    for row in table("note_names"):
        if row["language"] == "english":
            read = read_name(row["token"], ENGLISH)
            assert read in (None, parse_name(row["canonical"]))
            if read is None:
                refused.add(row["token"])
                assert hint(row["token"], ENGLISH)
    assert all(len(token) > 1 and set(token[1:]) in ({"s"}, {"f"}) for token in refused)
    assert len(refused) == 4 * 7


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Bb", "Bb"), ("bb", "Bb"), ("BB", "Bb"), ("B♭", "Bb"), ("B flat", "Bb"), ("bflat", "Bb"),
        ("b-flat", "Bb"), ("b↓", "Bb"), ("F#", "F#"), ("f♯", "F#"), ("F sharp", "F#"),
        ("F+", "F#"), ("f↑", "F#"), ("Fx", "F##"), ("F##", "F##"), ("F♯♯", "F##"),
        ("F  double  sharp", "F##"), ("F double-sharp", "F##"), ("g++", "G##"), ("F𝄪", "F##"),
        ("Bbb", "Bbb"), ("bbb", "Bbb"), ("B𝄫", "Bbb"), ("B♭♭", "Bbb"), ("b double flat", "Bbb"),
        ("bbbb", "Bbbb"), ("Bn", "B"), ("B natural", "B"), ("b♮", "B"), ("b", "B"), (" a ", "A"),
        ("ab", "Ab"),
    ],
)  # fmt: skip
def test_english_as_players_type_it(typed: str, name: str) -> None:
    read = read_name(typed, ENGLISH)
    assert read is not None
    assert str(read) == name


@pytest.mark.parametrize(
    "typed",
    ["", " ", "h", "es", "fis", "B-", "b b", "ceb", "cbd", "bb4", "#", "+", "-", "x", "do", "sib",
     "B flat sharp", "flat", "B# flat", "Bb flat", "m", "#b", "fs", "bf"],
)  # fmt: skip
def test_english_refuses_the_rest(typed: str) -> None:
    assert read_name(typed, ENGLISH) is None


@pytest.mark.parametrize(
    ("language", "typed", "name"),
    [
        (GERMAN, "B", "Bb"), (GERMAN, "b", "Bb"), (GERMAN, "H", "B"), (GERMAN, "h", "B"),
        (GERMAN, "As", "Ab"), (GERMAN, "Asas", "Abb"), (GERMAN, "f♯", "F#"), (GERMAN, "H♭", "Bb"),
        (Language.DUTCH, "b", "B"), (Language.DUTCH, "bes", "Bb"), (Language.DUTCH, "ees", "Eb"),
        (Language.FRENCH, "ré bémol", "Db"), (Language.FRENCH, "RÉ", "D"),
        (Language.FRENCH, "re bemol", "Db"), (Language.FRENCH, "fa dièse", "F#"),
        (Language.FRENCH, "re\u0301", "D"), (Language.ITALIAN, "fa diesis", "F#"),
        (Language.ITALIAN, "si♭", "Bb"), (Language.SPANISH, "fa sostenido", "F#"),
        (Language.SPANISH, "fas", "F#"), (Language.SOLFEGE, "mib", "Eb"),
        (Language.SOLFEGE, "Sol#", "G#"), (Language.SOLFEGE, "ré", "D"),
        (Language.SOLFEGE, "fax", "F##"), (Language.PORTUGUESE, "Dó", "C"),
    ],
)  # fmt: skip
def test_other_languages_as_players_type_them(language: Language, typed: str, name: str) -> None:
    assert read_name(typed, language) == parse_name(name)


@pytest.mark.parametrize(
    ("language", "typed"),
    [
        (GERMAN, "Bb"), (GERMAN, "Eb"), (GERMAN, "hes"), (GERMAN, "bes"), (GERMAN, "B♭"),
        (GERMAN, "ees"), (Language.DUTCH, "h"), (Language.DUTCH, "bb"), (Language.SOLFEGE, "b"),
        (Language.SOLFEGE, "fad"), (Language.SPANISH, "fad"), (Language.SPANISH, "ti"),
    ],
)  # fmt: skip
def test_a_name_of_another_language_is_never_guessed(language: Language, typed: str) -> None:
    assert read_name(typed, language) is None


@pytest.mark.parametrize(
    ("typed", "language", "sentence"),
    [
        ("h", ENGLISH, "H is German for B"),
        ("es", ENGLISH, "es is German and Dutch for E flat"),
        ("fis", ENGLISH, "fis is German and Dutch for F sharp"),
        ("bes", ENGLISH, "bes is Dutch for B flat"),
        ("sib", ENGLISH, "sib is solfège for B flat"),
        ("fad", ENGLISH, "fad is Italian and French for F sharp"),
        ("Bb", GERMAN, "Bb is English for B"),
        ("b", GERMAN, "B is English and Dutch for H"),
        ("Eb", Language.FRENCH, "Eb is English for mi bémol"),
        ("fiss", ENGLISH, "fiss is Swedish and Norwegian for F sharp"),
        ("Bb", ENGLISH, ""),
        ("q", ENGLISH, ""),
    ],
)
def test_hints(typed: str, language: Language, sentence: str) -> None:
    assert hint(typed, language) == sentence


def test_foreign_gives_other_meanings_of_a_name_that_reads() -> None:
    assert foreign("b", ENGLISH) == (("German", Name("B", -1)),)
    assert foreign("c", ENGLISH) == ()


@pytest.mark.parametrize(
    ("language", "shown"),
    [
        (ENGLISH, "Bb B Eb Ab F# F## Bbb"),
        (GERMAN, "B H Es As Fis Fisis Heses"),
        (Language.DUTCH, "bes b es as fis fisis beses"),
        (Language.SOLFEGE, "sib si mib lab fa# fa## sibb"),
        (Language.SWEDISH, "b h ess ass fiss fississ hessess"),
        (Language.ENGLISH_SF, "bf b ef af fs fss bff"),
    ],
)
def test_shown(language: Language, shown: str) -> None:
    names = [parse_name(text) for text in ["Bb", "B", "Eb", "Ab", "F#", "F##", "Bbb"]]
    assert " ".join(show_name(name, language) for name in names) == shown


def test_shown_in_german_agrees_with_music21() -> None:
    """music21 10.5 `Pitch.german` (run); it has the same names for all 35."""
    from music21 import pitch

    for letter in LETTERS:
        for alter in range(-2, 3):
            theirs = pitch.Pitch(letter + ("#" * alter if alter > 0 else "-" * -alter)).german
            assert show_name(Name(letter, alter), GERMAN) == theirs


def test_glyphs() -> None:
    names = [parse_name(text) for text in ["Bb", "F#", "F##", "Bbb", "B"]]
    assert [show_name(name, ENGLISH, glyphs=True) for name in names] == [
        "B♭", "F♯", "Fx", "B♭♭", "B",
    ]  # fmt: skip
    assert show_name(Name("E", -1), GERMAN, glyphs=True) == "Es"


@pytest.mark.parametrize(
    ("name", "language", "words"),
    [
        ("Bb", ENGLISH, "B flat"),
        ("G##", ENGLISH, "G double sharp"),
        ("Bbb", ENGLISH, "B double flat"),
        ("C", ENGLISH, "C"),
        ("Eb", GERMAN, "Es"),
        ("Bb", Language.FRENCH, "si bémol"),
        ("D#", Language.FRENCH, "ré dièse"),
        ("F##", Language.ITALIAN, "fa doppio diesis"),
        ("F#", Language.SPANISH, "fa sostenido"),
        ("Bb", Language.SOLFEGE, "si flat"),
        ("Bb", Language.ENGLISH_SF, "B flat"),
    ],
)
def test_said(name: str, language: Language, words: str) -> None:
    assert say_name(parse_name(name), language) == words


@given(NAMES, LANGUAGES, st.booleans())
def test_what_is_shown_or_said_reads_as_the_same_name(
    name: Name, language: Language, glyphs: bool
) -> None:
    assert read_name(show_name(name, language, glyphs), language) == name
    if abs(name.alter) <= 2:
        assert read_name(say_name(name, language), language) == name


@given(st.text(max_size=6), LANGUAGES)
def test_any_text_reads_or_gives_none_and_a_hint_is_a_sentence_or_nothing(
    text: str, language: Language
) -> None:
    read = read_name(text, language)
    assert read is None or read.letter in LETTERS
    assert all(name != read for _, name in foreign(text, language))
    assert hint(text, language) == "" or " is " in hint(text, language)


def test_the_words_of_an_accidental() -> None:
    assert {"flat", "sharp", "natural", "double sharp"} <= accidental_words(ENGLISH)
    assert "bemol" in accidental_words(Language.FRENCH)
    assert accidental_words(GERMAN) == frozenset()


@pytest.mark.parametrize(
    ("tonic", "names", "syllables"),
    [
        # The chromatic syllables up and down: common practice.
        ("C", "C C# D D# E F F# G G# A A# B", "do di re ri mi fa fi sol si la li ti"),
        ("C", "B Bb A Ab G Gb F E Eb D Db C", "ti te la le sol se fa mi me re ra do"),
        ("Eb", "Eb F G Ab Bb C D", "do re mi fa sol la ti"),
        ("F#", "F# G# A B C# D E", "do re me fa sol le te"),
        ("C", "E# Fb Bbb Cb", "mi# fab tibb dob"),
    ],
)
def test_movable_do(tonic: str, names: str, syllables: str) -> None:
    key = Key(parse_name(tonic), "major")
    assert [movable(parse_name(name), key) for name in names.split()] == syllables.split()


@given(NAMES, st.builds(Name, st.sampled_from(LETTERS), st.integers(-1, 1)))
def test_movable_do_reads_back(name: Name, tonic: Name) -> None:
    key = Key(tonic, "major")
    syllable = movable(name, key)
    if abs(syllable.count("#") - syllable.count("b")) <= 4:
        assert read_movable(syllable, key) == name
        assert read_name(syllable.upper(), Language.MOVABLE, key) == name


def test_movable_do_needs_a_key() -> None:
    assert read_name("do", Language.MOVABLE) is None
    assert read_movable("xyz", Key(Name("C"), "major")) is None
    with pytest.raises(TheoryError, match="needs a key"):
        show_name(Name("C"), Language.MOVABLE)


def test_no_language_has_two_meanings_for_one_of_its_names() -> None:
    """49 names from triple flat to triple sharp are shown in 49 ways, whatever the case."""
    for language in FIXED:
        shown = [show_name(Name(letter, alter), language) for letter in LETTERS
                 for alter in range(-3, 4)]  # fmt: skip
        assert len({text.casefold() for text in shown}) == len(shown), language
