"""The 46 patterns against the published catalogue: cells, moves, descents, degrees both ways."""

from __future__ import annotations

import itertools
import re

import pytest
from theory_tables import WITNESSES, table

from drill.errors import TheoryError
from drill.terms import Cell, Descent, Direction, Ending, Key, Mode, Name, Note, shape_text
from drill.theory.faults import CellError
from drill.theory.patterns import PATTERNS, ROOT_ORDERS, find_pattern, free_pattern, same_cell
from drill.theory.runs import build_run
from drill.theory.scales import tonics
from drill.theory.spelling import degree_name

C = Key(Name("C"), "major")
ROWS = table("patterns")


def test_the_catalogue_is_the_published_one() -> None:
    assert [row["id"] for row in ROWS] == list(PATTERNS)
    for row in ROWS:
        pattern = PATTERNS[row["id"]]
        assert pattern.name == row["name"]
        assert [shape_text(shape) for shape in pattern.cells] == [row["cell"].replace(" ", "-")]
        assert pattern.moves_by == int(row["start_moves_by"])
        assert pattern.descent == row["descent"]
        assert pattern.ending is Ending.OVERRUN
        assert pattern.mode is Mode.KEY


def degree_note(token: str) -> Note:
    """The note of C major on a degree as the catalogue writes it, C4 being 1.

    ``7.`` is the B below, ``8`` or ``15`` the Cs above, ``l8`` a half step below
    with the letter below, ``uu2`` two half steps above with the letter above
    (Open Music Theory: the adjacent letter, altered).
    """
    match = re.fullmatch(r"(ll|l|uu|u|)(\d+)(\.*)", token)
    assert match
    step = int(match[2]) - 1 - 7 * len(match[3]) + 7 * 4
    midi = 12 + 12 * (step // 7) + (0, 2, 4, 5, 7, 9, 11)[step % 7]
    letters, semitones = {"": (0, 0), "l": (-1, -1), "ll": (-1, -2), "u": (1, 1), "uu": (1, 2)}[
        match[1]
    ]
    there = step + letters
    plain = 12 + 12 * (there // 7) + (0, 2, 4, 5, 7, 9, 11)[there % 7]
    return Note("CDEFGAB"[there % 7], midi + semitones - plain, there // 7)


def played(cells: tuple[Cell, ...], close: Note) -> list[tuple[Note, ...]]:
    return [*(cell.notes for cell in cells), (close,)]


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
@pytest.mark.parametrize("direction", Direction)
def test_the_degrees_of_both_runs(row: dict[str, str], direction: Direction) -> None:
    run = build_run(C, PATTERNS[row["id"]], direction)
    written = row["ascending_degrees" if direction is Direction.UP else "descending_degrees"]
    expected = [
        tuple(degree_note(token) for token in cell.split("-")) for cell in written.split(" | ")
    ]
    assert played(run.cells, run.close) == expected


def test_every_published_run_in_five_keys() -> None:
    """460 runs with their octaves: 46 patterns, up and down, in C, G, F, Eb and B."""
    rows = table("runs_major")
    assert len(rows) == 46 * 2 * 5
    for row in rows:
        direction = Direction.UP if row["direction"] == "ascending" else Direction.DOWN
        key = Key(Name(row["tonic"][0], -row["tonic"].count("b")), "major")
        run = build_run(key, PATTERNS[row["pattern"]], direction)
        text = " | ".join(" ".join(map(str, notes)) for notes in played(run.cells, run.close))
        assert text == row["run_with_octaves"], (row["pattern"], row["tonic"], direction)


@pytest.mark.parametrize("witness", WITNESSES)
def test_every_run_by_the_interval_arithmetic_of_three_libraries(witness: str) -> None:
    """46 patterns, both ways, in 15 keys: the published degrees, each spelled by a library.

    A chromatic neighbour below is right when the library's half (or whole) step up
    from it is the degree; one above, when it is that step up from the degree.
    """
    by = WITNESSES[witness]
    steps = {"l": "b2", "ll": "2", "u": "b2", "uu": "2"}
    count = 0
    for tonic in tonics("major"):
        scale = [by(str(tonic), str(degree)) for degree in range(1, 8)]
        home = Note(tonic.letter, tonic.alter, 4)
        for row in ROWS:
            for direction in Direction:
                run = build_run(Key(tonic, "major"), PATTERNS[row["id"]], direction)
                column = "ascending_degrees" if direction is Direction.UP else "descending_degrees"
                cells = [cell.split("-") for cell in row[column].split(" | ")]
                for tokens, notes in zip(cells, played(run.cells, run.close), strict=True):
                    for token, note in zip(tokens, notes, strict=True):
                        in_c = degree_note(token)
                        assert note.midi - home.midi == in_c.midi - 60
                        assert note.staff_step - home.staff_step == in_c.staff_step - 28
                        side = token.rstrip("0123456789.")
                        degree = scale[(int(token[len(side) :].rstrip(".")) - 1) % 7]
                        low, high = (str(note.name), degree)
                        if side.startswith("u"):
                            low, high = high, low
                        assert by(low, steps.get(side, "1")) == high
                count += 1
    assert count == len(ROWS) * len(Direction) * len(tonics("major"))


def first_cells(cell: str, descent: Descent, count: int = 2) -> list[str]:
    """The first cells coming down in C, as degrees of C4: 1."""
    run = build_run(C, free_pattern((cell,), descent=descent), Direction.DOWN)
    base = 28
    return ["-".join(_degree(note.staff_step - base) for note in cell.notes)
            for cell in run.cells[:count]]  # fmt: skip


def _degree(step: int) -> str:
    return str(step + 1) if step >= 0 else f"{step % 7 + 1}."


@pytest.mark.parametrize(
    ("descent", "returning", "broken"),
    [
        # Worked examples; mirror is what Open Music Theory and a guitar teacher's articles
        # print (do ti la do; (8,7,6)(7,6,5)..), the others are named there as variants.
        (Descent.MIRROR, ["8-7-6-8", "7-6-5-7"], ["8-6-4-6", "7-5-3-5"]),
        (Descent.SAME_SHAPE, ["8-9-10-8", "7-8-9-7"], ["8-10-12-10", "7-9-11-9"]),
        (Descent.RETROGRADE, ["7-9-8-7", "6-8-7-6"], ["9-11-9-7", "8-10-8-6"]),
        (Descent.RETROGRADE_INVERSION, ["8-6-7-8", "7-5-6-7"], ["6-4-6-8", "5-3-5-7"]),
        # From the top: 5-3-1-3 of the chord on the upper tonic, then of vii.
        (Descent.CHORD_TONES, None, ["12-10-8-10", "11-9-7-9"]),
    ],
)
def test_five_ways_down(descent: Descent, returning: list[str] | None, broken: list[str]) -> None:
    if returning is not None:
        assert first_cells("1-2-3-1", descent) == returning
    assert first_cells("1-3-5-3", descent) == broken


@pytest.mark.parametrize(
    ("descent", "last"),
    [
        (Descent.MIRROR, "2-1-7.-2"),
        (Descent.RETROGRADE, "1-3-2-1"),
        (Descent.SAME_SHAPE, "2-3-4-2"),
        (Descent.RETROGRADE_INVERSION, "2-7.-1-2"),
    ],
)
def test_the_last_cell_down(descent: Descent, last: str) -> None:
    assert first_cells("1-2-3-1", descent, 7)[6] == last


@pytest.mark.parametrize(
    ("ending", "direction", "expected"),
    [
        # Clipped thirds: ... 5-7 6-8, then 7 7 8; down ... 4-2 3-1, then 2 2 1.
        (Ending.CLIPPED, Direction.UP, "1-3 2-4 3-5 4-6 5-7 6-8 7-7 8"),
        (Ending.CLIPPED, Direction.DOWN, "8-6 7-5 6-4 5-3 4-2 3-1 2-2 1"),
        (Ending.OVERRUN, Direction.UP, "1-3 2-4 3-5 4-6 5-7 6-8 7-9 8"),
        (Ending.OVERRUN, Direction.DOWN, "8-6 7-5 6-4 5-3 4-2 3-1 2-7. 1"),
        (Ending.CLOSED, Direction.UP, "1-3 2-4 3-5 4-6 5-7 6-8 7-9 8-10 8"),
        (Ending.CLOSED, Direction.DOWN, "8-6 7-5 6-4 5-3 4-2 3-1 2-7. 1-6. 1"),
    ],
)
def test_three_endings_of_thirds(ending: Ending, direction: Direction, expected: str) -> None:
    run = build_run(C, free_pattern(("1-3",), ending=ending), direction)
    text = " ".join(
        "-".join(_degree(note.staff_step - 28) for note in notes)
        for notes in played(run.cells, run.close)
    )
    assert text == expected


def test_a_cycle_of_two_cells_alternates() -> None:
    pattern = free_pattern(("1-2-3-1", "1-3-2-1"))
    run = build_run(C, pattern, Direction.UP)
    assert [cell.shape for cell in run.cells] == ["1-2-3-1", "1-3-2-1"] * 3 + ["1-2-3-1"]
    assert [" ".join(map(str, cell.notes)) for cell in run.cells[:2]] == [
        "C4 D4 E4 C4",
        "D4 F4 E4 D4",
    ]
    assert pattern.text == pattern.id == "1-2-3-1 | 1-3-2-1"


def test_a_start_that_moves_by_two() -> None:
    run = build_run(C, free_pattern(("1-3-4-2",), moves_by=2), Direction.UP)
    assert [cell.label for cell in run.cells] == ["1", "3", "5", "7"]


def test_positions_in_a_scale_of_five_notes() -> None:
    """Digits 1 to 7 count the notes of the scale; 8 names the octave, here the sixth note."""
    run = build_run(Key(Name("C"), "major_pentatonic"), find_pattern("1-2-3-1"), Direction.UP)
    assert [" ".join(map(str, cell.notes)) for cell in run.cells] == [
        "C4 D4 E4 C4", "D4 E4 G4 D4", "E4 G4 A4 E4", "G4 A4 C5 G4", "A4 C5 D5 A4",
    ]  # fmt: skip
    octaves = build_run(run.key, find_pattern("octaves"), Direction.UP)
    assert [str(cell.notes[1]) for cell in octaves.cells] == ["C5", "D5", "E5", "G5", "A5"]


def test_melodic_minor_comes_down_in_its_other_form() -> None:
    key = Key(Name("A"), "melodic_minor_classical")
    up = build_run(key, PATTERNS["scale"], Direction.UP)
    down = build_run(key, PATTERNS["scale"], Direction.DOWN)
    assert " ".join(str(cell.notes[0].name) for cell in up.cells) == "A B C D E F# G#"
    assert " ".join(str(cell.notes[0].name) for cell in down.cells) == "A G F E D C B"


def test_chromatic_neighbours_sound_a_half_step_away_and_say_so() -> None:
    run = build_run(Key(Name("C", 1), "major"), find_pattern("encl_cc"), Direction.UP)
    for cell in run.cells:
        above, below, target = cell.notes
        assert (above.midi - target.midi, below.midi - target.midi) == (1, -1)
        assert cell.by_sound == (True, True, False)


def test_a_typed_cell_takes_the_descent_of_its_kind() -> None:
    assert find_pattern("1-2-4-1").descent is Descent.MIRROR
    assert find_pattern("2-l1-1").descent is Descent.SAME_SHAPE
    assert find_pattern("1-2-b3-5").mode is Mode.ROOT
    assert find_pattern("1 2 b3 5").descent is Descent.RETROGRADE


def test_every_pattern_is_found_by_id_name_and_cell() -> None:
    for pattern in PATTERNS.values():
        assert find_pattern(pattern.id) == pattern
        assert find_pattern(f" {pattern.name.upper()} ") == pattern
        assert same_cell(pattern) == pattern
        if pattern.id not in ("scale", "thirds", "fourths"):  # a cell of one note is a scale
            free = free_pattern((pattern.text,), moves_by=pattern.moves_by)
            assert same_cell(free) == pattern
    assert same_cell(free_pattern(("1-2-5-2",))) is None


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("treids", "did you mean .*thirds"),
        ("chord-xx", "no chord"),
        ("return", "did you mean return3"),
        ("zzzz", "no pattern 'zzzz'$"),
    ],
)
def test_a_mistyped_pattern(text: str, message: str) -> None:
    with pytest.raises(TheoryError, match=message):
        find_pattern(text)


def test_what_a_free_pattern_cannot_be() -> None:
    with pytest.raises(CellError, match="too short"):
        free_pattern(("1",))
    with pytest.raises(TheoryError, match="1 to 3 cells, not 4"):
        free_pattern(("1-2",) * 4)
    with pytest.raises(TheoryError, match="1 to 3 cells, not 0"):
        free_pattern(())
    with pytest.raises(TheoryError, match="1 to 7 steps, not 0"):
        free_pattern(("1-2",), moves_by=0)
    with pytest.raises(TheoryError, match="root mode only"):
        free_pattern(("1-2",), roots=("1", "4"))


def test_root_orders_visit_what_the_published_orders_do() -> None:
    """Each order on C, by pitch class: the first row of the published order."""
    rows = {row["order"]: row for row in table("practice_orders")}
    published = {
        "fourths": "circle of fourths (clockwise flats)",
        "fifths": "circle of fifths",
        "chromatic": "chromatic up",
        "whole-tones": "whole tone up",
        "minor-thirds": "minor thirds up",
        "major-thirds": "major thirds up",
        "tritone": "tritone",
    }
    for order, name in published.items():
        row = rows[name]["sequence"].split(" || ")[0].split()
        theirs = [Name(text[0], -text.split("/")[0].count("b")).pitch_class for text in row]
        ours = [degree_name(Name("C"), token).pitch_class for token in ROOT_ORDERS[order]]
        assert ours == theirs, order
        step = int(rows[name]["step_semitones"])
        assert all((b - a) % 12 == step for a, b in itertools.pairwise(ours))


@pytest.mark.parametrize(
    ("order", "roots"),
    [("ii-V-I", "2 5 1"), ("ii-V", "2 5"), ("I-vi-ii-V", "1 6 2 5")],
)
def test_progressions_are_their_own_roman_numerals(order: str, roots: str) -> None:
    assert " ".join(ROOT_ORDERS[order]) == roots


def test_a_cell_on_moving_roots_keeps_its_intervals() -> None:
    """1-2-b3-5 through the circle of fourths: exact, not diatonic."""
    pattern = free_pattern(("1-2-b3-5",), mode=Mode.ROOT, roots=ROOT_ORDERS["fourths"])
    run = build_run(C, pattern, Direction.UP)
    assert [cell.label for cell in run.cells] == "C F Bb Eb G# C# F# B E A D G".split()
    for cell in run.cells:
        assert [note.midi - cell.notes[0].midi for note in cell.notes] == [0, 2, 3, 7]
    assert " ".join(map(str, run.cells[2].notes)) == "Bb4 C5 Db5 F5"
