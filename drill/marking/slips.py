"""Slips of order: another name, the prompt before, signs turned over, concert pitch, direction,
degree, length, shape.

Each test takes a ``Case`` and yields the explanations of its class that fit exactly,
the best first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from drill.marking.accidentals import key_before
from drill.marking.case import Case
from drill.marking.facts import (
    Bare,
    Crossed,
    OctaveOff,
    OnOther,
    OtherShape,
    OtherWay,
    Pair,
    Rest,
    Shaped,
    Turned,
)
from drill.marking.forms import Names, agree, catalogue, root_form, same, spelled
from drill.marking.verdict import Marked, Outcome
from drill.terms import Descent, Direction, Instrument, Name, shape_text
from drill.theory.keys import concert_key
from drill.theory.scales import fifths_of, name_of_fifths
from drill.theory.spelling import moved, parse_name
from drill.theory.symbols import symbol_parts


def right_sound(case: Case) -> Iterator[Pair]:
    """Every note sounds right, and one at least has another name than the key gives it."""
    if not case.off or any(case.marked[at].outcome is not Outcome.NAME for at in case.off):
        return
    yield Pair(case.answer[case.off[0]], case.expected[case.off[0]])


def prompt_before(case: Case) -> Iterator[Bare]:
    """The cell of the prompt before, typed again."""
    before = case.question.before
    if before is not None and case.is_cell(before.cell):
        # In one run the degree is what was mistaken.
        same_run = (before.key, before.pattern.cells) == (case.key, case.pattern.cells)
        if not (same_run and before.cell.direction is case.cell.direction):
            yield Bare()


def signs_turned(case: Case) -> Iterator[Turned]:
    """Every letter right, and each note that is not right has its sign turned over."""
    if not case.off or not case.same_letters():
        return
    pairs = [(case.answer[at].alter, case.expected[at].alter) for at in case.off]
    if all(want and got == -want for got, want in pairs):
        kept = any(want.alter for at, want in enumerate(case.expected) if at not in case.off)
        if kept and next(key_before(case), None) is not None:
            return  # one sign among right ones comes from the key before
        wanted = {want > 0 for _, want in pairs}
        if len(wanted) == 1:
            yield Turned(sharps=wanted == {True})


def concert_pitch(case: Case) -> Iterator[Bare]:
    """The notes that sound when the horn plays the cell, by the concert key's letters."""
    horn = case.question.horn
    if horn is None or horn.semitones % 12 == 0 or not case.same_length:
        return
    away = set()
    for got, want, sound in zip(case.answer, case.expected, case.by_sound, strict=True):
        by = fifths_of(got) - fifths_of(moved(want, horn.steps, horn.semitones))
        if by % 12:
            return
        if not sound:
            away.add(by)
    if away <= {0} or (len(away) == 1 and away <= _concert_respelled(case, horn)):
        yield Bare()


def _concert_respelled(case: Case, horn: Instrument) -> set[int]:
    """How many fifths the concert key may lie from the strict one: as it is usually named, and
    either way where both names are in use (5 accidentals or more)."""
    if not case.keyed:
        return {-12, 12}
    strict = moved(case.key.tonic, horn.steps, horn.semitones)
    usual = concert_key(case.key, horn).tonic
    both = {-12, 12} if abs(fifths_of(usual)) >= 5 else set()
    return {fifths_of(usual) - fifths_of(strict)} | both


def octave(case: Case) -> Iterator[OctaveOff]:
    """The right names, and an octave typed that is not the note's."""
    if not case.agrees_with(case.expected):
        return
    wrong = [
        (note.octave - want.octave, want)
        for note, want in zip(case.typed, case.cell.notes, strict=True)
        if note.octave is not None and note.octave != want.octave
    ]
    if not wrong:
        return
    off, want = wrong[0]
    typed = sum(note.octave is not None for note in case.typed)
    whole = len(wrong) == typed > 1 and len({by for by, _ in wrong}) == 1 and abs(off) == 1
    yield OctaveOff(case.cell.notes[0] if whole else want, off, whole)


def other_direction(case: Case) -> Iterator[OtherWay]:
    """The cell on this degree as it goes the other way; or the scale's other form."""
    if not case.keyed:
        return
    here = case.cell.direction
    other = Direction.DOWN if here is Direction.UP else Direction.UP
    starts = [case.start]
    if case.clip and case.start % case.size == 0:
        # The tonic a clipped run goes up from is not the one that it comes down from.
        starts = [0, case.clip]
    # In a cycle of cells the way down may have another of them here.
    shapes = (case.shape, *(each for each in case.pattern.cells if each != case.shape))
    if any(
        case.fits(case.form(other, start, each), start, other)
        for each in shapes
        for start in starts
    ):
        yield OtherWay(other, scale=False)
    elif case.scale.up != case.scale.down and not case.scale_by_sound:
        form = case.form(here, case.start)
        if case.fits(form, case.start, other):
            yield OtherWay(other, scale=True)


def other_degree(case: Case) -> Iterator[OnOther]:
    """The cell on another degree, in this key and direction; the nearest first."""
    own = case.cell
    cells = sorted(case.question.run.cells, key=lambda cell: abs(cell.degree - own.degree))
    for cell in cells:
        if cell.direction is own.direction and cell.degree != own.degree and case.is_cell(cell):
            if case.keyed:
                yield OnOther(cell.label, before=_was_before(case))
            else:
                root = parse_name(cell.label)
                yield OnOther("", root, _was_before(case), cell.symbol)
            return
    if not case.keyed:
        return
    for shape in case.pattern.cells:
        for start in sorted(range(case.size), key=lambda at: _away(at, case.start, case.size)):
            if (start - case.start) % case.size == 0:
                continue
            if case.fits(case.form(own.direction, start, shape), start, own.direction):
                yield OnOther(case.start_label(start, own.direction), before=_was_before(case))
                return


def _away(start: int, here: int, size: int) -> int:
    """Steps round the scale from one start to another."""
    up = (start - here) % size
    return min(up, size - up)


def _was_before(case: Case) -> bool:
    before = case.question.before
    return before is not None and before.key == case.key and case.is_cell(before.cell)


def backwards(case: Case) -> Iterator[Bare]:
    """The cell from its last note to its first."""
    if case.same_length and agree(case.answer, case.expected[::-1], case.by_sound[::-1]):
        yield Bare()


def swapped(case: Case) -> Iterator[Crossed]:
    """The right notes, two of them in each other's place; or all of them in another order."""
    if not case.off:
        return
    if len(case.off) == 2:
        first, second = case.off
        crossed = same(
            case.answer[first], case.expected[second], by_sound=case.by_sound[second]
        ) and same(case.answer[second], case.expected[first], by_sound=case.by_sound[first])
        if crossed:
            yield Crossed(case.expected[first], case.expected[second])
    elif Counter(case.answer) == Counter(case.expected):
        yield Crossed(None, None)


def stopped_early(case: Case) -> Iterator[Rest]:
    """The beginning of the cell."""
    got = len(case.answer)
    if got < len(case.expected) and _begun(case, got):
        yield Rest(case.expected[got:])


def ran_on(case: Case) -> Iterator[Bare]:
    """The cell and the beginning of what comes after it."""
    want = len(case.expected)
    if len(case.answer) <= want or not _begun(case, want):
        return
    rest = case.answer[want:]
    for names, flags in _following(case):
        if agree(rest, names[: len(rest)], flags[: len(rest)]):
            yield Bare()
            return


def _following(case: Case) -> Iterator[tuple[Names, tuple[bool, ...]]]:
    """The notes after the cell, with those that any name of the sound will do for: as the run
    has them, to its closing tonic, and as the pattern would go on."""
    run = case.question.run
    after = run.cells[case.question.index + 1 :][:1]
    if after:
        cell = after[0]
        names = tuple(note.name for note in cell.notes)
        yield _padded(names, cell.by_sound or (False,) * len(names), run.close.name)
    else:
        yield _padded((run.close.name,), (False,), run.close.name)
    if case.keyed:
        step = case.pattern.moves_by * (1 if case.cell.direction is Direction.UP else -1)
        start = case.start + step
        form = case.form(case.cell.direction, start)
        names = spelled(case.scale.names(case.cell.direction), form, start)
        flags = tuple(case.scale_by_sound or bool(sign) for _, sign in form)
        yield _padded(names, flags, run.close.name)


_LONGEST = 32
"""Notes typed after a cell that are looked at."""


def _padded(names: Names, flags: tuple[bool, ...], close: Name) -> tuple[Names, tuple[bool, ...]]:
    """The notes with the tonic after them, as many as can have been typed."""
    more = max(0, _LONGEST - len(names))
    return names + (close,) * more, flags + (False,) * more


def _begun(case: Case, many: int) -> bool:
    """Whether the first notes of the answer are the first of the cell."""
    return agree(case.answer[:many], case.expected[:many], case.by_sound[:many])


def other_shape(case: Case) -> Iterator[OtherShape]:
    """Another cell that players know, on this degree and begun on the right note."""
    if not case.keyed:
        yield from _root_shape(case)
        return
    here = case.cell.direction
    yield from _ending(case)
    for other in case.pattern.cells:
        if other != case.shape and case.fits(case.form(here, case.start, other), case.start, here):
            yield OtherShape(Shaped.CYCLE, shape_text(other))
            return
    if here is Direction.DOWN:
        for descent in Descent:
            form = case.form_by(descent, here, case.start, clip=case.clip)
            if descent is not case.pattern.descent and case.fits(form, case.start, here):
                yield OtherShape(Shaped.DESCENT, descent=descent)
                return
    # Two notes are no shape of their own where more were asked for.
    least = min(3, len(case.expected))
    begun = case.answer and same(case.answer[0], case.expected[0], by_sound=case.by_sound[0])
    if not begun or len(case.answer) < least:
        return
    before = case.question.before
    fitting = [
        pattern for pattern, form in catalogue(case.size, here) if case.fits(form, case.start, here)
    ]
    if before is not None:
        fitting.sort(key=lambda pattern: pattern.cells != before.pattern.cells)
    for pattern in fitting[:1]:
        again = before is not None and before.pattern.cells == pattern.cells
        how = Shaped.BEFORE if again else Shaped.CATALOGUE
        yield OtherShape(how, pattern.text, pattern)


def _ending(case: Case) -> Iterator[OtherShape]:
    """Past the octave where a clipped run turns back there."""
    here = case.cell.direction
    if not case.clip:
        return
    own = case.form(here, case.start)
    form = case.form_by(case.pattern.descent, here, case.start)
    if form != own and case.fits(form, case.start, here):
        yield OtherShape(Shaped.PAST)


def _root_shape(case: Case) -> Iterator[OtherShape]:
    """Root mode: another cell of the cycle on this root."""
    above = root_intervals(case, parse_name(case.cell.label))
    for other in case.pattern.cells:
        if other != case.shape and root_form(other) == above:
            yield OtherShape(Shaped.CYCLE, shape_text(other))
            return


def root_intervals(case: Case, root: Name) -> tuple[int, ...]:
    """The answer as fifths above a root, in the order in which the cell is written upward."""
    return tuple(fifths_of(note) - fifths_of(root) for note in upward(case, case.answer))


def upward(case: Case, names: Names) -> Names:
    """The notes as the cell is written upward: turned round where the run comes down so."""
    down = case.cell.direction is Direction.DOWN
    return names[::-1] if down and case.pattern.descent is not Descent.SAME_SHAPE else names


def one_letter(case: Case) -> Iterator[Pair]:
    """One note off, and nothing else."""
    if len(case.off) == 1:
        yield Pair(case.answer[case.off[0]], case.expected[case.off[0]])


def other_root(case: Case) -> Iterator[OnOther]:
    """Root mode: the right cell on a root that the run does not visit."""
    if case.keyed or not case.same_length:
        return
    away = fifths_of(case.answer[0]) - fifths_of(case.expected[0])
    if away and all(
        fifths_of(got) - fifths_of(want) == away
        for got, want in zip(case.answer, case.expected, strict=True)
    ):
        root = name_of_fifths(fifths_of(parse_name(case.cell.label)) + away)
        if abs(root.alter) <= 1:
            yield OnOther("", root, symbol=_symbol_on(case, root))


def _symbol_on(case: Case, root: Name) -> str:
    """The chord asked for on another root; empty where the cell is none, or is inverted."""
    if not case.cell.symbol:
        return ""
    _, kind, bass = symbol_parts(case.cell.symbol)
    return "" if bass else f"{root}{kind}"


def left_out(case: Case) -> Iterator[Rest]:
    """Every note right but for some that are missing."""
    marks = [mark for mark in case.marked if mark.expected is not None]
    yield from _beside_right(case, Outcome.MISSING, zip(case.expected, marks, strict=True))


def too_many(case: Case) -> Iterator[Rest]:
    """Every note right, and some that are not in the cell."""
    marks = [mark for mark in case.marked if mark.typed is not None]
    yield from _beside_right(case, Outcome.EXTRA, zip(case.answer, marks, strict=True))


def _beside_right(case: Case, odd: Outcome, names: Iterable[tuple[Name, Marked]]) -> Iterator[Rest]:
    """The names of that outcome, where every other note is right."""
    if {mark.outcome for mark in case.marked} <= {Outcome.RIGHT, odd}:
        yield Rest(tuple(name for name, mark in names if mark.outcome is odd))
