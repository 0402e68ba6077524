"""The sentences that put a prompt to a player, for lines and for screens."""

from __future__ import annotations

import math
from typing import Protocol

from drill.marking.back import Back, about_a_cell, concert_of
from drill.marking.question import Question
from drill.memory.kinds import WALK, Kind
from drill.terms import Cell, Descent, Direction, Key, Mode, Note, Pattern, Run
from drill.theory.scales import SCALES, signature, signature_names
from drill.theory.spelling import parse_name
from drill.wording.sentence import (
    Part,
    Sentence,
    chord,
    figures,
    going,
    horn,
    joined,
    row,
    sentence,
    tonic,
    tonics,
    written,
)

DESCENTS = {
    Descent.MIRROR: "mirrored",
    Descent.SAME_SHAPE: "same shape",
    Descent.RETROGRADE: "backwards",
    Descent.RETROGRADE_INVERSION: "mirrored, backwards",
    Descent.CHORD_TONES: "chord tones from the top",
}
"""How a pattern comes down, in a few words."""


class Prompted(Protocol):
    """What is told of a prompt; see ``practice.effects.Prompt`` for the meaning of each."""

    @property
    def question(self) -> Question: ...
    @property
    def cell(self) -> Cell: ...
    @property
    def kind(self) -> str: ...
    @property
    def given(self) -> tuple[Note, ...]: ...
    @property
    def again(self) -> bool: ...
    @property
    def closing(self) -> bool: ...
    @property
    def place(self) -> tuple[int, int] | None: ...


# The parts of a prompt.


def key_told(prompt: Prompted) -> Sentence:
    """The written key: ``G major``."""
    return written(prompt.question.run.key)


def cell_told(prompt: Prompted) -> Sentence:
    """The cell in digits, as it is written upward; a scale's single notes by the pattern's name."""
    if _single(prompt.cell):
        return sentence(prompt.question.run.pattern.name)
    return sentence(figures(prompt.cell.shape or prompt.question.run.pattern.text))


def _single(cell: Cell) -> bool:
    """Whether a cell is one note: it is called a note then, and no digits tell its shape."""
    return len(cell.notes) == 1


def _called(cell: Cell) -> str:
    return "note" if _single(cell) else "cell"


def label_told(prompt: Prompted) -> Sentence:
    """What the cell stands on: a degree, a root by its name, or the chord that it is."""
    return label(prompt.question.run.pattern, prompt.cell)


def label(pattern: Pattern, cell: Cell) -> Sentence:
    """What a cell stands on, in words where it is a group of the run's notes."""
    if pattern.groups_of:
        return sentence("notes " if len(cell.notes) > 1 else "note ", stands_on(pattern, cell))
    return stands_on(pattern, cell)


def on_told(what: Sentence | Part) -> Sentence:
    """A cell by what it stands on, at the head of a row."""
    return sentence("on ", what)


def stands_on(pattern: Pattern, cell: Cell) -> Sentence:
    """What a cell stands on, in a row of cells: a degree of the key in digits; in root mode the
    root by its name; a chord by the function or the symbol that it is asked by."""
    if cell.symbol and not cell.function:
        return chord(cell.symbol)
    rooted = pattern.mode is Mode.ROOT and not (cell.function or pattern.groups_of)
    return sentence(tonic(parse_name(cell.label)) if rooted else figures(cell.called))


def _on(prompt: Prompted) -> Sentence:
    """The cell in a question: ``the cell on 4``, ``the note on 4`` where it is one; a chord with
    its degrees, ``Abm7, 1-b3-5-b7``."""
    cell = prompt.cell
    if cell.function or cell.symbol:
        return sentence(label_told(prompt), ", ", figures(cell.shape))
    if prompt.question.run.pattern.groups_of:
        return sentence(label_told(prompt), " of the run")
    return sentence(f"the {_called(cell)} on ", label_told(prompt))


def played_told(prompt: Prompted) -> Sentence:
    """The pattern of a prompt: a cell in digits, a progression by its name."""
    pattern = prompt.question.run.pattern
    return sentence(pattern.called) if pattern.chords else cell_told(prompt)


def counted_told(key: Key) -> Sentence:
    """What digits count in a scale that has not seven notes: ``notes 1 to 5 are 1 b3 4 5 b7``.

    Empty in scales of seven notes, where digits are what players call degrees.
    """
    notes = SCALES[key.scale].up
    if len(notes) == 7:
        return Sentence()
    if len(notes) == 12:
        return sentence("notes 1 to 12 by half steps")
    return sentence(f"notes 1 to {len(notes)} are ", joined(" ", map(figures, notes)))


def given_told(prompt: Prompted) -> Sentence:
    """The cell shown with the prompt; empty where there is none."""
    return sentence(row(prompt.given, prompt.question.run.key))


def way_told(prompt: Prompted) -> str:
    """Which way the cell goes; a way down with its first cell, ``coming down 8-7-6-8``; and the
    degree on which a run begins that does not begin on the tonic."""
    begins = prompt.question.run.pattern.begin
    if prompt.cell.direction is Direction.UP:
        return "going up" if begins == 1 else f"going up from {begins}"
    run = prompt.question.run
    first = next(cell for cell in run.cells if cell.direction is Direction.DOWN)
    digits = _digits(run, first)
    if digits:
        return f"coming down {digits}" + (" and so on" if len(run.cells) > 1 else "")
    return f"coming down, {DESCENTS[run.pattern.descent]}"


def way_shown(prompt: Prompted, *, brief: bool = False) -> str:
    """The same where the cells before are seen: ``coming down, mirrored``."""
    way = prompt.cell.direction
    if brief or way is Direction.UP:
        return going(way)
    return f"{going(way)}, {DESCENTS[prompt.question.run.pattern.descent]}"


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


NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven")
"""Accidentals of a signature, counted."""


def signature_told(key: Key) -> Sentence:
    """The key signature: ``1 sharp: F#``."""
    fifths = signature(key)
    if abs(fifths) > 7:
        return sentence("no printed signature: it would need double accidentals")
    return _signed(fifths, str(abs(fifths)))


def signature_shown(key: Key) -> Sentence:
    """The same beside a staff: ``three flats: B♭ E♭ A♭``."""
    fifths = signature(key)
    if abs(fifths) > 7:
        return sentence("too many accidentals for a signature")
    return _signed(fifths, NUMBERS[abs(fifths)])


def _signed(fifths: int, number: str) -> Sentence:
    if not fifths:
        return sentence("no sharps or flats")
    word = ("sharp" if fifths > 0 else "flat") + ("" if abs(fifths) == 1 else "s")
    return sentence(f"{number} {word}: ", tonics(signature_names(fifths)))


# Whole questions.


def question_told(prompt: Prompted, number: int, of: int | None = None) -> Sentence:
    """A whole prompt on one line, with its number and of how many; None where there is no end."""
    counted = f"{number}. " if of is None else f"{number} of {of}. "
    if prompt.question.back:
        head = counted if not prompt.again else "once more: "
        return sentence(head, ask_told(prompt))
    if prompt.again:
        return sentence(ask_told(prompt), ": ", given_told(prompt))
    head = counted + ("once more, " if prompt.closing else "")
    told = sentence(head, _key_and_way(prompt))
    if prompt.given:
        told += sentence("; before it ", given_told(prompt))
    return sentence(told, "; ", ask_told(prompt), ":")


def run_told(prompt: Prompted, number: int) -> Sentence:
    """A run to be played in time, with its number and without what is asked of it."""
    return sentence(f"{number}. ", _key_and_way(prompt))


def _key_and_way(prompt: Prompted) -> Sentence:
    key = prompt.question.run.key
    counted = counted_told(key) if prompt.question.run.pattern.mode is Mode.KEY else Sentence()
    told = sentence(key_told(prompt), " (", signature_told(key))
    told = sentence(told, "; " if counted else "", counted, "), ")
    return sentence(told, played_told(prompt), ", ", way_told(prompt))


def ask_told(prompt: Prompted) -> Sentence:
    """What is asked for, in a few words."""
    if prompt.question.back:
        return ask_back(prompt.question, Back(prompt.question.back))
    on = _on(prompt)
    named = bool(prompt.cell.function or prompt.cell.symbol)
    grouped = bool(prompt.question.run.pattern.groups_of)
    if prompt.again:
        return sentence("type ", on, " once more")
    if prompt.kind == WALK:
        return on
    if prompt.kind == Kind.EAR:
        return on + ", by ear: spell what you hear in the written key"
    if prompt.place:
        return sentence(f"the run from memory, cell {prompt.place[0]} of {prompt.place[1]}: ", on)
    if named:
        return sentence("the next chord, ", on) if prompt.given else on
    if grouped:
        return on
    if prompt.question.run.pattern.mode is Mode.ROOT:
        return sentence(figures(prompt.cell.shape), " on ", label_told(prompt))
    if prompt.given:
        return sentence(f"the next {_called(prompt.cell)}, on ", label_told(prompt))
    return on


def ask_shown(prompt: Prompted) -> Sentence:
    """What is asked for, above a staff and a clef."""
    on = label_told(prompt)
    named = bool(prompt.cell.function or prompt.cell.symbol)
    if prompt.again:
        return sentence("Once more, as it stands on the staff")
    if prompt.kind == WALK:
        on = _on(prompt)
        return sentence("Read and spell ", on) if prompt.given else sentence("Covered: ", on)
    if prompt.closing:
        return sentence("Missed before: ", _on(prompt))
    if prompt.question.run.pattern.groups_of and prompt.kind != Kind.EAR:
        return _on(prompt).capitalized()
    if prompt.kind == Kind.EAR:
        return sentence("The cell you hear, the tonic first")
    if prompt.kind == Kind.RUN and prompt.place:
        cell, cells = prompt.place
        head = f"The run from memory, cell {cell} of {cells}: "
        return sentence(head, on if named else sentence("on ", on))
    if named:
        return sentence("The next chord, " if prompt.kind == Kind.NEXT else "The chord ", on)
    if prompt.kind == Kind.NEXT:
        return sentence(f"The next {_called(prompt.cell)}, on ", on)
    return sentence(f"The {_called(prompt.cell)} on ", on)


def where_told(prompt: Prompted) -> Sentence:
    """Which cell a verdict is on: ``G major, on 4 up``; a key alone where no cell was asked."""
    key = key_told(prompt)
    back = prompt.question.back
    if back and not about_a_cell(Back(back)):
        return key
    between = ", " if prompt.cell.function or prompt.cell.symbol else ", on "
    return sentence(key, between, label_told(prompt), f" {prompt.cell.direction.value}")


# The other way round.


def ask_back(question: Question, back: Back) -> Sentence:
    """The question about a cell or a key that is shown or heard, in a sentence."""
    key, cell = question.run.key, question.cell
    scale = SCALES[key.scale].label
    notes = tonics(note.name for note in cell.notes)
    instrument = horn(question.horn) if question.horn else sentence("an instrument at pitch")
    way = cell.direction.value
    match back:
        case Back.KEY if _single(cell):
            return sentence(notes, " is degree ", figures(cell.label), f" of which {scale} key?")
        case Back.WHICH_DEGREE if _single(cell):
            return sentence(notes, " is which degree of ", written(key), "?")
        case Back.KEY:
            asked = sentence(f" {way} on ", figures(cell.label), f" of which {scale} key?")
            return sentence(notes, " is ", figures(cell.shape), asked)
        case Back.WHICH_DEGREE:
            head = sentence("in ", written(key), ", ", notes, " is ", figures(cell.shape))
            return sentence(head, f" {way} on which degree?")
        case Back.CONCERT:
            return sentence(instrument, " reads ", written(key), ": which concert key sounds?")
        case Back.WRITTEN:
            concert = written(concert_of(question))
            return sentence("concert ", concert, " on ", instrument, ": which written key?")
        case Back.SIGNATURE:
            return sentence("name the signature of ", written(key))
        case Back.DIFFERENT:
            return sentence("in ", written(key), ", ", _different(question))
        case Back.CHORD:
            return sentence(notes, " is which chord?")


def _different(question: Question) -> Sentence:
    cell = question.cell
    if _single(cell):
        told = ", heard twice: which note was it the second time? Spell it"
        return sentence("degree ", figures(cell.label), told)
    return sentence(
        figures(cell.shape),
        f" {cell.direction.value} on ",
        figures(cell.label),
        ", heard twice: which note was different the second time? "
        f"1 to {len(cell.notes)}, or spell it",
    )


# Around a prompt on the screens.

WHICH_KEY = "Which key?"


def concert_told(key: Key) -> Sentence:
    """The concert key of which the written one is asked."""
    return sentence("Concert ", written(key))


def sounds_told(concert: Key) -> Sentence:
    """The concert key beside the written one."""
    return sentence("sounds in concert ", tonic(concert.tonic))


heard_times = "heard {} times".format
"""How often a prompt by ear was heard."""


def progress_told(number: int, of: str, right: int | None, *, closing: bool) -> list[str]:
    """Where a practice stands; ``of`` is how long it is, ``right`` None where no room is left."""
    at = "closing round" if closing else f"prompt {number}{of}"
    return [at] if right is None else [at, f"{right} right"]


def planned_told(prompts: int | None, minutes: float | None) -> str:
    """How long a practice is, behind the number of a prompt; None for what does not end it."""
    told = "" if prompts is None else f" of {prompts}"
    return told if minutes is None else f"{told}, {minutes_left(minutes)}"


def minutes_left(minutes: float) -> str:
    """How long a practice still goes, rounded up: ``4 min left``; then ``last minute``."""
    return f"{math.ceil(minutes)} min left" if minutes > 1 else "last minute"
