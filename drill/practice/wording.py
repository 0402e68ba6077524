"""The sentences that put a prompt to a player: one wording for lines and screens."""

from __future__ import annotations

from drill.marking.back import Back, ask_back
from drill.memory.items import Kind
from drill.practice.effects import Prompt
from drill.terms import Direction, Mode, Note
from drill.theory.names import Language, say_name, show_name
from drill.theory.scales import SCALES, signature, signature_names


def key_words(prompt: Prompt, language: Language) -> str:
    """The written key: ``G major``."""
    key = prompt.question.run.key
    return f"{show_name(key.tonic, language)} {SCALES[key.scale].label}"


def way_words(prompt: Prompt) -> str:
    """Which way the cell goes."""
    return "going up" if prompt.cell.direction is Direction.UP else "coming down"


def pattern_words(prompt: Prompt) -> str:
    """The cell in digits, and how the run begins when it comes down another way."""
    return prompt.cell.shape or prompt.question.run.pattern.text


def ask_words(prompt: Prompt, language: Language = Language.ENGLISH) -> str:
    """What is asked for, in a few words."""
    cell = prompt.cell
    if prompt.question.back:
        return ask_back(prompt.question, Back(prompt.question.back), language)
    on = f"the cell on {cell.label}"
    if prompt.again:
        return f"type {on} once more"
    if prompt.kind == Kind.EAR:
        return f"{on}, by ear: spell what you hear in the written key"
    if prompt.question.run.pattern.mode is Mode.ROOT:
        return f"{prompt.cell.shape} on {cell.label}"
    if prompt.place:
        return f"the run from memory, cell {prompt.place[0]} of {prompt.place[1]}: {on}"
    if prompt.given:
        return f"the next cell, on {cell.label}"
    return on


def signature_words(prompt: Prompt, language: Language) -> str:
    """The key signature in words: ``1 sharp: F#``."""
    fifths = signature(prompt.question.run.key)
    names = " ".join(show_name(name, language) for name in signature_names(fifths))
    if fifths == 0:
        return "no sharps or flats"
    if abs(fifths) > 7:
        return "no printed signature: it would need double accidentals"
    word = "sharp" if fifths > 0 else "flat"
    return f"{abs(fifths)} {word}{'' if abs(fifths) == 1 else 's'}: {names}"


def notes_words(notes: tuple[Note, ...], language: Language, *, words: bool = False) -> str:
    """Notes without octaves, as they are typed; in words (``G sharp``) for screen readers."""
    if words:
        return ", ".join(say_name(note.name, language) for note in notes)
    return " ".join(show_name(note.name, language) for note in notes)
