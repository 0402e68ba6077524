"""The staff in text: heights, clefs, signatures, ledger lines, octave marks.

Where lines and signs stand is common practice: treble lines E4 G4 B4 D5 F5, bass lines
G2 B2 D3 F3 A3; sharps in treble F5 C5 G5 D5 A4 E5 B4, flats B4 E5 A4 D5 G4 C5 F4, in bass
two octaves lower (from memory of engraving handbooks).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.terms import Note
from drill.theory.spelling import parse_note
from drill.tui.glyphs import ASCII, UNICODE
from drill.tui.staff import Group, NoteColumn, Staff, draw, printed
from drill.tui.text import Lines, plain


def place(text: str) -> NoteColumn:
    note = parse_note(text)
    return NoteColumn(str(note.name), note.staff_step)


def rows_of(lines: Lines) -> list[str]:
    return [plain(row) for row in lines]


def staff(*notes: str, clef: str = "treble", fifths: int = 0) -> Staff:
    return Staff(clef, fifths, (Group(tuple(place(note) for note in notes)),))


def head_rows(lines: Lines) -> list[int]:
    """The row of each head, from left to right."""
    found = []
    for number, row in enumerate(rows_of(lines)[:-1]):
        found += [(column, number) for column, sign in enumerate(row) if sign == "●"]
    return [number for _, number in sorted(found)]


def test_a_row_is_a_step() -> None:
    heads = head_rows(draw(staff("E4", "F4", "G4", "A4", "B4"), 60, 9, UNICODE))
    assert heads == [8, 7, 6, 5, 4]


@pytest.mark.parametrize(
    ("clef", "lines"),
    [
        ("treble", "E4 G4 B4 D5 F5"),
        ("bass", "G2 B2 D3 F3 A3"),
        ("treble 8va", "E4 G4 B4 D5 F5"),
        ("tenor", "D3 F3 A3 C4 E4"),
    ],
)
def test_the_lines_of_each_clef(clef: str, lines: str) -> None:
    drawn = draw(staff(*lines.split(), clef=clef), 60, 9, UNICODE)
    for number in head_rows(drawn):
        assert rows_of(drawn)[number].count("─") > 30


@pytest.mark.parametrize(("clef", "line"), [("treble", "G4"), ("bass", "F3"), ("tenor", "C4")])
def test_the_clef_stands_on_the_line_it_names(clef: str, line: str) -> None:
    drawn = draw(staff(line, clef=clef), 60, 9, UNICODE)
    (number,) = head_rows(drawn)
    assert f"┤{line[0]}├" in rows_of(drawn)[number]


def test_the_clef_that_sounds_an_octave_higher_has_its_8() -> None:
    assert any("8" in row for row in rows_of(draw(staff("E4", clef="treble 8va"), 60, 9, UNICODE)))


TREBLE = {7: "F5 C5 G5 D5 A4 E5 B4", -7: "B4 E5 A4 D5 G4 C5 F4"}


@pytest.mark.parametrize("clef", ["treble", "bass"])
@pytest.mark.parametrize("fifths", range(-7, 8))
def test_signatures_stand_where_a_page_has_them(clef: str, fifths: int) -> None:
    drawn = rows_of(
        draw(staff("B4" if clef == "treble" else "D3", clef=clef, fifths=fifths), 60, 11, UNICODE)
    )
    sign = "♯" if fifths > 0 else "♭"
    top = (38 if clef == "treble" else 26) + 1
    wanted = []
    for text in TREBLE[7 if fifths > 0 else -7].split()[: abs(fifths)]:
        note = parse_note(text)
        lower = Note(note.letter, 0, note.octave - (2 if clef == "bass" else 0))
        wanted.append(top - lower.staff_step)
    found = sorted(
        (column, number)
        for number, row in enumerate(drawn[:-1])
        for column, each in enumerate(row)
        if each == sign
    )
    assert [number for _, number in found] == wanted


def test_the_tenor_clef_begins_its_sharps_low() -> None:
    """F3 C4 G3 D4 A3 E4 B3, so that none stands above the staff (from memory of engraving
    handbooks); the fourth line is C4."""
    drawn = rows_of(draw(staff("C4", clef="tenor", fifths=7), 60, 11, UNICODE))
    found = sorted(
        (column, number)
        for number, row in enumerate(drawn[:-1])
        for column, each in enumerate(row)
        if each == "♯"
    )
    wanted = [parse_note(text).staff_step for text in "F3 C4 G3 D4 A3 E4 B3".split()]
    assert [found[0][1] - number for _, number in found] == [step - wanted[0] for step in wanted]


def test_a_signature_beyond_seven_is_not_printed() -> None:
    assert "♯" not in "".join(rows_of(draw(staff("B4", fifths=8), 60, 9, UNICODE)))


def test_middle_c_has_its_ledger_line() -> None:
    drawn = rows_of(draw(staff("C4"), 60, 11, UNICODE))
    assert "─●─" in drawn[10]


def test_a_high_note_has_every_ledger_line_below_it() -> None:
    drawn = rows_of(draw(staff("C6"), 60, 13, UNICODE))
    assert "─●─" in drawn[0]
    assert "───" in drawn[2]
    assert drawn[1].strip() == "│"  # the stem


def test_a_low_note_has_every_ledger_line_above_it() -> None:
    drawn = rows_of(draw(staff("A3"), 60, 13, UNICODE))
    assert "─●─" in drawn[12]
    assert "───" in drawn[10]


def test_what_is_too_high_is_drawn_lower_and_marked() -> None:
    drawn = rows_of(draw(staff("F6", "G6"), 60, 11, UNICODE))
    assert "8va" in drawn[0]
    assert head_rows(draw(staff("F6", "G6"), 60, 11, UNICODE)) == head_rows(
        draw(staff("F5", "G5"), 60, 11, UNICODE)
    )


def test_what_is_too_low_is_drawn_higher_and_marked() -> None:
    drawn = draw(staff("G3", "F3"), 60, 11, UNICODE)
    assert any("8vb" in row for row in rows_of(drawn))
    assert head_rows(drawn) == head_rows(draw(staff("G4", "F4"), 60, 11, UNICODE))


def test_what_cannot_be_drawn_is_not_drawn() -> None:
    assert draw(staff("C3", "C6"), 60, 9, UNICODE) == ()
    assert draw(staff(*["C5"] * 16), 60, 11, UNICODE) == ()


def test_names_stand_under_their_heads() -> None:
    drawn = rows_of(draw(staff("C5", "D5", "Eb5"), 60, 11, UNICODE))
    columns = sorted(row.index("●") for row in drawn[:-1] if "●" in row)
    assert [drawn[-1][column] for column in columns] == ["C", "D", "E"]


def test_groups_have_a_bar_line_between() -> None:
    both = Staff("treble", 0, (Group((place("C5"),)), Group((place("F5"),))))
    assert rows_of(draw(both, 60, 9, UNICODE))[0].count("│") == 3


def test_signs_are_printed_only_where_the_signature_says_otherwise() -> None:
    assert signs("F#4 F4 C#4 B4", 1) == ["", "♮", "♯", ""]


def signs(notes: str, fifths: int) -> list[str]:
    found = [parse_note(text) for text in notes.split()]
    return list(printed(((each.name, each.staff_step) for each in found), fifths, UNICODE))


def test_a_sign_holds_for_its_height_to_the_end_of_the_bar() -> None:
    """An accidental counts to the bar line, on its own line or space (common practice)."""
    assert signs("F4 G4 F4", 1) == ["♮", "", ""]
    assert signs("F4 F#4", 1) == ["♮", "♯"]
    assert signs("F4 F5", 1) == ["♮", "♮"]
    assert signs("Bb4 B4 Bb4", -1) == ["", "♮", "♭"]


def test_f_natural_in_d_major_has_its_natural_and_f_sharp_no_sign() -> None:
    """D major has F sharp and C sharp in its signature (common practice)."""
    assert signs("F4 B4 F#4 C#5", 2) == ["♮", "", "♯", ""]
    assert signs("B4 C5 D5 B4", -7) == ["♮", "♮", "♮", ""]
    assert signs("Bb4 Cb5 Db5 Bb4", -7) == ["", "", "", ""]


def test_music21_prints_the_same_signs() -> None:
    """music21, a general-purpose library, decides which accidentals a page shows in a bar."""
    from music21 import key, note, stream

    for fifths in range(-7, 8):
        for notes in ("F4 G4 F4", "B4 C5 D5 B4", "Eb4 E4 F#4 Eb4", "C#5 C5 C#5"):
            bar = stream.Measure()
            bar.append(key.KeySignature(fifths))
            for text in notes.split():
                bar.append(note.Note(text.replace("b", "-")))
            bar.makeAccidentals(
                inPlace=True, cautionaryPitchClass=False, cautionaryNotImmediateRepeat=False
            )
            shown = [
                ""
                if each.pitch.accidental is None or not each.pitch.accidental.displayStatus
                else {0: "♮", 1: "♯", -1: "♭"}[int(each.pitch.accidental.alter)]
                for each in bar.getElementsByClass(note.Note)
            ]
            assert signs(notes, fifths) == shown, (fifths, notes)


@pytest.mark.parametrize(
    ("notes", "down"),
    [("G4 A4 B4 G4", False), ("C5 D5 E5 C5", True), ("E4 F5", True), ("B4", True), ("A4", False)],
)
def test_stems_and_beam_stand_on_the_side_of_the_middle_line(notes: str, down: bool) -> None:
    """The note farthest from the middle line decides, and down where both are as far
    (engravers' practice)."""
    drawn = rows_of(draw(staff(*notes.split()), 60, 15, UNICODE))[:-1]
    heads = [number for number, row in enumerate(drawn) if "●" in row]
    if len(notes.split()) > 1:
        (beam,) = [number for number, row in enumerate(drawn) if "━" in row]
        assert beam > max(heads) if down else beam < min(heads)
        assert drawn[beam].count("━") == 7 * (len(notes.split()) - 1) + 1
    else:
        column = drawn[heads[0]].index("●")
        after = drawn[heads[0] + (1 if down else -1)][column]
        assert after == "│"


@given(
    notes=st.lists(st.integers(20, 50), min_size=1, max_size=8),
    fifths=st.integers(-9, 9),
    width=st.integers(20, 90),
    rows=st.integers(9, 15),
    clef=st.sampled_from(["treble", "bass", "treble 8va"]),
    glyphs=st.sampled_from([UNICODE, ASCII]),
)
def test_every_staff_keeps_to_its_size(notes, fifths, width, rows, clef, glyphs) -> None:  # type: ignore[no-untyped-def]
    places = tuple(NoteColumn("C", step, glyphs.sharp) for step in notes)
    drawn = draw(Staff(clef, fifths, (Group(places),)), width, rows, glyphs)
    if not drawn:
        return
    texts = rows_of(drawn)
    assert len(texts) == rows + 1
    assert max(map(len, texts)) <= width
    assert "".join(texts[:-1]).count(glyphs.head) == len(notes)
    if glyphs is ASCII:
        assert "".join(texts).isascii()
