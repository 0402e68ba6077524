"""Marking an answer: read, compare, diagnose, and the verdict of it all."""

from __future__ import annotations

from dataclasses import dataclass

from drill.marking.back import Back, back_unanswered, mark_back
from drill.marking.compare import compare
from drill.marking.diagnose import Order, hypotheses
from drill.marking.question import Question
from drill.marking.read import read
from drill.marking.typed import Reading
from drill.marking.verdict import Marked, Outcome, Slip, Verdict, missed, unread
from drill.terms import Key
from drill.theory.language import Language


@dataclass(frozen=True, slots=True)
class Marker:
    """Marks answers in one language of note names."""

    order: Order
    """The tests for slips in the order in which they are tried."""
    language: Language = Language.ENGLISH

    def read(
        self,
        text: str,
        key: Key | None = None,
        count: int | None = None,
        *,
        unfinished: bool = False,
    ) -> Reading:
        """The notes that a text is read as, or why it cannot be read: see ``read.read``."""
        return read(text, self.language, key, count, unfinished=unfinished)

    def mark(self, question: Question, text: str) -> Verdict:
        """The verdict on an answer; nothing is raised, and an answer that cannot be read is
        neither right nor wrong but ``Slip.UNREADABLE``."""
        if question.back:
            return mark_back(question, Back(question.back), text, self.language)
        expected = question.cell.notes
        reading = self.read(text, question.run.key, len(expected))
        if reading.problem is not None:
            return unread(reading.problem, expected)
        by_sound = question.cell.by_sound or (False,) * len(expected)
        marked = compare(reading.notes, expected, by_sound)
        for other in question.cell.also:
            renamed = compare(reading.notes, other, by_sound)
            if all(mark.outcome is Outcome.RIGHT for mark in renamed):
                marked = renamed  # consistent on the root's other name
        if all(mark.outcome is Outcome.RIGHT for mark in marked):
            usual = all(
                typed.name == want.name for typed, want in zip(reading.notes, expected, strict=True)
            )
            return Verdict(True, marked, expected, None, usual=usual)
        found = hypotheses(self.order, self.language, question, reading.notes, marked)
        return missed(marked, *found, expected=expected)

    def unanswered(self, question: Question) -> Verdict:
        """The verdict where the player asks to see the cell: every note is missing."""
        if question.back:
            return back_unanswered(question, Back(question.back), self.language)
        expected = question.cell.notes
        marked = tuple(Marked(None, str(note), Outcome.MISSING) for note in expected)
        return missed(marked, Slip.UNANSWERED, expected=expected)
