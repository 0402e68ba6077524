"""Which note was different: the ways to alter a cell, and the marking of what is named."""

from __future__ import annotations

from dataclasses import replace

import pytest
from asking import told
from hypothesis import given
from hypothesis import strategies as st

from drill.marking.different import alterations, altered_notes, mark_different, nearest
from drill.marking.question import Altered, Question
from drill.marking.verdict import Outcome, Slip
from drill.terms import Direction, Key, Name, Note
from drill.theory.language import Language
from drill.theory.patterns import find_pattern
from drill.theory.runs import build_run
from drill.theory.scales import scale_of, tonics
from drill.wording.slips import marker as marker_of


def question(
    key: Key,
    index: int = 0,
    altered: Altered | None = None,
    pattern: str = "1-2-3-1",
    direction: Direction = Direction.UP,
) -> Question:
    run = build_run(key, find_pattern(pattern), direction)
    return Question(run, index, None, back="different", altered=altered)


D_MAJOR = Key(Name("D"), "major")
"""D E F# D on 1; two sharps (common practice)."""
G = Altered(2, Note("G", 0, 4))
"""The third note a step higher: D E G D."""


def test_every_note_moves_a_step_of_the_key_each_way() -> None:
    asked = question(D_MAJOR)
    found = alterations(asked.cell, scale_of(D_MAJOR))
    assert [(each.place, str(each.note)) for each in found] == [
        (0, "C#4"), (0, "E4"), (1, "D4"), (1, "F#4"), (2, "E4"), (2, "G4"), (3, "C#4"), (3, "E4"),
    ]  # fmt: skip


@given(
    st.sampled_from("major harmonic_minor dorian melodic_minor_classical major_pentatonic".split()),
    st.integers(0, 14),
    st.sampled_from(list(Direction)),
    st.integers(0, 4),
)
def test_an_altered_cell_differs_in_one_sound_and_stays_in_the_key(
    scale: str, tonic: int, direction: Direction, index: int
) -> None:
    key = Key(tonics(scale)[tonic], scale)
    asked = question(key, index, direction=direction)
    names = scale_of(key).names(direction)
    for altered in alterations(asked.cell, scale_of(key)):
        heard = altered_notes(replace(asked, altered=altered))
        off = [
            abs(new.midi - old.midi)
            for new, old in zip(heard, asked.cell.notes, strict=True)
            if new.midi != old.midi
        ]
        assert len(off) == 1
        assert off[0] <= 4  # the widest step of these scales is a minor third
        assert altered.note.name in names


def test_chromatic_neighbours_are_left_as_they_are() -> None:
    cell = question(D_MAJOR, pattern="u1 l1 1").cell
    places = {each.place for each in alterations(cell, scale_of(D_MAJOR))}
    assert 2 in places
    assert all(cell.notes[place].name in scale_of(D_MAJOR).up for place in places)


@pytest.mark.parametrize(
    ("text", "right"),
    [
        ("3", True),
        (" 3 ", True),
        ("2", False),
        ("G", True),  # what came
        ("F#", True),  # what it came in place of: it stands there once
        ("E", False),
        ("D E G D", True),
        ("d e g d", True),
        ("D E F# D", False),
        ("A", False),
    ],
)
def test_a_place_or_a_spelling_is_marked(text: str, right: bool) -> None:
    asked = question(D_MAJOR, altered=G)
    verdict = marker_of().mark(asked, text)
    assert verdict.right is right
    assert verdict.readable
    assert told(verdict, asked).endswith("note 3 was different: G in place of F#")
    assert verdict.notes[0].expected == "3"
    assert verdict.notes[0].outcome is (Outcome.RIGHT if right else Outcome.WRONG)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("0", "type a place from 1 to 4, or spell the note"),
        ("5", "type a place from 1 to 4, or spell the note"),
        ("D", "D stands in the cell more than once: type the place"),
        ("D E", "type the place, 1 to 4, the note you heard there, or the second cell"),
        ("H", "or its place, 1 to 4"),
        ("", "or its place, 1 to 4"),
        ("²", "or its place, 1 to 4"),
    ],
)
def test_what_names_no_place_is_asked_again(text: str, problem: str) -> None:
    asked = question(D_MAJOR, altered=G)
    verdict = marker_of().mark(asked, text)
    assert verdict.slip is Slip.UNREADABLE
    assert problem in told(verdict, asked)


def test_the_sound_decides_a_spelling() -> None:
    """C flat in place of C: B is the same sound in equal temperament."""
    key = Key(Name("G", -1), "major")
    asked = question(key, altered=Altered(1, Note("B", 0, 4)))
    assert marker_of().mark(asked, "Cb").right


def test_other_languages_and_giving_up() -> None:
    asked = question(D_MAJOR, altered=G)
    german = marker_of(Language.GERMAN)
    assert german.mark(asked, "fis").right
    shown = german.unanswered(asked)
    assert (shown.right, shown.slip) == (False, Slip.UNANSWERED)
    assert told(shown, asked, Language.GERMAN) == "note 3 was different: G in place of Fis"
    movable = marker_of(Language.MOVABLE).mark(asked, "fa")
    assert movable.right
    assert (
        told(movable, asked, Language.MOVABLE) == "right; note 3 was different: fa in place of mi"
    )


def test_nothing_altered_is_no_question() -> None:
    assert not mark_different(question(D_MAJOR), "3", Language.ENGLISH).readable


def test_the_nearest_note_of_a_name() -> None:
    assert nearest(Name("B"), Note("C", 0, 4)) == Note("B", 0, 3)
    assert nearest(Name("C"), Note("B", 0, 4)) == Note("C", 0, 5)


@pytest.mark.parametrize("typed", ["", "H", "9", "third", "D E", "??"])
def test_what_cannot_be_read_is_never_right(typed: str) -> None:
    verdict = mark_different(question(D_MAJOR, altered=G), typed, Language.ENGLISH)
    assert not verdict.right
