"""A staff drawn in text: a row for each diatonic step, note heads in columns, names beneath.

Heights are staff steps (``Note.staff_step``): diatonic steps above C0, E4 is 30.  The
clef is a boxed letter on the line of its note.  Where notes lie too high or low for the
rows there are, they are drawn an octave or two nearer and marked 8va, 15ma or 8vb.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from drill.terms import Key, Name, Note
from drill.theory.scales import signature_names
from drill.tui.glyphs import Glyphs
from drill.tui.text import Line, Lines, Role, Stretch
from drill.tui.words import Words

LEAST_ROWS = 9
"""Rows of the five lines and four spaces alone."""
_SIGN_ROOM = 2
"""Cells before a head for its accidental."""
_NARROWEST, _WIDEST = 4, 7
"""Cells for a note's column."""
_STEM, _SHORTEST_STEM = 5, 2
"""Steps that a stem is long: an octave would be 7, for which most staffs here have no room."""
_BETWEEN = 3
"""Cells that a bar line takes with its margin."""
_TREBLE_SHARPS = ("F5", "C5", "G5", "D5", "A4", "E5", "B4")
_TREBLE_FLATS = ("B4", "E5", "A4", "D5", "G4", "C5", "F4")
_MARKS = {-14: "15ma", -7: "8va", 7: "8vb", 14: "15mb"}


@dataclass(frozen=True, slots=True)
class ClefLines:
    """Where a clef puts its notes."""

    letter: str
    bottom: int
    """The staff step of the lowest line."""
    line: int
    """The staff step of the clef's own line."""
    octave: bool = False
    """True marks the clef with an 8: sounding an octave higher."""
    lower: int = 0
    """Octaves by which the signature stands lower than in the treble clef, by name."""
    rising_sharps: bool = False
    """True begins the sharps low, F and G an octave lower, as the tenor clef has them."""


_CLEFS = {
    "treble": ClefLines("G", 30, 32),
    "treble 8va": ClefLines("G", 30, 32, octave=True),
    "bass": ClefLines("F", 18, 24, lower=2),
    "tenor": ClefLines("C", 22, 28, lower=1, rising_sharps=True),
}


@dataclass(frozen=True, slots=True)
class NoteColumn:
    """One note's column."""

    label: str
    """What stands beneath: a name, or a sign for an empty place."""
    step: int | None = None
    """Height of the head; None draws none."""
    sign: str = ""
    """The accidental before the head, as shown."""
    role: Role = Role.HEAD


@dataclass(frozen=True, slots=True)
class Group:
    """Notes between two bar lines, under one beam."""

    places: tuple[NoteColumn, ...]
    lean: tuple[int, ...] = ()
    """Heights that decide whether stems go up or down; empty for those of the heads.  What is
    being typed leans as the whole cell will, so that stems stay as they are."""


@dataclass(frozen=True, slots=True)
class Staff:
    """What stands on a staff."""

    clef: str
    """A clef of ``terms.Instrument``."""
    fifths: int
    """Sharps (positive) or flats of the signature; beyond 7 none is printed."""
    groups: tuple[Group, ...]
    """With a bar line between them; those without a place are left out."""


def accidental(name: Name, glyphs: Glyphs) -> str:
    """The sign of a name as it is spelled, none for a natural."""
    if name.alter > 0:
        return "x" * (name.alter // 2) + glyphs.sharp * (name.alter % 2)
    return glyphs.flat * -name.alter


def printed(notes: Iterable[tuple[Name, int]], fifths: int, glyphs: Glyphs) -> tuple[str, ...]:
    """The signs that a page prints before the names of one bar, at their heights: none where a
    name agrees with what is in force.

    In force is the signature, and for the rest of the bar what was printed at that very height
    (common practice).
    """
    signature = (
        {each.letter: each.alter for each in signature_names(fifths)} if _has(fifths) else {}
    )
    bar: dict[int, int] = {}
    signs = []
    for name, step in notes:
        agrees = bar.get(step, signature.get(name.letter, 0)) == name.alter
        bar[step] = name.alter
        signs.append("" if agrees else accidental(name, glyphs) or glyphs.natural)
    return tuple(signs)


def given(notes: Sequence[Note], key: Key, fifths: int, words: Words) -> Group:
    """Notes as a page prints them under a signature."""
    return marked(notes, key, fifths, words, [("", Role.GIVEN)] * len(notes))


def marked(
    notes: Sequence[Note], key: Key | None, fifths: int, words: Words,
    marks: Sequence[tuple[str, Role]],
) -> Group:  # fmt: skip
    """The same, a mark behind each name and both in a role; a key is needed for movable do only."""
    signs = printed(((note.name, note.staff_step) for note in notes), fifths, words.glyphs)
    return Group(
        tuple(
            NoteColumn(f"{words.name(note.name, key)}{mark}", note.staff_step, sign, role)
            for note, sign, (mark, role) in zip(notes, signs, marks, strict=True)
        )
    )


def _has(fifths: int) -> bool:
    return abs(fifths) <= 7


def draw(staff: Staff, width: int, rows: int, glyphs: Glyphs) -> Lines:
    """The staff and, as the last line, the labels; empty where it cannot be drawn so small.

    ``rows`` are those of the staff without the labels.
    """
    clef = _CLEFS[staff.clef]
    groups = tuple(group for group in staff.groups if group.places)
    steps = [step for group in groups for step in _heads(group)]
    moved = _octaves(steps, clef, rows)
    column = _column(staff, groups, width)
    if moved is None or not column:
        return ()
    top = _top([step + moved for step in steps], clef, rows)
    grid = _Grid(width, rows, top, clef, glyphs)
    grid.clef()
    left = grid.signature(staff.fifths)
    labels: list[Stretch] = []
    at = left
    for number, group in enumerate(groups):
        if number:
            grid.bar(at)
            at += _BETWEEN
        grid.beam(
            [
                (at + _SIGN_ROOM + index * column, place.step + moved, place.role)
                for index, place in enumerate(group.places)
                if place.step is not None
            ],
            [step + moved for step in group.lean or _heads(group)],
        )
        for place in group.places:
            if place.step is not None:
                grid.head(at + _SIGN_ROOM, place.step + moved, place)
            gap = at + _SIGN_ROOM - sum(len(span.text) for span in labels)
            labels += [Stretch(" " * gap), Stretch(place.label, place.role)]
            at += column
    if moved:
        grid.mark(left + _SIGN_ROOM - 1, moved)
    return (*grid.lines(), tuple(labels))


def rows_for(staff: Staff) -> int:
    """Rows in which the heads stand where they are written, ``LEAST_ROWS`` or more."""
    clef = _CLEFS[staff.clef]
    steps = [step for group in staff.groups for step in _heads(group)]
    return max([clef.bottom + 8, *steps]) - min([clef.bottom, *steps]) + 1


def _heads(group: Group) -> list[int]:
    return [place.step for place in group.places if place.step is not None]


def _column(staff: Staff, groups: tuple[Group, ...], width: int) -> int:
    """Cells for each note; 0 where they do not fit."""
    count = sum(len(group.places) for group in groups)
    bars = _BETWEEN * max(0, len(groups) - 1)
    room = width - _left(staff.fifths) - bars - 2
    longest = max((len(p.label) for group in groups for p in group.places), default=1)
    least = max(_NARROWEST, longest + 1)
    if not count:
        return least
    fit = room // count
    return min(fit, max(_WIDEST, least)) if fit >= least else 0


def _left(fifths: int) -> int:
    """Where the first column begins: after the clef and the signature."""
    return 6 + (abs(fifths) + 1 if _has(fifths) and fifths else 0)


def _octaves(steps: list[int], clef: ClefLines, rows: int) -> int | None:
    """Steps, whole octaves, by which the heads are moved to fit; None where nothing fits."""
    for moved in (0, -7, 7, -14, 14):
        low = min([clef.bottom, *(step + moved for step in steps)])
        high = max([clef.bottom + 8, *(step + moved for step in steps)])
        if high - low + 1 <= rows:
            return moved
    return None


def _top(steps: list[int], clef: ClefLines, rows: int) -> int:
    """The step of the top row: the staff in the middle, unless the notes need it elsewhere."""
    top = clef.bottom + 8 + (rows - LEAST_ROWS + 1) // 2
    if steps:
        top = max(top, *steps) if len(steps) > 1 else max(top, steps[0])
        top = min(top, min(steps) + rows - 1)
    return top


class _Grid:
    """Cells that become lines."""

    def __init__(self, width: int, rows: int, top: int, clef: ClefLines, glyphs: Glyphs) -> None:
        self._clef, self._glyphs, self._top = clef, glyphs, top
        self._cells = [[(" ", Role.PLAIN)] * width for _ in range(rows)]
        lines = range(clef.bottom, clef.bottom + 9, 2)
        for row, cells in enumerate(self._cells):
            step = top - row
            if step in lines:
                cells[:] = [(glyphs.staff_line, Role.STAFF)] * width
            if clef.bottom <= step <= clef.bottom + 8:
                cells[0] = cells[-1] = (glyphs.bar, Role.STAFF)

    def put(self, column: int, step: int, text: str, role: Role) -> None:
        """Write at a height; what falls outside is left out."""
        row = self._top - step
        if 0 <= row < len(self._cells):
            for place, sign in enumerate(text, start=column):
                if 0 <= place < len(self._cells[row]):
                    self._cells[row][place] = (sign, role)

    def clef(self) -> None:
        for step, text in zip((1, 0, -1), self._glyphs.clef, strict=True):
            self.put(2, self._clef.line + step, text.format(self._clef.letter), Role.STAFF)
        if self._clef.octave:
            self.put(3, self._clef.line + 2, "8", Role.STAFF)

    def signature(self, fifths: int) -> int:
        """Draw the signature; where the first column begins."""
        if _has(fifths):
            row = _TREBLE_SHARPS if fifths > 0 else _TREBLE_FLATS
            sign = self._glyphs.sharp if fifths > 0 else self._glyphs.flat
            for place, text in enumerate(row[: abs(fifths)]):
                low = self._clef.rising_sharps and fifths > 0 and text[0] in "FG"
                note = Note(text[0], 0, int(text[1]) - self._clef.lower - low)
                self.put(6 + place, note.staff_step, sign, Role.STRONG)
        return _left(fifths)

    def bar(self, column: int) -> None:
        for step in range(self._clef.bottom, self._clef.bottom + 9):
            self.put(column, step, self._glyphs.bar, Role.STAFF)

    def head(self, column: int, step: int, place: NoteColumn) -> None:
        bottom, top = self._clef.bottom, self._clef.bottom + 8
        ledgers = (*range(top + 2, step + 1, 2), *range(bottom - 2, step - 1, -2))
        for ledger in ledgers:
            self.put(column - 1, ledger, self._glyphs.staff_line * 3, Role.STAFF)
        self.put(column, step, self._glyphs.head, place.role)
        self.put(column - len(place.sign), step, place.sign, place.role)

    def beam(self, heads: list[tuple[int, int, Role]], lean: list[int]) -> None:
        """Stems for heads (column, height, role) and the beam that joins them, or none where
        there is no room.

        Stems go down where the head farthest from the middle line, or on it, is above it, and up
        where it is below; (engravers' practice).
        """
        if not heads:
            return
        middle = self._clef.bottom + 4
        farthest = max(abs(step - middle) for step in lean)
        down = middle + farthest in lean
        heights = [height for _, height, _ in heads]
        lowest = self._top - len(self._cells) + 1
        outermost = min(heights + lean) if down else max(heights + lean)
        end = max(lowest, outermost - _STEM) if down else min(self._top, outermost + _STEM)
        if min(abs(end - height) for height in heights) < _SHORTEST_STEM:
            return
        for column, height, role in heads:
            inside = range(end, height) if down else range(height + 1, end + 1)
            for step in inside:
                self.put(column, step, self._glyphs.stem, role)
        if len(heads) > 1:
            first, last = heads[0], heads[-1]
            self.put(first[0], end, self._glyphs.beam * (last[0] - first[0] + 1), last[2])

    def mark(self, column: int, moved: int) -> None:
        """Say by how many octaves the heads stand apart from where they are written: in the
        outermost row, over or under the first note or the next free place."""
        cells = self._cells[0 if moved < 0 else -1]
        text = _MARKS[moved]
        free = (" ", self._glyphs.staff_line)
        for start in range(column, len(cells) - len(text) - 1):
            if all(sign in free for sign, _ in cells[start - 1 : start + len(text) + 1]):
                cells[start : start + len(text)] = [(sign, Role.STRONG) for sign in text]
                return

    def lines(self) -> Lines:
        return tuple(_joined(cells) for cells in self._cells)


def _joined(cells: list[tuple[str, Role]]) -> Line:
    """Neighbours of one role as one span; blanks at the end are left out."""
    last = max((i for i, (sign, _) in enumerate(cells) if sign != " "), default=-1) + 1
    cells = cells[:last]
    if not cells:
        return ()
    edges = [0, *(i for i, (a, b) in enumerate(pairwise(cells), start=1) if a[1] != b[1]), last]
    return tuple(
        Stretch("".join(sign for sign, _ in cells[a:b]), cells[a][1]) for a, b in pairwise(edges)
    )
