"""One engine and one marker for all tests of marking, and a way to ask a cell."""

from __future__ import annotations

import pytest
from asking import Ask, Teacher

from drill.marking.question import Question
from drill.terms import Direction, Pattern, Span
from drill.theory.engine import Engine
from drill.theory.instruments import INSTRUMENTS
from drill.theory.patterns import find_pattern
from drill.theory.runs import build_run
from drill.theory.scales import parse_key
from drill.wording.slips import marker as marker_of


@pytest.fixture(scope="session")
def engine() -> Engine:
    return Engine()


@pytest.fixture(scope="session")
def marker(engine: Engine) -> Teacher:
    return Teacher(marker_of(engine))


@pytest.fixture(scope="session")
def ask(engine: Engine) -> Ask:
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
        run = build_run(engine, parse_key(key), found, Direction(way), span=span, horn=instrument)
        index = next(i for i, cell in enumerate(run.cells) if cell.degree == degree)
        return Question(run, index, instrument)

    return question
