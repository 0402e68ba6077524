"""Which chord are these notes: a symbol is typed, in any usual spelling (common practice)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from asking import Ask
from hypothesis import given
from hypothesis import strategies as st

from drill.marking.back import Back, back_unanswered, mark_back, wanted
from drill.marking.question import Question
from drill.marking.verdict import Slip, Verdict
from drill.terms import Direction
from drill.theory.language import Language
from drill.theory.patterns import find_pattern
from drill.theory.runs import build_run
from drill.theory.scales import parse_key
from drill.wording.asking import ask_back
from drill.wording.verdicts import answer_shown, verdict_told
from drill.wording.voice import PLAIN, Voice

E = Language.ENGLISH


def asked(line: str, key: str, index: int = 0) -> Question:
    run = build_run(parse_key(key), find_pattern(line), Direction.UP)
    return Question(run, index, None, back=Back.CHORD.value)


def told(question: Question, typed: str) -> tuple[bool, str]:
    verdict = mark_back(question, Back.CHORD, typed, E)
    return verdict.right, PLAIN.text(verdict_told(verdict, question))


SAID = {
    **dict.fromkeys(["Abm7", "Ab-7", "A♭mi7", "abm7", "Abmin7"], "right"),
    "G#m7": "right; usually written Abm7",
    "Ab7": "the root is right, the kind is another: it is Abm7",
    "Dbm7": "another chord: it is Abm7",
    "Abm7/Cb": "the chord is right, the bass is another: it is Abm7",
}


@pytest.mark.parametrize("typed", SAID)
def test_what_is_said_of_a_chord(typed: str) -> None:
    question = asked("Dm7 G7 Cmaj7", "Gb")
    assert PLAIN.text(ask_back(question, Back.CHORD)) == "Ab Cb Eb Gb is which chord?"
    assert told(question, typed) == (SAID[typed].startswith("right"), SAID[typed])


@pytest.mark.parametrize(
    ("line", "typed"),
    [
        ("C7b9b13 Fm", "C7b13b9"),
        ("C7b9b13 Fm", "C7(b9, b13)"),
        ("C7b9b13 Fm", "C7-9b13"),
        ("Cmaj9#11 G7", "CM9#11"),
        ("Cmaj9#11 G7", "CΔ9#11"),
        ("C9sus4 F", "C9sus"),
    ],
)
def test_a_chord_that_the_table_lacks_is_right_in_every_spelling(line: str, typed: str) -> None:
    """The same degrees by any order and sign; what was asked is C on C in the line's own key."""
    question = asked(line, "F" if "F" in line else "C")
    assert told(question, typed) == (True, "right")
    assert not told(question, "C7b9#11")[0]


def test_the_bass_of_an_inversion_need_not_be_named() -> None:
    question = asked("C/E", "F")
    assert told(question, "F/A")[0]
    assert told(question, "F")[0]
    assert told(question, "F/C") == (False, "the chord is right, the bass is another: it is F/A")


def test_what_is_no_symbol_is_not_marked() -> None:
    question = asked("Cm7", "C")
    verdict = mark_back(question, Back.CHORD, "three flats", E)
    assert verdict.slip is Slip.UNREADABLE
    assert told(question, "x")[1] == (
        "a chord is asked for: type its symbol, such as Bbm7 or F#7b9"
    )


def test_shown_unanswered(ask: Ask) -> None:
    question = asked("Dm7 G7 Cmaj7", "B", 1)
    assert wanted(question, Back.CHORD) == "F#7"
    verdict = back_unanswered(question, Back.CHORD, E)
    assert PLAIN.text(verdict_told(verdict, question)) == "it is F#7"


@pytest.mark.parametrize("language", list(Language))
@pytest.mark.parametrize("key", ["C", "Gb", "B", "Eb", "F#"])
def test_what_is_shown_is_right_in_every_language(language: Language, key: str) -> None:
    """German H7 is a B seventh, and B7 a B flat seventh."""
    for line in ("Dm7 G7 Cmaj7", "Csus4 Caug", "C/E"):
        question = asked(line, key)
        for index in range(len(question.run.cells)):
            again = replace(question, index=index)
            verdict = back_unanswered(again, Back.CHORD, language)
            shown = Voice(language).text(answer_shown(verdict, again))
            assert mark_back(again, Back.CHORD, shown, language).right, shown


@given(st.text(max_size=20))
def test_any_text_gets_a_verdict(typed: str) -> None:
    verdict: Verdict = mark_back(asked("Cm7", "C"), Back.CHORD, typed, E)
    assert verdict.right is (verdict.slip is None)
