"""From runs to bars: what is beamed, slurred and marked, and which accidentals are printed.

A cell is a bar of eighths under one beam; two cells of two notes fill a bar, the last with the
held tonic where it stands alone; an octave of single notes is a bar.  No time signature is
printed, and the files say the same metre, bar by bar.  An accidental is printed where the
note differs from the signature and from what stands before it in its bar at its height
(common practice).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import groupby

from drill.paper.score import ArticulationMark, Bar, BarLine, Beam, Clef, Section, Sign, Written
from drill.paper.systems import in_systems
from drill.sound.phrasing import Manner, Phrase, phrase_take
from drill.terms import Cell, Direction, Instrument, Key, Mode, Pattern, Run, Tonguing
from drill.theory.chords import PREFIX
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.theory.patterns import PATTERNS
from drill.theory.scales import SCALES, signature, signature_names
from drill.theory.symbols import symbol_parts
from drill.wording.remarks import remark_told
from drill.wording.voice import Script, Voice

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
    signatures: bool = True
    """False prints no signature, as a worksheet may: then every accidental of a given cell is."""
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
    drafts = []
    for _, group in groupby(runs, key=lambda each: (each[0].pattern, each[0].key)):
        members = list(group)
        drafts.append(_draft(tuple(run for run, _ in members), members[0][1], style))
    found: list[Section] = []
    for _, same in groupby(drafts, key=lambda draft: draft.group):
        found += in_systems(list(same), horn, style.line)
    return tuple(found)


def _draft(runs: tuple[Run, ...], concert: Key, style: Style) -> Section:
    """A section before its lines of music and its clefs are known."""
    first = runs[0]
    fifths = printed_signature(runs) if style.signatures else 0
    return Section(
        _pattern_words(first.pattern),
        _heading(first, first.key, style.language),
        "" if concert == first.key else _heading(first, concert, style.language),
        _remarks(runs, style.language),
        fifths,
        Clef.TREBLE,
        tuple(_with_accidentals(_bars(runs, style), fifths)),
        concert,
    )


def _remarks(runs: tuple[Run, ...], language: Language) -> tuple[str, ...]:
    """What was left out or moved to fit the horn, once where it is so both ways."""
    said: dict[str, list[str]] = {}
    voice = Voice(language, Script.SIGNS)
    for run in runs:
        for remark in run.remarks:
            told = voice.text(remark_told(remark, run))
            said.setdefault(told, []).append(run.direction.value)
    return tuple(
        remark if len(ways) == len(runs) else f"{ways[0]}: {remark}"
        for remark, ways in said.items()
    )


def _pattern_words(pattern: Pattern) -> str:
    """The pattern's name and its cell; the catalogue's names begin with a capital in print."""
    name, text = pattern.name, pattern.text
    if name == text or (pattern.chords and pattern.roots):
        return name
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
    units: list[_Unit] = []
    level = ""
    for index, run in enumerate(runs):
        after = runs[index + 1] if index + 1 < len(runs) else None
        once = style.joined and after is not None and runs_on(run, after)
        units += _units(run, style, close=not once, level=level, before=len(units))
        if style.dynamics:
            level = _loud(run.direction)
        if once and len(run.cells[-1].notes) == 2 and len(units) % 2:
            continue  # the last cell going up and the first coming down fill a bar
        bars = list(_in_bars(units, len(SCALES[run.key.scale].up)))
        end = BarLine.FINAL if after is None else BarLine.PLAIN if once else BarLine.DOUBLE
        bars[-1] = replace(bars[-1], end=end)
        found.extend(bars)
        units = []
    return found


def _loud(direction: Direction) -> Sign:
    return Sign.F if direction is Direction.UP else Sign.P


def _units(run: Run, style: Style, *, close: bool, level: str, before: int) -> list[_Unit]:
    """The cells of a run and its held tonic, with slurs, marks and signs.

    ``level`` is the dynamic at which the run before ended, empty for none; ``before`` is how many
    cells stand before it without a bar line between.
    """
    joins = _slurs(run, style, close=close)
    labelled = style.given is not Given.ALL or style.degrees
    units: list[_Unit] = []
    size = len(SCALES[run.key.scale].up)
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
                    label=_above(cell, labelled, size, style.language) if place == 0 else "",
                    chord=cell.symbol if place == 0 else "",
                    function=bool(cell.function),
                )
            )
            at += 1
        units.append(_Unit(tuple(written)))
    if close:
        held = Written(
            run.close,
            _held_eighths(len(run.cells[-1].notes), before + len(run.cells)),
            style.given is not Given.ALL,
            slur_ends=joins[at - 1],
            label=degree_label(str(run.close_degree), size) if labelled else "",
        )
        units.append(_Unit((held,), True))
    if style.dynamics:
        _add_dynamics(units, run.direction, level)
    return units


def _above(cell: Cell, labelled: bool, size: int, language: Language) -> str:
    """What stands above a cell: a chord's function or symbol always, a degree where asked for."""
    if cell.function:
        return cell.function.replace("b", "♭").replace("#", "♯")
    if not cell.symbol:
        return degree_label(cell.label, size) if labelled else ""
    root, kind, bass = symbol_parts(cell.symbol)
    letters = Language.ENGLISH if language is Language.MOVABLE else language
    signs = kind.replace("b", "♭").replace("#", "♯")
    under = f"/{show_name(bass, letters, glyphs=True)}" if bass else ""
    return f"{show_name(root, letters, glyphs=True)}{signs}{under}"


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


def degree_label(label: str, size: int) -> str:
    """A degree as players count it: 1 to 7 in every octave, 8 the tonic above.

    ``size`` is the number of notes in the scale's octave; what is no number stays.
    """
    plain = label.rstrip(".")
    if not plain.isdecimal() or int(plain) <= size + 1:
        return plain
    step = (int(plain) - 1) % size + 1
    return str(size + 1 if step == 1 else step)


def _held_eighths(size: int, cells: int) -> int:
    """The held tonic after so many cells of a size is a half note, dotted where the cells go in
    threes; a quarter where it fills the bar of a last cell of two notes."""
    if size == 2:
        return 2 if cells % 2 else 4
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
    Tonguing.TENUTO: ArticulationMark.TENUTO,
    Tonguing.STACCATO: ArticulationMark.STACCATO,
    Tonguing.STACCATISSIMO: ArticulationMark.STACCATISSIMO,
    Tonguing.PORTATO: ArticulationMark.PORTATO,
    Tonguing.ACCENT: ArticulationMark.ACCENT,
    Tonguing.MARCATO: ArticulationMark.MARCATO,
}


def _mark(tonguing: Tonguing | None, place: int) -> ArticulationMark | None:
    if tonguing is Tonguing.FIRST_ACCENTED:
        return ArticulationMark.ACCENT if place == 0 else None
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


def _in_bars(units: list[_Unit], octave: int) -> Iterator[Bar]:
    """Bars of one cell, of two where cells have two notes, or of an octave of single notes; the
    held tonic has its own, or fills that of a last cell of two."""
    cells = [unit for unit in units if not unit.held]
    held = [unit for unit in units if unit.held]
    size = len(cells[0].notes)
    each = {1: octave, 2: 2}.get(size, 1)
    for at in range(0, len(cells), each):
        notes = tuple(note for unit in cells[at : at + each] for note in unit.notes)
        if size == 1:
            beams = beamed(len(notes))
            notes = tuple(
                replace(note, beam=Beam.NONE if any(each.open for each in notes) else beam)
                for note, beam in zip(notes, beams, strict=True)
            )
        if size == 2 and len(notes) == 2 and held:
            notes += held.pop(0).notes
        yield Bar(notes, new_system=at == 0)
    for unit in held:
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
