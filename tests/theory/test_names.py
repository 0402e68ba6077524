"""Note names in every language: all names of an open-source engraver's tables, hints, words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from theory_tables import HERE, table

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


def told(way: str) -> pytest.MarkDecorator:
    """The cases of ``names_told.csv`` that go one way."""
    rows = [row for row in table("names_told", HERE) if row["way"] == way]
    return pytest.mark.parametrize("row", rows, ids="{0[language]}: {0[given]}".format)


@told("read")
def test_other_languages_as_players_type_them(row: dict[str, str]) -> None:
    """What belongs to another language is never guessed: nothing is wanted there."""
    read = read_name(row["given"], Language(row["language"]))
    assert ("" if read is None else str(read)) == row["wanted"]


def test_an_accent_may_be_a_character_of_its_own() -> None:
    assert read_name("re\u0301", Language.FRENCH) == Name("D")


@told("hint")
def test_hints(row: dict[str, str]) -> None:
    assert hint(row["given"], Language(row["language"])) == row["wanted"]


@told("show")
def test_shown(row: dict[str, str]) -> None:
    language = Language(row["language"])
    names = [parse_name(text) for text in row["given"].split()]
    assert " ".join(show_name(name, language) for name in names) == row["wanted"]


@told("say")
def test_said(row: dict[str, str]) -> None:
    assert say_name(parse_name(row["given"]), Language(row["language"])) == row["wanted"]


@told("movable do")
def test_movable_do(row: dict[str, str]) -> None:
    """The chromatic syllables up and down: common practice."""
    tonic, names = row["given"].split(": ")
    key = Key(parse_name(tonic), "major")
    assert " ".join(movable(parse_name(name), key) for name in names.split()) == row["wanted"]


def test_foreign_gives_other_meanings_of_a_name_that_reads() -> None:
    assert foreign("b", ENGLISH) == (("German", Name("B", -1)),)
    assert foreign("c", ENGLISH) == ()


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
