"""Slips of accidentals and keys: a signature forgotten, another key's, another mode's, B and H.

Each test takes a ``Case`` and yields the explanations of its class that fit exactly,
the best first.  Names are compared on the line of fifths, F C G D A E B with flats
before and sharps after: a signature is seven of them in a row, and a cell moved to
another tonic is the same distance away on every note.
"""

from __future__ import annotations

from collections.abc import Iterator

from drill.marking.case import Case
from drill.marking.facts import Forgotten, Keyed, OtherLanguage, Unaltered
from drill.terms import Direction, Key, Name
from drill.theory.language import Language
from drill.theory.scales import SCALES, fifths_of, name_of_fifths, scale_of, signature
from drill.theory.spelling import NEIGHBOURS, degree_interval, moved

_MINOR = ("harmonic_minor", "dorian", "melodic_minor_classical", "phrygian", "major")
_MELODIC = ("natural_minor", "harmonic_minor", "dorian", "major")
_MODES = ("natural_minor", "harmonic_minor", "melodic_minor_classical", "dorian", "major")
MIXTURES: dict[str, tuple[str, ...]] = {
    "major": (
        "natural_minor", "mixolydian", "lydian", "harmonic_minor", "melodic_minor_classical",
        "dorian",
    ),
    "natural_minor": _MINOR,
    "aeolian": _MINOR,
    "harmonic_minor": ("natural_minor", "melodic_minor_classical", "dorian", "major"),
    "melodic_minor_classical": _MELODIC,
    "melodic_minor_jazz": _MELODIC,
}  # fmt: skip
"""The modes that players mix up on one tonic, the likeliest first."""
_OTHER_MIXTURES = ("major", *_MODES[:-1], "mixolydian", "lydian")


def mixtures(scale: str) -> tuple[str, ...]:
    """The modes that players take a scale for on its own tonic, the likeliest first."""
    if scale in MIXTURES:
        return MIXTURES[scale]
    ordered = _OTHER_MIXTURES if "3" in SCALES[scale].up else (*_MODES, "phrygian")
    return tuple(each for each in ordered if each != scale)


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


_THREE = frozenset({"natural_minor", "aeolian", "harmonic_minor", "melodic_minor_classical",
                    "melodic_minor_jazz"})  # fmt: skip
"""The minors, which are told from one another."""


def _is_a_mode(case: Case) -> bool:
    """Whether the notes are better called by their mode than by what was forgotten: one of the
    three minors for another, and a mode's own parallel, major or minor."""
    found = next(mixture(case), None)
    if found is None:
        return False
    if case.key.scale in _THREE:
        return found.key.scale in _THREE
    return found.key.scale == ("natural_minor" if "b3" in case.scale_formula() else "major")


def signature_forgotten(case: Case) -> Iterator[Forgotten]:
    """Naturals where the signature has accidentals."""
    found = _forgotten(case) if case.keyed else None
    if found is None or found[1] or _is_a_mode(case):
        return
    every = not any(name.alter and name == case.signature_name(name.letter) for name in case.answer)
    yield Forgotten(case.pairs(iter(found[0])), every)


def alteration_forgotten(case: Case) -> Iterator[Unaltered]:
    """The signature's note, or a natural, where the scale or a neighbour has an accidental."""
    found = _forgotten(case)
    if found is None or not found[1]:
        return
    place = found[1][0]
    got, want = case.answer[place], case.expected[place]
    if not case.keyed:
        yield Unaltered(got, want)
        return
    offset, sign = case.form(case.cell.direction, case.start)[place]
    names = case.scale.names(case.cell.direction)
    position = (case.start + offset) % len(names)
    if sign:
        yield Unaltered(got, want, names[position], sign)
        return
    if found[0] and next(other_key(case), None) is not None:
        return  # the whole cell a half step off is E for E flat
    raised = want.alter > case.signature_name(want.letter).alter
    yield Unaltered(got, want, degree=case.degree_at(place), raised=raised)


def _line(case: Case) -> list[int] | None:
    """The notes typed on the line of fifths, without chromatic neighbours; None unless all has
    the letters of a key that has a signature."""
    if not case.keyed or case.scale_by_sound or not case.same_letters():
        return None
    form = case.form(case.cell.direction, case.start)
    if any(form[place][1] for place in case.off):
        return None
    return [
        fifths_of(name)
        for name, (_, sign) in zip(case.answer, form, strict=True)
        if sign not in NEIGHBOURS
    ]


def _signatures(case: Case) -> range:
    """The signatures that have all the notes typed; empty where none has, or the key's own."""
    line = _line(case)
    if not line:
        return range(0)
    # A signature of f sharps holds the names from f - 1 to f + 5 on the line of fifths.
    fitting = range(max(-7, max(line) - 5), min(7, min(line) + 1) + 1)
    return range(0) if signature(case.key) in fitting else fitting


def _strays(case: Case) -> tuple[Name, ...]:
    """The notes typed that are off, each once."""
    return tuple(dict.fromkeys(case.answer[at] for at in case.off))


def key_before(case: Case) -> Iterator[Keyed]:
    """Accidentals that belong to the key of the prompt before."""
    before = case.before
    if before is None or not case.off or before == case.key:
        return
    line = _line(case)
    if line is None:
        return
    if SCALES[before.scale].by_sound or len(SCALES[before.scale].up) != 7:
        return
    names = scale_of(before).names(case.cell.direction)
    if all(case.answer[at] in names for at in case.off):
        first = case.off[0]
        yield Keyed(before, True, _strays(case), case.expected[first], case.degree_at(first))


def neighbour_signature(case: Case) -> Iterator[Keyed]:
    """The notes of this key's letters under the signature of a neighbour, a fifth away."""
    own = signature(case.key)
    for fifths in _signatures(case):
        if abs(fifths - own) == 1:
            yield _signed(case, fifths)
            return


def far_signature(case: Case) -> Iterator[Keyed]:
    """The same under a signature further away, where two notes or more ask for it.

    Of those that fit, one whose tonic has the letter asked for, then the nearest.
    """
    own, shift = signature(case.key), SCALES[case.key.scale].shift
    fitting = [fifths for fifths in _signatures(case) if abs(fifths - own) > 1]
    if not fitting or len(case.pairs(iter(case.off))) == 1:
        return
    letter = case.key.tonic.letter
    yield _signed(
        case,
        min(fitting, key=lambda f: (name_of_fifths(f - shift).letter != letter, abs(f - own))),
    )


def _signed(case: Case, fifths: int) -> Keyed:
    """A signature as the key that it is named after: major, or the minor of a minor."""
    scale = signature_scale(case.key)
    key = Key(name_of_fifths(fifths - SCALES[scale].shift), scale)
    first = case.off[0]
    return Keyed(key, key == case.before, _strays(case), case.expected[first])


def signature_scale(key: Key) -> str:
    """Whose signature a key is read in: that of a minor key for the minors, else of a major."""
    return "natural_minor" if SCALES[key.scale].shift == -3 else "major"


def other_key(case: Case) -> Iterator[Keyed]:
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
        yield Keyed(key, key == case.before)


def _distance(case: Case, place: int) -> int:
    return fifths_of(case.answer[place]) - fifths_of(case.expected[place])


def mixture(case: Case) -> Iterator[Keyed]:
    """Outside major, the cell on this degree of another mode of the same tonic."""
    if case.key.scale != "major":
        yield from _mixed(case)


def parallel(case: Case) -> Iterator[Keyed]:
    """In major, the cell on this degree of another mode of the same tonic."""
    if case.key.scale == "major":
        yield from _mixed(case)


def _mixed(case: Case) -> Iterator[Keyed]:
    if not case.keyed or case.size != 7 or case.scale_by_sound or not case.same_letters():
        return
    here = case.cell.direction
    form = case.form(here, case.start)
    for scale in mixtures(case.key.scale):
        key = Key(case.key.tonic, scale)
        if case.fits(form, case.start, Direction.UP, key):
            first = case.off[0]
            yield Keyed(
                key,
                False,
                _strays(case),
                case.expected[first],
                case.degree_at(first),
                _change(case, case.expected[first], case.degree_at(first)),
            )
            return


def _change(case: Case, want: Name, degree: int) -> int:
    """By how much a scale alters a degree against plain major, or minor where its third is."""
    minor = "b3" in case.scale_formula()
    plain = SCALES["natural_minor" if minor else "major"].up[degree - 1]
    return want.alter - moved(case.key.tonic, *degree_interval(plain)).alter


def b_or_h(case: Case) -> Iterator[OtherLanguage]:
    """B meant in the other language's sense: B flat is B in German, and B natural is H there.

    Where B is natural a German habit types B for B flat; where it is flat, an English
    habit types B for H.
    """
    natural, flat = Name("B"), Name("B", -1)
    if case.language in _B_LANGUAGES:
        if _is_a_mode(case):
            return  # who plays F major for F Lydian thinks of no German B
        typed, meant = natural, flat
    elif case.language in _H_LANGUAGES:
        typed, meant = flat, natural
    else:
        return
    if typed in case.answer:
        turned = tuple(meant if name == typed else name for name in case.answer)
        if turned == case.expected:
            yield OtherLanguage(german=typed == natural)
