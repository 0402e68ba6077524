"""Chord symbols and functions beside three libraries, each difference judged.

``DIFFER`` is every reading that is not ours, with the judgement; a library that does not read a
spelling at all says nothing about it.  The spellings are those of published charts (common
practice).
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import replace
from itertools import product

import pytest

from drill.errors import TheoryError
from drill.terms import Name, Shape, shape_text
from drill.theory.chords import CHORDS
from drill.theory.functions import read_function
from drill.theory.spelling import degree_name, parse_name
from drill.theory.symbols import read_symbol, symbol_of, symbol_parts

SPELLINGS = [
    group.split()
    for group in """
    C CM Cmaj Cma | Cm C- Cmin Cmi Cminor | Cdim C° Co | C+ Caug | Csus2 | Csus4 Csus
    | C6 Cmaj6 | Cm6 C-6 Cmi6 | Cmaj7 CM7 CΔ CΔ7 C△7 Cma7 | C7 Cdom7 | Cm7 C-7 C−7 Cmi7 Cmin7
    | Cm7b5 Cø Cø7 C-7b5 Cmi7(b5) Cm7♭5 | Cdim7 C°7 Co7 | Cm(maj7) CmM7 Cmmaj7 CmΔ C-Δ7
    | Cmaj7#5 C+M7 CM7#5 | C7#5 C+7 Caug7 C7+5 | C7b5 C7-5 | C7sus4 C7sus | C9
    | Cmaj9 CM9 CΔ9 | Cm9 C-9 | C7b9 C7-9 C7(b9) | C7#9 C7+9 | C69 C6/9 | Cadd9 | C11 | Cm11
    | Cmaj7#11 CΔ#11 | C9#11 | C13 | C13(no11) C13no11 | Cmaj13 CM13 | Cmaj13#11 | Cm13 | C7b13
    | C7b9b13 C7(b9,b13) | C7#5#9 | C7#11 | C9sus4 | C13b9 | C13#11 | C5 | Cm69 | Cmadd9
    """.split("|")
]
"""Each group is one chord in the ways it is written, ours first."""

DIFFER = {
    ("music21", "C-"): "takes the hyphen for its own flat: a C flat chord; charts mean minor",
    ("music21", "C-6"): "the same",
    ("music21", "C-7"): "the same",
    ("music21", "C-7b5"): "the same",
    ("music21", "C-9"): "the same",
    ("music21", "C69"): "drops the third and fifth",
    ("music21", "C13#11"): "passes over the alteration",
    ("music21", "C13b9"): "passes over the alteration",
    ("pychord", "C6/9"): "takes the 9 for a bass",
    ("pychord", "C7b9b13"): "adds an eleventh that nobody wrote",
    ("mingus", "C11"): "a voicing without third and ninth; an arpeggio names every chord tone",
    ("mingus", "C13"): "a voicing without the eleventh, here C13(no11)",
    ("mingus", "Cm11"): "a voicing without the ninth",
    ("mingus", "Cm13"): "a voicing without the eleventh",
    ("mingus", "Cmaj13"): "a voicing without the eleventh",
    ("mingus", "CM13"): "the same",
    ("music21", "C7b9b13"): "adds an eleventh that nobody wrote",
}


def by_music21(symbol: str) -> set[str]:
    from music21 import harmony

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = harmony.ChordSymbol(symbol).pitches
    return {str(pitch.name).replace("-", "b") for pitch in found}


def by_pychord(symbol: str) -> set[str]:
    from pychord import Chord

    return set(Chord(symbol).components(visible=True))


def by_mingus(symbol: str) -> set[str]:
    from mingus.core import chords

    return set(chords.from_shorthand(symbol))


LIBRARIES: dict[str, Callable[[str], set[str]]] = {
    "music21": by_music21,
    "pychord": by_pychord,
    "mingus": by_mingus,
}


def names(root: Name, shape: Shape) -> set[str]:
    return {str(degree_name(root, f"{item.modifier}{item.degree}")) for item in shape}


def ours(symbol: str) -> set[str]:
    read = read_symbol(symbol)
    return names(read.root, read.shape)


def theirs(library: str, symbol: str) -> set[str] | None:
    """What a library reads; None where it reads nothing."""
    try:
        return LIBRARIES[library](symbol)
    except Exception:  # each has errors of its own, ValueError to IndexError
        return None


@pytest.mark.parametrize("library", LIBRARIES)
def test_every_difference_is_judged(library: str) -> None:
    read, differ = 0, set()
    for symbol in {each for group in SPELLINGS for each in group}:
        found = theirs(library, symbol)
        read += found is not None
        if found is not None and found != ours(symbol):
            differ.add(symbol)
    assert read > 30
    assert differ <= {symbol for each, symbol in DIFFER if each == library}


def test_each_chord_has_a_witness_or_is_named_here() -> None:
    """Read alike by one library at least in one of its spellings."""
    alone = [
        group[0]
        for group in SPELLINGS
        if not any(theirs(lib, each) == ours(each) for lib in LIBRARIES for each in group)
    ]
    # Thirteenths that no library has; C6/9 with its minor third.
    assert set(alone) <= {"C13(no11)", "Cmaj13#11", "C7b9b13", "Cm69"}


@pytest.mark.parametrize("root", ["C", "Bb", "F#", "Eb", "Ab", "C#", "B", "Gb"])
def test_the_chords_two_libraries_know_on_other_roots(root: str) -> None:
    """``Bb7`` is a B flat seventh, not a B chord with a flat seventh (as music21 has it)."""
    for library in ("pychord", "mingus"):
        for chord in ("", "m", "7", "maj7", "m7", "m7b5", "dim7", "6", "9", "m9", "7b9", "7#9"):
            assert theirs(library, root + chord) == ours(root + chord), (library, root + chord)


@pytest.mark.parametrize("group", SPELLINGS, ids=lambda group: group[0])
def test_all_ways_of_writing_a_chord_are_one(group: list[str]) -> None:
    first = read_symbol(group[0])
    for other in group[1:]:
        read = read_symbol(other)
        assert (read.root, read.shape) == (first.root, first.shape), other
    assert shape_text(read_symbol(str(first)).shape) == shape_text(first.shape)


@pytest.mark.parametrize("minor", ["", "m", "-"])
@pytest.mark.parametrize("kind", ["", "maj", "M", "Δ", "dim", "°", "ø", "aug", "+", "dom"])
def test_what_is_printed_is_read_as_the_same_chord(minor: str, kind: str) -> None:
    """Also of chords that the table lacks: CΔ9#11 is printed as Cmaj9#11."""
    changes = ("", "b5", "#5", "b9", "#9#11", "b13", "(b9,b13)", "sus", "add9", "no5", "(maj7)")
    read = 0
    for size, change in product(("", "6", "7", "9", "11", "13", "69"), changes):
        try:
            symbol = read_symbol(f"Eb{minor}{kind}{size}{change}")
        except TheoryError:
            continue
        assert replace(read_symbol(str(symbol)), chord=symbol.chord) == symbol
        read += 1
    assert read or (minor and kind in ("dim", "°", "ø", "aug", "+", "dom"))


def test_the_triangle_is_printed_as_maj() -> None:
    for typed, printed in (("CΔ9#11", "Cmaj9#11"), ("CΔ7b9", "Cmaj7b9"), ("CmΔ9", "Cmmaj9")):
        assert str(read_symbol(typed)) == printed
        assert read_symbol(printed).shape == read_symbol(typed).shape


def test_the_chords_of_the_table_are_read_and_printed() -> None:
    for kind in CHORDS.values():
        for symbol in kind.symbols:
            assert shape_text(read_symbol(symbol).shape) == "-".join(kind.formula), symbol
        printed = symbol_of(parse_name("Ab"), read_symbol(kind.symbols[0]).shape)
        root, _, bass = symbol_parts(printed)
        assert (str(root), bass) == ("Ab", None)
        assert shape_text(read_symbol(printed).shape) == "-".join(kind.formula)


SLASHES = """
C/E 3-5-1' E | Cm7/G 5-b7-1'-b3' G | Dm7/C b7-1'-b3'-5' C | F#ø7/A b3-b5-b7-1' A
| Gm7/C 4.-1-b3-5-b7 C | D/C b7.-1-3-5 C | C/C 1-3-5 None
"""
"""A symbol, its notes from the bass up and the bass."""


@pytest.mark.parametrize(("symbol", "shape", "bass"), [row.split() for row in SLASHES.split("|")])
def test_slash_chords(symbol: str, shape: str, bass: str) -> None:
    """A chord tone in the bass is an inversion, another note stands under the whole chord."""
    read = read_symbol(symbol)
    assert (shape_text(read.shape), str(read.bass)) == (shape, bass)


@pytest.mark.parametrize(
    "text",
    ["", "H7", "c7", "Cfoo", "C7alt", "C8", "C//E", "C/H", "m7", "Cmaj7maj7", "Cdim5x", "C" * 40],
)
def test_what_is_no_symbol_is_one_message(text: str) -> None:
    with pytest.raises(TheoryError, match="not a chord symbol"):
        read_symbol(text)


# Functions, beside music21's Roman numerals.

FUNCTIONS = (
    "I ii iii IV V vi viio V7 ii7 iii7 vi7 viiø7 viio7 V7/V V7/ii V7/vi viio7/V iiø7 iv bVI bVII "
    "bIII bII V9 #ivo7 i V65 V43 V42 ii65 ii42 viiø65 V65/V N6 Ger65 Fr43 Cad64"
).split()

JAZZ = {
    "I7": ("1 3 5 b7", "C E G B", "the seventh of the key; in jazz and blues I7 is dominant"),
    "IV7": ("4 6 8 b10", "F A C E", "the same"),
    "bII7": ("b2 4 b6 7", "Db F Ab C", "the same: the tritone substitute is dominant"),
}
"""Where players and music21 part: what it reads in C, and why not we."""


def by_roman(text: str, minor: bool) -> tuple[str, set[str]]:
    from music21 import roman

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        numeral = roman.RomanNumeral(text, "c" if minor else "C")
        found = {str(pitch.name).replace("-", "b") for pitch in numeral.pitches}
        return str(numeral.root().name).replace("-", "b"), found


@pytest.mark.parametrize("text", FUNCTIONS)
def test_functions_are_music21_s(text: str) -> None:
    read = read_function(text)
    root = degree_name(Name("C"), read.root)
    assert (str(root), names(root, read.shape)) == by_roman(text, minor=False)


@pytest.mark.parametrize("text", ["i", "iv", "V7", "iiø7", "VI", "VII", "III", "viio7", "V43"])
def test_functions_in_minor_are_music21_s(text: str) -> None:
    read = read_function(text, minor=True)
    root = degree_name(Name("C"), read.root)
    assert (str(root), names(root, read.shape)) == by_roman(text, minor=True)


@pytest.mark.parametrize("text", JAZZ)
def test_capital_sevenths_are_dominant_as_players_write_them(text: str) -> None:
    assert by_roman(text, minor=False)[1] == set(JAZZ[text][1].split())
    assert shape_text(read_function(text).shape) == "1-3-5-b7"


READING = """
import sys
from drill.theory.progressions import read_progression
for line in ("ii7 V7 Imaj7", "Dm7 G7 Cmaj7", "V65 I"):
    read_progression(line)
    print("music21" in sys.modules)
"""


def test_plain_functions_load_no_library(printed_by: Callable[..., str]) -> None:
    assert printed_by(READING).split() == ["False", "False", "True"]


@pytest.mark.parametrize("text", ["VIII", "V7/XX", "xii", "IXb", "Vfoo", "Ger99"])
def test_what_is_no_function_is_one_message(text: str) -> None:
    with pytest.raises(TheoryError, match="not a chord"):
        read_function(text)
