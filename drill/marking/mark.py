"""Marking an answer: read, compare, diagnose, and the verdict of it all."""

from __future__ import annotations

from drill.marking.back import Back, back_unanswered, mark_back
from drill.marking.case import Voice
from drill.marking.compare import compare
from drill.marking.diagnose import Diagnoser
from drill.marking.question import Question
from drill.marking.read import Reading, read
from drill.marking.verdict import Hypothesis, Marked, Outcome, Slip, Verdict
from drill.terms import Key
from drill.theory.engine import Engine
from drill.theory.language import Language


class Marker:
    """Marks answers in one language of note names."""

    def __init__(self, engine: Engine, language: Language = Language.ENGLISH) -> None:
        self.language = language
        self._diagnoser = Diagnoser(engine, Voice(language))

    def speak(self, words: bool) -> None:
        """Whether sentences spell cells in words, for screen readers: ``G sharp, A``."""
        self._diagnoser.voice = Voice(self.language, words)

    def read(self, text: str, key: Key | None = None) -> Reading:
        """The notes that a text is read as, or why it cannot be read; movable do needs a key."""
        return read(text, self.language, key)

    def mark(self, question: Question, text: str) -> Verdict:
        """The verdict on an answer; nothing is raised, and an answer that cannot be read is
        neither right nor wrong but ``Slip.UNREADABLE``."""
        if question.back:
            return mark_back(question, Back(question.back), text, self.language)
        reading = self.read(text, question.run.key)
        expected = question.cell.notes
        if not reading.readable:
            return Verdict(False, (), expected, Slip.UNREADABLE, reading.problem)
        by_sound = question.cell.by_sound or (False,) * len(expected)
        marked = compare(reading.notes, expected, by_sound)
        for other in question.cell.also:
            renamed = compare(reading.notes, other, by_sound)
            if all(mark.outcome is Outcome.RIGHT for mark in renamed):
                marked = renamed  # consistent on the root's other name
        if all(mark.outcome is Outcome.RIGHT for mark in marked):
            say = "right"
            if any(
                typed.name != want.name for typed, want in zip(reading.notes, expected, strict=True)
            ):
                say = f"right; usually written {self._cell(question)}"
            return Verdict(True, marked, expected, None, say)
        hypotheses = self._diagnoser.hypotheses(question, reading.notes, marked)
        first = hypotheses[0]
        return Verdict(False, marked, expected, first.slip, first.say, hypotheses)

    def unanswered(self, question: Question) -> Verdict:
        """The verdict where the player asks to see the cell: every note is missing."""
        if question.back:
            return back_unanswered(question, Back(question.back), self.language)
        expected = question.cell.notes
        marked = tuple(Marked(None, str(note), Outcome.MISSING) for note in expected)
        shown = Hypothesis(Slip.UNANSWERED, f"the cell is {self._cell(question)}")
        return Verdict(False, marked, expected, shown.slip, shown.say, (shown,))

    def _cell(self, question: Question) -> str:
        """The cell asked for, as it is usually written."""
        names = tuple(note.name for note in question.cell.notes)
        return self._diagnoser.show(names, question.run.key)
