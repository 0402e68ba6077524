"""Every kind of slip: the order in which they are tried, each with its test, label and sentence.

One row a kind.  The order is a teacher's, the simpler sentence first: what was typed, then
order and length, then accidentals and keys, then shapes, then single notes.  Marking tries
the tests in this order and keeps all that fit; the first is said, and one that means the
same in other words follows it in brackets.  Reports, screens and lines take the label.

B for H stands before the signatures: where B is natural in the language set, a B for
B flat is a forgotten accidental before anything else, and where H is, the typed B is
far more likely the other language's B natural than another key's signature.  Inversions
stand before swapped notes, which they would otherwise be called.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from drill.marking import accidentals as keys
from drill.marking import chords, slips
from drill.marking.back import Back
from drill.marking.case import Case
from drill.marking.facts import Fact
from drill.marking.mark import Marker
from drill.marking.question import Question
from drill.marking.verdict import Hypothesis, Slip, Verdict
from drill.memory.kinds import Kind as Asked
from drill.theory.language import Language
from drill.wording import keyslips as key_said
from drill.wording import orderslips as said
from drill.wording.sentence import Sentence, sentence

F = TypeVar("F", bound=Fact)


@dataclass(frozen=True, slots=True)
class SlipKind(Generic[F]):
    """One kind of slip."""

    slip: Slip
    """Its id, which is kept in logs and files."""
    label: str
    """What a player calls it, in reports and above the sentence."""
    test: Callable[[Case], Iterator[F]] | None
    """Whether an answer shows it; None for what marking tells without a test."""
    say: Callable[[F, Question], Sentence]
    """The sentence."""
    aside: Callable[[F, Question], Sentence] | None = None
    """The same as a remark in brackets after another sentence; None where it is not worth one."""
    brackets: tuple[Slip, ...] = ()
    """Which others are worth a bracket after this one, the best first."""
    against: tuple[str, ...] = (Asked.NEXT,)
    """What to ask against it: kinds of prompt; mostly the next cell, the one before in view."""
    names_key: bool = False
    """Whether it says which key or mode was spelled instead."""


S = Slip
_SIGNATURE, _DEGREE = (Back.SIGNATURE,), (Asked.DEGREE,)
# fmt: off
KINDS: tuple[SlipKind[Any], ...] = (
    SlipKind(S.UNREADABLE, "not readable", None, said.unreadable),
    SlipKind(S.UNANSWERED, "not answered", None, said.the_cell),
    SlipKind(S.NAME, "right sound, wrong name", slips.right_sound, said.right_sound,
         brackets=(S.OTHER_KEY,), against=_SIGNATURE),
    SlipKind(S.BEFORE, "the prompt before", slips.prompt_before, said.prompt_before),
    SlipKind(S.SIGNS, "sharps for flats", slips.signs_turned, said.signs_turned,
         brackets=(S.KEY_BEFORE,), against=_SIGNATURE),
    SlipKind(S.CONCERT, "concert pitch", slips.concert_pitch, said.concert_pitch,
         brackets=(S.DEGREE,), against=(Back.CONCERT, Back.WRITTEN)),
    SlipKind(S.OCTAVE, "wrong octave", slips.octave, said.octave, against=_DEGREE),
    SlipKind(S.DIRECTION, "wrong direction", slips.other_direction, said.other_direction),
    SlipKind(S.DEGREE, "wrong degree", slips.other_degree, said.other_degree, said.on_other,
         against=(Back.WHICH_DEGREE,)),
    SlipKind(S.BACKWARDS, "backwards", slips.backwards, said.backwards),
    SlipKind(S.INVERSION, "wrong inversion", chords.inversion, said.inversion),
    SlipKind(S.SWAPPED, "notes swapped", slips.swapped, said.swapped),
    SlipKind(S.STOPPED, "stopped early", slips.stopped_early, said.stopped_early),
    SlipKind(S.RAN_ON, "ran on", slips.ran_on, said.ran_on),
    SlipKind(S.SIGNATURE, "signature forgotten", keys.signature_forgotten,
         key_said.signature_forgotten, brackets=(S.OTHER_KEY, S.MIXTURE, S.NEIGHBOUR),
         against=_SIGNATURE),
    SlipKind(S.ALTERATION, "accidental forgotten", keys.alteration_forgotten,
         key_said.alteration_forgotten, brackets=(S.MIXTURE, S.QUALITY), against=_SIGNATURE),
    SlipKind(S.B_OR_H, "B or H", keys.b_or_h, key_said.b_or_h, against=_SIGNATURE),
    SlipKind(S.MIXTURE, "another mode", keys.mixture, key_said.mixture, key_said.that_key,
         (S.KEY_BEFORE,), against=_SIGNATURE, names_key=True),
    SlipKind(S.OTHER_KEY, "another key", keys.other_key, key_said.other_key, key_said.as_in,
         against=(Back.KEY,), names_key=True),
    SlipKind(S.KEY_BEFORE, "the key before", keys.key_before, key_said.key_before,
         key_said.belongs,
         against=_SIGNATURE, names_key=True),
    SlipKind(S.NEIGHBOUR, "another signature", keys.neighbour_signature, key_said.other_signature,
         key_said.that_signature, (S.PARALLEL,), against=_SIGNATURE, names_key=True),
    SlipKind(S.PARALLEL, "parallel key", keys.parallel, key_said.mixture, key_said.that_key,
         against=_SIGNATURE, names_key=True),
    SlipKind(S.FAR, "a far signature", keys.far_signature, key_said.other_signature,
         against=_SIGNATURE, names_key=True),
    SlipKind(S.ROOT, "wrong root", slips.other_root, said.other_degree),
    SlipKind(S.QUALITY, "another chord", chords.quality, said.quality, said.that_chord),
    SlipKind(S.LEFT_OUT, "a note left out", slips.left_out, said.left_out),
    SlipKind(S.SHAPE, "another shape", slips.other_shape, said.other_shape),
    SlipKind(S.TOO_MANY, "a note too many", slips.too_many, said.too_many),
    SlipKind(S.LETTER, "one note off", slips.one_letter, said.one_letter, against=_DEGREE),
    SlipKind(S.UNEXPLAINED, "wrong", None, said.the_cell),
)
# fmt: on
"""In the order in which they are tried."""

ORDER = tuple((kind.slip, kind.test) for kind in KINDS if kind.test is not None)
"""What the marking tries: see ``marking.diagnose.Order``."""
KEY_SLIPS = frozenset(kind.slip.value for kind in KINDS if kind.names_key)
"""The slips in which another key was spelled."""
_BY_SLIP: dict[Slip, SlipKind[Any]] = {kind.slip: kind for kind in KINDS}


def marker(language: Language = Language.ENGLISH) -> Marker:
    """A marker that names slips in the order of the table."""
    return Marker(ORDER, language)


def slip_label(slip: str) -> str:
    """What a player calls a slip, by its id: ``signature forgotten``; the id itself of one that
    a later version wrote into the log."""
    try:
        return _BY_SLIP[Slip(slip)].label
    except ValueError:
        return slip


def asked_against(slip: str) -> tuple[str, ...]:
    """What to ask against a slip, by its id; the next cell where it is not known."""
    try:
        return _BY_SLIP[Slip(slip)].against
    except ValueError:
        return (Asked.NEXT,)


def explained(hypothesis: Hypothesis, question: Question) -> Sentence:
    """The sentence of one explanation, without brackets."""
    return _BY_SLIP[hypothesis.slip].say(hypothesis.fact, question)


def slip_told(verdict: Verdict, question: Question) -> Sentence:
    """What is said of a wrong answer that was read: the first explanation, and the bracket."""
    first = verdict.hypotheses[0]
    told = explained(first, question)
    for slip in _BY_SLIP[first.slip].brackets:
        for other in verdict.hypotheses[1:]:
            aside = _BY_SLIP[slip].aside
            if other.slip is slip and aside is not None:
                remark = aside(other.fact, question)
                if remark and _worth(first, other, question):
                    return sentence(told, " (", remark, ")")
    return told


def _worth(first: Hypothesis, other: Hypothesis, question: Question) -> bool:
    """Whether another key is worth a bracket: after a forgotten signature only the one that a
    player reaches by leaving it out, E for E flat; after a forgotten accidental another minor."""
    key = other.instead
    if (first.slip, other.slip) == (Slip.SIGNATURE, Slip.OTHER_KEY):
        return key is not None and key.tonic.letter == question.run.key.tonic.letter
    if (first.slip, other.slip) == (Slip.SIGNATURE, Slip.MIXTURE):
        return key is not None and key.scale != "major"
    if (first.slip, other.slip) == (Slip.ALTERATION, Slip.MIXTURE):
        return key is not None and key.scale.endswith(("minor", "classical"))
    return True
