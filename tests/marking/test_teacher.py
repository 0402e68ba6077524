"""What a teacher would say: answers that were once named wrongly, with the sentence wanted.

The sentences are common practice, from memory; scales and signatures in them agree with
tests/reference/scale_spellings.csv.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from asking import Answered, Ask, Teacher

from drill.marking.question import Question
from drill.marking.verdict import Slip
from drill.terms import Direction, Key
from drill.theory.engine import Engine
from drill.theory.language import Language
from drill.theory.patterns import ROOT_ORDERS, find_pattern
from drill.theory.progressions import read_progression
from drill.theory.runs import build_run
from drill.theory.scales import parse_key
from drill.wording.slips import marker as marker_of

# Another key, another mode.


@pytest.mark.parametrize(
    ("key", "typed", "say"),
    [
        ("Eb", "E F# G# E", "that is E major; the key is E flat"),
        ("Bb", "B C# D# B", "that is B major; the key is B flat"),
        ("Ab", "A B C# A", "that is A major; the key is A flat"),
        ("Db", "D E F# D", "that is D major; the key is D flat"),
    ],
)
def test_the_key_that_was_really_played_is_named_and_kept(
    ask: Ask, marker: Teacher, key: str, typed: str, say: str
) -> None:
    verdict = marker.mark(ask(key, "1-2-3-1", 1), typed)
    assert (verdict.slip, verdict.say) == (Slip.OTHER_KEY, say)
    assert verdict.hypotheses[0].instead == parse_key(typed[0])


@pytest.mark.parametrize(
    ("key", "cell", "degree", "way", "typed", "played", "say"),
    [
        ("G mixolydian", "1-2-3", 8, "down", "G F# E", "G major",
         "that is G major; Mixolydian has the flat seventh, F natural"),
        ("D dorian", "1-2-3", 8, "down", "D C Bb", "D natural_minor",
         "that is D minor; Dorian has the raised sixth, B natural"),
        ("A natural_minor", "1-2-3-1", 4, "up", "D E F# D", "A dorian",
         "that is A Dorian; natural minor keeps the sixth, F natural"),
        ("E phrygian", "1-2-3-1", 1, "up", "E F# G E", "E natural_minor",
         "that is E minor; Phrygian has the flat second, F natural"),
        ("F lydian", "1-2-3-1", 3, "up", "A Bb C A", "F major",
         "that is F major; Lydian has the raised fourth, B natural"),
        ("D natural_minor", "1-2-3", 6, "up", "Bb C# D", "D harmonic_minor",
         "that is D harmonic minor; natural minor keeps the seventh, C natural"),
        ("A harmonic_minor", "1-2-3", 6, "up", "F# G# A", "A melodic_minor_classical",
         "that is A melodic minor; harmonic minor keeps the sixth, F natural"),
        ("A melodic_minor_jazz", "1-2-3", 6, "up", "F G# A", "A harmonic_minor",
         "F natural: A jazz melodic minor raises the sixth, F sharp (that is A harmonic minor)"),
    ],
)  # fmt: skip
def test_outside_major_the_mode_that_was_played_is_named(
    ask: Ask, marker: Teacher, key: str, cell: str, degree: int, way: str, typed: str,
    played: str, say: str,
) -> None:  # fmt: skip
    verdict = marker.mark(ask(key, cell, degree, way), typed)
    assert verdict.say == say
    if verdict.slip is Slip.MIXTURE:
        assert verdict.hypotheses[0].instead == parse_key(played)
    else:
        assert verdict.slip is Slip.ALTERATION
        assert Slip.MIXTURE in verdict.slips


@pytest.mark.parametrize(
    ("key", "degree", "typed", "say"),
    [
        ("A dorian", 6, "F G A F", "that is A minor; Dorian has the raised sixth, F sharp"),
        ("C lydian", 4, "F G A F", "that is C major; Lydian has the raised fourth, F sharp"),
        ("G natural_minor", 7, "F# G A F#",
         "that is G harmonic minor; natural minor keeps the seventh, F natural"),
        ("F natural_minor", 7, "E F G E",
         "that is F harmonic minor; natural minor keeps the seventh, E flat"),
        ("F natural_minor", 6, "D Eb F D",
         "D natural: the signature of F minor has D flat (that is F Dorian)"),
        ("F lydian", 2, "G A Bb G", "that is F major; Lydian has the raised fourth, B natural"),
    ],
)  # fmt: skip
def test_a_mode_is_named_where_an_accidental_of_its_signature_is_missing(
    ask: Ask, marker: Teacher, key: str, degree: int, typed: str, say: str
) -> None:
    assert marker.mark(ask(key, "1-2-3-1", degree), typed).say == say


def test_in_major_the_neighbour_speaks_and_the_mode_stands_in_brackets(
    ask: Ask, marker: Teacher
) -> None:
    verdict = marker.mark(ask("C", "1-2-3-1", 3), "E F# G E")
    assert verdict.say == "that is the signature of G major, not of C major (that is C Lydian)"
    assert verdict.hypotheses[0].instead == parse_key("G")


# Signs, and what the prompt before left behind.


@pytest.mark.parametrize(
    ("key", "cell", "degree", "horn", "typed", "say"),
    [
        ("D", "1-2-3-1", 3, None, "Fb G A Fb", "sharps, not flats: F# G A F#"),
        ("F#", "1-2-3-1", 3, None, "Ab B Cb Ab", "sharps, not flats: A# B C# A#"),
        ("F#", "1-3", 5, "tenor_sax", "Cb Eb", "sharps, not flats: C# E#"),
        ("Ab", "1-2-3-1", 1, None, "A# B# C A#", "flats, not sharps: Ab Bb C Ab"),
    ],
)
def test_sharps_for_flats(
    ask: Ask, marker: Teacher, key: str, cell: str, degree: int, horn: str | None, typed: str,
    say: str,
) -> None:  # fmt: skip
    verdict = marker.mark(ask(key, cell, degree, horn=horn), typed)
    assert (verdict.slip, verdict.say) == (Slip.SIGNS, say)


def test_concert_pitch_asks_for_the_concert_keys_letters(ask: Ask, marker: Teacher) -> None:
    # Written D sounds concert C on a B flat horn: the notes of the cell on 1, C D E C.
    question = ask("D", "1-2-3-1", 1, horn="tenor_sax")
    assert marker.mark(question, "C D E C").slip is Slip.CONCERT
    assert Slip.CONCERT not in marker.mark(question, "B# C## D## B#").slips
    # Written A flat sounds concert C flat on alto, which is mostly called B: both are in use.
    question = ask("Ab", "1-2-3-1", 1, horn="alto_sax")
    for typed in ("B C# D# B", "Cb Db Eb Cb"):
        assert marker.mark(question, typed).slip is Slip.CONCERT


@pytest.mark.parametrize(
    ("key", "degree", "before", "typed", "say", "instead"),
    [
        ("A", 1, "F", "A Bb C# A",
         "B flat belongs to F major, the key before: here it is B natural", "F"),
        ("G", 3, "Ab", "B C Db B",
         "D flat belongs to Ab major, the key before: here it is D natural", "Ab"),
        ("Eb", 4, "E", "Ab Bb C# Ab",
         "C sharp belongs to E major, the key before: here it is C natural", "E"),
        ("Db", 1, "E", "D# Eb F D#",
         "D sharp belongs to E major, the key before: here it is D flat", "E"),
    ],
)  # fmt: skip
def test_an_accidental_of_the_key_before(
    ask: Ask, marker: Teacher, key: str, degree: int, before: str, typed: str, say: str,
    instead: str,
) -> None:  # fmt: skip
    last = ask(before, "1-2-3-1", 2).asked
    verdict = marker.mark(replace(ask(key, "1-2-3-1", degree), before=last), typed)
    assert (verdict.slip, verdict.say) == (Slip.KEY_BEFORE, say)
    assert verdict.hypotheses[0].instead == parse_key(instead)


@pytest.mark.parametrize(
    ("key", "cell", "degree", "way", "typed", "say"),
    [
        ("D", "1-2-3-1", 6, "up", "Ab Bb C Ab",
         "that was the last one, 1-2-3-1 on 1 of Ab major; now it is 1-2-3-1 on 6 of D major"),
        ("D", "1-3-5-3", 6, "up", "Ab Bb C Ab",
         "that was the last one, 1-2-3-1 on 1 of Ab major; now it is 1-3-5-3 on 6 of D major"),
        ("Ab", "1-2-3-1", 8, "down", "Ab Bb C Ab",
         ("that was the last one, 1-2-3-1 up on 1 of Ab major; "
          "now it is 1-2-3-1 down on 8 of Ab major")),
    ],
)  # fmt: skip
def test_the_cell_of_the_prompt_before(
    ask: Ask, marker: Teacher, key: str, cell: str, degree: int, way: str, typed: str, say: str
) -> None:
    last = ask("Ab", "1-2-3-1", 1).asked
    verdict = marker.mark(replace(ask(key, cell, degree, way), before=last), typed)
    assert (verdict.slip, verdict.say) == (Slip.BEFORE, say)


# Signatures belong to major and minor keys.


@pytest.mark.parametrize(
    ("key", "cell", "degree", "typed", "say"),
    [
        ("F# harmonic_minor", "1-2-3-1", 1, "F G# A F",
         "F natural: the signature of F# minor has F sharp"),
        ("C harmonic_minor", "1-2-3-1", 1, "C D E C",
         "E natural: the signature of C minor has E flat"),
        ("Eb harmonic_minor", "1-2-3-4", 2, "F G A B",
         "none of the six flats of Eb minor: F Gb Ab Bb"),
        ("E", "1-2-3-4-5", 2, "F G A B C", "none of the four sharps of E major: F# G# A B C#"),
        ("F melodic_minor_jazz", "1-2-3", 5, "C D Eb",
         "E flat: F jazz melodic minor raises the seventh, E natural"),
        ("G dorian", "1-2-3-1", 3, "B C D B",
         "B natural: G Dorian has B flat (that is the signature of C major)"),
    ],
)  # fmt: skip
def test_whose_signature_it_is(
    ask: Ask, marker: Teacher, key: str, cell: str, degree: int, typed: str, say: str
) -> None:
    assert marker.mark(ask(key, cell, degree), typed).say == say


# Chords on moving roots.


def chord(engine: Engine, marker: Teacher, kind: str, root: str, typed: str) -> Answered:
    """An answer to a chord of the circle of fourths."""
    pattern = replace(find_pattern(f"chord-{kind}"), roots=ROOT_ORDERS["fourths"])
    run = build_run(engine, Key(parse_key("C").tonic, "major"), pattern, Direction.UP)
    index = next(i for i, cell in enumerate(run.cells) if cell.label == root)
    return marker.mark(Question(run, index, None), typed)


@pytest.mark.parametrize(
    ("kind", "root", "typed", "slip", "say"),
    [
        ("7", "A", "C E G B", Slip.QUALITY,
         "that is Cmaj7; you were asked for A7"),
        ("7", "A", "A C# E G#", Slip.QUALITY,
         "that is Amaj7; you were asked for A7"),
        ("7", "A", "A C E G", Slip.ALTERATION,
         "C natural: A7 has C sharp (that is Am7)"),
        ("7", "A", "C# E G A", Slip.INVERSION,
         "that is the first inversion; you were asked for root position, A C# E G"),
        ("7", "A", "G A C# E", Slip.INVERSION,
         "that is the third inversion; you were asked for root position, A C# E G"),
        ("7/1", "A", "A C# E G", Slip.INVERSION,
         "that is root position; you were asked for the first inversion, C# E G A"),
        ("7/1", "A", "C# E G# A", Slip.QUALITY,
         "that is Amaj7, the first inversion; you were asked for A7, the first inversion"),
        ("7", "A", "B D# F# A", Slip.DEGREE,
         "that is B7; you were asked for A7"),
        ("7", "A", "A E C# G", Slip.SWAPPED, "two notes swapped: C sharp comes before E"),
    ],
)  # fmt: skip
def test_chords_are_told_by_root_quality_and_inversion(
    engine: Engine, marker: Teacher, kind: str, root: str, typed: str, slip: Slip, say: str
) -> None:
    verdict = chord(engine, marker, kind, root, typed)
    assert (verdict.slip, verdict.say) == (slip, say)


def test_a_triad_of_the_key_in_another_inversion(ask: Ask, marker: Teacher) -> None:
    verdict = marker.mark(ask("C", "1-3-5", 1), "E G C")
    assert verdict.slip is Slip.INVERSION
    assert verdict.say == "that is the first inversion; you were asked for root position, C E G"


# Other languages.


def test_in_movable_do_one_syllable_is_taken_for_another(ask: Ask) -> None:
    movable = Teacher(marker_of(Engine(), Language.MOVABLE))
    verdict = movable.mark(ask("Eb", "1-2-3-1", 3), "mi fi sol mi")
    assert (verdict.slip, verdict.say) == (
        Slip.SIGNATURE,
        "fa, not fi (that is the signature of Bb major)",
    )


def test_french_and_italian_say_a_natural(ask: Ask) -> None:
    french = Teacher(marker_of(Engine(), Language.FRENCH))
    verdict = french.mark(ask("G", "1-2-3-1", 5), "ré mi fa ré")
    assert verdict.say.startswith("fa bécarre: the signature of sol has fa dièse")
    italian = Teacher(marker_of(Engine(), Language.ITALIAN))
    assert italian.mark(ask("G", "1-2-3-1", 5), "re mi fa re").say.startswith("fa bequadro:")


def test_german_names_run_together_are_told_in_german(ask: Ask) -> None:
    german = Teacher(marker_of(Engine(), Language.GERMAN))
    verdict = german.mark(ask("Bb", "1-2-3-1", 6), "G As Bb G")
    assert verdict.say == "Bb is English, and B here; for B B put spaces between"


@pytest.mark.parametrize(
    ("at", "typed", "say"),
    [
        (0, "G B D F", "that is G7; you were asked for Dm7"),
        (0, "D F# A C", "that is D7; you were asked for Dm7"),
        (0, "C E G B", "that is Cmaj7; you were asked for Dm7"),
        (1, "B D F G", "that is the first inversion; you were asked for root position, G B D F"),
        (1, "G B D F#", "that is Gmaj7; you were asked for G7"),
        (1, "Ab C Eb Gb", "that is Ab7; you were asked for G7"),
    ],
)
def test_chords_asked_by_symbol_are_told_by_symbol(
    engine: Engine, marker: Teacher, at: int, typed: str, say: str
) -> None:
    pattern = read_progression("Dm7 G7 Cmaj7").pattern
    run = build_run(engine, parse_key("C"), pattern, Direction.UP)
    assert [cell.symbol for cell in run.cells] == ["Dm7", "G7", "Cmaj7"]
    assert marker.mark(Question(run, at, None), typed).say == say
