"""Which slip an answer shows: exact tests on note names, in a fixed order, every fit kept.

The order is a teacher's, the simpler sentence first.  Cells are short, so that
several slips often fit: the first is named, and one that means the same thing in
other words is added in brackets.  Where explanations of one kind compete, the one that
points at the prompt before is preferred.

B for H stands before the signatures: where B is natural in the language set, a B for
B flat is a forgotten accidental before anything else, and where H is, the typed B is
far more likely the other language's B natural than another key's signature.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from drill.marking import accidentals, slips
from drill.marking.case import Case, Voice
from drill.marking.forms import Forms, Names
from drill.marking.question import Question
from drill.marking.read import Typed
from drill.marking.verdict import Hypothesis, Marked, Slip
from drill.terms import Key
from drill.theory.engine import Engine
from drill.theory.language import Language

Test = Callable[[Case], Iterator[Hypothesis]]

TESTS: tuple[Test, ...] = (
    slips.right_sound,
    slips.concert_pitch,
    slips.other_direction,
    slips.other_degree,
    slips.backwards,
    slips.swapped,
    slips.length,
    accidentals.signature_forgotten,
    accidentals.alteration_forgotten,
    accidentals.b_or_h,
    accidentals.neighbour_signature,
    accidentals.other_key,
    slips.other_root,
    slips.other_shape,
    slips.one_letter,
    accidentals.mixture,
)
"""The tests in order; each yields the explanations of its class that fit, the best first.
Octaves are not among them: see ``Diagnoser.hypotheses``."""

_ASIDES = {
    Slip.NAME: (Slip.OTHER_KEY,),
    Slip.CONCERT: (Slip.DEGREE,),
    Slip.SIGNATURE: (Slip.NEIGHBOUR,),
    Slip.ALTERATION: (Slip.NEIGHBOUR,),
}
"""Which other explanation is worth a bracket after the one named."""


class Diagnoser:
    """Names the slip in a wrong answer.  It keeps the forms of the cells that it has compared
    with, and no answer changes what another is told."""

    def __init__(self, engine: Engine, voice: Voice | None = None) -> None:
        self._forms = Forms(engine)
        self.voice = voice or Voice()

    @property
    def language(self) -> Language:
        return self.voice.language

    def hypotheses(
        self, question: Question, typed: tuple[Typed, ...], marked: tuple[Marked, ...]
    ) -> tuple[Hypothesis, ...]:
        """Every slip that explains the answer, the one to name first; never empty.

        ``typed`` is an answer with at least one fault in ``marked``.
        """
        case = Case(self._forms, self.voice, question, typed, marked)
        # With every name right only the octaves can be wrong, and no other test has a say.
        tests = (slips.octave,) if case.agrees_with(case.expected) else TESTS
        found = [hypothesis for test in tests for hypothesis in test(case)]
        if not found:
            return (slips.unexplained(case),)
        first = found[0]
        for other in found[1:]:
            if other.aside and other.slip in _ASIDES.get(first.slip, ()):
                found[0] = replace(first, say=f"{first.say} ({other.aside})")
                break
        return tuple(found)

    def show(self, names: Names, key: Key) -> str:
        """A cell as the player types it."""
        return self.voice.show(names, key)
