"""The sentences that put a prompt to a player in lines.

``words`` says names in words, for screen readers: ``G sharp``.
"""

from __future__ import annotations

from drill.marking.back import Back, ask_back
from drill.marking.case import Voice
from drill.memory.items import Kind
from drill.practice.effects import Prompt
from drill.terms import Cell, Descent, Direction, Key, Mode, Note, Run
from drill.theory.language import Language
from drill.theory.scales import SCALES, signature, signature_names
from drill.theory.spelling import parse_name

_DESCENTS = {
    Descent.MIRROR: "mirrored",
    Descent.SAME_SHAPE: "same shape",
    Descent.RETROGRADE: "backwards",
    Descent.RETROGRADE_INVERSION: "mirrored, backwards",
    Descent.CHORD_TONES: "chord tones from the top",
}


def key_words(prompt: Prompt, language: Language, *, words: bool = False) -> str:
    """The written key: ``G major``."""
    return Voice(language, words).key(prompt.question.run.key)


def way_words(prompt: Prompt) -> str:
    """Which way the cell goes; a way down with its first cell, ``coming down 8-7-6-8``."""
    if prompt.cell.direction is Direction.UP:
        return "going up"
    run = prompt.question.run
    first = next(cell for cell in run.cells if cell.direction is Direction.DOWN)
    digits = _digits(run, first)
    if digits:
        return f"coming down {digits}" + (" and so on" if len(run.cells) > 1 else "")
    return f"coming down, {_DESCENTS[run.pattern.descent]}"


def _digits(run: Run, cell: Cell) -> str:
    """A cell of a seven-note scale in degrees of the run; empty where digits do not tell it."""
    plain = not any(item.modifier for shape in run.pattern.cells for item in shape)
    seven = run.pattern.mode is Mode.KEY and len(SCALES[run.key.scale].up) == 7
    if not (plain and seven):
        return ""
    return "-".join(
        _degree(run.close_degree + note.staff_step - run.close.staff_step) for note in cell.notes
    )


def _degree(number: int) -> str:
    """A degree of the run as players write it: 7. below 1."""
    if number >= 1:
        return str(number)
    octaves, place = divmod(number - 1, 7)
    return f"{place + 1}" + "." * -octaves


def pattern_words(prompt: Prompt) -> str:
    """The cell in digits, as it is written upward."""
    return prompt.cell.shape or prompt.question.run.pattern.text


def ask_words(prompt: Prompt, language: Language = Language.ENGLISH, *, words: bool = False) -> str:
    """What is asked for, in a few words."""
    cell = prompt.cell
    if prompt.question.back:
        return ask_back(prompt.question, Back(prompt.question.back), language)
    rooted = prompt.question.run.pattern.mode is Mode.ROOT
    label = Voice(language, words).tonic(parse_name(cell.label)) if rooted else cell.label
    on = f"the cell on {label}"
    if prompt.again:
        return f"type {on} once more"
    if prompt.kind == Kind.EAR:
        return f"{on}, by ear: spell what you hear in the written key"
    if prompt.place:
        return f"the run from memory, cell {prompt.place[0]} of {prompt.place[1]}: {on}"
    if rooted:
        return f"{cell.shape} on {label}"
    if prompt.given:
        return f"the next cell, on {label}"
    return on


def signature_words(prompt: Prompt, language: Language, *, words: bool = False) -> str:
    """The key signature in words: ``1 sharp: F#``."""
    fifths = signature(prompt.question.run.key)
    if fifths == 0:
        return "no sharps or flats"
    if abs(fifths) > 7:
        return "no printed signature: it would need double accidentals"
    voice = Voice(language, words)
    names = (", " if words else " ").join(voice.tonic(name) for name in signature_names(fifths))
    word = "sharp" if fifths > 0 else "flat"
    return f"{abs(fifths)} {word}{'' if abs(fifths) == 1 else 's'}: {names}"


def notes_words(
    notes: tuple[Note, ...], language: Language, key: Key, *, words: bool = False
) -> str:
    """Notes without octaves, as they are typed; movable do counts from the key's tonic."""
    return Voice(language, words).show(tuple(note.name for note in notes), key)
