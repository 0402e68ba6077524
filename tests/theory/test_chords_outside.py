"""All 735 chords (35 types on 21 roots) against a published table and four other libraries.

``JUDGED`` is the table of every disagreement, each with its judgement and source.
"""

from __future__ import annotations

import pytest
from theory_tables import WITNESSES, table

from drill.errors import TheoryError
from drill.terms import LETTERS, Direction, Key, Mode, Name, Note
from drill.theory.cells import parse_cell
from drill.theory.chords import CHORDS, chord_pattern, inverted
from drill.theory.patterns import find_pattern
from drill.theory.roots import root_cell
from drill.theory.runs import build_run
from drill.theory.spelling import degree_name

ROOTS = [f"{letter}{sign}" for letter in LETTERS for sign in ("b", "", "#")]

MINGUS = {
    "maj": "M", "min": "m", "dim": "dim", "aug": "+", "sus2": "sus2", "sus4": "sus4", "6": "6",
    "m6": "m6", "maj7": "M7", "7": "7", "m7": "m7", "m7b5": "m7b5", "dim7": "dim7", "mM7": "mM7",
    "maj7#5": "M7+", "7#5": "7#5", "7b5": "7b5", "7sus4": "sus47", "9": "9", "maj9": "M9",
    "m9": "m9", "7b9": "7b9", "7#9": "7#9", "69": "69", "11": "11", "m11": "m11", "13": "13",
    "maj13": "M13", "m13": "m13",
}  # fmt: skip
PYCHORD = {
    "maj": "", "min": "m", "dim": "dim", "aug": "aug", "sus2": "sus2", "sus4": "sus4", "6": "6",
    "m6": "m6", "maj7": "maj7", "7": "7", "m7": "m7", "m7b5": "m7b5", "dim7": "dim7",
    "mM7": "mM7", "maj7#5": "maj7+5", "7#5": "7#5", "7b5": "7b5", "7sus4": "7sus4", "9": "9",
    "maj9": "maj9", "m9": "m9", "7b9": "7b9", "7#9": "7#9", "69": "69", "add9": "add9",
    "11": "11", "m11": "m11", "maj7#11": "maj7#11", "9#11": "9#11", "13": "13",
    "maj13": "maj13", "7b13": "7b13",
}  # fmt: skip
MUSTHE = {
    "maj": "maj", "min": "min", "aug": "aug", "dim": "dim", "7": "dom7", "m7": "min7",
    "maj7": "maj7", "7#5": "aug7", "dim7": "dim7", "m7b5": "m7dim5", "sus2": "sus2",
    "sus4": "sus4",
}  # fmt: skip
"""How each library writes the chords that it knows."""

JUDGED = {
    ("mingus", "11"): (
        "leaves out the third and the ninth",
        "1 5 b7 11",
        "a voicing; an arpeggio names every chord tone (pychord agrees with us)",
    ),
    ("mingus", "m11"): (
        "leaves out the ninth",
        "1 b3 5 b7 11",
        "a voicing, as above",
    ),
    ("mingus", "13"): ("leaves out the eleventh", "1 3 5 b7 9 13", "a voicing, as above"),
    ("mingus", "maj13"): ("leaves out the eleventh", "1 3 5 7 9 13", "a voicing, as above"),
    ("mingus", "m13"): ("leaves out the eleventh", "1 b3 5 b7 9 13", "a voicing, as above"),
    ("musthe", "sus2"): (
        "lists the second last, an octave above, and adds the octave",
        "1 5 1 2",
        "the same notes in another order",
    ),
    ("musthe", "sus4"): (
        "lists the fourth last, an octave above, and adds the octave",
        "1 5 1 4",
        "the same notes in another order",
    ),
}
"""(library, chord) -> what differs, its degrees, our judgement and its source."""


def spelled(root: str, chord: str) -> list[str]:
    return [str(degree_name(_name(root), token)) for token in CHORDS[chord].formula]


def _name(text: str) -> Name:
    return Name(text[0], text.count("#") - text.count("b"))


def test_there_are_735() -> None:
    assert len(ROOTS) * len(CHORDS) == 735


def test_the_published_spellings() -> None:
    rows = table("chord_spellings")
    assert len(rows) == 184
    assert {row["chord"] for row in rows} == set(CHORDS)
    for row in rows:
        kind = CHORDS[row["chord"]]
        assert (kind.name, " ".join(kind.formula)) == (row["name"], row["formula"])
        assert "; ".join(kind.symbols) == row["symbols"]
        assert " ".join(spelled(row["root"], kind.id)) == row["notes"]


@pytest.mark.parametrize("witness", WITNESSES)
def test_all_735_by_the_interval_arithmetic_of_three_libraries(witness: str) -> None:
    by = WITNESSES[witness]
    formulas = {row["chord"]: row["formula"].split() for row in table("chord_spellings")}
    wrong = [
        (root, chord)
        for root in ROOTS
        for chord in CHORDS
        if [by(root, token) for token in formulas[chord]] != spelled(root, chord)
    ]
    assert wrong == []


def _theirs(library: str, root: str, chord: str) -> list[str]:
    if library == "mingus":
        from mingus.core import chords

        return list(chords.from_shorthand(root + MINGUS[chord]))
    if library == "pychord":
        from pychord import Chord

        return list(Chord(root + PYCHORD[chord]).components(True))
    from musthe import Chord as Other
    from musthe import Note as OtherNote

    return [str(note) for note in Other(OtherNote(root), MUSTHE[chord]).notes]


@pytest.mark.parametrize(
    ("library", "known"), [("mingus", MINGUS), ("pychord", PYCHORD), ("musthe", MUSTHE)]
)
def test_the_chords_that_other_libraries_know_by_name(library: str, known: dict[str, str]) -> None:
    """They agree on all 21 roots, but for the judged, which differ as the table says."""
    differs = set()
    for chord in known:
        for root in ROOTS:
            theirs = _theirs(library, root, chord)
            if theirs != spelled(root, chord):
                differs.add((library, chord))
                degrees = JUDGED[library, chord][1].split()
                assert theirs == [WITNESSES["abjad"](root, token) for token in degrees]
    assert differs == {judged for judged in JUDGED if judged[0] == library}


def test_each_chord_is_known_to_two_libraries_at_least_or_named_here() -> None:
    alone = [
        chord for chord in CHORDS if sum(chord in known for known in (MINGUS, PYCHORD, MUSTHE)) < 2
    ]
    # Known to pychord only, but for the thirteenths without or with a raised eleventh, which
    # none lists as such, and m13, which only mingus has.
    assert alone == ["add9", "maj7#11", "9#11", "13no11", "maj13#11", "m13", "7b13"]


def test_a_chord_rises_from_its_root_and_sounds_its_formula() -> None:
    semitones = {"1": 0, "2": 2, "b3": 3, "3": 4, "4": 5, "b5": 6, "5": 7, "#5": 8, "6": 9,
                 "bb7": 9, "b7": 10, "7": 11, "b9": 13, "9": 14, "#9": 15, "11": 17, "#11": 18,
                 "b13": 20, "13": 21}  # fmt: skip
    for root in ROOTS:
        low = Note(root[0], _name(root).alter, 4)
        for chord in CHORDS.values():
            notes = root_cell(low, parse_cell("-".join(chord.formula), Mode.ROOT))
            assert [note.midi - low.midi for note in notes] == [
                semitones[token] for token in chord.formula
            ]


@pytest.mark.parametrize(
    ("chord", "notes"),
    [
        ("chord-m7b5", "C4 Eb4 Gb4 Bb4"),
        ("chord-m7b5/1", "Eb4 Gb4 Bb4 C5"),
        ("chord-m7b5/2", "Gb4 Bb4 C5 Eb5"),
        ("chord-m7b5/3", "Bb4 C5 Eb5 Gb5"),
        ("chord-maj", "C4 E4 G4"),
        ("chord-maj/2", "G4 C5 E5"),
        ("chord-dim7", "C4 Eb4 Gb4 Bbb4"),
        ("chord-9", "C4 E4 G4 Bb4 D5"),
    ],
)
def test_arpeggios_and_inversions(chord: str, notes: str) -> None:
    """Rising, the inverted notes an octave up (common practice); down it is read backwards."""
    pattern = find_pattern(chord)
    up = build_run(Key(Name("C"), "major"), pattern, Direction.UP)
    down = build_run(Key(Name("C"), "major"), pattern, Direction.DOWN)
    assert " ".join(map(str, up.cells[0].notes)) == notes
    assert down.cells[0].notes == up.cells[0].notes[::-1]


def test_every_inversion_of_every_chord_has_the_same_notes_and_rises() -> None:
    root = Note("E", -1, 3)
    for kind in CHORDS.values():
        shape = parse_cell("-".join(kind.formula), Mode.ROOT)
        names = sorted(str(note.name) for note in root_cell(root, shape))
        for inversion in range(len(shape)):
            notes = root_cell(root, inverted(shape, inversion))
            assert sorted(str(note.name) for note in notes) == names
            assert [note.midi for note in notes] == sorted(note.midi for note in notes)
        with pytest.raises(TheoryError, match="no inversion"):
            inverted(shape, len(shape))


def test_what_is_no_chord_or_inversion_is_refused() -> None:
    with pytest.raises(TheoryError, match="no chord"):
        chord_pattern("chord-xyz")
    with pytest.raises(TheoryError, match="not an inversion"):
        chord_pattern("chord-maj/x")
    with pytest.raises(TheoryError, match="no inversion 3"):
        chord_pattern("chord-maj/3")
