"""Every slip a teacher would name, injected by a computation of its own, and its sentence.

Wrong answers come from ``outside_cells`` (mingus's scales, the reference tables, letter
arithmetic by hand).  Which slip is named first is common practice, from memory.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from asking import TWO_FIVE_ONE, Ask, Teacher
from outside_cells import (
    DOWN,
    FIFTEEN,
    INJECTIONS,
    UP,
    Asked,
    degrees,
    explanations,
    injected,
    patterns,
)

from drill.marking.question import Question
from drill.marking.verdict import Slip
from drill.terms import Descent, Ending, Span
from drill.theory.language import Language
from drill.theory.patterns import PATTERNS, free_pattern
from drill.theory.scales import parse_key
from drill.wording.slips import marker as marker_of
from drill.wording.voice import Script

HORNS = ("alto_sax", "tenor_sax", "flute", "horn_f", "clarinet_a")


def first_of(asked: Asked, ask: Ask) -> Question:
    """The question that the program asks for the same cell."""
    return replace(ask(asked.tonic, asked.pattern, 1 if asked.direction == UP else 8,
                       asked.direction, horn=None), index=asked.place,
                   horn=ask("C", "scale", 1, horn=asked.horn).horn)  # fmt: skip


@pytest.mark.parametrize("slip", list(INJECTIONS))
def test_each_injected_slip_is_named_or_kept(slip: str, ask: Ask, marker: Teacher) -> None:
    chance = random.Random(f"{slip}-7")
    answers = named = unique = 0
    for pattern in patterns():
        for tonic in chance.sample(FIFTEEN, 3):
            for direction in (UP, DOWN):
                place = chance.randrange(len(degrees(pattern, direction)))
                asked = Asked(pattern, tonic, direction, place, chance.choice(HORNS))
                question = first_of(asked, ask)
                assert tuple(str(note.name) for note in question.cell.notes) == asked.cell
                for answer in injected(slip, asked)[:3]:
                    verdict = marker.mark(question, " ".join(answer))
                    assert not verdict.right
                    kept = [found.slip.value for found in verdict.hypotheses]
                    assert slip in kept, (asked, answer, kept)
                    fitting = explanations(asked, answer)
                    # The first slip of the teacher's order that explains the answer is said.
                    assert verdict.slip == fitting[0], (asked, answer, fitting)
                    answers += 1
                    if fitting == (slip,):
                        unique += 1
                        named += verdict.slip == slip
    assert answers > 20
    assert named == unique


GERMAN = Language.GERMAN


def test_a_mode_in_major_is_kept_behind_the_signature_that_it_has(
    ask: Ask, marker: Teacher
) -> None:
    verdict = marker.mark(ask("G", "1-2-3-1", 5), "D E F D")
    assert verdict.slip is Slip.SIGNATURE
    assert verdict.say_of(Slip.PARALLEL) == (
        "that is G Mixolydian; major keeps the seventh, F sharp"
    )
    # Two altered degrees of harmonic minor fit no signature: then the mode is all there is.
    verdict = marker.mark(ask("C", "1-2-3-4-5", 3), "Eb F G Ab B")
    assert verdict.slips == [Slip.PARALLEL]
    assert verdict.say == "that is C harmonic minor; major keeps the third, E natural"


# Concert pitch: concert B flat is G on alto and C on tenor (common practice).


def test_concert_pitch_mentions_the_degree_that_it_also_is(ask: Ask, marker: Teacher) -> None:
    # On a B flat horn the cell on 5 sounds as the cell on 4 of the same key.
    verdict = marker.mark(ask("C", "1-2-3-1", 5, horn="tenor_sax"), "F G A F")
    assert verdict.say.startswith("those are the sounding notes")
    assert verdict.say.endswith("(the cell on 4)")
    assert [found.slip for found in verdict.hypotheses][:2] == [Slip.CONCERT, Slip.DEGREE]


@pytest.mark.parametrize("horn", ["flute", "piccolo", "recorder_descant", None])
def test_a_horn_at_pitch_or_an_octave_off_has_no_concert_slip(
    ask: Ask, marker: Teacher, horn: str | None
) -> None:
    for typed in ("D E F# D", "Eb F G Eb", "Bb C D Bb"):
        verdict = marker.mark(ask("C", "1-2-3-1", 1, horn=horn), typed)
        assert Slip.CONCERT not in [found.slip for found in verdict.hypotheses]


# Typed octaves.


@pytest.mark.parametrize(
    ("typed", "say"),
    [
        ("C5 D5 E4 C5", "right names, wrong octave: the note is E5"),
        ("C4 D E C", "right names, wrong octave: the note is C5"),
        ("C4 D4 E4 C4", "right names, an octave too low: it begins on C5"),
        ("C6 D6 E6 C6", "right names, an octave too high: it begins on C5"),
        ("C6 D4 E6 C6", "right names, wrong octave: the note is C5"),
    ],
)
def test_octaves_are_compared_where_they_are_typed(
    ask: Ask, marker: Teacher, typed: str, say: str
) -> None:
    verdict = marker.mark(ask("G", "1-2-3-1", 4), typed)
    assert [found.slip for found in verdict.hypotheses] == [Slip.OCTAVE]
    assert verdict.say == say


def test_the_octave_of_c_flat_is_counted_by_letter(ask: Ask, marker: Teacher) -> None:
    # Cb5 sounds as B4 (the octave changes between B and C): MIDI 1.0, 71.
    question = ask("Gb", "1-2-3-1", 4)
    assert str(question.cell.notes[0]) == "Cb5"
    assert marker.mark(question, "Cb5 Db Eb Cb").right
    assert marker.mark(question, "B4 Db5 Eb5 B4").slip is Slip.NAME
    assert not marker.mark(question, "Cb4 Db Eb Cb").right


# Minor scales and other modes.


def test_a_scale_of_one_form_is_never_called_the_other_form(ask: Ask, marker: Teacher) -> None:
    verdict = marker.mark(ask("A natural_minor", "1-2-3-1", 6), "F G# A F")
    assert Slip.DIRECTION not in [found.slip for found in verdict.hypotheses]


def test_the_signature_of_a_key_that_fits_itself_is_not_called_another(
    ask: Ask, marker: Teacher
) -> None:
    # G natural belongs to A minor's own signature: nothing about neighbours may be said.
    verdict = marker.mark(ask("A harmonic_minor", "1-2-3-1", 6), "F G A F")
    assert Slip.NEIGHBOUR not in [found.slip for found in verdict.hypotheses]


# Descents, cycles, clipped runs, whole range.


def test_coming_down_another_way_is_named(ask: Ask, marker: Teacher) -> None:
    # 1-3-5-3 in mirror is 8-6-4-6; as chord tones from the top it is 5-3-1-3 of I.
    question = ask("C", "1-3-5-3", 8, "down")
    assert marker.mark(question, "C A F A").right
    verdict = marker.mark(question, "G E C E")
    assert verdict.slip is Slip.DEGREE  # in mirror that is the cell on 5
    assert verdict.say_of(Slip.SHAPE) == (
        "that comes down another way (on the chord's own tones); this pattern comes down in mirror"
    )
    assert marker.mark(question, "C E G E").slip is Slip.DIRECTION  # the same shape


@pytest.mark.parametrize("descent", list(Descent))
def test_every_descent_marks_its_own_cells(ask: Ask, marker: Teacher, descent: Descent) -> None:
    pattern = replace(PATTERNS["triad_broken"], descent=descent)
    rising = {"1": "C E G E", "7": "B D F D"}
    falling = {
        Descent.MIRROR: (8, "C A F A"),
        Descent.SAME_SHAPE: (8, "C E G E"),
        Descent.RETROGRADE: (7, "D F D B"),
        Descent.RETROGRADE_INVERSION: (8, "A F A C"),
        Descent.CHORD_TONES: (8, "G E G C"),
    }
    degree, typed = falling[descent]
    question = ask("C", pattern, degree, "down")
    if descent is Descent.CHORD_TONES:
        typed = "G E C E"
    assert marker.mark(question, typed).right
    assert marker.mark(ask("C", pattern, 1), rising["1"]).right
    assert marker.mark(ask("C", pattern, 7), rising["7"]).right


def test_in_a_cycle_the_other_cell_is_another_shape(ask: Ask, marker: Teacher) -> None:
    pattern = free_pattern(("1-2-3-1", "3-2-1-3"))
    question = ask("C", pattern, 2)
    assert marker.mark(question, "F E D F").right
    verdict = marker.mark(question, "D E F D")
    assert verdict.slip is Slip.SHAPE
    assert verdict.say == (
        "that is 1-2-3-1, which is asked on other degrees; you were asked for 3-2-1-3"
    )
    verdict = marker.mark(question, "E F G E")
    assert (verdict.slip, verdict.say) == (
        Slip.DEGREE, "that is the cell on 3; you were asked for the cell on 2"
    )  # fmt: skip


def test_a_clipped_run_turns_back_at_the_octave(ask: Ask, marker: Teacher) -> None:
    pattern = replace(PATTERNS["thirds"], ending=Ending.CLIPPED)
    question = ask("C", pattern, 7)
    assert marker.mark(question, "B B").right  # 7-9 becomes 7-7: common practice
    verdict = marker.mark(question, "B D")
    assert (verdict.slip, verdict.say) == (
        Slip.SHAPE, "past the octave: this run turns back there"
    )  # fmt: skip
    two = ask("C", pattern, 7, span=Span.TWO)
    assert marker.mark(two, "B D").right
    verdict = marker.mark(two, "B B")
    assert verdict.say == "that is the cell on 14; you were asked for the cell on 7"


def test_the_whole_range_has_its_slips_too(ask: Ask, marker: Teacher) -> None:
    question = ask("F", "1-2-3-1", 9, horn="clarinet_bb", span=Span.FULL)
    assert marker.mark(question, "G A Bb G").right
    assert marker.mark(question, "A Bb C A").slip is Slip.DEGREE
    low = ask("F", "1-2-3-1", 2, "down", horn="clarinet_bb", span=Span.FULL)
    assert low.cell.direction == "down"
    assert marker.mark(low, "G F E G").right
    assert marker.mark(low, "G A Bb G").slip is Slip.DIRECTION


# Root mode: a cell on a moving root.


def test_a_forgotten_accidental_in_root_mode(ask: Ask, marker: Teacher) -> None:
    verdict = marker.mark(ask("Bb", TWO_FIVE_ONE, 1), "C E G Bb")
    assert verdict.slip is Slip.ALTERATION
    assert verdict.say == "E natural: Cm7 has E flat (that is C7)"


def test_root_mode_down_reads_each_cell_backwards(ask: Ask, marker: Teacher) -> None:
    question = ask("C", TWO_FIVE_ONE, 2, "down")
    assert marker.mark(question, "F D B G").right
    assert marker.mark(question, "F# D B G").say == ("that is Gmaj7; you were asked for G7")


# B and H.


def test_b_for_h_in_german_is_named_before_any_signature(ask: Ask) -> None:
    # A typed B is B flat in German: the English habit explains it exactly.
    german = Teacher(marker_of(GERMAN))
    verdict = german.mark(ask("G", "1-2-3-1", 1), "G A B G")
    assert verdict.slip is Slip.B_OR_H
    assert verdict.say == (
        "with B taken the other way it is right: B is B flat here, and the natural is H"
    )
    assert Slip.PARALLEL in verdict.slips
    assert german.mark(ask("G", "1-2-3-1", 1), "G A H G").right


def test_b_for_b_flat_in_english_is_a_forgotten_signature_first(ask: Ask, marker: Teacher) -> None:
    verdict = marker.mark(ask("F", "1-2-3-1", 2), "G A B G")
    assert [found.slip for found in verdict.hypotheses][:2] == [Slip.SIGNATURE, Slip.B_OR_H]
    assert verdict.say.startswith("B natural: the signature of F has B flat")


def test_german_sentences_have_german_names(ask: Ask) -> None:
    german = Teacher(marker_of(GERMAN))
    verdict = german.mark(ask("Bb", "1-2-3-1", 3), "D E F D")
    assert verdict.say == "E: the signature of B has Es (that is the signature of F major)"
    assert verdict.notes[1].typed == "E"
    assert verdict.notes[1].expected == "Eb5"
    verdict = german.mark(ask("C", TWO_FIVE_ONE, 2), "H Dis Fis A")
    assert verdict.say == "that is H7; you were asked for G7"


def test_movable_do_keeps_letters_for_tonics(ask: Ask) -> None:
    movable = Teacher(marker_of(Language.MOVABLE))
    question = ask("Eb", "1-2-3-1", 4)
    assert movable.mark(question, "fa sol la fa").right
    verdict = movable.mark(question, "fa sol te fa")
    assert verdict.say == "one note off: te for la"
    verdict = movable.mark(question, "sol la ti sol")
    assert verdict.say == "that is the cell on 5; you were asked for the cell on 4"


def test_cells_in_words_for_screen_readers(ask: Ask) -> None:
    spoken = Teacher(marker_of(), Script.SPOKEN)
    assert spoken.unanswered(ask("A", "1-2-3-1", 6)).say == (
        "the cell is F sharp, G sharp, A, F sharp"
    )
    verdict = spoken.mark(ask("Bb", "1-2-3-1", 4), "Eb C#")
    assert verdict.say == "the cell is E flat, F, G, E flat"


# The prompt before decides among explanations of one kind.


def test_the_key_before_is_preferred_among_signatures(ask: Ask, marker: Teacher) -> None:
    question = ask("D", "1-3", 2)  # E G
    assert marker.mark(question, "Eb G").say == "one note off: E flat for E"
    assert marker.mark(question, "Eb Gb").say == ("that is the cell on 2 of Db major; the key is D")
    before = ask("Gb", "1-3", 2)
    told = marker.mark(replace(question, before=before.asked), "Eb Gb")
    assert told.say == "that is the cell on 2 of Db major; the key is D"
    before = ask("Eb", "1-3", 2)
    told = marker.mark(replace(question, before=before.asked), "Eb G")
    assert told.say == ("E flat belongs to Eb major, the key before: here it is E natural")


def test_the_key_before_comes_before_a_neighbour(ask: Ask, marker: Teacher) -> None:
    # D sharp stands in the signatures of E (a fifth from A), B, F sharp and C sharp.
    question, before = ask("A", "1-2-3-1", 2), ask("B", "1-2-3-1", 2)
    told = marker.mark(replace(question, before=before.asked), "B C# D# B")
    assert told.say == "D sharp belongs to B major, the key before: here it is D natural"
    assert told.hypotheses[0].instead == parse_key("B")


def test_the_cell_before_and_the_key_before_are_pointed_out(ask: Ask, marker: Teacher) -> None:
    question, before = ask("G", "1-2-3-1", 4), ask("G", "1-2-3-1", 3)
    told = marker.mark(replace(question, before=before.asked), "B C D B")
    assert told.say == "that is the cell on 3, the one before; you were asked for the cell on 4"
    other = ask("A", "1-2-3-1", 2)
    told = marker.mark(replace(ask("G", "1-3-5-3", 1), before=other.asked), "A C# E C#")
    assert told.say == "that is A major, the key before; you were asked for G major"
    assert told.hypotheses[0].instead == parse_key("A")
    one_off = marker.mark(ask("G", "1-3-5-3", 1), "G B C B")
    assert [found.instead for found in one_off.hypotheses] == [None] * len(one_off.hypotheses)


def test_the_shape_before_is_preferred_among_shapes(ask: Ask, marker: Teacher) -> None:
    question = ask("C", "1-2-3-1", 2)
    before = ask("C", "1-2-3-5", 5)
    told = marker.mark(replace(question, before=before.asked), "D E F A")
    assert told.say == "that is 1-2-3-5, the cell asked before; you were asked for 1-2-3-1"
    assert marker.mark(question, "D E F A").say == (
        "that is 1-2-3-5, four-note cell 1-2-3-5; you were asked for 1-2-3-1"
    )


def test_the_prompt_before_adds_what_points_to_it_and_no_other_kind(
    ask: Ask, marker: Teacher
) -> None:
    chance = random.Random(3)
    compared = 0
    for _ in range(150):
        slip = chance.choice(list(INJECTIONS))
        asked = Asked("return3", chance.choice(FIFTEEN), UP, chance.randrange(7), "alto_sax")
        question = first_of(asked, ask)
        before = ask(chance.choice(FIFTEEN), "1-3-5-3", chance.randint(1, 7)).asked
        for answer in injected(slip, asked)[:2]:
            plain = marker.mark(question, " ".join(answer))
            told = marker.mark(replace(question, before=before), " ".join(answer))
            kept = {found.slip for found in told.hypotheses}
            alone = {found.slip for found in plain.hypotheses}
            if Slip.KEY_BEFORE in kept and Slip.SIGNS not in kept:
                alone -= {Slip.SIGNS}  # one sign among right ones comes from the key before
            assert kept - {Slip.KEY_BEFORE, Slip.BEFORE, Slip.UNEXPLAINED} == (
                alone - {Slip.UNEXPLAINED}
            )
            compared += 1
    assert compared > 200
