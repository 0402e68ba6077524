"""Marking an answer: read, compare, diagnose, and the verdict of it all."""

from __future__ import annotations

from drill.marking.back import Back, back_unanswered, mark_back
from drill.marking.compare import compare
from drill.marking.diagnose import Diagnoser
from drill.marking.question import Question
from drill.marking.read import Reading, read
from drill.marking.verdict import Hypothesis, Marked, Outcome, Slip, Verdict
from drill.theory.engine import Engine
from drill.theory.names import Language


class Marker:
    """Marks answers in one language of note names."""

    def __init__(self, engine: Engine, language: Language = Language.ENGLISH) -> None:
        self.language = language
        self._diagnoser = Diagnoser(engine, language)

    def warm(self, scale: str) -> None:
        """Spell beforehand what a slip in this scale may be compared with."""
        self._diagnoser.warm(scale)

    def read(self, text: str) -> Reading:
        """The notes that a text is read as, or why it cannot be read."""
        return read(text, self.language)

    def mark(self, question: Question, text: str) -> Verdict:
        """The verdict on an answer; nothing is raised, and an answer that cannot be read is
        neither right nor wrong but ``Slip.UNREADABLE``."""
        if question.back:
            return mark_back(question, Back(question.back), text, self.language)
        reading = self.read(text)
        expected = question.cell.notes
        if not reading.readable:
            return Verdict(False, (), expected, Slip.UNREADABLE, reading.problem)
        by_sound = question.cell.by_sound or (False,) * len(expected)
        marked = compare(reading.notes, expected, by_sound)
        if all(mark.outcome is Outcome.RIGHT for mark in marked):
            return Verdict(True, marked, expected, None, self._right(question, marked))
        hypotheses = self._diagnoser.hypotheses(question, reading.notes, marked)
        first = hypotheses[0]
        return Verdict(False, marked, expected, first.slip, first.say, hypotheses)

    def unanswered(self, question: Question) -> Verdict:
        """The verdict where the player asks to see the cell: every note is missing."""
        if question.back:
            return back_unanswered(question, Back(question.back), self.language)
        expected = question.cell.notes
        marked = tuple(Marked(None, str(note), Outcome.MISSING) for note in expected)
        cell = self._diagnoser.show(tuple(note.name for note in expected))
        shown = Hypothesis(Slip.UNANSWERED, f"the cell is {cell}")
        return Verdict(False, marked, expected, shown.slip, shown.say, (shown,))

    def _right(self, question: Question, marked: tuple[Marked, ...]) -> str:
        """ "right", with the usual spelling where another name of the sound was typed."""
        usual = [
            note.name
            for note, mark in zip(question.cell.notes, marked, strict=True)
            if (mark.typed or "").rstrip("0123456789") != str(note.name)
        ]
        if not usual:
            return "right"
        return "right; usually written " + self._diagnoser.show(
            tuple(note.name for note in question.cell.notes)
        )
