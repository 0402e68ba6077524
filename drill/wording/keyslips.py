"""The sentences of slips of accidentals, signatures, keys and modes.

A signature belongs to the major or the minor key; of the modes it is said what they have.
"""

from __future__ import annotations

from drill.marking.accidentals import signature_scale
from drill.marking.facts import Forgotten, Keyed, OtherLanguage, Unaltered
from drill.marking.question import Question
from drill.terms import Key, Mode, Name
from drill.theory.scales import SCALES, signature
from drill.wording.asking import NUMBERS
from drill.wording.orderslips import cell_row, on
from drill.wording.sentence import (
    InDo,
    Sentence,
    figures,
    fully,
    letter,
    listed,
    prose,
    sentence,
    tonic,
    written,
)

ORDINALS = ("", "tonic", "second", "third", "fourth", "fifth", "sixth", "seventh")
"""Degrees as they are said of a scale."""
_DISTANCES = {
    "l": "a half step below ",
    "ll": "two half steps below ",
    "u": "a half step above ",
    "uu": "two half steps above ",
}
_MANY = 3
"""From so many forgotten accidentals on they are counted, not listed."""


def signature_owner(key: Key) -> Sentence:
    """Whose signature a key has: ``G major``, ``F# minor``."""
    scale = signature_scale(key)
    if scale == "natural_minor":
        return sentence(tonic(key.tonic), " minor")
    return written(key)


def _has_signature(key: Key) -> bool:
    """Whether players speak of the key's own signature: in major and in the minors."""
    return key.scale == "major" or SCALES[key.scale].shift == -3


def _full(name: Name, question: Question) -> Sentence:
    return sentence(fully(name, question.run.key))


def signature_forgotten(fact: Forgotten, question: Question) -> Sentence:
    key = question.run.key
    if fact.every and len(fact.pairs) >= _MANY:
        count = abs(signature(key))
        sign = "sharps" if signature(key) > 0 else "flats"
        owner = signature_owner(key) if _has_signature(key) else written(key)
        head = sentence(f"none of the {NUMBERS[count]} {sign} of ", owner)
        return sentence(head, ": ", cell_row(question))
    typed = listed(fully(got, key) for got, _ in fact.pairs)
    want = listed(prose(want, key) for _, want in fact.pairs)
    if not _has_signature(key):
        said = sentence(typed, ": ", written(key), " has ", want)
    else:
        owner = sentence(tonic(key.tonic)) if key.scale == "major" else signature_owner(key)
        said = sentence(typed, ": the signature of ", owner, " has ", want)
    return _in_do(said, fact.pairs, question)


def _in_do(said: Sentence, pairs: tuple[tuple[Name, Name], ...], question: Question) -> Sentence:
    """In movable do a syllable is taken for another, and nothing is altered."""
    key = question.run.key
    typed = listed(prose(got, key) for got, _ in pairs)
    want = listed(prose(want, key) for _, want in pairs)
    return sentence(InDo(sentence(want, ", not ", typed).parts, said.parts))


def alteration_forgotten(fact: Unaltered, question: Question) -> Sentence:
    key = question.run.key
    got, want = _full(fact.got, question), _full(fact.want, question)
    if fact.base is not None:
        return sentence(got, f": {_DISTANCES[fact.sign]}", prose(fact.base, key), " is ", want)
    if question.run.pattern.mode is Mode.ROOT:
        asked = on(question)
        if not question.cell.symbol:
            asked = sentence(figures(question.cell.shape), " on ", asked)
        return sentence(got, ": ", asked, " has ", want)
    way = "raises" if fact.raised else "lowers"
    said = sentence(got, ": ", written(key), f" {way} the {ORDINALS[fact.degree]}, ", want)
    return _in_do(said, ((fact.got, fact.want),), question)


def b_or_h(fact: OtherLanguage, _: Question) -> Sentence:
    # Of letters and not of notes: they are said alike in every language.
    german = "German B is B flat: the language of note names is a setting"
    english = "B is B flat here, and the natural is H"
    return sentence(f"with B taken the other way it is right: {german if fact.german else english}")


def that_key(fact: Keyed, question: Question) -> Sentence:
    """``that is D minor``; which minor is told where a minor was asked for."""
    if fact.key.scale == "natural_minor" and SCALES[question.run.key.scale].shift != -3:
        return sentence("that is ", tonic(fact.key.tonic), " minor")
    return sentence("that is ", written(fact.key))


def mixture(fact: Keyed, question: Question) -> Sentence:
    """``that is G major; Mixolydian has the flat seventh, F natural``."""
    key = question.run.key
    label = SCALES[key.scale].label
    said = that_key(fact, question)
    if fact.want is None:
        return said
    want, degree = _full(fact.want, question), ORDINALS[fact.degree]
    if fact.change == 0:
        return sentence(said, f"; {label} keeps the {degree}, ", want)
    altered = "raised" if fact.change > 0 else "flat"
    return sentence(said, f"; {label} has the {altered} {degree}, ", want)


def other_key(fact: Keyed, question: Question) -> Sentence:
    key, cell = question.run.key, question.cell
    place = sentence()
    if cell.label not in ("1", "8"):
        place = sentence("the cell on ", figures(cell.label), " of ")
    played = sentence("that is ", place, written(fact.key))
    if fact.before:
        played += ", the key before"
    if fact.key.tonic.letter == key.tonic.letter:
        return sentence(played, "; the key is ", letter(key.tonic))
    return sentence(played, "; you were asked for ", written(key))


def as_in(fact: Keyed, question: Question) -> Sentence:
    """``as in Gb major``, of a right sound; of forgotten accidentals, what they make."""
    if fact.key.tonic.letter == question.run.key.tonic.letter:
        return that_key(fact, question)
    return sentence("as in ", written(fact.key))


def belongs(fact: Keyed, question: Question) -> Sentence:
    """``B flat belongs to F major, the key before``."""
    verb = "belongs" if len(fact.got) == 1 else "belong"
    strays = listed(fully(name, question.run.key) for name in fact.got)
    return sentence(strays, f" {verb} to ", written(fact.key), ", the key before")


def key_before(fact: Keyed, question: Question) -> Sentence:
    said = belongs(fact, question)
    if fact.want is None or len(fact.got) > 1:
        return sentence(said, ": here it is ", cell_row(question))
    return sentence(said, ": here it is ", _full(fact.want, question))


def other_signature(fact: Keyed, question: Question) -> Sentence:
    key = question.run.key
    said = that_signature(fact, question)
    if _has_signature(key):
        return sentence(said, ", not of ", signature_owner(key))
    if fact.want is None:
        return said
    return sentence(said, "; ", written(key), " has ", _full(fact.want, question))


def that_signature(fact: Keyed, _: Question) -> Sentence:
    last = ", the key before" if fact.before else ""
    return sentence("that is the signature of ", signature_owner(fact.key), last)
