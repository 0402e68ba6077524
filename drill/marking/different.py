"""Which note was different?  A cell sounds twice, the second time with one note altered.

The player names the place, 1 to the cell's last, or spells what was heard: the note
that came in its place (by sound), or the whole second cell.
"""

from __future__ import annotations

from drill.marking.question import Altered, Question
from drill.marking.read import Typed, read
from drill.marking.verdict import Hypothesis, Marked, Outcome, Slip, Verdict
from drill.terms import Cell, Name, Note, Scale
from drill.theory.language import Language
from drill.theory.names import show_name


def alterations(cell: Cell, scale: Scale) -> tuple[Altered, ...]:
    """Every way to alter one note of the cell by a step of the scale, up or down.

    Notes that are not of the scale (chromatic neighbours) are left as they are.
    """
    names = scale.names(cell.direction)
    found = []
    for place, note in enumerate(cell.notes):
        if note.name in names:
            at = names.index(note.name)
            for step in (-1, 1):
                near = nearest(names[(at + step) % len(names)], note)
                if near.midi != note.midi:
                    found.append(Altered(place, near))
    return tuple(found)


def nearest(name: Name, to: Note) -> Note:
    """The note of that name that sounds nearest to another."""
    notes = [Note(name.letter, name.alter, to.octave + shift) for shift in (-1, 0, 1)]
    return min(notes, key=lambda note: abs(note.midi - to.midi))


def altered_notes(question: Question) -> tuple[Note, ...]:
    """The second cell as it is heard; the cell itself where nothing is altered."""
    notes = list(question.cell.notes)
    if question.altered is not None:
        notes[question.altered.place] = question.altered.note
    return tuple(notes)


def mark_different(question: Question, text: str, language: Language) -> Verdict:
    """The verdict on a place or a spelling; what can mean two places is asked again."""
    altered, count = question.altered, len(question.cell.notes)
    if altered is None:
        return _unread("nothing was altered: hear the cells again")
    plain = text.strip()
    if plain.isascii() and plain.isdecimal():
        number = int(plain[:4])
        if not 1 <= number <= count:
            return _unread(f"type a place from 1 to {count}, or spell the note")
        return _verdict(question, altered, plain, number - 1, language)
    reading = read(text, language, question.run.key)
    if not reading.readable:
        return _unread(f"{reading.problem}; or its place, 1 to {count}")
    names = [note.name for note in reading.notes]
    if len(names) == 1:
        return _one(question, altered, names[0], language)
    if len(names) == count:
        return _whole(question, altered, reading.notes, language)
    return _unread(f"type the place, 1 to {count}, the note you heard there, or the second cell")


def different_unanswered(question: Question, language: Language) -> Verdict:
    """The verdict where the player asks to see it."""
    if question.altered is None:
        return _unread("nothing was altered")
    want = str(question.altered.place + 1)
    say = _truth(question, question.altered, language)
    found = Hypothesis(Slip.UNANSWERED, say)
    return Verdict(False, (Marked(None, want, Outcome.MISSING),), (), found.slip, say, (found,))


def _one(question: Question, altered: Altered, name: Name, language: Language) -> Verdict:
    """One note: the one that came, by sound, else one of the cell that stands there once."""
    if name.pitch_class == altered.note.name.pitch_class:
        return _verdict(question, altered, str(name), altered.place, language)
    at = [
        place
        for place, note in enumerate(question.cell.notes)
        if note.name.pitch_class == name.pitch_class
    ]
    if len(at) > 1:
        shown = show_name(name, language)
        return _unread(f"{shown} stands in the cell more than once: type the place")
    place = at[0] if at else -1
    return _verdict(question, altered, str(name), place, language)


def _whole(
    question: Question, altered: Altered, typed: tuple[Typed, ...], language: Language
) -> Verdict:
    """The second cell: right where it differs from the first in that place alone, as it sounded."""
    heard = altered_notes(question)
    right = all(
        note.name.pitch_class == want.name.pitch_class
        for note, want in zip(typed, heard, strict=True)
    )
    text = " ".join(str(note.name) for note in typed)
    return _verdict(question, altered, text, altered.place if right else -1, language)


def _verdict(
    question: Question, altered: Altered, got: str, place: int, language: Language
) -> Verdict:
    """The verdict on a place; -1 is none of the cell's."""
    want, say = str(altered.place + 1), _truth(question, altered, language)
    if place == altered.place:
        mark = Marked(got, want, Outcome.RIGHT)
        return Verdict(True, (mark,), (), None, f"right; {say}")
    found = Hypothesis(Slip.UNEXPLAINED, say)
    mark = Marked(got, want, Outcome.WRONG)
    return Verdict(False, (mark,), (), found.slip, say, (found,))


def _truth(question: Question, altered: Altered, language: Language) -> str:
    key = question.run.key
    was = show_name(question.cell.notes[altered.place].name, language, key=key)
    came = show_name(altered.note.name, language, key=key)
    return f"note {altered.place + 1} was different: {came} in place of {was}"


def _unread(problem: str) -> Verdict:
    return Verdict(False, (), (), Slip.UNREADABLE, problem)
