"""Slips of reading and of order: another name, concert pitch, direction, degree, shape, length.

Each test takes a ``Case`` and yields the explanations of its class that fit exactly,
the best first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from drill.marking.case import Case
from drill.marking.forms import agree, chord_forms, root_form, same
from drill.marking.verdict import Hypothesis, Outcome, Slip
from drill.terms import Descent, Direction, Pattern, shape_text
from drill.theory.names import show_name
from drill.theory.scales import fifths_of, name_of_fifths
from drill.theory.spelling import parse_name

Found = Iterator[Hypothesis]


def right_sound(case: Case) -> Found:
    """Every note sounds right, and one at least has another name than the key gives it."""
    if not case.off or any(case.marked[at].outcome is not Outcome.NAME for at in case.off):
        return
    got, want = case.answer[case.off[0]], case.expected[case.off[0]]
    where = f"in {case.voice.key(case.key)}" if case.keyed else "here"
    yield Hypothesis(
        Slip.NAME,
        f"right sound, wrong name: {where} it is written {case.say(want)}, not {case.say(got)}",
    )


def concert_pitch(case: Case) -> Found:
    """The notes that sound when the horn plays the cell."""
    horn = case.question.horn
    if horn is None or horn.semitones % 12 == 0 or not case.same_length:
        return
    if all(
        (want.pitch_class + horn.semitones - got.pitch_class) % 12 == 0
        for got, want in zip(case.answer, case.expected, strict=True)
    ):
        yield Hypothesis(
            Slip.CONCERT,
            f"those are the sounding notes: write what you read, {case.show(case.expected)}",
        )


def octave(case: Case) -> Found:
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
    if len(wrong) == typed > 1 and len({by for by, _ in wrong}) == 1 and abs(off) == 1:
        way = "high" if off > 0 else "low"
        said = f"right names, an octave too {way}: it begins on"
        want = case.cell.notes[0]
    else:
        said = "right names, wrong octave: the note is"
    shown = show_name(want.name, case.voice.language, key=case.key)
    yield Hypothesis(Slip.OCTAVE, f"{said} {shown}{want.octave}")


def other_direction(case: Case) -> Found:
    """The cell on this degree as it goes the other way; or the scale's other form."""
    if not case.keyed:
        return
    here = case.cell.direction
    other = Direction.DOWN if here is Direction.UP else Direction.UP
    way = "coming down" if other is Direction.DOWN else "going up"
    goes = "comes down" if here is Direction.DOWN else "goes up"
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
        yield Hypothesis(
            Slip.DIRECTION, f"that is the cell on {case.cell.label} {way}; this one {goes}"
        )
        return
    if case.scale.up != case.scale.down and not case.scale_by_sound:
        form = case.form(here, case.start)
        if case.fits(form, case.start, other):
            yield Hypothesis(
                Slip.DIRECTION,
                f"those are the notes of {case.voice.key(case.key)} {way}; this one {goes}: "
                f"{case.show(case.expected)}",
            )


def other_degree(case: Case) -> Found:
    """The cell on another degree, in this key and direction; the nearest first."""
    own = case.cell
    cells = sorted(case.question.run.cells, key=lambda cell: abs(cell.degree - own.degree))
    for cell in cells:
        if cell.direction is own.direction and cell.degree != own.degree and case.is_cell(cell):
            yield _on_degree(case, case.label(cell))
            return
    if not case.keyed:
        return
    for shape in case.pattern.cells:
        for start in sorted(range(case.size), key=lambda at: _away(at, case.start, case.size)):
            if (start - case.start) % case.size == 0:
                continue
            if case.fits(case.form(own.direction, start, shape), start, own.direction):
                yield _on_degree(case, case.start_label(start, own.direction))
                return


def _away(start: int, here: int, size: int) -> int:
    """Steps round the scale from one start to another."""
    up = (start - here) % size
    return min(up, size - up)


def _on_degree(case: Case, label: str) -> Hypothesis:
    before = case.question.before
    again = before is not None and before.key == case.key and case.is_cell(before.cell)
    return Hypothesis(
        Slip.DEGREE,
        f"that is the cell on {label}{', the one before' if again else ''}; "
        f"asked was the one on {case.label(case.cell)}",
        f"the cell on {label}",
    )


def backwards(case: Case) -> Found:
    """The cell from its last note to its first."""
    if case.same_length and agree(case.answer, case.expected[::-1], case.by_sound[::-1]):
        yield Hypothesis(Slip.BACKWARDS, f"read backwards: the cell is {case.show(case.expected)}")


def swapped(case: Case) -> Found:
    """The right notes, two of them in each other's place; or all of them in another order."""
    if not case.off:
        return
    if len(case.off) == 2:
        first, second = case.off
        crossed = same(
            case.answer[first], case.expected[second], by_sound=case.by_sound[second]
        ) and same(case.answer[second], case.expected[first], by_sound=case.by_sound[first])
        if crossed:
            earlier, later = case.say(case.expected[first]), case.say(case.expected[second])
            yield Hypothesis(Slip.SWAPPED, f"two notes swapped: {earlier} comes before {later}")
    elif Counter(case.answer) == Counter(case.expected):
        yield Hypothesis(
            Slip.SWAPPED, f"the right notes in another order: {case.show(case.expected)}"
        )


def length(case: Case) -> Found:
    """The beginning of the cell, or the cell and more."""
    got, want = len(case.answer), len(case.expected)
    common = min(got, want)
    if got == want or not agree(
        case.answer[:common], case.expected[:common], case.by_sound[:common]
    ):
        return
    if got < want:
        rest = case.show(case.expected[got:])
        yield Hypothesis(Slip.STOPPED, f"stopped early: {rest} is still to come")
    else:
        yield Hypothesis(Slip.RAN_ON, f"ran on: the cell ends on {case.say(case.expected[-1])}")


def other_shape(case: Case) -> Found:
    """Another cell that players know, on this degree and begun on the right note."""
    if not case.keyed:
        yield from _root_shape(case)
        return
    here = case.cell.direction
    yield from _ending(case)
    for other in case.pattern.cells:
        if other != case.shape and case.fits(case.form(here, case.start, other), case.start, here):
            yield _shape(case, shape_text(other), "which is asked on other degrees")
            return
    if here is Direction.DOWN:
        for descent in Descent:
            form = case.form_by(descent, here, case.start, clip=case.clip)
            if descent is not case.pattern.descent and case.fits(form, case.start, here):
                yield Hypothesis(
                    Slip.SHAPE,
                    f"that comes down another way ({_WAYS[descent]}); this pattern comes down "
                    f"{_WAYS[case.pattern.descent]}",
                )
                return
    # Two notes are no shape of their own where more were asked for.
    least = min(3, len(case.expected))
    begun = case.answer and same(case.answer[0], case.expected[0], by_sound=case.by_sound[0])
    if not begun or len(case.answer) < least:
        return
    before = case.question.before
    fitting = [
        pattern
        for pattern, form in case.forms.catalogue(case.key, here)
        if case.fits(form, case.start, here)
    ]
    if before is not None:
        fitting.sort(key=lambda pattern: pattern.cells != before.pattern.cells)
    for pattern in fitting[:1]:
        yield _shape(case, pattern.text, _asked_before(case, pattern))


_WAYS = {
    Descent.MIRROR: "in mirror",
    Descent.SAME_SHAPE: "in the same shape",
    Descent.RETROGRADE: "backwards",
    Descent.RETROGRADE_INVERSION: "in mirror and backwards",
    Descent.CHORD_TONES: "on the chord's own tones",
}


def _ending(case: Case) -> Found:
    """Past the octave where a clipped run turns back there."""
    here = case.cell.direction
    if not case.clip:
        return
    own = case.form(here, case.start)
    form = case.form_by(case.pattern.descent, here, case.start)
    if form != own and case.fits(form, case.start, here):
        yield Hypothesis(Slip.SHAPE, "past the octave: this run turns back there")


def _asked_before(case: Case, pattern: Pattern) -> str:
    before = case.question.before
    if before is not None and before.pattern.cells == pattern.cells:
        return "the cell asked before"
    return pattern.name


def _shape(case: Case, text: str, name_of_it: str) -> Hypothesis:
    return Hypothesis(Slip.SHAPE, f"that is {text}, {name_of_it}; asked was {case.cell.shape}")


def _root_shape(case: Case) -> Found:
    """Root mode: another cell of the cycle on this root, or another chord."""
    root = fifths_of(parse_name(case.cell.label))
    played = case.answer
    if case.cell.direction is Direction.DOWN and case.pattern.descent is not Descent.SAME_SHAPE:
        played = played[::-1]
    above = tuple(fifths_of(note) - root for note in played)
    for other in case.pattern.cells:
        if other != case.shape and root_form(other) == above:
            yield _shape(case, shape_text(other), "which is asked on other roots")
            return
    chord = chord_forms().get(above)
    if chord is not None and above != root_form(case.shape):
        yield _shape(case, "-".join(chord.formula), chord.name)


def one_letter(case: Case) -> Found:
    """One note off, and nothing else."""
    if len(case.off) == 1:
        got, want = case.answer[case.off[0]], case.expected[case.off[0]]
        yield Hypothesis(Slip.LETTER, f"one note off: {case.say(got)} for {case.say(want)}")


def other_root(case: Case) -> Found:
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
            yield Hypothesis(
                Slip.OTHER_KEY,
                f"that is the cell on {case.voice.tonic(root)}; "
                f"asked was the one on {case.label(case.cell)}",
            )


def unexplained(case: Case) -> Hypothesis:
    """What to say where nothing fits: what is missing or too many, and the cell."""
    outcomes = Counter(mark.outcome for mark in case.marked)
    outcomes.pop(Outcome.RIGHT, None)
    cell = f"the cell is {case.show(case.expected)}"
    if set(outcomes) == {Outcome.MISSING}:
        gone = [
            want
            for want, mark in zip(
                case.expected,
                (mark for mark in case.marked if mark.expected is not None),
                strict=True,
            )
            if mark.outcome is Outcome.MISSING
        ]
        return Hypothesis(Slip.UNEXPLAINED, f"{case.show(tuple(gone))} is missing: {cell}")
    if set(outcomes) == {Outcome.EXTRA}:
        extra = [
            got
            for got, mark in zip(
                case.answer, (mark for mark in case.marked if mark.typed is not None), strict=True
            )
            if mark.outcome is Outcome.EXTRA
        ]
        return Hypothesis(Slip.UNEXPLAINED, f"{case.show(tuple(extra))} is too many: {cell}")
    return Hypothesis(Slip.UNEXPLAINED, cell)
