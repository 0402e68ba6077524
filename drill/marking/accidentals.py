"""Slips of accidentals and keys: a signature forgotten, another key's, another mode's, B and H.

Each test takes a ``Case`` and yields the explanations of its class that fit exactly,
the best first.  Names are compared on the line of fifths, F C G D A E B with flats
before and sharps after: a signature is seven of them in a row, and a cell moved to
another tonic is the same distance away on every note.
"""

from __future__ import annotations

from collections.abc import Iterator

from drill.marking.case import Case
from drill.marking.forms import NEIGHBOURS
from drill.marking.verdict import Hypothesis, Slip
from drill.terms import Direction, Key, Name
from drill.theory.language import Language
from drill.theory.scales import SCALES, fifths_of, name_of_fifths, signature

Found = Iterator[Hypothesis]

MIXTURES = (
    "natural_minor", "harmonic_minor", "melodic_minor_jazz", "dorian", "mixolydian", "lydian",
    "major",
)  # fmt: skip
"""The modes that players mix up on one tonic, the commonest first."""

_H_LANGUAGES = frozenset({Language.GERMAN, Language.SWEDISH, Language.NORWEGIAN, Language.FINNISH})
_B_LANGUAGES = frozenset({Language.ENGLISH, Language.ENGLISH_SF, Language.DUTCH})


def _forgotten(case: Case) -> tuple[list[int], list[int]] | None:
    """The places where the signature, and where the scale's own alteration, was left out.

    None unless every fault is one of the two: a natural for a note that the signature
    alters, or the signature's note (or a natural) for one that the scale or a
    neighbour alters against it.
    """
    if not case.off or not case.same_letters():
        return None
    by_signature, by_scale = [], []
    for place in case.off:
        got, want = case.answer[place], case.expected[place]
        plain = case.signature_name(want.letter)
        if want == plain:
            if got.alter != 0:
                return None
            by_signature.append(place)
        elif got == plain or got.alter == 0:
            by_scale.append(place)
        else:
            return None
    return by_signature, by_scale


def signature_forgotten(case: Case) -> Found:
    """Naturals where the signature has accidentals."""
    found = _forgotten(case) if case.keyed else None
    if found is None or found[1]:
        return
    pairs = case.pairs(iter(found[0]))
    typed = " and ".join(case.say_fully(got) for got, _ in pairs)
    wanted = " and ".join(case.say(want) for _, want in pairs)
    major = case.key.scale == "major"
    key = case.voice.tonic(case.key.tonic) if major else case.voice.key(case.key)
    yield Hypothesis(Slip.SIGNATURE, f"{typed}: the signature of {key} has {wanted}")


def alteration_forgotten(case: Case) -> Found:
    """The signature's note, or a natural, where the scale or a neighbour has an accidental."""
    found = _forgotten(case)
    if found is None or not found[1]:
        return
    place = found[1][0]
    got, want = case.answer[place], case.expected[place]
    if case.keyed:
        offset, sign = case.form(case.cell.direction, case.start)[place]
        if sign:
            names = case.scale.names(case.cell.direction)
            base = names[(case.start + offset) % len(names)]
            yield Hypothesis(
                Slip.ALTERATION,
                f"{case.say_fully(got)}: {_DISTANCES[sign]} {case.say(base)} is "
                f"{case.say_fully(want)}",
            )
            return
    where = case.voice.key(case.key) if case.keyed else _root_words(case)
    yield Hypothesis(Slip.ALTERATION, f"{case.say_fully(got)}: {where} has {case.say_fully(want)}")


_DISTANCES = {
    "l": "a half step below",
    "ll": "two half steps below",
    "u": "a half step above",
    "uu": "two half steps above",
}


def _root_words(case: Case) -> str:
    return f"{case.cell.shape} on {case.label(case.cell)}"


def neighbour_signature(case: Case) -> Found:
    """The notes of this key's letters under another signature.

    A neighbour's before the prompt's before, before the parallel key's; one further
    away only where two notes or more ask for it, for one stray accidental is a slip.
    """
    if not case.keyed or case.scale_by_sound or not case.same_letters():
        return
    form = case.form(case.cell.direction, case.start)
    if any(form[place][1] for place in case.off):
        return
    line = [
        fifths_of(name)
        for name, (_, sign) in zip(case.answer, form, strict=True)
        if sign not in NEIGHBOURS
    ]
    own, shift = signature(case.key), SCALES[case.key.scale].shift
    # A signature of f sharps holds the names from f - 1 to f + 5 on the line of fifths.
    fitting = range(max(-7, max(line) - 5), min(7, min(line) + 1) + 1)
    if not fitting or own in fitting:
        return
    before = signature(case.before) if case.before else None
    # The parallel minor of a major key, the parallel major of any other.
    parallel, mode = (own - 3, "natural_minor") if shift == 0 else (own - shift, "major")
    ranks = {parallel: 2, before: 1, own - 1: 0, own + 1: 0}
    found = min(fitting, key=lambda fifths: (ranks.get(fifths, 3), abs(fifths - own)))
    rank = ranks.get(found, 3)
    if rank == 3 and len(case.pairs(iter(case.off))) == 1:
        return
    key = Key(name_of_fifths(found - shift), case.key.scale)
    if rank == 2:
        key = Key(case.key.tonic, mode)
    other = case.voice.key(key) + (", the key before" if rank == 1 else "")
    yield Hypothesis(
        Slip.NEIGHBOUR,
        f"that is the signature of {other}, not of {case.voice.key(case.key)}",
        f"that is the signature of {other}" if rank < 2 else "",
        key,
    )


def other_key(case: Case) -> Found:
    """The cell on this degree of another tonic's scale: every note as far away."""
    if not case.keyed or not case.same_length:
        return
    named = [place for place, sound in enumerate(case.by_sound) if not sound]
    if named:
        away = _distance(case, named[0])
        if not away or any(_distance(case, place) != away for place in named[1:]):
            return
        tonics = [name_of_fifths(fifths_of(case.key.tonic) + away)]
    else:
        away = _distance(case, 0)
        strict = fifths_of(case.key.tonic) + away
        tonics = [name_of_fifths(strict + 12 * turn) for turn in (-2, -1, 0, 1, 2)]
    if (not named and away % 12 == 0) or any(
        (_distance(case, at) - away) % 12 for at in range(len(case.answer))
    ):
        return
    keys = [Key(tonic, case.key.scale) for tonic in tonics]
    keys = [key for key in keys if abs(signature(key)) <= 7]
    if keys:
        key = min(keys, key=lambda key: (key != case.before, abs(signature(key))))
        last = ", the key before" if key == case.before else ""
        yield Hypothesis(
            Slip.OTHER_KEY,
            f"that is the cell on {case.cell.label} of {case.voice.key(key)}{last}",
            f"as in {case.voice.key(key)}",
            key,
        )


def _distance(case: Case, place: int) -> int:
    return fifths_of(case.answer[place]) - fifths_of(case.expected[place])


def mixture(case: Case) -> Found:
    """The cell on this degree of another mode of the same tonic."""
    if not case.keyed or case.size != 7 or not case.same_letters():
        return
    here = case.cell.direction
    form = case.form(here, case.start)
    for scale in MIXTURES:
        key = Key(case.key.tonic, scale)
        if scale != case.key.scale and case.fits(form, case.start, Direction.UP, key):
            yield Hypothesis(Slip.MIXTURE, f"those notes are in {case.voice.key(key)}")
            return


def b_or_h(case: Case) -> Found:
    """B meant in the other language's sense: B flat is B in German, and B natural is H there.

    Where B is natural a German habit types B for B flat; where it is flat, an English
    habit types B for H.
    """
    language = case.voice.language
    natural, flat = Name("B"), Name("B", -1)
    if language in _B_LANGUAGES:
        typed, meant = natural, flat
        said = "German B is B flat: the language of note names is a setting"
    elif language in _H_LANGUAGES:
        typed, meant = flat, natural
        said = "B is B flat here, and the natural is H"
    else:
        return
    if typed in case.answer:
        turned = tuple(meant if name == typed else name for name in case.answer)
        if turned == case.expected:
            yield Hypothesis(Slip.B_OR_H, f"with B taken the other way it is right: {said}")
