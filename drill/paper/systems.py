"""From bars to lines of music: where a line ends, and in which clef a run is read."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from drill.paper.score import Bar, Clef, Section, Sign
from drill.terms import Instrument, Note

_SECOND_CLEFS = {"horn_f": Clef.BASS}
"""Horns whose low notes are read in a second clef, at the same pitch (common practice)."""
_HOME_LOW = Note("D", 0, 3).staff_step
"""The lowest note that is read in a treble clef without strain: four ledger lines."""
_SECOND_HIGH = Note("G", 0, 4).staff_step
"""The highest one in a bass clef."""


def _clefs(bars: Sequence[Bar], horn: Instrument | None) -> list[tuple[int, Clef]]:
    """The clef of a run, with the bar (from 0) from which it is read.

    A run keeps its clef; one that goes too low for the horn's own and too high for its second
    is parted once, where it leaves the low notes or comes to them.
    """
    home = Clef(horn.clef) if horn else Clef.TREBLE
    second = _SECOND_CLEFS.get(horn.id) if horn else None
    low, high = _ends(bars)
    if second is None or low >= _HOME_LOW:
        return [(0, home)]
    if high <= _SECOND_HIGH:
        return [(0, second)]
    deep = [_ends([bar])[0] < _HOME_LOW for bar in bars]
    rises = sum(_ends(bars[:1])) < sum(_ends(bars[-1:]))
    at = len(deep) - deep[::-1].index(True) if rises else deep.index(True)
    low_part = bars[:at] if rises else bars[at:]
    if not 0 < at < len(bars) or _ends(low_part)[1] > _SECOND_HIGH:
        return [(0, home)]
    return [(0, second), (at, home)] if rises else [(0, home), (at, second)]


def _ends(bars: Iterable[Bar]) -> tuple[int, int]:
    """The lowest and highest place on the staff."""
    steps = [written.note.staff_step for bar in bars for written in bar.notes]
    return min(steps), max(steps)


_EIGHTH, _ACCIDENTAL, _BAR, _HELD, _HEAD, _PER_FIFTH = 2.5, 1.1, 1.1, 6.4, 3.8, 1.15
"""Room in staff spaces that the engraver gives each; fitted to its own measures, see the test."""


def width_of(bar: Bar) -> float:
    """The least room that a bar needs, in staff spaces."""
    return _BAR + sum(
        (_EIGHTH if written.eighths == 1 else _HELD) + _ACCIDENTAL * written.accidental
        for written in bar.notes
    )


def in_systems(drafts: Sequence[Section], horn: Instrument | None, line: float) -> list[Section]:
    """Sections of one pattern with lines of music that are alike: as many bars on each in every
    key as the key with most accidentals has room for.

    A run begins on a new line, unless up and down stand on one in every key.
    """
    rooms = [line - _HEAD - _PER_FIFTH * abs(each.fifths) for each in drafts]
    together = all(
        sum(map(width_of, each.bars)) <= room for each, room in zip(drafts, rooms, strict=True)
    )
    most = min(_most_bars(each.bars, room) for each, room in zip(drafts, rooms, strict=True))
    return [_lined(each, horn, 0 if together else most) for each in drafts]


def _lined(draft: Section, horn: Instrument | None, most: int) -> Section:
    """The section with at most so many bars on a line, 0 for all on one, and its clefs."""
    bars = draft.bars
    runs = [index for index, bar in enumerate(bars) if bar.new_system]
    clefs: dict[int, Clef] = {}
    for begin, end in pairwise([*runs, len(bars)]):
        clefs |= {begin + at: clef for at, clef in _clefs(bars[begin:end], horn)}
    starts = sorted({*runs, *clefs}) if most else [0]
    breaks = set[int]()
    for begin, end in pairwise([*starts, len(bars)]):
        breaks |= {begin + at for at in _even_breaks(end - begin, most or end)}
    now: Clef | None = None
    made = []
    for index, bar in enumerate(bars):
        clef = clefs.get(index, now)
        made.append(
            replace(bar, new_system=index in breaks, clef=clef if clef is not now else None)
        )
        now = clef
    for at in set(clefs) - set(runs):
        made[at - 1 : at + 1] = _parted(made, at)
    made[0] = replace(made[0], clef=None)
    return replace(draft, clef=clefs[0], bars=tuple(made))


def _parted(bars: Sequence[Bar], at: int) -> tuple[Bar, Bar]:
    """The bars on both sides of a new clef: what spans them ends before it and begins anew."""
    notes = [written for bar in bars[:at] for written in bar.notes]
    slurred = sum(each.slur_begins for each in notes) > sum(each.slur_ends for each in notes)
    signs = [sign for each in notes for sign in each.signs]
    wedges = [sign for sign in signs if sign in (Sign.CRESCENDO, Sign.DIMINUENDO)]
    open_ = len(wedges) > signs.count(Sign.STOP)
    before, after = bars[at - 1], bars[at]
    last, first = before.notes[-1], after.notes[0]
    if slurred:
        last, first = replace(last, slur_ends=True), replace(first, slur_begins=True)
        if first.slur_ends:
            first = replace(first, slur_begins=False, slur_ends=False)
    if open_:
        last = replace(last, signs=(*last.signs, Sign.STOP))
        first = replace(first, signs=(wedges[-1], *first.signs))
    return (
        replace(before, notes=(*before.notes[:-1], last)),
        replace(after, notes=(first, *after.notes[1:])),
    )


def _most_bars(bars: Sequence[Bar], room: float) -> int:
    """How many bars that follow one another fit on a line, wherever it begins; at least 1."""
    widths = [width_of(bar) for bar in bars]
    most = len(widths)
    while most > 1 and any(
        sum(widths[at : at + most]) > room for at in range(len(widths) - most + 1)
    ):
        most -= 1
    return most


def _even_breaks(bars: int, most: int) -> set[int]:
    """The bars that begin a line, the first included: the fewest lines, as even as can be."""
    lines = -(-bars // most)
    breaks, at = set[int](), 0
    for number in range(lines):
        breaks.add(at)
        at += -(-(bars - at) // (lines - number))
    return breaks
