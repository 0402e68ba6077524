"""From runs to bars: what is beamed, which accidentals are printed, where a line of music ends.

A cell is a bar of eighths under one beam; cells of one or two notes share a bar.
No time signature is printed.  An accidental is printed where the note differs from
the signature and from what stands before it in its bar at its height (common practice).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import groupby, pairwise

from drill.paper.score import Bar, Beam, Clef, End, Mark, Section, Sign, Written
from drill.sound.phrasing import Manner, Phrase, phrase_take
from drill.terms import Direction, Instrument, Key, Mode, Note, Pattern, Run, Tonguing
from drill.theory.chords import PREFIX
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.theory.patterns import PATTERNS
from drill.theory.scales import SCALES, signature, signature_names

MOST_FIFTHS = 7
"""Beyond them no signature is printed, and every accidental is."""


class Given(StrEnum):
    """Which cells of a worksheet are printed; the others are left open."""

    ALL = "all"
    """A sheet, not a worksheet."""
    FIRST = "first"
    """The first of each run."""
    EVERY_OTHER = "every-other"
    """The first, the third, and so on."""
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Style:
    """What is printed besides the notes."""

    tonguing: Tonguing | None = None
    """Slurs and articulation marks; None prints none."""
    dynamics: bool = False
    """Hairpins: louder going up, softer coming down."""
    joined: bool = False
    """The top tonic is printed once where the run down begins on it."""
    given: Given = Given.ALL
    degrees: bool = False
    """The degree above each cell; a worksheet has it always."""
    asked: tuple[int, ...] = ()
    """Degrees (``Cell.degree``) that a worksheet may leave open; empty means any."""
    seed: int = 0
    """For slurs drawn at random."""
    language: Language = Language.ENGLISH
    line: float = 110.0
    """Length of a line of music in staff spaces."""


@dataclass(frozen=True, slots=True)
class _Unit:
    """A cell, or the held tonic, before bars are made."""

    notes: tuple[Written, ...]
    held: bool = False


def sections(
    runs: Iterable[tuple[Run, Key]], horn: Instrument | None, style: Style
) -> tuple[Section, ...]:
    """The sections of runs, each with its concert key: up and down of a pattern in a key are one.

    ``horn`` gives the clef; None is treble.  Raises TheoryError where the
    language has no name for a key.
    """
    found = []
    for _, group in groupby(runs, key=lambda each: (each[0].pattern, each[0].key)):
        members = list(group)
        found.append(_section(tuple(run for run, _ in members), members[0][1], horn, style))
    return tuple(found)


def _section(runs: tuple[Run, ...], concert: Key, horn: Instrument | None, style: Style) -> Section:
    first = runs[0]
    fifths = printed_signature(runs)
    bars = tuple(_with_clefs(_with_accidentals(_bars(runs, style), fifths), horn))
    clef = bars[0].clef or Clef.TREBLE
    return Section(
        _pattern_words(first.pattern),
        _heading(first, first.key, style.language),
        "" if concert == first.key else _heading(first, concert, style.language),
        tuple(
            f"{run.direction.value}: {remark}" if len(runs) > 1 else remark
            for run in runs
            for remark in run.remarks
        ),
        fifths,
        clef,
        _in_systems((replace(bars[0], clef=None), *bars[1:]), fifths, style.line),
    )


def _pattern_words(pattern: Pattern) -> str:
    """The pattern's name and its cell; the catalogue's names begin with a capital in print."""
    name, text = pattern.name, pattern.text
    if name == text:
        return text
    if pattern.id in PATTERNS or pattern.id.startswith(PREFIX):
        name = name[:1].upper() + name[1:]
    return f"{name}, {text}"


def _heading(run: Run, key: Key, language: Language) -> str:
    """The key as players say it; for one chord, its root alone."""
    if language is Language.MOVABLE:  # do is every tonic's name
        language = Language.ENGLISH
    tonic = show_name(key.tonic, language, glyphs=True)
    if run.pattern.mode is Mode.ROOT and not run.pattern.roots:
        return tonic
    return f"{tonic} {SCALES[key.scale].label}"


def printed_signature(runs: tuple[Run, ...]) -> int:
    """Sharps (flats when negative) of the signature that is printed over runs in one key.

    0 where the key has more than 7, and for cells on moving roots that leave the
    key: there every accidental is printed (common practice in jazz).
    """
    fifths = signature(runs[0].key)
    if abs(fifths) > MOST_FIFTHS:
        return 0
    if runs[0].pattern.mode is Mode.ROOT:
        altered = {name.letter: name.alter for name in signature_names(fifths)}
        notes = [note for run in runs for cell in run.cells for note in cell.notes]
        if any(note.alter != altered.get(note.letter, 0) for note in notes):
            return 0
    return fifths


def runs_on(run: Run, after: Run) -> bool:
    """Whether the run down begins on the tonic on which the run up ends."""
    same = (run.pattern, run.key) == (after.pattern, after.key)
    return same and run.direction is not after.direction and after.cells[0].notes[0] == run.close


def _bars(runs: tuple[Run, ...], style: Style) -> list[Bar]:
    """The bars of runs that follow one another."""
    found: list[Bar] = []
    level = ""
    for index, run in enumerate(runs):
        after = runs[index + 1] if index + 1 < len(runs) else None
        once = style.joined and after is not None and runs_on(run, after)
        units = _units(run, style, close=not once, level=level)
        if style.dynamics:
            level = _loud(run.direction)
        bars = list(_in_bars(units))
        end = End.FINAL if after is None else End.PLAIN if once else End.DOUBLE
        bars[-1] = replace(bars[-1], end=end)
        found.extend(bars)
    return found


def _loud(direction: Direction) -> Sign:
    return Sign.F if direction is Direction.UP else Sign.P


def _units(run: Run, style: Style, *, close: bool, level: str) -> list[_Unit]:
    """The cells of a run and its held tonic, with slurs, marks and signs.

    ``level`` is the dynamic at which the run before ended; empty for none.
    """
    joins = _slurs(run, style, close=close)
    labelled = style.given is not Given.ALL or style.degrees
    units: list[_Unit] = []
    at = 0
    for index, cell in enumerate(run.cells):
        is_open = _is_open(style, index, cell.degree)
        beams = beamed(len(cell.notes))
        written = []
        for place, note in enumerate(cell.notes):
            written.append(
                Written(
                    note,
                    1,
                    is_open,
                    beam=Beam.NONE if is_open else beams[place],
                    slur_begins=joins[at] and not (at and joins[at - 1]),
                    slur_ends=not joins[at] and at > 0 and joins[at - 1],
                    mark=None if is_open else _mark(style.tonguing, place),
                    label=cell.label if labelled and place == 0 else "",
                )
            )
            at += 1
        units.append(_Unit(tuple(written)))
    if close:
        held = Written(
            run.close,
            _held_eighths(len(run.cells[-1].notes)),
            style.given is not Given.ALL,
            slur_ends=joins[at - 1],
            label=str(run.close_degree) if labelled else "",
        )
        units.append(_Unit((held,), True))
    if style.dynamics:
        _add_dynamics(units, run.direction, level)
    return units


def _is_open(style: Style, index: int, degree: int) -> bool:
    """Whether a worksheet leaves a cell for the student."""
    if style.asked and degree not in style.asked:
        return False
    match style.given:
        case Given.ALL:
            return False
        case Given.FIRST:
            return index > 0
        case Given.EVERY_OTHER:
            return index % 2 == 1
    return True


def _held_eighths(size: int) -> int:
    """The held tonic is a half note, dotted where the cells go in threes."""
    return {3: 3, 6: 6}.get(size, 4)


def beamed(size: int) -> tuple[Beam, ...]:
    """The beams over a cell: one beam up to six notes, then groups of three and four."""
    if size == 1:
        return (Beam.NONE,)
    groups = 1 if size <= 6 else -(-size // 4)
    small, larger = divmod(size, groups)
    beams: list[Beam] = []
    for group in range(groups):
        length = small + (group < larger)
        beams += [Beam.BEGIN, *[Beam.CONTINUE] * (length - 2), Beam.END]
    return tuple(beams)


def _slurs(run: Run, style: Style, *, close: bool) -> list[bool]:
    """Whether each note is slurred into the next: as the sound room plays the run."""
    count = sum(len(cell.notes) for cell in run.cells) + close
    if style.tonguing is None or style.given is not Given.ALL:
        # A slur needs both its ends: where notes are left open the student writes it in.
        return [False] * count
    phrase = Phrase(
        tuple(tuple(note.midi for note in cell.notes) for cell in run.cells),
        run.direction,
        run.close.midi if close else None,
    )
    take = phrase_take((phrase,), Manner(tonguing=style.tonguing, seed=style.seed))
    return [event.slur_out_s > 0 for event in take.events]


_MARKS = {
    Tonguing.TENUTO: Mark.TENUTO,
    Tonguing.STACCATO: Mark.STACCATO,
    Tonguing.STACCATISSIMO: Mark.STACCATISSIMO,
    Tonguing.PORTATO: Mark.PORTATO,
    Tonguing.ACCENT: Mark.ACCENT,
    Tonguing.MARCATO: Mark.MARCATO,
}


def _mark(tonguing: Tonguing | None, place: int) -> Mark | None:
    if tonguing is Tonguing.FIRST_ACCENTED:
        return Mark.ACCENT if place == 0 else None
    return _MARKS.get(tonguing) if tonguing else None


def _add_dynamics(units: list[_Unit], direction: Direction, level: str) -> None:
    """A hairpin over the run, between the two dynamics."""
    rising = direction is Direction.UP
    start, end = (Sign.P, Sign.F) if rising else (Sign.F, Sign.P)
    hairpin = Sign.CRESCENDO if rising else Sign.DIMINUENDO
    opening = (hairpin,) if start == level else (start, hairpin)
    _sign(units, 0, 0, opening)
    _sign(units, len(units) - 1, len(units[-1].notes) - 1, (Sign.STOP, end))


def _sign(units: list[_Unit], index: int, place: int, signs: tuple[Sign, ...]) -> None:
    notes = list(units[index].notes)
    notes[place] = replace(notes[place], signs=notes[place].signs + signs)
    units[index] = replace(units[index], notes=tuple(notes))


def _in_bars(units: list[_Unit]) -> Iterator[Bar]:
    """Bars of one cell, or of four or two where cells have one or two notes; the held tonic
    has its own."""
    cells = [unit for unit in units if not unit.held]
    size = len(cells[0].notes)
    each = {1: 4, 2: 2}.get(size, 1)
    for at in range(0, len(cells), each):
        notes = tuple(note for unit in cells[at : at + each] for note in unit.notes)
        if size == 1:
            beams = beamed(len(notes))
            notes = tuple(
                replace(note, beam=Beam.NONE if any(each.open for each in notes) else beam)
                for note, beam in zip(notes, beams, strict=True)
            )
        yield Bar(notes, new_system=at == 0)
    for unit in units:
        if unit.held:
            yield Bar(unit.notes)


def _with_accidentals(bars: list[Bar], fifths: int) -> list[Bar]:
    """The bars with each accidental that must be printed."""
    signature_alters = {name.letter: name.alter for name in signature_names(fifths)}
    found = []
    for bar in bars:
        standing: dict[tuple[str, int], int] = {}
        notes = []
        for written in bar.notes:
            note = written.note
            if written.open:
                notes.append(written)
                continue
            height = (note.letter, note.octave)
            before = standing.get(height, signature_alters.get(note.letter, 0))
            standing[height] = note.alter
            notes.append(replace(written, accidental=note.alter != before))
        found.append(replace(bar, notes=tuple(notes)))
    return found


_SECOND_CLEFS = {"horn_f": Clef.BASS}
"""Horns whose low notes are read in a second clef, at the same pitch (common practice)."""
_LOW_CENTRE, _HIGH_CENTRE = Note("A", 0, 3).staff_step, Note("D", 0, 4).staff_step
"""A bar whose middle lies below the first is read in the second clef, above the other in the
horn's own; between them the clef stays."""


def _with_clefs(bars: list[Bar], horn: Instrument | None) -> Iterator[Bar]:
    """The bars, the first with the clef it begins in, others where it changes."""
    home = Clef(horn.clef) if horn else Clef.TREBLE
    second = _SECOND_CLEFS.get(horn.id) if horn else None
    now: Clef | None = None
    for bar in bars:
        clef = now or home
        steps = [written.note.staff_step for written in bar.notes]
        centre = (min(steps) + max(steps)) / 2
        if second and centre < _LOW_CENTRE:
            clef = second
        elif centre > _HIGH_CENTRE:
            clef = home
        yield replace(bar, clef=clef if clef is not now else None)
        now = clef


_EIGHTH, _ACCIDENTAL, _BAR, _HELD, _HEAD, _PER_FIFTH = 2.5, 1.1, 1.1, 6.4, 3.8, 1.15
"""Room in staff spaces that the engraver gives each; fitted to its own measures, see the test."""


def width_of(bar: Bar) -> float:
    """The least room that a bar needs, in staff spaces."""
    return _BAR + sum(
        (_EIGHTH if written.eighths == 1 else _HELD) + _ACCIDENTAL * written.accidental
        for written in bar.notes
    )


def _in_systems(bars: tuple[Bar, ...], fifths: int, line: float) -> tuple[Bar, ...]:
    """The bars with lines of music of even length.

    A run begins on a new line, unless all of them stand on one.
    """
    room = line - _HEAD - _PER_FIFTH * abs(fifths)
    if sum(map(width_of, bars)) <= room:
        return tuple(replace(bar, new_system=index == 0) for index, bar in enumerate(bars))
    found: list[Bar] = []
    starts = [index for index, bar in enumerate(bars) if bar.new_system] + [len(bars)]
    for begin, end in pairwise(starts):
        widths = [width_of(bar) for bar in bars[begin:end]]
        breaks = _even_breaks(widths, room)
        found += [
            replace(bar, new_system=index in breaks) for index, bar in enumerate(bars[begin:end])
        ]
    return tuple(found)


def _even_breaks(widths: list[float], room: float) -> set[int]:
    """The bars that begin a line, the first included: the fewest lines, as even as can be."""
    for lines in range(1, len(widths) + 1):
        breaks, at = {0}, 0
        for number in range(lines):
            share = -(-(len(widths) - at) // (lines - number))
            if sum(widths[at : at + share]) > room and share > 1:
                break
            at += share
            if at < len(widths):
                breaks.add(at)
        else:
            return breaks
    return set(range(len(widths)))
