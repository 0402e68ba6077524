"""Bars, beams, accidentals, slurs and lines of music: common practice of engraving."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from paper_runs import one, runs

from drill.paper.layout import (
    Given,
    Style,
    beamed,
    degree_label,
    printed_signature,
    sections,
)
from drill.paper.score import ArticulationMark, BarLine, Beam, Clef, Section, Sign, Written
from drill.paper.systems import width_of
from drill.terms import Direction, Fit, Remark, Span, Tonguing
from drill.theory.instruments import INSTRUMENTS

UP = (Direction.UP,)
DOWN = (Direction.DOWN,)


def notes(section: Section) -> list[Written]:
    return [written for bar in section.bars for written in bar.notes]


def names(section: Section) -> list[list[str]]:
    return [[str(written.note) for written in bar.notes] for bar in section.bars]


def shown(section: Section) -> list[str]:
    """The notes whose accidental is printed, with the bar they stand in, from 1."""
    return [
        f"{number} {written.note}"
        for number, bar in enumerate(section.bars, 1)
        for written in bar.notes
        if written.accidental
    ]


def test_a_cell_is_a_bar_and_the_tonic_is_held() -> None:
    section = one("1-2-3-1", "G", directions=UP)
    assert names(section)[0] == ["G4", "A4", "B4", "G4"]
    assert names(section)[6] == ["F#5", "G5", "A5", "F#5"]
    assert names(section)[7] == ["G5"]
    assert [bar.eighths for bar in section.bars] == [4] * 8
    assert section.bars[-1].end is BarLine.FINAL
    assert (section.heading, section.fifths, section.clef) == ("G major", 1, Clef.TREBLE)


@pytest.mark.parametrize(
    ("pattern", "sizes"),
    [
        ("scale", [7, 1]),  # an octave in a bar
        ("thirds", [4, 4, 4, 3]),  # two cells in a bar; the held tonic fills the last
        ("triad3", [3] * 7 + [1]),
        ("updown5", [8] * 7 + [1]),
    ],
)
def test_short_cells_share_a_bar(pattern: str, sizes: list[int]) -> None:
    section = one(pattern, "C", directions=UP)
    assert [len(bar.notes) for bar in section.bars] == sizes


def test_the_held_note_keeps_the_metre_of_cells_in_threes() -> None:
    assert one("triad3", "C", directions=UP).bars[-1].eighths == 3
    assert [bar.eighths for bar in one("thirds", "C", directions=UP).bars] == [4] * 4
    assert one("thirds", "C", directions=UP).bars[-1].notes[-1].eighths == 2
    assert one("1-2-3-1", "C", directions=UP).bars[-1].eighths == 4


def test_every_bar_of_an_even_pattern_is_as_long_as_the_others() -> None:
    """No half bar stands before the last note, up, down or joined."""
    for pattern in ("thirds", "1-2-3-1", "triad3"):
        for style in (Style(), Style(joined=True)):
            section = one(pattern, "Eb", style)
            assert len({bar.eighths for bar in section.bars}) == 1


@pytest.mark.parametrize(
    ("label", "size", "said"),
    [("1", 7, "1"), ("8", 7, "8"), ("9", 7, "2"), ("15", 7, "8"), ("17", 7, "3"), ("20", 7, "6"),
     ("7.", 7, "7"), ("5..", 7, "5"), ("6", 5, "6"), ("7", 5, "2"), ("bII", 7, "bII")],
)  # fmt: skip
def test_degrees_are_printed_as_players_count(label: str, size: int, said: str) -> None:
    assert degree_label(label, size) == said


def test_lines_are_alike_in_every_key_of_a_pattern() -> None:
    made = sections(runs(None, "1-2-3-4-5-4-3-2", ["C", "Db", "Cb", "C#"]), None, Style(line=105))
    counts = set()
    for section in made:
        starts = [at for at, bar in enumerate(section.bars) if bar.new_system]
        counts.add(tuple(end - begin for begin, end in pairwise([*starts, len(section.bars)])))
    assert len(counts) == 1


def test_a_remark_that_is_so_both_ways_is_said_once() -> None:
    made = runs(INSTRUMENTS["alto_sax"], "1-2-3-1", ["G"])
    both = [(replace(run, remarks=(Remark(Fit.MOVED, octaves=1),)), key) for run, key in made]
    (section,) = sections(both, None, Style())
    higher = "begins an octave higher than usual: from there all of it is on the horn"
    assert section.remarks == (higher,)
    (one_way,) = sections([both[0], made[1]], None, Style())
    assert one_way.remarks == (f"up: {higher}",)


def test_a_worksheet_may_have_no_signature() -> None:
    style = Style(given=Given.FIRST, signatures=False)
    section = one("1-2-3-1", "E", style, directions=UP)
    assert section.fifths == 0
    assert shown(section) == ["1 F#4", "1 G#4"]


@pytest.mark.parametrize(
    ("size", "groups"),
    [(2, [2]), (4, [4]), (6, [6]), (7, [4, 3]), (8, [4, 4]), (9, [3, 3, 3]), (13, [4, 3, 3, 3])],
)
def test_beams_by_cell(size: int, groups: list[int]) -> None:
    found: list[int] = []
    for beam in beamed(size):
        if beam is Beam.BEGIN:
            found.append(0)
        found[-1] += 1
    assert found == groups


@given(st.integers(2, 16))
def test_every_beam_begins_and_ends(size: int) -> None:
    within = False
    for beam in beamed(size):
        assert (beam is Beam.BEGIN) is not within
        within = beam is not Beam.END
    assert not within
    assert len(beamed(size)) == size


def test_no_accidental_where_the_signature_has_it() -> None:
    assert shown(one("1-2-3-1", "Cb")) == []
    assert shown(one("1-2-3-1", "C#")) == []


def test_the_leading_note_of_minor_has_one_in_each_bar() -> None:
    # G sharp minor is read in five sharps; its raised seventh is F double sharp.
    section = one("1-2-3-1", "G#", scale="harmonic_minor", directions=UP)
    assert section.fifths == 5
    assert shown(section) == ["5 F##5", "6 F##5", "7 F##5"]


def test_within_a_bar_an_accidental_stands_and_is_taken_back() -> None:
    # In 1-l1-1 on 4 of C: F E F; on 1: C B C: no accidental. On 2: D C# D; on 3: E D# E.
    section = one("1-2-l2-2-1", "C", directions=UP)
    assert names(section)[0] == ["C4", "D4", "C#4", "D4", "C4"]
    assert shown(section)[:2] == ["1 C#4", "1 C4"]
    repeated = one("1-l1-l1-1", "D", directions=UP)
    # D C# C# D: C sharp is in the signature; on 2, E D# D# E: the second needs none.
    assert shown(repeated)[0] == "2 D#4"
    assert "2 D#4" not in shown(repeated)[1:]


def test_an_octave_away_it_is_printed_again() -> None:
    section = one("1-7-7.-1", "A", scale="harmonic_minor", directions=UP)
    assert names(section)[0] == ["A4", "G#5", "G#4", "A4"]
    assert shown(section)[:2] == ["1 G#5", "1 G#4"]


def test_beyond_seven_sharps_there_is_no_signature() -> None:
    section = one("1-2-3-1", "D#", directions=UP)
    assert section.fifths == 0
    assert shown(section)[:3] == ["1 D#4", "1 E#4", "1 F##4"]


def test_moving_roots_leave_the_signature_where_they_leave_the_key() -> None:
    # A half-diminished chord on F sharp is not of F sharp major; a major seventh is.
    half = [run for run, _ in runs(None, "chord-m7b5", ["F#"], directions=UP)]
    major = [run for run, _ in runs(None, "chord-maj7", ["F#"], directions=UP)]
    assert printed_signature(tuple(half)) == 0
    assert printed_signature(tuple(major)) == 6
    assert one("chord-m7b5", "F#", directions=UP).heading == "F♯"


def test_up_and_down_under_one_heading() -> None:
    section = one("1-2-3-1", "G")
    assert len(section.bars) == 16
    assert [bar.end for bar in section.bars].count(BarLine.DOUBLE) == 1
    assert section.bars[7].end is BarLine.DOUBLE
    assert names(section)[8] == ["G5", "F#5", "E5", "G5"]
    assert section.bars[8].new_system
    assert section.systems == 2


def test_joined_the_top_tonic_stands_once() -> None:
    section = one("1-2-3-1", "G", Style(joined=True))
    assert len(section.bars) == 15
    assert names(section)[6:8] == [["F#5", "G5", "A5", "F#5"], ["G5", "F#5", "E5", "G5"]]
    # A retrograde does not begin on the top tonic: there it is held.
    made = runs(None, "1-2-3-1", ["G"])
    back = [
        (replace(run, cells=run.cells[1:]) if run.direction is Direction.DOWN else run, key)
        for run, key in made
    ]
    (other,) = sections(back, None, Style(joined=True))
    assert other.bars[7].eighths == 4
    assert len(other.bars[7].notes) == 1


def test_two_slurred_two_tongued() -> None:
    section = one("1-2-3-1", "G", Style(tonguing=Tonguing.TWO_AND_TWO), directions=UP)
    first = section.bars[0].notes
    assert [written.slur_begins for written in first] == [True, False, False, False]
    assert [written.slur_ends for written in first] == [False, True, False, False]
    assert {written.mark for written in first} == {None}


def test_all_slurred_is_one_slur_that_a_repeated_note_breaks() -> None:
    whole = notes(one("1-2-3-1", "G", Style(tonguing=Tonguing.SLURRED), directions=UP))
    assert [index for index, each in enumerate(whole) if each.slur_begins] == [0]
    assert [index for index, each in enumerate(whole) if each.slur_ends] == [28]
    # The cell 1-2-3-2 on 1 ends on the note with which the one on 2 begins.
    broken = notes(one("1-2-3-2", "G", Style(tonguing=Tonguing.SLURRED), directions=UP))
    assert [index for index, each in enumerate(broken) if each.slur_begins][:2] == [0, 4]


@pytest.mark.parametrize(
    ("tonguing", "mark"),
    [
        (Tonguing.STACCATO, ArticulationMark.STACCATO),
        (Tonguing.PORTATO, ArticulationMark.PORTATO),
        (Tonguing.MARCATO, ArticulationMark.MARCATO),
    ],
)
def test_marks_stand_on_each_note_but_the_held_one(
    tonguing: Tonguing, mark: ArticulationMark
) -> None:
    *cells, held = notes(one("1-2-3-1", "G", Style(tonguing=tonguing), directions=UP))
    assert {each.mark for each in cells} == {mark}
    assert held.mark is None


def test_the_first_of_each_cell_accented() -> None:
    bar = one("1-2-3-1", "G", Style(tonguing=Tonguing.FIRST_ACCENTED)).bars[3]
    assert [each.mark for each in bar.notes] == [ArticulationMark.ACCENT, None, None, None]


def test_louder_going_up_softer_coming_down() -> None:
    section = one("1-2-3-1", "G", Style(dynamics=True))
    signs = [(index, each.signs) for index, each in enumerate(notes(section)) if each.signs]
    assert signs == [
        (0, (Sign.P, Sign.CRESCENDO)),
        (28, (Sign.STOP, Sign.F)),
        (29, (Sign.DIMINUENDO,)),
        (57, (Sign.STOP, Sign.P)),
    ]


@pytest.mark.parametrize(
    ("cells", "left"),
    [
        (Given.ALL, 0),
        (Given.FIRST, 2 * (6 * 4 + 1)),
        (Given.EVERY_OTHER, 2 * (3 * 4 + 1)),
        (Given.NONE, 2 * (7 * 4 + 1)),
    ],
)
def test_a_worksheet_leaves_cells_open(cells: Given, left: int) -> None:
    section = one("1-2-3-1", "G", Style(given=cells, tonguing=Tonguing.SLURRED))
    assert sum(each.open for each in notes(section)) == left
    if left:
        assert [each.label for each in notes(section) if each.label] == list("1234567887654321")
        assert not any(each.slur_begins or each.slur_ends for each in notes(section))


def test_a_deck_s_degrees_alone_are_left_open() -> None:
    style = Style(given=Given.NONE, asked=(4, 7))
    section = one("1-2-3-1", "G", style, directions=UP)
    open_bars = [bar.notes[0].label for bar in section.bars if bar.notes[0].open]
    assert open_bars == ["4", "7", "8"]


def test_open_notes_take_no_accidental_from_the_next() -> None:
    # Two cells share a bar: what stands open in the first prints nothing.
    style = Style(given=Given.NONE, asked=(7,))
    section = one("thirds", "A", style, scale="harmonic_minor", directions=UP)
    for bar in section.bars:
        assert not any(each.open and each.accidental for each in bar.notes)


@pytest.mark.parametrize("key", ["Bb", "C", "D", "F"])
@pytest.mark.parametrize("pattern", ["1-3-5-7", "scale", "thirds", "1-2-3-1"])
def test_a_clef_is_kept_or_changes_once_in_a_run_at_a_new_line(pattern: str, key: str) -> None:
    section = one(pattern, key, Style(dynamics=True, tonguing=Tonguing.SLURRED), horn="horn_f",
                  span=Span.FULL)  # fmt: skip
    clef = section.clef
    changes = 0
    for bar in section.bars:
        if bar.clef:
            assert bar.new_system
            changes += 1
        clef = bar.clef or clef
        steps = [each.note.staff_step for each in bar.notes]
        if clef is Clef.BASS:
            assert max(steps) <= 7 * 4 + 4  # G4, four ledger lines above the staff
        elif pattern != "1-3-5-7":  # a cell of a seventh may span both
            assert min(steps) >= 7 * 3 + 1  # D3, four below
    assert changes <= 3  # within the run up, between the runs, within the run down
    flat = notes(section)
    assert sum(each.slur_begins for each in flat) == sum(each.slur_ends for each in flat)
    signs = [sign for each in flat for sign in each.signs]
    wedges = signs.count(Sign.CRESCENDO) + signs.count(Sign.DIMINUENDO)
    assert wedges == signs.count(Sign.STOP)


@pytest.mark.parametrize("key", ["Bb", "Eb", "F", "C", "D"])
def test_a_school_horn_reads_the_treble_clef(key: str) -> None:
    """A run of one octave in the usual register of a school player (common practice)."""
    for pattern in ("1-2-3-1", "thirds", "1-3-2-1"):
        section = one(pattern, key, horn="horn_f")
        assert section.clef is Clef.TREBLE
        assert not any(bar.clef for bar in section.bars)


@pytest.mark.parametrize("horn", INSTRUMENTS)
def test_every_horn_begins_in_its_own_clef(horn: str) -> None:
    section = one("1-2-3-1", "C", horn=horn, directions=UP)
    assert section.clef is Clef(INSTRUMENTS[horn].clef)


@given(line=st.floats(40, 200), pattern=st.sampled_from(["thirds", "1-2-3-1", "updown5"]))
def test_lines_are_even_and_not_too_long(line: float, pattern: str) -> None:
    section = one(pattern, "Db", Style(line=line), horn="clarinet_bb", span=Span.FULL)
    systems: list[list[float]] = []
    for bar in section.bars:
        if bar.new_system:
            systems.append([])
        systems[-1].append(width_of(bar))
    for system in systems:
        assert sum(system) <= line or len(system) == 1
    top = next(place for place, bar in enumerate(section.bars) if bar.end is BarLine.DOUBLE) + 1
    for part in (section.bars[:top], section.bars[top:]):
        starts = [place for place, bar in enumerate(part) if bar.new_system] + [len(part)]
        counts = [end - begin for begin, end in pairwise(starts)]
        if section.systems > 1:
            assert max(counts) - min(counts) <= 1


def test_short_runs_share_a_line() -> None:
    assert one("chord-maj7", "C").systems == 1
