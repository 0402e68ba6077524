"""Right is right and one fault is one fault, for every pattern, key, horn, way and language."""

from __future__ import annotations

from dataclasses import replace

import pytest
from asking import told
from hypothesis import assume, given
from hypothesis import strategies as st
from outside_cells import DOWN, FIFTEEN, UP, chromatic, patterns, run

from drill.errors import TheoryError
from drill.marking.compare import compare
from drill.marking.mark import Marker
from drill.marking.question import Question
from drill.marking.typed import Typed
from drill.marking.verdict import Outcome, Slip
from drill.terms import LETTERS, Direction, Ending, Key, Name, Note, Span
from drill.theory.instruments import INSTRUMENTS
from drill.theory.language import Language
from drill.theory.names import say_name, show_name
from drill.theory.patterns import PATTERNS, find_pattern
from drill.theory.runs import build_run
from drill.theory.scales import SCALES, parse_key, tonics
from drill.wording.slips import KINDS
from drill.wording.slips import marker as marker_of

ORDER = [kind.slip for kind in KINDS]
MARKERS = {language: marker_of(language) for language in Language}
MARKER = MARKERS[Language.ENGLISH]


@st.composite
def questions(draw: st.DrawFn) -> Question:
    """A cell of any pattern in any of 35 scales x 15 tonics, on any horn or none."""
    pattern = PATTERNS[draw(st.sampled_from(sorted(PATTERNS)))]
    pattern = replace(pattern, ending=draw(st.sampled_from(Ending)))
    scale = draw(st.sampled_from(sorted(SCALES)))
    key = Key(draw(st.sampled_from(tonics(scale))), scale)
    horn = draw(st.none() | st.sampled_from(list(INSTRUMENTS.values())))
    way = draw(st.sampled_from(Direction))
    try:
        made = build_run(key, pattern, way, horn=horn)
    except TheoryError:
        assume(False)
        raise
    return Question(made, draw(st.integers(0, len(made.cells) - 1)), horn)


def typed(question: Question, language: Language = Language.ENGLISH) -> str:
    key = question.run.key
    return " ".join(show_name(note.name, language, key=key) for note in question.cell.notes)


def faults(question: Question, names: list[Name], marker: Marker = MARKER) -> list[Outcome]:
    """The outcomes that are not right."""
    verdict = marker.mark(question, " ".join(map(str, names)))
    return [mark.outcome for mark in verdict.notes if mark.outcome is not Outcome.RIGHT]


@given(questions(), st.sampled_from(Language))
def test_the_expected_answer_has_no_fault_in_any_language(
    question: Question, language: Language
) -> None:
    marker = MARKERS[language]
    key = question.run.key
    spoken = ", ".join(say_name(note.name, language, key) for note in question.cell.notes)
    texts = [typed(question, language), typed(question, language).lower()]
    if all(abs(note.alter) < 3 for note in question.cell.notes):  # no one says three
        texts.append(spoken)
    for text in texts:
        verdict = marker.mark(question, text)
        assert verdict.right, text
        assert (verdict.slip, verdict.usual, verdict.hypotheses) == (None, True, ())
        assert [mark.outcome for mark in verdict.notes] == [Outcome.RIGHT] * len(verdict.expected)


@given(questions())
def test_the_expected_answer_with_its_octaves_has_no_fault(question: Question) -> None:
    verdict = MARKER.mark(question, " ".join(map(str, question.cell.notes)))
    assert verdict.right
    assert [mark.typed for mark in verdict.notes] == [str(note) for note in question.cell.notes]


@pytest.mark.parametrize("pattern", patterns())
def test_cells_spelled_without_the_program_are_right_and_each_note_counts(
    pattern: str,
) -> None:
    # Sources: mingus's major scales; degrees of reference/patterns.csv.
    for tonic in FIFTEEN:
        for way in (UP, DOWN):
            made = build_run(parse_key(tonic), PATTERNS[pattern], Direction(way))
            for index, cell in enumerate(run(pattern, tonic, way)):
                question = Question(made, index, None)
                verdict = MARKER.mark(question, " ".join(cell))
                assert verdict.right
                assert told(verdict, question) == "right"


@given(questions(), st.data())
def test_one_note_changed_is_one_fault(question: Question, data: st.DataObject) -> None:
    names = [note.name for note in question.cell.notes]
    place = data.draw(st.integers(0, len(names) - 1))
    other = data.draw(st.builds(Name, st.sampled_from(LETTERS), st.integers(-2, 2)))
    by_sound = question.cell.by_sound[place]
    same_sound = other.pitch_class == names[place].pitch_class
    assume(other != names[place] and not (by_sound and same_sound))
    names[place] = other
    expected = Outcome.NAME if same_sound else Outcome.WRONG
    assert faults(question, names) == [expected]
    verdict = MARKER.mark(question, " ".join(map(str, names)))
    assert verdict.notes[place].outcome is expected
    assert not verdict.right


@given(questions(), st.data())
def test_one_note_left_out_is_missing_and_one_put_in_is_extra(
    question: Question, data: st.DataObject
) -> None:
    names = [note.name for note in question.cell.notes]
    assume(len(names) > 1)
    place = data.draw(st.integers(0, len(names) - 1))
    assert faults(question, names[:place] + names[place + 1 :]) == [Outcome.MISSING]
    other = data.draw(st.builds(Name, st.sampled_from(LETTERS), st.integers(-2, 2)))
    assert faults(question, [*names[:place], other, *names[place:]]) == [Outcome.EXTRA]


@given(questions(), st.data())
def test_an_octave_wrong_is_a_fault_only_where_one_is_typed(
    question: Question, data: st.DataObject
) -> None:
    notes = list(question.cell.notes)
    place = data.draw(st.integers(0, len(notes) - 1))
    note = notes[place]
    assume(0 <= note.octave <= 8)
    notes[place] = Note(note.letter, note.alter, note.octave + 1)
    verdict = MARKER.mark(question, " ".join(map(str, notes)))
    assert [i for i, mark in enumerate(verdict.notes) if mark.outcome is not Outcome.RIGHT] == [
        place
    ]
    assert [found.slip for found in verdict.hypotheses] == [Slip.OCTAVE]


@given(questions(), st.lists(st.builds(Name, st.sampled_from(LETTERS), st.integers(-2, 2)),
                             min_size=1, max_size=9))  # fmt: skip
def test_any_answer_gets_one_verdict_that_accounts_for_every_note(
    question: Question, names: list[Name]
) -> None:
    text = " ".join(map(str, names))
    verdict = MARKER.mark(question, text)
    assert verdict == marker_of().mark(question, text), "a verdict depends on nothing before it"
    assert [mark.typed for mark in verdict.notes if mark.typed] == [str(name) for name in names]
    assert [mark.expected for mark in verdict.notes if mark.expected] == [
        str(note) for note in question.cell.notes
    ]
    assert verdict.right is all(mark.outcome is Outcome.RIGHT for mark in verdict.notes)
    assert (verdict.slip is None) is verdict.right
    if not verdict.right:
        assert verdict.hypotheses[0].slip is verdict.slip
        slips = [found.slip for found in verdict.hypotheses]
        assert len(set(slips)) == len(slips), "one explanation of a kind"
        assert slips == sorted(slips, key=ORDER.index), "in the order of the teacher"
        assert told(verdict, question).isprintable()


@given(questions())
def test_right_sounds_under_other_names_are_counted_apart(question: Question) -> None:
    others = {
        name.pitch_class: name for name in (Name(x, y) for x in "CDEFGAB" for y in (-1, 1))
    } | {n.pitch_class: n for n in (Name(x) for x in "CDEFGAB")}
    names = [note.name for note in question.cell.notes]
    changed = [others[name.pitch_class] for name in names]
    verdict = MARKER.mark(question, " ".join(map(str, changed)))
    for mark, got, want, free in zip(
        verdict.notes, changed, names, question.cell.by_sound, strict=True
    ):
        assert mark.outcome is (Outcome.RIGHT if got == want or free else Outcome.NAME)
    if not verdict.right:
        assert verdict.slip is Slip.NAME
    elif changed != names:
        assert told(verdict, question) == f"right; usually written {typed(question)}"


# Enharmonic policy: where no spelling is agreed the sound decides (common practice; from memory).
BY_SOUND = {
    "blues_minor", "blues_major", "whole_tone", "octatonic_whole_half", "octatonic_half_whole",
    "chromatic_melodic", "chromatic_harmonic", "augmented", "altered",
}  # fmt: skip


@pytest.mark.parametrize("scale", sorted(SCALES))
def test_the_enharmonic_policy_is_by_scale(scale: str) -> None:
    key = Key(tonics(scale)[7], scale)
    made = build_run(key, PATTERNS["groups3"], Direction.UP)
    question = Question(made, 1, None)
    name = question.cell.notes[0].name
    other = next(
        found
        for found in (Name(letter, alter) for letter in LETTERS for alter in (-1, 0, 1, 2, -2))
        if found != name and found.pitch_class == name.pitch_class
    )
    text = " ".join([str(other), *typed(question).split()[1:]])
    verdict = MARKER.mark(question, text)
    assert verdict.right is (scale in BY_SOUND)
    if verdict.right:
        assert told(verdict, question) == f"right; usually written {typed(question)}"
    else:
        assert verdict.slip is Slip.NAME


def test_chromatic_neighbours_are_marked_by_sound_and_their_target_by_name() -> None:
    made = build_run(parse_key("C#"), find_pattern("1-l1-1"), Direction.UP)
    question = Question(made, 2, None)
    assert typed(question) == "E# D## E#"  # the adjacent letter: an open textbook's rule
    assert told(MARKER.mark(question, "E# E E#"), question) == "right; usually written E# D## E#"
    verdict = MARKER.mark(question, "F E F")
    assert verdict.slip is Slip.NAME
    assert told(verdict, question) == (
        "right sound, wrong name: in C# major it is written E sharp, not F (as in Db major)"
    )


@pytest.mark.parametrize("pattern", [name for name in patterns() if chromatic(name)])
def test_only_the_chromatic_notes_are_free(pattern: str) -> None:
    made = build_run(parse_key("Eb"), PATTERNS[pattern], Direction.UP)
    shape = PATTERNS[pattern].cells[0]
    assert made.cells[0].by_sound == tuple(item.modifier != "" for item in shape)


def test_equal_lengths_stay_aligned_and_others_take_the_fewest_faults() -> None:
    expected = tuple(Note(letter, 0, 4) for letter in "CDEC")

    def outcomes(text: str) -> list[str]:
        notes = tuple(Typed(Name(letter)) for letter in text)
        return [mark.outcome.value for mark in compare(notes, expected, (False,) * 4)]

    assert outcomes("DECC") == ["wrong", "wrong", "wrong", "right"]
    assert outcomes("CEC") == ["right", "missing", "right", "right"]
    assert outcomes("CDFEC") == ["right", "right", "extra", "right", "right"]
    assert outcomes("CDC") == ["right", "right", "missing", "right"]
    assert outcomes("CC") == ["right", "missing", "missing", "right"]
    assert outcomes("CDE") == ["right", "right", "right", "missing"]
    assert outcomes("CDECC") == ["right", "right", "right", "right", "extra"]
    assert outcomes("GCDEC") == ["extra", "right", "right", "right", "right"]
    assert outcomes("") == ["missing"] * 4


def test_another_key_is_named_only_where_every_note_is_as_far_away() -> None:
    """G flat, G sharp, B flat: they sound like the cell of G flat, of which G sharp is no note."""
    made = build_run(parse_key("G"), PATTERNS["return3"], Direction.UP, span=Span.ONE)
    verdict = MARKER.mark(Question(made, 0, None), "Gb G# Bb Gb")
    assert Slip.OTHER_KEY not in {each.slip for each in verdict.hypotheses}
    verdict = MARKER.mark(Question(made, 0, None), "Gb Ab Bb Gb")
    assert Slip.OTHER_KEY in {each.slip for each in verdict.hypotheses}


def test_of_two_degrees_with_the_same_notes_the_nearer_one_is_named() -> None:
    """A run that plays the cell on its last tonic too: from 5 the cell on 8 is nearer than on 1."""
    closed = replace(PATTERNS["return3"], ending=Ending.CLOSED)
    made = build_run(parse_key("G"), closed, Direction.UP, span=Span.ONE)
    for index, degree in ((1, "1"), (5, "8")):
        question = Question(made, index, None)
        said = told(MARKER.mark(question, "G A B G"), question)
        assert f"on {degree}" in said, said


def test_signs_are_turned_only_on_the_right_letters() -> None:
    """F flat for F sharp is a sign turned over; G flat for it is another name of the sound."""
    made = build_run(parse_key("G"), PATTERNS["return3"], Direction.UP, span=Span.ONE)
    question = Question(made, 4, None)
    for typed, turned in (("D E Fb D", True), ("D E Gb D", False)):
        found = {each.slip for each in MARKER.mark(question, typed).hypotheses}
        assert (Slip.SIGNS in found) == turned


def test_an_unreadable_answer_is_neither_right_nor_a_slip_of_theory() -> None:
    made = build_run(parse_key("G"), PATTERNS["return3"], Direction.UP, span=Span.ONE)
    question = Question(made, 3, None)
    verdict = MARKER.mark(question, "C D H C")
    assert (verdict.right, verdict.readable, verdict.notes) == (False, False, ())
    assert verdict.slip is Slip.UNREADABLE
    assert verdict.hypotheses == ()
    assert told(verdict, question) == "H is German for B; the note names are set to English"
    assert [str(note) for note in verdict.expected] == ["C5", "D5", "E5", "C5"]


def test_a_cell_that_is_shown_counts_as_missing_throughout() -> None:
    made = build_run(parse_key("G"), PATTERNS["return3"], Direction.UP)
    question = Question(made, 3, None)
    verdict = MARKER.unanswered(question)
    assert [mark.outcome for mark in verdict.notes] == [Outcome.MISSING] * 4
    assert told(verdict, question) == "the cell is C D E C"
    question = Question(made, 2, None)
    shown = MARKERS[Language.GERMAN].unanswered(question)
    assert told(shown, question, Language.GERMAN) == "the cell is H C D H"
