"""What a prompt says of chords, and of digits in scales that have not seven notes."""

from __future__ import annotations

import pytest

from drill.marking.question import Question
from drill.practice.effects import Prompt
from drill.practice.syllabus import item_of
from drill.terms import Direction
from drill.theory.language import Language
from drill.theory.patterns import find_pattern
from drill.theory.runs import build_run
from drill.theory.scales import parse_key
from drill.wording.asking import ask_shown, ask_told, cell_told, counted_told
from drill.wording.sentence import chord
from drill.wording.voice import PLAIN, Script, Voice


@pytest.mark.parametrize(
    ("key", "told"),
    [
        ("G", ""),
        ("G harmonic_minor", ""),
        ("A minor_pentatonic", "notes 1 to 5 are 1 b3 4 5 b7"),
        ("F bebop_dominant", "notes 1 to 8 are 1 2 3 4 5 6 b7 7"),
        ("C chromatic", "notes 1 to 12 by half steps"),
    ],
)
def test_what_the_digits_count(key: str, told: str) -> None:
    """The cell on 2 of A minor pentatonic begins on C, which players call flat 3."""
    assert PLAIN.text(counted_told(parse_key(key))) == told


CASES = [
    ("Dm7 G7 Cmaj7", "Gb", 0, Language.ENGLISH, "Abm7, 1-b3-5-b7"),
    ("ii7 V7 Imaj7", "Gb", 0, Language.ENGLISH, "ii7, 1-b3-5-b7"),
    ("C/E", "B", 0, Language.GERMAN, "H/Dis, 3-5-1'"),
    ("Bb7", "Bb", 0, Language.GERMAN, "B7, 1-3-5-b7"),
    ("chord-m7", "F#", 0, Language.ENGLISH, "F#m7, 1-b3-5-b7"),
    ("1-2-b3-5", "F#", 0, Language.ENGLISH, "1-2-b3-5 on F#"),
]


@pytest.mark.parametrize(("line", "key", "index", "language", "told"), CASES)
def test_chords_are_asked_for_by_symbol_or_function(
    line: str, key: str, index: int, language: Language, told: str
) -> None:
    """With the degrees beside it: ``Abm7, 1-b3-5-b7``."""
    run = build_run(parse_key(key), find_pattern(line), Direction.UP)
    prompt = Prompt(1, item_of(run, index), Question(run, index, None), "degree")
    assert Voice(language).text(ask_told(prompt)) == told


def test_signs_and_words_of_a_symbol() -> None:
    assert Voice(script=Script.SIGNS).text(chord("Abm7/Cb")) == "A♭m7/C♭"
    assert Voice(script=Script.SPOKEN).text(chord("Abm7")) == "A flat m7"


SECOND_TIME = "in G major, degree 4, heard twice: which note was it the second time? Spell it"
SINGLE = [
    ("degree", "", (), "the note on 4"),
    ("next", "", (0,), "the next note, on 4"),
    ("key", "key", (), "C is degree 4 of which major key?"),
    ("which-degree", "which-degree", (), "C is which degree of G major?"),
    ("different", "different", (), SECOND_TIME),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "back", "before", "told"), SINGLE)
def test_a_scale_of_single_notes_is_asked_for_by_notes(
    kind: str, back: str, before: tuple[int, ...], told: str
) -> None:
    """In the order of the scale of G: G A B C, the fourth of which is C."""
    run = build_run(parse_key("G"), find_pattern("scale"), Direction.UP)
    question = Question(run, 3, None, back=back)
    given = run.cells[2].notes if before else ()
    prompt = Prompt(1, item_of(run, 3), question, kind, given)
    assert PLAIN.text(ask_told(prompt)) == told
    assert PLAIN.text(cell_told(prompt)) == "plain scale"
    if not back:  # the other way round the screens show the question as it is told
        assert PLAIN.text(ask_shown(prompt)) == f"The{told[3:]}"
