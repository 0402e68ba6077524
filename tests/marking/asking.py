"""How a cell is asked and marked, the fixtures `ask` and `marker`, and what a player reads."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from drill.marking.mark import Marker
from drill.marking.question import Question
from drill.marking.verdict import Hypothesis, Marked, Slip, Verdict
from drill.terms import Direction, Mode, Pattern, Span
from drill.theory.instruments import INSTRUMENTS
from drill.theory.language import Language
from drill.theory.patterns import find_pattern, free_pattern
from drill.theory.runs import build_run
from drill.theory.scales import parse_key
from drill.wording.slips import explained
from drill.wording.slips import marker as marker_of
from drill.wording.verdicts import verdict_told
from drill.wording.voice import Script, Voice

HERE = Path(__file__).parent
Ask = Callable[..., Question]
TWO_FIVE_ONE = free_pattern(
    ("1-b3-5-b7", "1-3-5-b7", "1-3-5-7"), mode=Mode.ROOT, roots=("2", "5", "1"), name="ii-V-I"
)


def cases(file: Path) -> list[dict[str, str]]:
    """The rows of a table of cases, in a file with a line of headings."""
    with file.open(encoding="utf-8", newline="") as source:
        return list(csv.DictReader(source))


def told(
    verdict: Verdict,
    question: Question,
    language: Language = Language.ENGLISH,
    script: Script = Script.TYPED,
) -> str:
    """The sentence that a player reads."""
    return Voice(language, script).text(verdict_told(verdict, question, language))


@dataclass(frozen=True, slots=True)
class Answered:
    """A verdict with what is said of it."""

    verdict: Verdict
    question: Question
    voice: Voice

    @property
    def right(self) -> bool:
        return self.verdict.right

    @property
    def slip(self) -> Slip | None:
        return self.verdict.slip

    @property
    def notes(self) -> tuple[Marked, ...]:
        return self.verdict.notes

    @property
    def hypotheses(self) -> tuple[Hypothesis, ...]:
        return self.verdict.hypotheses

    @property
    def slips(self) -> list[Slip]:
        return [found.slip for found in self.hypotheses]

    @property
    def say(self) -> str:
        """What the player reads."""
        return told(self.verdict, self.question, self.voice.language, self.voice.script)

    def say_of(self, slip: Slip) -> str:
        """What would be said were that explanation the first."""
        found = next(each for each in self.hypotheses if each.slip is slip)
        return self.voice.text(explained(found, self.question))


@dataclass(frozen=True, slots=True)
class Teacher:
    """Marks an answer and says what it is."""

    marker: Marker
    script: Script = Script.TYPED

    def mark(self, question: Question, text: str) -> Answered:
        return self._said(self.marker.mark(question, text), question)

    def unanswered(self, question: Question) -> Answered:
        return self._said(self.marker.unanswered(question), question)

    def _said(self, verdict: Verdict, question: Question) -> Answered:
        return Answered(verdict, question, Voice(self.marker.language, self.script))


@pytest.fixture(scope="session")
def marker() -> Teacher:
    return Teacher(marker_of())


@pytest.fixture(scope="session")
def ask() -> Ask:
    """The cell on a degree of a run: ``ask("G", "1-2-3-1", 4)``, up and at pitch unless told."""

    def question(
        key: str,
        pattern: str | Pattern,
        degree: int,
        way: str = "up",
        *,
        horn: str | None = None,
        span: Span = Span.ONE,
    ) -> Question:
        instrument = INSTRUMENTS[horn] if horn else None
        found = find_pattern(pattern) if isinstance(pattern, str) else pattern
        run = build_run(parse_key(key), found, Direction(way), span=span, horn=instrument)
        index = next(i for i, cell in enumerate(run.cells) if cell.degree == degree)
        return Question(run, index, instrument)

    return question
