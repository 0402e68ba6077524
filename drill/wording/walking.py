"""The sentences of a walk: the run as it lies there, and the cell that is asked."""

from __future__ import annotations

from collections.abc import Sequence

from drill.terms import Key, Name, Note, Run
from drill.wording.asking import Prompted, ask_told, cell_told
from drill.wording.figures import out_of
from drill.wording.sentence import Sentence, figures, going, row, sentence, written

COVERED = "- - -"
STAGES = ("the whole run, to be read", "every other cell covered", "all of it covered")
"""What a walk's stages are called, in their order."""
_SUCH_AS = row((Name("C"), Name("D"), Name("E")), Key(Name("C"), "major"))


def page_told(cells: Sequence[tuple[Note, ...]], key: Key) -> Sentence:
    """The run cell by cell, with what is covered left out."""
    told = sentence()
    for number, notes in enumerate(cells):
        told = sentence(told, " | " if number else "", row(notes, key) if notes else COVERED)
    return told


def walk_told(stage: int) -> str:
    """A stage by its number, from 1."""
    return f"walk {stage} of {len(STAGES)}, {STAGES[stage - 1]}"


def stage_told(stage: int, run: Run) -> Sentence:
    """How a stage begins: ``walk 1 of 3, the whole run, to be read: G major, going up``."""
    head = sentence(walk_told(stage), ": ", written(run.key), ", ", figures(run.pattern.text))
    return sentence(head, f", {going(run.direction)}")


def stop_told(prompt: Prompted) -> Sentence:
    """One cell of the walk: ``cell 2 of 7: the cell on 2: A B C A`` or without its notes."""
    place, count = prompt.place or (1, 1)
    told = sentence(f"cell {place} of {count}: ", ask_told(prompt))
    if prompt.given:
        return sentence(told, ": ", row(prompt.given, prompt.question.run.key))
    return sentence(told, ":")


def walked_told(right: int, asked: int) -> str:
    """The end of a walk within a practice, which goes on."""
    return f"end of the walk: {out_of(right, asked, 'right')}"


def walk_offered(prompt: Prompted, by: str, *, first: bool = False) -> Sentence:
    """What is said at the first meeting of a pattern, and the word or key that walks it; with
    the very first prompt of all, how it is answered."""
    way = going(prompt.cell.direction)
    told = sentence("new: ", cell_told(prompt), f" {way}; ")
    if first:
        told = sentence(told, "type its notes, such as ", _SUCH_AS, ", then Enter; ")
    return sentence(told, f"{by} goes through the whole run first")
