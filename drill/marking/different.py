"""Which note was different?  A cell sounds twice, the second time with one note altered.

The player names the place, 1 to the cell's last, or spells what was heard: the note
that came in its place (by sound), or the whole second cell.
"""

from __future__ import annotations

from dataclasses import replace

from drill.marking.question import Altered, Question
from drill.marking.read import read
from drill.marking.typed import Problem, Typed, Unread
from drill.marking.verdict import Marked, Outcome, Slip, Verdict, missed, unread
from drill.terms import Cell, Name, Note, Scale
from drill.theory.language import Language


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
        return unread(Problem(Unread.NOTHING_ALTERED))
    plain = text.strip()
    if plain.isascii() and plain.isdecimal():
        number = int(plain[:4])
        if not 1 <= number <= count:
            return unread(Problem(Unread.PLACE, number=count))
        return _verdict(altered, plain, number - 1)
    reading = read(text, language, question.run.key)
    if reading.problem is not None:
        return unread(replace(reading.problem, or_place=count))
    names = [note.name for note in reading.notes]
    if len(names) == 1:
        return _one(question, altered, names[0])
    if len(names) == count:
        return _whole(question, altered, reading.notes)
    return unread(Problem(Unread.PLACE_OR_CELL, number=count))


def different_unanswered(question: Question) -> Verdict:
    """The verdict where the player asks to see it."""
    if question.altered is None:
        return unread(Problem(Unread.NOTHING_ALTERED))
    want = str(question.altered.place + 1)
    return missed((Marked(None, want, Outcome.MISSING),), Slip.UNANSWERED)


def _one(question: Question, altered: Altered, name: Name) -> Verdict:
    """One note: the one that came, by sound, else one of the cell that stands there once."""
    if name.pitch_class == altered.note.name.pitch_class:
        return _verdict(altered, str(name), altered.place)
    at = [
        place
        for place, note in enumerate(question.cell.notes)
        if note.name.pitch_class == name.pitch_class
    ]
    if len(at) > 1:
        return unread(Problem(Unread.TWICE, name=name))
    place = at[0] if at else -1
    return _verdict(altered, str(name), place)


def _whole(question: Question, altered: Altered, typed: tuple[Typed, ...]) -> Verdict:
    """The second cell: right where it differs from the first in that place alone, as it sounded."""
    heard = altered_notes(question)
    right = all(
        note.name.pitch_class == want.name.pitch_class
        for note, want in zip(typed, heard, strict=True)
    )
    text = " ".join(str(note.name) for note in typed)
    return _verdict(altered, text, altered.place if right else -1)


def _verdict(altered: Altered, got: str, place: int) -> Verdict:
    """The verdict on a place; -1 is none of the cell's."""
    want = str(altered.place + 1)
    if place == altered.place:
        return Verdict(True, (Marked(got, want, Outcome.RIGHT),), (), None)
    return missed((Marked(got, want, Outcome.WRONG),), Slip.UNEXPLAINED)
