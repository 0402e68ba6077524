"""What a practice asks its front end to do: values, carried out in the order given."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from drill.marking.question import Question
from drill.marking.verdict import Verdict
from drill.memory.items import Answer, Item
from drill.memory.planner import Rule
from drill.terms import Cell, Note

if TYPE_CHECKING:
    from drill.practice.walk import ReadPage


@dataclass(frozen=True, slots=True)
class Prompt:
    """One question as it is put to the player."""

    number: int
    """From 1, over all that is asked in this practice; a retyped cell keeps its number."""
    item: Item
    question: Question
    kind: str
    """``memory.kinds.Kind``: how much help is given."""
    given: tuple[Note, ...] = ()
    """The previous cell where it is shown, or the right cell where it is typed once more."""
    again: bool = False
    """The copy of a missed cell, the right one in view: it does not count."""
    copies: int = 0
    """How often the copy was typed already, and was not right."""
    closing: bool = False
    """Asked once more at the end because it was missed."""
    place: tuple[int, int] | None = None
    """Where in a whole run from memory: cell and number of cells, from 1; None elsewhere."""
    sounds: tuple[int, ...] = ()
    """By ear: MIDI numbers of the cell, to be heard before the answer; empty elsewhere."""
    heard: int = 1
    """By ear: how often it was heard."""
    chosen_by: Rule | None = None
    """The planner's rule that chose it; None for the rest of a run and the closing round."""
    page: ReadPage | None = None
    """In a walk: what can be read of the run; None elsewhere."""

    @property
    def cell(self) -> Cell:
        """The cell that is asked."""
        return self.question.cell

    def stands(self, other: Prompt | None) -> bool:
        """Whether another is this very prompt, heard more often or not."""
        return other is not None and replace(self, heard=1) == replace(other, heard=1)


@dataclass(frozen=True, slots=True)
class Log:
    """Keep this answer, for good, before anything else is shown."""

    answer: Answer
    item: Item


@dataclass(frozen=True, slots=True)
class Onward:
    """Once the answers before it are kept and learned from: ask the course what comes next."""


@dataclass(frozen=True, slots=True)
class Judge:
    """Show the verdict on a prompt."""

    prompt: Prompt
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Reread:
    """The answer could not be read, and nothing was marked: the prompt stands."""

    prompt: Prompt
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Ask:
    """Show a prompt and wait for an answer."""

    prompt: Prompt


@dataclass(frozen=True, slots=True)
class Sound:
    """Let these MIDI numbers be heard, one after the other; nobody waits for it."""

    midi: tuple[int, ...]
    program: int
    """The horn's General MIDI program, from 0, for the tone colour."""
    tonic: int | None = None
    """MIDI number of the tonic, heard first (by ear); None for the cell alone."""
    second: tuple[int, ...] = ()
    """Heard after a breath: the cell with one note altered; empty for nothing."""


@dataclass(frozen=True, slots=True)
class Summary:
    """How a practice went."""

    asked: int
    """Prompts answered, without retyped ones and the closing round."""
    right: int
    slips: tuple[tuple[str, int], ...]
    """Slips by name, the most frequent first."""
    missed: tuple[str, ...]
    """Item ids missed and not made good since, in the practice or its closing round."""


@dataclass(frozen=True, slots=True)
class End:
    """The practice is over."""

    summary: Summary


Effect = Log | Onward | Judge | Reread | Ask | Sound | End
