"""First meetings: with a pattern a walk is offered; with a run it is told what the horn asks; and
with the deck, which of its runs the horn cannot play."""

from __future__ import annotations

from collections.abc import Sequence

from drill.memory.state import State as Memory
from drill.practice.effects import Prompt
from drill.practice.walk import is_first_meeting
from drill.wording.remarks import left_out_told, run_remarks
from drill.wording.sentence import Sentence
from drill.wording.walking import walk_offered


class Meetings:
    """The patterns and runs that were met in one practice."""

    def __init__(
        self, memory: Memory, left_out: Sequence[Sentence] = (), walk_by: str = "ctrl+r"
    ) -> None:
        """``left_out`` are the runs that the horn cannot play, a sentence each; ``walk_by`` is
        the key that walks a run."""
        self._walk_by = walk_by
        self._memory = memory
        self._left_out = left_out
        self._met: set[str] = set()
        self._told: set[Sentence] = set()
        self.new = False
        """Whether the open prompt is a first meeting of its pattern."""

    def meet(self, prompt: Prompt, *, quiet: bool = False) -> Sentence | None:
        """What is offered at the first meeting of a pattern; else which runs are left out; else
        what had to be changed in the run of the prompt so that it fits the horn.  Each once, None
        at all others.  ``quiet`` while something else is said: the rest waits its turn."""
        return self._offered(prompt) or (None if quiet else self._fitted(prompt))

    def _fitted(self, prompt: Prompt) -> Sentence | None:
        """It is told with the key that it is about, and not at the head of every practice; nor
        where the key may be what is asked for."""
        if prompt.question.back:
            return None
        if self._left_out:
            left_out, self._left_out = self._left_out, ()
            return left_out_told(left_out)
        for told in run_remarks(prompt.question.run, named=True):
            if told not in self._told:
                self._told.add(told)
                return told
        return None

    def _offered(self, prompt: Prompt) -> Sentence | None:
        if not of_a_run(prompt):
            return None
        shape = prompt.item.shape
        self.new = shape not in self._met and is_first_meeting(self._memory, prompt.item)
        self._met.add(shape)
        if not self.new:
            return None
        return walk_offered(prompt, self._walk_by, first=not self._memory.turns)


def of_a_run(prompt: Prompt | None) -> bool:
    """Whether a prompt is a cell of a run, asked by itself: then the run can be walked."""
    if prompt is None:
        return False
    plain = not (prompt.again or prompt.closing or prompt.page or prompt.question.back)
    return plain and bool(prompt.item.run)
