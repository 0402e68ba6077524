"""Progressions: which key a line is in, how it moves through all keys, voice leading, guide tones.

The progressions and their roots are common practice; nearness is held against a search of its own.
"""

from __future__ import annotations

import itertools

import pytest

from drill.errors import TheoryError
from drill.terms import Direction, Mode, Pattern, Run
from drill.theory.cells import parse_cell
from drill.theory.instruments import INSTRUMENTS
from drill.theory.patterns import find_pattern
from drill.theory.progressions import (
    LONGEST,
    MOST_CHORDS,
    PROGRESSIONS,
    home_key,
    looks_like_progression,
    read_progression,
    symbols_in,
)
from drill.theory.runs import build_run
from drill.theory.scales import parse_key, tonics
from drill.theory.spelling import parse_name

UP, DOWN = Direction.UP, Direction.DOWN


def played(pattern: Pattern, key: str, way: Direction = UP) -> Run:
    return build_run(parse_key(key), pattern, way)


def spelled(run: Run) -> list[str]:
    return [" ".join(str(note.name) for note in cell.notes) for cell in run.cells]


@pytest.mark.parametrize(
    ("line", "home", "minor"),
    [
        ("Dm7 G7 Cmaj7", "C", False),
        ("Cmaj7 A7 Dm7 G7", "C", False),
        ("Gm7 C7", "F", False),
        ("F7 Bb7 F7 F7 | Bb7 % F7 % | C7 Bb7 F7 C7", "F", False),
        ("F7 Bb7 F7", "F", False),
        ("Dm7b5 G7b9 Cm6", "C", True),
        ("Abm7 Db7 Gbmaj7", "Gb", False),
        ("Am7", "A", True),
    ],
)
def test_the_key_of_a_line(line: str, home: str, minor: bool) -> None:
    found = read_progression(line)
    assert (str(found.home), found.minor) == (home, minor)
    assert home_key(line).scale == ("natural_minor" if minor else "major")


def test_two_five_one_in_every_key() -> None:
    pattern = read_progression("Dm7 G7 Cmaj7").pattern
    symbols = {
        str(tonic): [cell.symbol for cell in played(pattern, str(tonic)).cells]
        for tonic in tonics("major")
    }
    assert symbols["Gb"] == ["Abm7", "Db7", "Gbmaj7"]
    assert symbols["B"] == ["C#m7", "F#7", "Bmaj7"]
    assert symbols["Eb"] == ["Fm7", "Bb7", "Ebmaj7"]
    assert spelled(played(pattern, "Gb"))[0] == "Ab Cb Eb Gb"


def test_four_qualities_and_twelve_bars() -> None:
    turnaround = read_progression("Cmaj7 A7 Dm7 G7").pattern
    assert [cell.symbol for cell in played(turnaround, "F").cells] == [
        "Fmaj7", "D7", "Gm7", "C7",
    ]  # fmt: skip
    assert turnaround.name == "Imaj7 VI7 ii7 V7"
    blues = played(read_progression("blues").pattern, "Bb")
    assert [cell.symbol for cell in blues.cells] == (
        "Bb7 Eb7 Bb7 Bb7 Eb7 Eb7 Bb7 Bb7 F7 Eb7 Bb7 F7".split()
    )
    assert [cell.function for cell in blues.cells][:2] == ["I7", "IV7"]


@pytest.mark.parametrize("name", PROGRESSIONS)
def test_the_named_progressions_are_in_every_key(name: str) -> None:
    found = read_progression(name)
    assert found.pattern.name == name
    for tonic in tonics("major"):
        run = played(found.pattern, str(tonic))
        assert len(run.cells) == len(found.pattern.roots)
        assert all(abs(note.alter) <= 2 for cell in run.cells for note in cell.notes)


def test_functions_and_symbols_say_the_same() -> None:
    by_function = read_progression("ii7 V7/V V7 Imaj7").pattern
    by_symbol = read_progression("Dm7 D7 G7 Cmaj7").pattern
    assert by_function.cells == by_symbol.cells
    assert by_function.roots == by_symbol.roots
    assert by_symbol.functions == ()
    assert spelled(played(by_function, "E")) == spelled(played(by_symbol, "E"))


def test_down_each_chord_is_read_from_its_top() -> None:
    run = played(read_progression("Dm7 G7").pattern, "C", DOWN)
    assert spelled(run) == ["C A F D", "F D B G"]


def test_voice_leading_goes_to_the_nearest_inversion() -> None:
    """Held against every inversion in every octave: none lies nearer (our own measure)."""
    pattern = read_progression("Dm7 G7 Cmaj7 A7b9", led=True).pattern
    for horn in ("alto_sax", "trombone"):
        low_end, high_end = INSTRUMENTS[horn].low.midi, INSTRUMENTS[horn].high.midi
        for tonic in tonics("major"):
            run = build_run(parse_key(str(tonic)), pattern, UP, horn=INSTRUMENTS[horn])
            for before, after in itertools.pairwise(run.cells):
                way = between(before.notes, after.notes)
                names = [note.name for note in after.notes]
                for at in range(len(names)):
                    turned = names[at:] + names[:at]
                    for low in range(20, 100):
                        if low % 12 != turned[0].pitch_class:
                            continue
                        midis = [low]
                        for name in turned[1:]:
                            midis.append(midis[-1] + (name.pitch_class - midis[-1]) % 12)
                        if low_end <= midis[0] and midis[-1] <= high_end:
                            assert way <= moved([n.midi for n in before.notes], midis)


def between(before: tuple[object, ...], after: tuple[object, ...]) -> int:
    return moved([n.midi for n in before], [n.midi for n in after])  # type: ignore[attr-defined]


def moved(before: list[int], after: list[int]) -> int:
    both = sum(min(abs(a - b) for b in before) for a in after)
    return both + sum(min(abs(a - b) for b in after) for a in before)


def test_voice_leading_in_c() -> None:
    run = played(read_progression("Dm7 G7 Cmaj7", led=True).pattern, "C")
    assert [" ".join(map(str, cell.notes)) for cell in run.cells] == [
        "D4 F4 A4 C5", "D4 F4 G4 B4", "E4 G4 B4 C5",
    ]  # fmt: skip
    assert [cell.shape for cell in run.cells] == ["1-b3-5-b7", "5-b7-1'-3'", "3-5-7-1'"]
    assert [cell.symbol for cell in run.cells] == ["Dm7", "G7", "Cmaj7"]


def test_guide_tones_lead_by_step() -> None:
    """The seventh falls a half step to the third, the third stays as the seventh."""
    pattern = read_progression("Dm7 G7 Cmaj7", led=True, guide=True).pattern
    assert spelled(played(pattern, "C")) == ["F C", "F B", "E B"]
    assert spelled(played(read_progression("C6 Csus4 C", guide=True).pattern, "C")) == [
        "E A", "F G", "E G",
    ]  # fmt: skip


def test_one_chord_stands_alone() -> None:
    pattern = find_pattern("Cm7")
    assert (pattern.roots, pattern.name) == ((), "minor seventh arpeggio")
    assert played(pattern, "F#").cells[0].symbol == "F#m7"
    over = find_pattern("Gm7/C")
    assert spelled(played(over, "G")) == ["C G Bb D F"]


def test_patterns_and_cells_are_no_chords() -> None:
    for text in ("thirds", "1-2-3-1", "Broken octaves", "chord-m7", "b7-1", "Diatonic triads"):
        assert find_pattern(text).chords == ()
    assert not looks_like_progression("Broken octaves")
    assert looks_like_progression("Bb") and looks_like_progression("bVII7 I")  # noqa: PT018


def test_a_comma_in_brackets_parts_no_chords() -> None:
    line = read_progression("Dm7, G7(b9,b13), Cmaj7")
    assert line.pattern.chords == ("m7", "7(b9,b13)", "maj7")
    assert read_progression("C7(#9,b13)").pattern.cells == (
        parse_cell("1-3-5-b7-#9-b13", Mode.ROOT),
    )


def test_the_way_back_to_symbols() -> None:
    for line in ("Dm7 G7 Cmaj7", "F#m7b5 B7b9 Em6", "C/E F Gsus4 G7", "Gm7/C Fmaj7"):
        found = read_progression(line)
        again = read_progression(" ".join(symbols_in(found.pattern, found.home)))
        assert again.pattern == found.pattern
        in_c = " ".join(symbols_in(found.pattern, parse_name("C")))
        assert read_progression(in_c, home=parse_name("C")).pattern == found.pattern


@pytest.mark.parametrize(
    "line", ["", "  |  ", "Dm7 G9x Cmaj7", "ii7 Dm7", "C " * (MOST_CHORDS + 1)]
)
def test_what_is_no_progression_is_one_message(line: str) -> None:
    with pytest.raises(TheoryError, match=r"chord"):
        read_progression(line)


def test_a_line_may_have_as_many_chords_as_it_says() -> None:
    made = read_progression(" ".join(["C7", "F7"] * (MOST_CHORDS // 2)))
    assert len(made.pattern.cells) == MOST_CHORDS
    with pytest.raises(TheoryError, match=str(MOST_CHORDS)):
        read_progression(" ".join(["C7"] * (MOST_CHORDS + 1)))
    with pytest.raises(TheoryError, match=str(MOST_CHORDS)):
        read_progression("C7" + " " * LONGEST + "F7")
