"""The sentences of slips of order, direction, degree, length, chord and shape."""

from __future__ import annotations

from drill.marking import facts
from drill.marking.question import AskedBefore, Question
from drill.terms import Cell, Descent, Direction, Mode, Name, Pattern
from drill.theory.chords import ChordKind
from drill.theory.spelling import parse_name
from drill.theory.symbols import written as symbol_body
from drill.wording.sentence import (
    Sentence,
    Spelled,
    chord,
    figures,
    going,
    pitch,
    prose,
    row,
    sentence,
    tonic,
    written,
)

WAYS = {
    Descent.MIRROR: "in mirror",
    Descent.SAME_SHAPE: "in the same shape",
    Descent.RETROGRADE: "backwards",
    Descent.RETROGRADE_INVERSION: "in mirror and backwards",
    Descent.CHORD_TONES: "on the chord's own tones",
}
_INVERSIONS = ("root position", "the first inversion", "the second inversion",
               "the third inversion", "the fourth inversion", "the fifth inversion",
               "the sixth inversion")  # fmt: skip


def cell_row(question: Question) -> Spelled:
    """The cell asked for, as it is usually written."""
    return row(question.cell.notes, question.run.key)


def where(pattern: Pattern, cell: Cell) -> Sentence:
    """What a cell stands on: a degree in digits, or a root by its name; a chord by its symbol."""
    if cell.symbol:
        return chord(cell.symbol)
    rooted = pattern.mode is Mode.ROOT
    return sentence(tonic(parse_name(cell.label)) if rooted else figures(cell.label))


def on(question: Question) -> Sentence:
    """What the cell asked for stands on."""
    return where(question.run.pattern, question.cell)


def _notes(question: Question, names: tuple[Name, ...]) -> Spelled:
    return row(names, question.run.key)


def _said(question: Question, name: Name) -> Spelled:
    return prose(name, question.run.key)


def unreadable(_: facts.Bare, __: Question) -> Sentence:
    """What is said where nothing better is known; see ``wording.reading`` for the reasons."""
    return sentence("that could not be read")


def the_cell(_: facts.Bare, question: Question) -> Sentence:
    return sentence("the cell is ", cell_row(question))


def right_sound(fact: facts.Pair, question: Question) -> Sentence:
    keyed = question.run.pattern.mode is Mode.KEY
    place = sentence("in ", written(question.run.key)) if keyed else sentence("here")
    want, got = _said(question, fact.want), _said(question, fact.got)
    return sentence("right sound, wrong name: ", place, " it is written ", want, ", not ", got)


def prompt_before(_: facts.Bare, question: Question) -> Sentence:
    before = question.before
    if before is None:  # a verdict on another question than the one it was made of
        return sentence("that was the last one")
    turned = before.cell.direction is not question.cell.direction
    now = AskedBefore(question.run.key, question.run.pattern, question.cell)
    return sentence(
        "that was the last one, ", _asked(before, turned), "; now it is ", _asked(now, turned)
    )


def _asked(asked: AskedBefore, way: bool) -> Sentence:
    """A prompt in a few words: ``1-2-3-1 on 4 of G major``."""
    shape = asked.cell.shape or asked.pattern.text
    told = sentence(figures(shape), f" {asked.cell.direction.value} on " if way else " on ")
    told += where(asked.pattern, asked.cell)
    return told if asked.pattern.mode is Mode.ROOT else sentence(told, " of ", written(asked.key))


def signs_turned(fact: facts.Turned, question: Question) -> Sentence:
    told = "sharps, not flats: " if fact.sharps else "flats, not sharps: "
    return sentence(told, cell_row(question))


def concert_pitch(_: facts.Bare, question: Question) -> Sentence:
    return sentence("those are the sounding notes: write what you read, ", cell_row(question))


def octave(fact: facts.OctaveOff, question: Question) -> Sentence:
    if fact.whole:
        way = "high" if fact.by > 0 else "low"
        head = f"right names, an octave too {way}: it begins on "
    else:
        head = "right names, wrong octave: the note is "
    return sentence(head, pitch(fact.note, question.run.key))


def other_direction(fact: facts.OtherWay, question: Question) -> Sentence:
    way = going(fact.way)
    goes = "comes down" if question.cell.direction is Direction.DOWN else "goes up"
    if fact.scale:
        return sentence(
            "those are the notes of ", written(question.run.key), f" {way}; this one {goes}: ",
            cell_row(question),
        )  # fmt: skip
    return sentence("that is the cell on ", on(question), f" {way}; this one {goes}")


def on_other(fact: facts.OnOther, _: Question) -> Sentence:
    if fact.symbol:
        return chord(fact.symbol)
    return sentence("the cell on ", tonic(fact.root) if fact.root else fact.label)


def other_degree(fact: facts.OnOther, question: Question) -> Sentence:
    """``that is the cell on 5; you were asked for the cell on 4``, or chords by their symbols."""
    again = ", the one before" if fact.before else ""
    symbol = question.cell.symbol
    asked = chord(symbol) if symbol else sentence("the cell on ", on(question))
    return sentence("that is ", on_other(fact, question), f"{again}; you were asked for ", asked)


def backwards(_: facts.Bare, question: Question) -> Sentence:
    return sentence("read backwards: the cell is ", cell_row(question))


def swapped(fact: facts.Crossed, question: Question) -> Sentence:
    if fact.first is None or fact.second is None:
        return sentence("the right notes in another order: ", cell_row(question))
    first, second = _said(question, fact.first), _said(question, fact.second)
    return sentence("two notes swapped: ", first, " comes before ", second)


def stopped_early(fact: facts.Rest, question: Question) -> Sentence:
    verb = "is" if len(fact.names) == 1 else "are"
    return sentence("stopped early: ", _notes(question, fact.names), f" {verb} still to come")


def ran_on(_: facts.Bare, question: Question) -> Sentence:
    last = question.cell.notes[-1].name
    return sentence("ran on: the cell ends on ", _said(question, last))


def inversion(fact: facts.Chorded, question: Question) -> Sentence:
    return sentence(
        f"that is {_INVERSIONS[fact.inversion]}; you were asked for "
        f"{_INVERSIONS[fact.asked_inversion]}, ",
        cell_row(question),
    )


def that_chord(fact: facts.Chorded, question: Question) -> Sentence:
    """``that is C major seventh``, with its inversion; by its symbol where that was asked."""
    return sentence("that is ", _chord(fact.root, fact.kind, fact.inversion, question))


def quality(fact: facts.Chorded, question: Question) -> Sentence:
    own = parse_name(question.cell.label)
    asked = _chord(own, fact.asked, fact.asked_inversion, question)
    return sentence(that_chord(fact, question), "; you were asked for ", asked)


def _chord(root: Name, kind: ChordKind | None, inversion: int, question: Question) -> Sentence:
    if kind is None:
        said = sentence(tonic(root))
    elif question.cell.symbol:
        said = chord(f"{root}{symbol_body(kind.formula)}")
    else:
        said = sentence(tonic(root), f" {kind.name}")
    return sentence(said, f", {_INVERSIONS[inversion]}") if inversion else said


def other_shape(fact: facts.OtherShape, question: Question) -> Sentence:
    wanted = figures(question.cell.shape or question.run.pattern.text)
    asked = sentence("; you were asked for ", wanted)
    descent = question.run.pattern.descent
    rooted = question.run.pattern.mode is Mode.ROOT
    that = sentence("that is ", figures(fact.text))
    match fact.how:
        case facts.Shaped.PAST:
            return sentence("past the octave: this run turns back there")
        case facts.Shaped.DESCENT:
            way = WAYS[fact.descent] if fact.descent else ""
            return sentence(
                f"that comes down another way ({way}); this pattern comes down {WAYS[descent]}"
            )
        case facts.Shaped.CYCLE:
            others = "roots" if rooted else "degrees"
            return sentence(that, f", which is asked on other {others}", asked)
        case facts.Shaped.BEFORE:
            return sentence(that, ", the cell asked before", asked)
        case facts.Shaped.CATALOGUE:
            name = fact.pattern.name if fact.pattern else ""
            return sentence(that, f", {name}", asked)


def one_letter(fact: facts.Pair, question: Question) -> Sentence:
    return sentence(
        "one note off: ", _said(question, fact.got), " for ", _said(question, fact.want)
    )


def left_out(fact: facts.Rest, question: Question) -> Sentence:
    verb = "is" if len(fact.names) == 1 else "are"
    head = sentence(_notes(question, fact.names), f" {verb} missing: ")
    return sentence(head, the_cell(facts.Bare(), question))


def too_many(fact: facts.Rest, question: Question) -> Sentence:
    """Notes that are not in the cell."""
    verb = "is" if len(fact.names) == 1 else "are"
    head = sentence(_notes(question, fact.names), f" {verb} too many: ")
    return sentence(head, the_cell(facts.Bare(), question))
