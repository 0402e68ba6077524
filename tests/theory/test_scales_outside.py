"""Every scale on each of its tonics against published tables and four other libraries.

``JUDGED`` is the table of every disagreement, each with its judgement and source.
"""

from __future__ import annotations

import itertools
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from theory_tables import QUALITIES, WITNESSES, by_mingus, called, simple, table

from drill.errors import TheoryError
from drill.terms import Direction, Key, Name
from drill.theory.scales import (
    SCALES,
    fifths_of,
    find_scale,
    key_label,
    name_of_fifths,
    parse_key,
    scale_of,
    signature,
    signature_names,
    tonics,
)
from drill.theory.spelling import parse_name

ALL = [(scale, tonic) for scale in SCALES for tonic in tonics(scale)]

MINGUS, MUSTHE, MUSIC21 = (called("scale", each) for each in ("mingus", "musthe", "music21"))
"""The scales that each library knows by name; music21's scale classes are not what we use."""

JUDGED = {
    ("mingus", "whole_tone"): (
        "names the last note #6, on all 15 tonics",
        15,
        (
            "both are printed, and ours lists #6 among the other spellings; b7 avoids double "
            "sharps and suits the dominant chord under it (common practice); the sound decides"
        ),
    ),
    ("mingus", "chromatic_melodic"): (
        "coming down in 7 flat keys, writes naturals for Cb, Fb and double flats",
        7,
        (
            "ours lowers every degree coming down, as the solfège ti te la le sol se fa mi me re "
            "ra does (Open Music Theory); both are printed and the sound decides"
        ),
    ),
}
"""(library, scale) -> what differs, on how many of 15 tonics, our judgement and its source.

Sources that disagree on a name rather than on notes, with what the ids mean:

* melodic minor: musthe and jazz practice call the one-way form so, exam boards and
  mingus the two-way form; the ids say ``classical`` or ``jazz`` (music21 issue 955).
* blues: music21 spells the blue fifth #4, jazz books b5 (from memory); the sound decides.
* bebop minor: Dorian with an added 3 or with an added 7, both printed; the ids say which.
* bebop melodic minor: #5 or b6 (both printed); #5 is ours, b6 is listed as another spelling.
* diminished: whole-half; the dominant's half-whole has an id of its own.
"""


def spelled(scale: str, tonic: Name, direction: Direction) -> list[str]:
    return [str(name) for name in scale_of(Key(tonic, scale)).names(direction)]


def test_there_are_600() -> None:
    assert len(ALL) == len(set(ALL)) == 15 * len(SCALES)


def test_formulas_and_their_steps_are_those_of_the_table() -> None:
    rows = table("scales")
    assert [row["id"] for row in rows] == list(SCALES)
    for row in rows:
        kind = SCALES[row["id"]]
        assert " ".join(kind.up) == row["formula_up"]
        assert " ".join(kind.down) == (row["formula_down_if_different"] or row["formula_up"])
        other = [form for form in row["alternative_spellings"].split("; ") if form]
        assert [" ".join(form) for form in kind.also] == other
        assert len(kind.up) == int(row["n_notes"])
        assert kind.name == row["name"]
        up = scale_of(Key(Name("C"), kind.id)).up
        classes = [name.pitch_class for name in up]
        steps = [(after - before) % 12 for before, after in itertools.pairwise(classes)]
        steps.append(12 - sum(steps))
        assert "-".join(map(str, steps)) == row["semitone_steps"]


def test_the_published_spellings() -> None:
    rows = table("scale_spellings")
    assert len(rows) == 200
    for row in rows:
        tonic = parse_name(row["tonic"])
        assert tonic in tonics(row["scale"])
        assert " ".join(spelled(row["scale"], tonic, Direction.UP)) == row["up"]
        down = spelled(row["scale"], tonic, Direction.DOWN)[::-1]
        # The table ends the falling scale on the tonic, as this reversal does.
        assert " ".join(down) == row["down"]


@pytest.mark.parametrize("witness", WITNESSES)
def test_all_600_by_the_interval_arithmetic_of_three_libraries(witness: str) -> None:
    """Every degree of the published formulas, both ways, no disagreement."""
    by = WITNESSES[witness]
    formulas = {
        row["id"]: (row["formula_up"], row["formula_down_if_different"] or row["formula_up"])
        for row in table("scales")
    }
    wrong = []
    for scale, tonic in ALL:
        for formula, direction in zip(formulas[scale], Direction, strict=True):
            theirs = [by(str(tonic), token) for token in formula.split()]
            if theirs != spelled(scale, tonic, direction):
                wrong.append((scale, tonic, direction))
    assert wrong == []


def _of_mingus(scale: str, tonic: Name) -> tuple[list[str], list[str]] | None:
    """A scale that mingus knows, up and down, both from the tonic up; None for a key it lacks."""
    from mingus.core import scales
    from mingus.core.mt_exceptions import NoteFormatError

    try:
        made = getattr(scales, MINGUS[scale])(str(tonic))
        return made.ascending()[:-1], made.descending()[1:][::-1]
    except NoteFormatError:
        return None  # it knows the tonics of the 15 signatures only


def test_the_scales_that_mingus_knows() -> None:
    """They agree both ways, but for the judged, which differ as the table says."""
    differs: Counter[tuple[str, str]] = Counter()
    known: Counter[str] = Counter()
    for scale, tonic in ALL:
        theirs = _of_mingus(scale, tonic) if scale in MINGUS else None
        if theirs is None:
            continue
        known[scale] += 1
        ours = tuple(spelled(scale, tonic, direction) for direction in Direction)
        if theirs != ours:
            differs["mingus", scale] += 1
    assert differs == {judged: count for judged, (_, count, _) in JUDGED.items()}
    assert known == dict.fromkeys(MINGUS, 15)


def test_every_judged_disagreement_sounds_alike() -> None:
    for library, scale in JUDGED:
        assert library == "mingus"
        assert SCALES[scale].by_sound
        for tonic in tonics(scale):
            theirs = _of_mingus(scale, tonic)
            assert theirs is not None
            made = scale_of(Key(tonic, scale))
            for names, own in zip(theirs, (made.up, made.down), strict=True):
                assert [_sound(name) for name in names] == [name.pitch_class for name in own]


def _sound(text: str) -> int:
    return Name(text[0], text.count("#") - text.count("b")).pitch_class


def test_the_scales_that_musthe_knows() -> None:
    from musthe import Note, Scale

    for scale, tonic in ALL:
        if scale in MUSTHE:
            theirs = [str(note) for note in Scale(Note(str(tonic)), MUSTHE[scale]).notes]
            assert theirs == spelled(scale, tonic, Direction.UP), (scale, tonic)


def test_the_scale_classes_of_music21() -> None:
    """They are not what the engine uses: it moves names by intervals of its own formulas."""
    from music21 import scale as scales

    for scale, tonic in ALL:
        if scale in MUSIC21:
            made = getattr(scales, MUSIC21[scale])(str(tonic).replace("b", "-"))
            rising = made.getPitches(direction=scales.Direction.ASCENDING)
            theirs = [str(pitch.name).replace("-", "b") for pitch in rising[:-1]]
            assert theirs == spelled(scale, tonic, Direction.UP), (scale, tonic)


def test_scales_of_one_spelling_have_one_letter_a_degree() -> None:
    """Notes of a scale carry different letters (Open Music Theory): all seven-note scales."""
    for scale, tonic in ALL:
        made = scale_of(Key(tonic, scale))
        if len(made.up) == 7:
            assert len({name.letter for name in made.up}) == 7
        if len(made.up) <= 7 and not SCALES[scale].by_sound:
            assert len({name.letter for name in made.up}) == len(made.up)


def test_the_seventh_of_g_sharp_minor_is_f_double_sharp() -> None:
    assert str(scale_of(parse_key("G# harmonic minor")).up[6]) == "F##"


def test_the_other_spellings_of_a_scale_sound_alike() -> None:
    for kind in SCALES.values():
        first = [QUALITIES[simple(token)] for token in kind.up]
        for other in kind.also:
            assert len(other) in (len(first), 7)  # the seventh mode spelled with both thirds
            names = {by_mingus("C", token) for token in other}
            assert {parse_name(name).pitch_class for name in names} == {
                name.pitch_class for name in scale_of(Key(Name("C"), kind.id)).up
            } or set(kind.down) == set(other)


def test_a_spelling_beyond_double_accidentals_is_refused() -> None:
    with pytest.raises(TheoryError, match="triple accidental"):
        scale_of(parse_key("B## major"))


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("G", "G major"), ("Bb", "Bb major"), ("Ebm", "Eb natural_minor"),
        ("F# dorian", "F# dorian"), ("e harmonic minor", "E harmonic_minor"),
        ("C diminished", "C octatonic_whole_half"), ("A jazz-minor", "A melodic_minor_jazz"),
        ("A jazz minor", "A melodic_minor_jazz"), ("B♭ mixolydian", "Bb mixolydian"),
        ("D minor", "D natural_minor"), ("E blues", "E blues_minor"),
    ],
)  # fmt: skip
def test_keys_as_players_type_them(typed: str, found: str) -> None:
    assert str(parse_key(typed)) == found


def test_a_mistyped_scale_is_answered_with_the_nearest() -> None:
    with pytest.raises(TheoryError, match="did you mean dorian"):
        find_scale("dorain")


def test_every_scale_is_found_by_all_its_names() -> None:
    for kind in SCALES.values():
        for word in (kind.id, kind.id.upper(), kind.name, kind.label, kind.id.replace("_", " ")):
            assert find_scale(word).up == kind.up, word
        for alias in kind.aliases:
            assert find_scale(alias).up == kind.up, alias


def test_labels() -> None:
    assert key_label(parse_key("Eb harmonic minor")) == "Eb harmonic minor"
    assert len({key_label(Key(Name("C"), scale)) for scale in SCALES}) == len(SCALES)


@given(st.integers(-14, 14))
def test_tonic_and_fifths_are_each_others_inverse(fifths: int) -> None:
    assert fifths_of(name_of_fifths(fifths)) == fifths


def test_all_15_signatures_agree_with_two_libraries() -> None:
    """Major and minor signatures: music21's Key and mingus's table, accidentals in order."""
    from mingus.core import keys
    from music21 import key as theirs

    for scale in ("major", "natural_minor"):
        for tonic in tonics(scale):
            fifths = signature(Key(tonic, scale))
            text = str(tonic) if scale == "major" else str(tonic)[0].lower() + str(tonic)[1:]
            made = theirs.Key(text[0] + text[1:].replace("b", "-"))
            assert made.sharps == fifths
            ours = [str(name) for name in signature_names(fifths)]
            assert [pitch.name.replace("-", "b") for pitch in made.alteredPitches] == ours
            assert keys.get_key_signature(text) == fifths
            assert keys.get_key_signature_accidentals(text) == ours
    assert sorted(signature(Key(tonic, "major")) for tonic in tonics("major")) == [*range(-7, 8)]


@pytest.mark.parametrize("mode", ["dorian", "phrygian", "lydian", "mixolydian", "locrian"])
def test_the_signature_of_a_mode_holds_its_notes(mode: str) -> None:
    """A mode read in its own signature needs no accidental (common practice)."""
    for tonic in tonics(mode):
        key = Key(tonic, mode)
        altered = {name for name in scale_of(key).up if name.alter}
        assert altered == set(signature_names(signature(key)))


@pytest.mark.parametrize(
    ("formula", "scale_id", "fifths", "names"),
    [
        # Hungarian minor, double harmonic, a pentatonic with a flat second (common practice).
        ("1 2 b3 #4 5 b6 7", "1-2-b3-#4-5-b6-7", 0, "A B C D# E F G#"),
        ("1, b2, 3, 4, 5, b6, 7", "1-b2-3-4-5-b6-7", None, "A Bb C# D E F G#"),
        ("1-b2-4-5-b6", "1-b2-4-5-b6", None, "A Bb D E F"),
        ("1 2 b3 4 5 b6 b7", "natural_minor", 0, "A B C D E F G"),
    ],
)
def test_a_scale_by_its_formula(
    formula: str, scale_id: str, fifths: int | None, names: str
) -> None:
    kind = find_scale(formula)
    assert (kind.id, kind.id in SCALES) == (scale_id, True)
    key = Key(Name("A"), kind.id)
    assert " ".join(str(name) for name in scale_of(key).up) == names
    assert len(tonics(kind.id)) == 15
    if fifths is not None:
        assert signature(key) == fifths


@pytest.mark.parametrize("text", ["2 3 4 5", "1 3 2 5", "1 b2 #1 5", "1 5", "1 8 9", "1-x-2"])
def test_a_formula_that_is_no_scale(text: str) -> None:
    with pytest.raises(TheoryError):
        find_scale(text)
    assert text not in SCALES
