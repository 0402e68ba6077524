"""The scales: degree formulas, key signatures and the tonics they are practised on.

A formula lists degrees of the major scale on the same tonic, rising; the
spelling has the letter of each degree.  The *signature shift* is the number of
fifths from the major signature of the tonic to the signature the scale is read
in: -3 for the minor family, -2 Dorian, +1 Lydian.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from drill.errors import TheoryError
from drill.terms import Key, Name, Scale
from drill.theory import faults
from drill.theory.spelling import degree_interval, degree_name, parse_name

_MINORS = ("harmonic_minor", "melodic_minor_classical", "melodic_minor_jazz")

MOST_ACCIDENTALS = 2
"""No scale is written with a triple sharp or flat."""
FIFTHS = "FCGDAEB"
"""The letters in the order in which sharps enter."""


@dataclass(frozen=True, slots=True)
class ScaleKind:
    """What a scale is, on any tonic."""

    id: str
    label: str
    """What stands after the tonic: ``G major``, ``E harmonic minor``."""
    name: str
    """The full name, with what tells it from its neighbours."""
    aliases: tuple[str, ...]
    up: tuple[str, ...]
    """Degree formula from the tonic up, without the upper tonic."""
    down: tuple[str, ...]
    """The form used coming down, also from the tonic up; equals ``up`` for most."""
    shift: int
    """Fifths from the tonic's major signature to the one this scale is read in."""
    by_sound: bool
    """True where no spelling is agreed: then the sound decides, not the name."""
    also: tuple[tuple[str, ...], ...]
    """Other formulas met in print."""


def _kind(  # noqa: PLR0917 - one row of the table below, which reads best with positions
    scale_id: str,
    label: str,
    name: str,
    aliases: tuple[str, ...],
    up: str,
    down: str,
    shift: int,
    *,
    by_sound: bool = False,
    also: tuple[str, ...] = (),
) -> ScaleKind:
    return ScaleKind(
        scale_id,
        label,
        name,
        aliases,
        tuple(up.split()),
        tuple((down or up).split()),
        shift,
        by_sound,
        tuple(tuple(formula.split()) for formula in also),
    )


# fmt: off
_TABLE = (
    _kind("major", "major", "major (Ionian)", ("ionian",), "1 2 3 4 5 6 7", "", 0),
    _kind("natural_minor", "natural minor", "natural minor (Aeolian)", ("aeolian", "minor"), "1 2 b3 4 5 b6 b7", "", -3),
    _kind("harmonic_minor", "harmonic minor", "harmonic minor", (), "1 2 b3 4 5 b6 7", "", -3),
    _kind("melodic_minor_classical", "melodic minor", "melodic minor (two-way, classical)", (), "1 2 b3 4 5 6 7", "1 2 b3 4 5 b6 b7", -3),
    _kind("melodic_minor_jazz", "jazz melodic minor", "melodic minor (one-way, jazz)", ("jazz minor", "ascending melodic minor"), "1 2 b3 4 5 6 7", "", -3),
    _kind("dorian", "Dorian", "Dorian", (), "1 2 b3 4 5 6 b7", "", -2),
    _kind("phrygian", "Phrygian", "Phrygian", (), "1 b2 b3 4 5 b6 b7", "", -4),
    _kind("lydian", "Lydian", "Lydian", (), "1 2 3 #4 5 6 7", "", 1),
    _kind("mixolydian", "Mixolydian", "Mixolydian", ("dominant",), "1 2 3 4 5 6 b7", "", -1),
    _kind("aeolian", "Aeolian", "Aeolian", ("natural minor",), "1 2 b3 4 5 b6 b7", "", -3),
    _kind("locrian", "Locrian", "Locrian", (), "1 b2 b3 4 b5 b6 b7", "", -5),
    _kind("harmonic_major", "harmonic major", "harmonic major", (), "1 2 3 4 5 b6 7", "", 0),
    _kind("major_pentatonic", "major pentatonic", "major pentatonic", (), "1 2 3 5 6", "", 0),
    _kind("minor_pentatonic", "minor pentatonic", "minor pentatonic", (), "1 b3 4 5 b7", "", -3),
    _kind("blues_minor", "blues", "blues (minor)", ("blues",), "1 b3 4 b5 5 b7", "", -3, by_sound=True, also=("1 b3 4 #4 5 b7",)),
    _kind("blues_major", "major blues", "major blues", ("country blues",), "1 2 b3 3 5 6", "", 0, by_sound=True, also=("1 2 #2 3 5 6",)),
    _kind("whole_tone", "whole tone", "whole tone", (), "1 2 3 #4 #5 b7", "", 0, by_sound=True, also=("1 2 3 #4 #5 #6", "1 2 3 b5 b6 b7", "1 2 3 #4 b6 b7")),
    _kind("octatonic_whole_half", "whole-half octatonic", "octatonic, whole-half (diminished)", ("diminished", "dim W-H"), "1 2 b3 4 b5 b6 6 7", "", 0, by_sound=True, also=("1 2 b3 4 b5 #5 6 7", "1 2 b3 4 #4 #5 6 7")),
    _kind("octatonic_half_whole", "half-whole octatonic", "octatonic, half-whole (dominant diminished)", ("dim H-W",), "1 b2 b3 3 #4 5 6 b7", "", 0, by_sound=True, also=("1 b2 #2 3 #4 5 6 b7", "1 b2 b3 b4 b5 5 6 b7")),
    _kind("chromatic_melodic", "chromatic", "chromatic (sharps up, flats down, by key)", ("melodic chromatic",), "1 #1 2 #2 3 4 #4 5 #5 6 #6 7", "1 b2 2 b3 3 4 b5 5 b6 6 b7 7", 0, by_sound=True),
    _kind("chromatic_harmonic", "harmonic chromatic", "chromatic (harmonic, same both ways)", (), "1 b2 2 b3 3 4 #4 5 b6 6 b7 7", "", 0, by_sound=True),
    _kind("augmented", "augmented", "augmented (hexatonic 3-1)", (), "1 #2 3 5 #5 7", "", 0, by_sound=True, also=("1 b3 3 5 b6 7", "1 #2 3 5 b6 7")),
    _kind("lydian_dominant", "Lydian dominant", "Lydian dominant", ("Lydian b7", "acoustic", "overtone", "Mixolydian #4"), "1 2 3 #4 5 6 b7", "", 0),
    _kind("altered", "altered", "altered (super-Locrian)", ("diminished whole-tone", "mel. minor 7th mode"), "1 b2 b3 b4 b5 b6 b7", "", -4, by_sound=True, also=("1 b2 b3 3 b5 b6 b7", "1 b2 #2 3 #4 #5 b7", "1 b2 #2 3 b5 #5 b7")),
    _kind("locrian_nat2", "Locrian natural 2", "Locrian natural 2", ("half-diminished", "Aeolian b5"), "1 2 b3 4 b5 b6 b7", "", -5),
    _kind("lydian_augmented", "Lydian augmented", "Lydian augmented", ("Lydian #5",), "1 2 3 #4 #5 6 7", "", 0),
    _kind("dorian_b2", "Dorian flat 2", "Dorian b2 (Phrygian natural 6)", ("mel. minor 2nd mode",), "1 b2 b3 4 5 6 b7", "", -3),
    _kind("mixolydian_b6", "Mixolydian b6", "Mixolydian b6", ("mel. minor 5th mode", "Aeolian dominant"), "1 2 3 4 5 b6 b7", "", -1),
    _kind("phrygian_dominant", "Phrygian dominant", "Phrygian dominant", ("harmonic minor 5th mode",), "1 b2 3 4 5 b6 b7", "", -4),
    _kind("locrian_nat6", "Locrian natural 6", "Locrian natural 6", ("harmonic minor 2nd mode",), "1 b2 b3 4 b5 6 b7", "", -5),
    _kind("ionian_augmented", "Ionian augmented", "Ionian augmented (major sharp 5)", ("harmonic minor 3rd mode",), "1 2 3 4 #5 6 7", "", 0),
    _kind("dorian_sharp4", "Dorian sharp 4", "Dorian #4", ("harmonic minor 4th mode",), "1 2 b3 #4 5 6 b7", "", -2),
    _kind("lydian_sharp2", "Lydian sharp 2", "Lydian #2", ("harmonic minor 6th mode",), "1 #2 3 #4 5 6 7", "", 1),
    _kind("ultralocrian", "ultra-Locrian", "ultra-Locrian (altered bb7)", ("harmonic minor 7th mode",), "1 b2 b3 b4 b5 b6 bb7", "", -5),
    _kind("bebop_dominant", "bebop dominant", "bebop dominant", ("Mixolydian bebop",), "1 2 3 4 5 6 b7 7", "", -1),
    _kind("bebop_major", "bebop major", "bebop major", (), "1 2 3 4 5 #5 6 7", "1 2 3 4 5 b6 6 7", 0, also=("1 2 3 4 5 b6 6 7",)),
    _kind("bebop_minor_dorian", "bebop Dorian", "bebop minor (Dorian, added 3)", ("bebop Dorian",), "1 2 b3 3 4 5 6 b7", "", -2),
    _kind("bebop_minor_nat7", "bebop minor", "bebop minor (Dorian, added 7)", (), "1 2 b3 4 5 6 b7 7", "", -2),
    _kind("bebop_melodic_minor", "bebop melodic minor", "bebop melodic minor", (), "1 2 b3 4 5 #5 6 7", "", -3, also=("1 2 b3 4 5 b6 6 7",)),
    _kind("bebop_harmonic_minor", "bebop harmonic minor", "bebop harmonic minor", (), "1 2 b3 4 5 b6 b7 7", "", -3),
)
# fmt: on

_TOKEN = re.compile(r"(bb|b|##|#|)([1-7])")
_FEWEST, _MOST = 3, 12
"""Notes of a scale of one's own."""


def formula_id(text: str) -> str | None:
    """The id of a scale that was typed as its degrees: ``1 2 b3 #4`` is ``1-2-b3-#4``.

    None where the text is no list of degrees.  Raises TheoryError where it is one that no scale
    can have: it begins on 1 and rises within the octave.
    """
    plain = text.strip().translate(str.maketrans("♭♯", "b#"))
    words = re.split(r"[\s,-]+", plain)
    if len(words) < 2 or not all(_TOKEN.fullmatch(word) for word in words):
        return None
    heights = [degree_interval(word)[1] for word in words]
    if words[0] != "1" or heights != sorted(set(heights)) or heights[-1] > 11:
        raise faults.unread("a scale", text)
    if not _FEWEST <= len(words) <= _MOST:
        raise faults.out_of("a scale has", _FEWEST, _MOST, "notes", len(words))
    return "-".join(words)


class _Scales(dict[str, ScaleKind]):
    """The table by id; an id that is a formula is a scale of its own, in the table though it is
    not listed."""

    def __contains__(self, key: object) -> bool:
        if super().__contains__(key):
            return True
        try:
            return isinstance(key, str) and formula_id(key) == key
        except TheoryError:
            return False

    def __missing__(self, key: str) -> ScaleKind:
        if formula_id(key) != key:
            raise KeyError(key)
        return _own(key)


@cache
def _own(scale_id: str) -> ScaleKind:
    """The scale of a formula, read in the signature that leaves it the fewest accidentals.

    Of two signatures that leave as many it has the one nearer to its tonic's minor where its
    third is minor, else major.  Where a letter comes twice no spelling is agreed, and the sound decides.
    """
    up = tuple(scale_id.split("-"))
    names = [degree_name(Name("C"), token) for token in up]
    letters = [name.letter for name in names]

    def printed(shift: int) -> int:
        altered = {name.letter: name.alter for name in signature_names(shift)}
        return sum(name.alter != altered.get(name.letter, 0) for name in names)

    near = -3 if "b3" in up and "3" not in up else 0
    shift = min(range(-5, 2), key=lambda each: (printed(each), abs(each - near)))
    label = f"scale {scale_id}"
    by_sound = len(set(letters)) < len(letters)
    return ScaleKind(scale_id, label, label, (), up, up, shift, by_sound, ())


SCALES: Mapping[str, ScaleKind] = _Scales((kind.id, kind) for kind in _TABLE)
"""The 40 scales by id, in the order of the table; an id such as ``1-2-b3-#4-5-b6-7`` gives the
scale of that formula, which is not listed."""

_BY_WORD = {
    word.casefold(): kind.id
    for kind in reversed(_TABLE)
    for word in (*kind.aliases, kind.name, kind.label, kind.id, kind.id.replace("_", " "))
}


def find_scale(text: str) -> ScaleKind:
    """The scale of that id, name or alias, whatever the case.

    A formula (``1 2 b3 #4 5 b6 7``) is a scale of its own; that of a scale of the table is that
    scale.  Raises TheoryError with the nearest ids where there is none.
    """
    own = formula_id(text)
    if own is not None:
        up = tuple(own.split("-"))
        known = next((kind for kind in _TABLE if kind.up == kind.down == up), None)
        return known or SCALES[own]
    word = " ".join(text.split()).casefold().replace("-", "_")
    if word in SCALES:
        return SCALES[word]
    for form in (word, word.replace("_", " "), word.replace(" ", "_"), text.strip().casefold()):
        if form in _BY_WORD:
            return SCALES[_BY_WORD[form]]
    import difflib  # only where a name was mistyped

    near = difflib.get_close_matches(word, list(SCALES), n=3)
    raise faults.unknown("scale", text, near)


@cache
def scale_of(key: Key) -> Scale:
    """The scale of a key, spelled by interval from its degree formula.

    The rule is the letter arithmetic of ``theory.spelling``: a letter for each degree, the
    alteration from the semitones.  Raises TheoryError where it needs a triple accidental.
    """
    kind = SCALES[key.scale]
    up = tuple(degree_name(key.tonic, token) for token in kind.up)
    down = up
    if kind.down != kind.up:
        down = tuple(degree_name(key.tonic, token) for token in kind.down)
    if any(abs(name.alter) > MOST_ACCIDENTALS for name in (*up, *down)):
        raise faults.triple(key.tonic, kind.label)
    return Scale(key, up, down, _degrees(kind.up), _degrees(kind.down))


def _degrees(formula: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(int(token.lstrip("b#")) for token in formula)


def fifths_of(name: Name) -> int:
    """Sharps (positive) or flats (negative) in the major signature of a tonic: G 1, Cb -7."""
    return FIFTHS.index(name.letter) - 1 + 7 * name.alter


def name_of_fifths(fifths: int) -> Name:
    """The tonic whose major signature has that many sharps (flats when negative)."""
    alter, place = divmod(fifths + 1, 7)
    return Name(FIFTHS[place], alter)


def signature(key: Key) -> int:
    """Sharps (positive) or flats (negative) of the signature the key is read in.

    Beyond 7 the key has double accidentals and no printed signature.
    """
    return fifths_of(key.tonic) + SCALES[key.scale].shift


def has_signature(scale_id: str) -> bool:
    """Whether players agree on the signature that a scale is read in.

    They do where its notes are those of the signature (the modes, the pentatonics) and for
    the minors, whose sixth and seventh are raised by accidentals.  For Lydian dominant,
    whole tone and the like ``signature`` is a convention of this program's own.
    """
    kind = SCALES[scale_id]
    if kind.id in _MINORS:
        return True
    if kind.by_sound:
        return False
    altered = {name.letter: name.alter for name in signature_names(kind.shift)}
    names = (degree_name(Name("C"), token) for token in (*kind.up, *kind.down))
    return all(name.alter == altered.get(name.letter, 0) for name in names)


def signature_names(fifths: int) -> tuple[Name, ...]:
    """The altered names of a signature in the order in which they are printed."""
    if fifths >= 0:
        return tuple(Name(letter, 1) for letter in FIFTHS[: min(fifths, 7)])
    return tuple(Name(letter, -1) for letter in FIFTHS[::-1][: min(-fifths, 7)])


def tonics(scale_id: str) -> tuple[Name, ...]:
    """The 15 tonics whose signature in that scale has 7 flats to 7 sharps, flats first."""
    shift = find_scale(scale_id).shift
    return tuple(name_of_fifths(fifths - shift) for fifths in range(-7, 8))


def parse_key(text: str, scale: str = "major") -> Key:
    """The key that a tonic, or a tonic and a scale, stands for: ``Bb``, ``F# dorian``, ``Ebm``.

    ``scale`` is used where the text names none.  Raises TheoryError.
    """
    head, _, rest = text.strip().partition(" ")
    if not rest and len(head) > 1 and head.endswith("m"):
        head, rest = head[:-1], "natural_minor"
    return Key(parse_name(head), find_scale(rest or scale).id)


def key_label(key: Key) -> str:
    """The key as players say it: ``G major``, ``Eb harmonic minor``."""
    return f"{key.tonic} {SCALES[key.scale].label}"
