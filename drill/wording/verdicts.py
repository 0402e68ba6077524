"""What is said of an answer: right, right but usually written otherwise, wrong and why."""

from __future__ import annotations

from drill.marking.back import Back, concert_of, wanted, written_of
from drill.marking.question import Question
from drill.marking.verdict import Hypothesis, Outcome, Slip, Verdict
from drill.terms import Key
from drill.theory.language import Language
from drill.theory.scales import signature, signature_names
from drill.theory.spelling import parse_name
from drill.wording.orderslips import cell_row
from drill.wording.reading import problem_told
from drill.wording.sentence import Sentence, chord, figures, row, sentence, tonic, tonics, written
from drill.wording.slips import slip_told

LABELS = {
    Outcome.RIGHT: "right",
    Outcome.NAME: "right sound, wrong name",
    Outcome.WRONG: "wrong",
    Outcome.MISSING: "missing",
    Outcome.EXTRA: "too many",
}


def outcome_label(outcome: Outcome) -> str:
    """How one note was answered."""
    return LABELS[outcome]


def verdict_told(
    verdict: Verdict, question: Question, language: Language = Language.ENGLISH
) -> Sentence:
    """The sentence on an answer.  ``language`` is that of note names, of which the reasons for
    an unreadable one speak."""
    if verdict.problem is not None:
        key = None if question.back and question.back != Back.DIFFERENT else question.run.key
        return problem_told(verdict.problem, language, key)
    if verdict.right:
        told = right_told(verdict, question)
        return sentence("right; ", told) if told else sentence("right")
    if question.back:
        return _back_told(verdict.hypotheses[0], question, Back(question.back))
    return slip_told(verdict, question)


def judged_told(verdict: Verdict, question: Question, language: Language) -> Sentence:
    """The same on a line of its own, with how it was judged, and with the cell after a slip."""
    told = verdict_told(verdict, question, language)
    if verdict.right:
        return told
    if not verdict.readable:
        return sentence("not read: ", told)
    told = sentence("not right: ", told)
    cell = cell_row(question)
    if not verdict.expected or any(part.names == cell.names for part in told.spelled):
        return told
    return sentence(told, ". The cell is ", cell)


def right_told(verdict: Verdict, question: Question) -> Sentence:
    """What is added to ``right``: the usual spelling, or what was different; mostly nothing."""
    if question.back == Back.DIFFERENT:
        return _truth(question)
    if verdict.usual:
        return Sentence()
    if question.back:
        return sentence("usually written ", _answer(question, Back(question.back)))
    return sentence("usually written ", cell_row(question))


# The other way round.


def answer_shown(verdict: Verdict, question: Question) -> Sentence:
    """The right answer to a question the other way round, in short: ``Bb``, ``4``, ``F# C#``."""
    back = Back(question.back)
    if back in (Back.KEY, Back.CONCERT, Back.WRITTEN):
        return sentence(tonic(parse_name(wanted(question, back))))
    if back is Back.SIGNATURE:
        return _signature(question)
    if back is Back.CHORD:
        return chord(question.cell.symbol)
    return sentence(", ".join(mark.expected or "" for mark in verdict.notes))


def _signature(question: Question) -> Sentence:
    names = signature_names(signature(question.run.key))
    return sentence(tonics(names)) if names else sentence("none")


def _answer(question: Question, back: Back) -> Sentence:
    """The key or chord that is the right answer."""
    if back is Back.CHORD:
        return chord(question.cell.symbol)
    key = {Back.CONCERT: concert_of, Back.WRITTEN: written_of}.get(back, _own)(question)
    return written(key)


def _own(question: Question) -> Key:
    return question.run.key


def _truth(question: Question) -> Sentence:
    altered, key = question.altered, question.run.key
    if altered is None:
        return sentence("nothing was altered")
    was, came = question.cell.notes[altered.place], altered.note
    place = altered.place + 1
    return sentence(
        f"note {place} was different: ", row((came,), key), " in place of ", row((was,), key)
    )


def _back_told(found: Hypothesis, question: Question, back: Back) -> Sentence:
    if back is Back.DIFFERENT:
        return _truth(question)
    if found.slip is Slip.UNANSWERED:
        if back is Back.WHICH_DEGREE:
            return sentence("it is ", figures(question.cell.label))
        if back is Back.SIGNATURE:
            return sentence("it is ", _signature(question))
        if back is Back.CHORD:
            return sentence("it is ", _answer(question, back))
        return sentence("it is ", tonic(parse_name(wanted(question, back))))
    if back is Back.WHICH_DEGREE:
        got = getattr(found.fact, "label", "")
        return sentence("it stands on ", figures(question.cell.label), ", not on ", figures(got))
    if back is Back.SIGNATURE:
        whose = sentence("the signature of ", written(question.run.key), " is ")
        return sentence(_SIGNATURE_HEADS.get(found.slip, ""), whose, _signature(question))
    heads = _CHORD_HEADS if back is Back.CHORD else _TONIC_HEADS
    return sentence(heads[found.slip], _answer(question, back))


_SIGNATURE_HEADS = {
    Slip.SIGNS: "sharps and flats confused: ",
    Slip.NEIGHBOUR: "one off: ",
}
_CHORD_HEADS = {
    Slip.QUALITY: "the root is right, the kind is another: it is ",
    Slip.INVERSION: "the chord is right, the bass is another: it is ",
    Slip.ROOT: "another chord: it is ",
}
_TONIC_HEADS = {
    Slip.NAME: "right sound, wrong name: here it is ",
    Slip.CONCERT: "not transposed: it is ",
    Slip.DIRECTION: "transposed the other way round: it is ",
    Slip.NEIGHBOUR: "one sharp or flat away: it is ",
    Slip.OTHER_KEY: "another key: it is ",
}
