"""Which slip an answer shows: exact tests on note names, in a fixed order, every fit kept.

The order is handed in, with each test under the slip that it tells: it stands beside the
sentences, in ``wording.slips``.  Cells are short, so that several slips often fit: the
first is named.  Where explanations of one kind compete, the one that points at the prompt
before is preferred.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from drill.marking.case import Case
from drill.marking.facts import Bare, Fact
from drill.marking.question import Question
from drill.marking.typed import Typed
from drill.marking.verdict import Hypothesis, Marked, Slip
from drill.theory.language import Language

Test = Callable[[Case], Iterator[Fact]]
Order = Sequence[tuple[Slip, Test]]
"""The tests in the order in which they are tried, each with the slip that it tells."""


_WITHOUT_A_CELL = frozenset(
    {
        Slip.NAME, Slip.BEFORE, Slip.SIGNS, Slip.CONCERT, Slip.BACKWARDS, Slip.SWAPPED,
        Slip.STOPPED, Slip.RAN_ON, Slip.LETTER, Slip.LEFT_OUT, Slip.TOO_MANY,
    }
)  # fmt: skip
"""What can be told of notes that are grouped across cells, and stand for no cell of a key."""


def hypotheses(
    order: Order,
    language: Language,
    question: Question,
    typed: tuple[Typed, ...],
    marked: tuple[Marked, ...],
) -> tuple[Hypothesis, ...]:
    """Every slip that explains the answer, the one to name first; never empty.

    ``typed`` is an answer with at least one fault in ``marked``.
    """
    case = Case(language, question, typed, marked)
    # With every name right only the octaves can be wrong, and no other test has a say.
    octaves = case.agrees_with(case.expected)
    grouped = question.run.pattern.groups_of and not octaves
    found = [
        Hypothesis(slip, fact)
        for slip, test in order
        if (slip is Slip.OCTAVE) is octaves and not (grouped and slip not in _WITHOUT_A_CELL)
        for fact in test(case)
    ]
    return tuple(found) or (Hypothesis(Slip.UNEXPLAINED, Bare()),)
