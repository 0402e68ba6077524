"""Typed notes: every way that players write them, and everything that must be asked about.

Spellings of the languages are checked elsewhere against an engraver's tables; what is
accepted in one line of notes is common practice (from memory).
"""

from __future__ import annotations

import pytest
from asking import HERE, cases
from hypothesis import given
from hypothesis import strategies as st

from drill.marking.read import LONGEST, read
from drill.marking.typed import Reading
from drill.terms import LETTERS, Key, Name
from drill.theory.language import Language
from drill.theory.names import say_name, show_name
from drill.wording.reading import problem_told
from drill.wording.voice import Voice

E = Language.ENGLISH
NAMES = st.builds(Name, st.sampled_from(LETTERS), st.integers(-2, 2))
CELLS = st.lists(NAMES, min_size=1, max_size=16)
LANGUAGES = [language for language in Language if language is not Language.MOVABLE]


def problem(reading: Reading, language: Language = E, key: Key | None = None) -> str:
    """Why it could not be read, as the player reads it; empty where it was."""
    if reading.problem is None:
        return ""
    return Voice(language).text(problem_told(reading.problem, language, key))


def names(text: str, language: Language = E) -> str:
    """What a text is read as, in ASCII English with octaves; or the problem in brackets."""
    reading = read(text, language)
    if not reading.readable:
        return f"({problem(reading, language)})"
    return " ".join(
        f"{note.name}{'' if note.octave is None else note.octave}" for note in reading.notes
    )


@pytest.mark.parametrize(
    ("typed", "read_as"),
    [
        ("Bb", "Bb"), ("bb", "Bb"), ("B♭", "Bb"), ("B flat", "Bb"), ("bflat", "Bb"),
        ("B-flat", "Bb"), ("F#", "F#"), ("f♯", "F#"), ("F sharp", "F#"), ("F+", "F#"),
        ("f+", "F#"), ("F↑", "F#"), ("G↓", "Gb"), ("Fx", "F##"), ("F##", "F##"), ("F×", "F##"),
        ("F𝄪", "F##"), ("F++", "F##"), ("Bbb", "Bbb"), ("B𝄫", "Bbb"), ("B♭♭", "Bbb"),
        ("F double sharp", "F##"), ("F double-sharp", "F##"), ("b double flat", "Bbb"),
        ("Bn", "B"), ("B natural", "B"), ("B♮", "B"), ("B♭\ufe0f", "Bb"),
        ("b b", "B B"), ("bbb", "Bbb"), ("ab", "Ab"),
        ("C4 D#5 Bb3", "C4 D#5 Bb3"), ("c4d4e4", "C4 D4 E4"), ("B flat3 E", "Bb3 E"),
        ("BbEbB", "Bb Eb B"), ("EbB", "Eb B"), ("F#GAF#", "F# G A F#"), ("cdec", "C D E C"),
        ("CDEC", "C D E C"), ("Bb3Eb4", "Bb3 Eb4"), ("BFlat", "Bb"), ("CDE flat", "C D Eb"),
        ("C,D,E,C", "C D E C"), ("C-D-E-C", "C D E C"), ("C - D -- E, , C", "C D E C"),
        ("C;D;E", "C D E"), ("C – D — E", "C D E"), ("C-D-E-", "C D E"), ("- C D", "C D"),
        ("\tC  D\nE\r\n", "C D E"), ("C\u00a0D\u3000E", "C D E"), ("\ufeffC D", "C D"),
        ("B\u200bb", "Bb"), ("\x1b[200~C D E\x1b[201~", "C D E"), ("\x1b[1mC\x1b[0m D", "C D"),
        ("F\x1b[A G", "F# G"), ("B\x1bOB", "Bb"),
        ("A flat a", "Ab A"), ("a flat e", "Ab E"),
    ],
)  # fmt: skip
def test_a_line_of_notes_in_english(typed: str, read_as: str) -> None:
    assert names(typed) == read_as


@pytest.mark.parametrize(
    ("typed", "language", "read_as"),
    [
        ("B", Language.GERMAN, "Bb"), ("h H", Language.GERMAN, "B B"),
        ("As Es Fis Ases", Language.GERMAN, "Ab Eb F# Abb"), ("AsEs", Language.GERMAN, "Ab Eb"),
        ("b bes as ees", Language.DUTCH, "B Bb Ab Eb"), ("cisis", Language.DUTCH, "C##"),
        ("do ré mi♭ si bémol", Language.FRENCH, "C D Eb Bb"),
        ("do doppio diesis, si-bemolle", Language.ITALIAN, "C## Bb"),
        ("sol sostenido La", Language.SPANISH, "G# A"),
        ("dó sustenido", Language.PORTUGUESE, "C#"),
        ("DO RE MI", Language.SOLFEGE, "C D E"), ("SIb MIb", Language.SOLFEGE, "Bb Eb"),
        ("dosolmi", Language.SOLFEGE, "C G E"), ("DoSolMib", Language.SOLFEGE, "C G Eb"),
        ("fs bf ess", Language.ENGLISH_SF, "F# Bb E##"),
    ],
)  # fmt: skip
def test_a_line_of_notes_in_other_languages(typed: str, language: Language, read_as: str) -> None:
    assert names(typed, language) == read_as


def test_movable_do_counts_from_the_tonic_and_needs_a_key() -> None:
    reading = read("do mi sol ti te", Language.MOVABLE, Key(Name("G"), "major"))
    assert [str(note.name) for note in reading.notes] == ["G", "B", "D", "F#", "F"]
    assert "key" in problem(read("do", Language.MOVABLE))
    g = Key(Name("G"), "major")
    refused = problem(read("C", Language.MOVABLE, g), Language.MOVABLE, g)
    assert refused == "'C' is not a note name: type names such as do, with spaces between"


@pytest.mark.parametrize(
    ("typed", "options"),
    [
        ("ceb", ["C E B", "C Eb"]),
        ("CEB", ["C E B", "C Eb"]),  # all capitals have no small b that would tell
        ("GB", ["G B", "Gb"]),
        ("bB", ["B B", "Bb"]),
        ("BB EB", ["B B", "Bb"]),
        ("gb ac bd", ["G B", "Gb"]),  # beside notes run together, gb may be two
    ],
)
def test_two_readings_are_asked_about_and_never_guessed(typed: str, options: list[str]) -> None:
    reading = read(typed)
    assert not reading.readable
    shown = [" ".join(str(note.name) for note in choice) for choice in reading.choices]
    assert shown == options
    assert all(option in problem(reading) for option in options)


def test_a_long_run_of_bs_is_asked_about_with_a_few_readings() -> None:
    reading = read("b" * LONGEST)
    assert not reading.readable
    assert 2 <= len(reading.choices) <= 4


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ("", "nothing typed"), ("   ", "nothing typed"), (" - , ;", "nothing typed"),
        ("B- E- F", "a hyphen is not a flat"), ("C D- E", "a hyphen is not a flat"),
        ("#F", "right after its letter"), ("F # G", "right after its letter"),
        ("C 4", "right after the name"), ("C44", "not a note name"),
        ("C-1", "right after the name"),
        ("flat B", "not a note name"), ("Bb flat", "not a note name"),
        ("C D Q", "'Q' is not a note name"),
        ("C D\x08E", "control character (U+0008)"), ("C\x7fD", "control character (U+007F)"),
        ("C\x00D", "control character (U+0000)"), ("CD\x1b[D\x1b[DE", "keys that are no notes"),
        ("\x1b]0;title\x07C", "keys that are no notes"), ("C \x9b31m", "control character"),
        ("EbGb", None), ("C|D", "not a note name"), ("C/D", "not a note name"),
        ("\ufffd C", "not a note"),
        ("\udc80", "not a note name"), ("C" * (LONGEST + 1), f"more than {LONGEST}"),
        ("bbbbb", None), ("Cbbbb", "C B Bb B"), ("cde flat", "not a note name"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_says_why(typed: str, word: str | None) -> None:
    language = Language.GERMAN if typed == "EbGb" else E
    reading = read(typed, language)
    assert not reading.readable
    if word is not None:
        assert word in problem(reading, language)
    assert problem(reading, language).isprintable()
    assert len(problem(reading, language)) < 250


@given(st.text(max_size=60) | st.text(alphabet="abcdefgABCDEFGs#♯+ -,4\x1b[", max_size=60))
def test_any_text_is_read_or_refused_in_one_printable_sentence(typed: str) -> None:
    for language in (E, Language.GERMAN, Language.FRENCH):
        reading = read(typed, language)
        assert reading == read(typed, language)
        assert bool(problem(reading, language)) is not reading.readable
        assert problem(reading, language).isprintable()
        assert reading.readable or len(reading.choices) != 1
        assert not reading.readable or reading.notes


@pytest.mark.parametrize("junk", ["b", "Bb", "a flat ", "(", "\x1b[A", "𝄫", "- ", "ébémol"])
def test_ten_thousand_characters_of_junk_are_refused(junk: str) -> None:
    text = (junk * 10_000)[:10_000].strip() + "!"
    reading = read(text)
    assert reading.notes == ()
    assert f"more than {LONGEST} characters" in problem(reading)


@given(CELLS, st.sampled_from(LANGUAGES), st.sampled_from([" ", ",", " , ", "  ", ";"]))
def test_shown_names_are_read_back(cell: list[Name], language: Language, gap: str) -> None:
    typed = gap.join(show_name(name, language) for name in cell)
    assert [note.name for note in read(typed, language).notes] == cell


@given(CELLS, st.sampled_from(LANGUAGES))
def test_spoken_names_are_read_back(cell: list[Name], language: Language) -> None:
    typed = ", ".join(say_name(name, language) for name in cell)
    assert [note.name for note in read(typed, language).notes] == cell


@given(st.lists(NAMES, min_size=2, max_size=16))
def test_capitals_make_notes_run_together_plain(cell: list[Name]) -> None:
    typed = "".join(str(name) for name in cell)
    reading = read(typed)
    if reading.readable:
        assert [note.name for note in reading.notes] == cell
    else:  # no small letter: B may be a flat
        assert typed == typed.upper()
        assert "B" in typed[1:]
        assert tuple(cell) in [tuple(n.name for n in choice) for choice in reading.choices] or (
            len(reading.choices) == 4
        )


@given(st.lists(NAMES, min_size=2, max_size=6))
def test_small_letters_run_together_are_read_right_or_asked_about(cell: list[Name]) -> None:
    typed = "".join(str(name) for name in cell).lower()
    reading = read(typed)
    if reading.readable and len(reading.notes) > 1:
        assert [note.name for note in reading.notes] == cell
    elif reading.readable:  # the whole token is one name: bb, ab
        assert str(reading.notes[0].name).lower() == typed.replace("x", "##")
    else:
        assert len(reading.choices) > 1


# Readings told apart by the number of notes asked for.


@pytest.mark.parametrize(
    ("typed", "count", "read_as"),
    [
        ("gabg", 4, "G A B G"), ("gabg", 3, "G Ab G"), ("bbabgbbb", 4, "Bb Ab Gb Bb"),
        ("GabG", 4, "G A B G"), ("ABa", 3, "A B A"), ("GabG", None, None), ("ceb", 4, None),
        ("cdec", 3, "C D E C"),  # one way alone, whatever was asked for
    ],
)  # fmt: skip
def test_the_only_reading_of_the_asked_length_is_taken(
    typed: str, count: int | None, read_as: str | None
) -> None:
    reading = read(typed, E, Key(Name("E", -1), "major"), count)
    if read_as is None:
        assert len(reading.choices) > 1
    else:
        assert " ".join(str(note.name) for note in reading.notes) == read_as


def test_readings_of_the_asked_length_are_offered_first_and_the_likeliest_of_them() -> None:
    # A key that has a double flat of its own leaves the double flat open.
    reading = read("bbabgbbb", E, Key(Name("F", -1), "major"), 4)
    first = " ".join(str(note.name) for note in reading.choices[0])
    assert first == "Bb Ab Gb Bb"


@pytest.mark.parametrize("row", cases(HERE / "refused.csv"), ids="{0[typed]}".format)
def test_what_a_teacher_would_say_of_the_line(row: dict[str, str]) -> None:
    language = Language(row["language"])
    reading = read(row["typed"], language)
    assert (reading.readable, reading.choices) == (False, ())
    assert problem(reading, language) == row["say"]


def test_letters_of_another_alphabet_are_told() -> None:
    assert problem(read("\u0412\u266d")) == (
        "'\u0412' is a Cyrillic letter: switch the keyboard to Latin letters"
    )


def test_full_width_letters_are_plain_ones() -> None:
    assert names("\uff22\uff42 \uff25") == "Bb E"  # Unicode: NFKC folds them


@pytest.mark.parametrize(
    ("typed", "language", "read_as"),
    [
        ("do so ti", Language.SOLFEGE, "C G B"), ("sob tib", Language.SOLFEGE, "Gb Bb"),
        ("ut ré", Language.FRENCH, "C D"), ("ut dièse", Language.FRENCH, "C#"),
    ],
)  # fmt: skip
def test_other_syllables_that_are_sung(typed: str, language: Language, read_as: str) -> None:
    assert names(typed, language) == read_as


def test_a_hyphen_may_stand_at_the_end_of_a_line_that_is_being_typed() -> None:
    assert read("C-", unfinished=True).readable
    assert not read("C-").readable
    assert read("C-D-E-").readable
