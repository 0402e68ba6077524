"""Progressions: lines of chord symbols or functions, as patterns on moving roots.

``Dm7 G7 Cmaj7`` is read in the key of its last chord, or, where that is a dominant, in the key
that it leads to (a fourth up), unless the line begins on the same chord; ``ii7 V7 Imaj7`` is the
same in every key.  Bar lines (``|``) and ``%`` for the chord before are read as charts have them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from drill.terms import Descent, Digit, Key, Mode, Name, Pattern, Shape, shape_text
from drill.theory import faults
from drill.theory.chords import CHORDS
from drill.theory.functions import (
    is_minor,
    looks_like_function,
    numeral_of,
    read_function,
)
from drill.theory.spelling import degree_name
from drill.theory.symbols import Symbol, degree_between, read_symbol, written

MOST_CHORDS = 48
"""Chords of one progression: a tune of thirty-two bars with two in some of them."""

LONGEST = 400
"""Characters."""

_BEGINS = re.compile(r"[A-G](#|b|x|♯|♭)?(ma|mi|m|dim|aug|sus|add|dom|no|o|ø|[^a-z]|$)")
"""How a chord symbol begins, as no name of a pattern does."""

# fmt: off
PROGRESSIONS: dict[str, str] = {
    "ii-V": "ii7 V7",
    "ii-V-I": "ii7 V7 Imaj7",
    "minor-ii-V-i": "iiø7 V7b9 im6",
    "I-vi-ii-V": "Imaj7 vi7 ii7 V7",
    "I-VI-ii-V": "Imaj7 VI7 ii7 V7",
    "iii-VI-ii-V": "iii7 VI7 ii7 V7",
    "tritone-ii-V-I": "ii7 bII7 Imaj7",
    "backdoor": "iv7 bVII7 Imaj7",
    "bridge": "III7 VI7 II7 V7",
    "descending-fifths": "Imaj7 IVmaj7 viiø7 iii7 vi7 ii7 V7 Imaj7",
    "blues": "I7 IV7 I7 I7 | IV7 IV7 I7 I7 | V7 IV7 I7 V7",
    "jazz-blues": "I7 IV7 I7 I7 | IV7 #ivo7 I7 VI7 | ii7 V7 I7 V7",
    "minor-blues": "i7 i7 i7 i7 | iv7 iv7 i7 i7 | bVI7 V7 i7 V7",
}
# fmt: on
"""Progressions by name, one chord a bar or half bar (common practice)."""


@dataclass(frozen=True, slots=True)
class Progression:
    """A progression, and the key in which it was written down."""

    pattern: Pattern
    home: Name
    """The tonic of the line as typed; C where it was typed in functions."""
    minor: bool
    """Whether its tonic chord is minor."""


def looks_like_progression(text: str) -> bool:
    """Whether a text is a progression's name, or begins as a symbol or a function does."""
    words = _words(text)
    if text.strip() in PROGRESSIONS:
        return True
    return bool(words) and (looks_like_function(words[0]) or _BEGINS.match(words[0]) is not None)


def read_progression(
    text: str, *, home: Name | None = None, led: bool = False, guide: bool = False, name: str = ""
) -> Progression:
    """The progression that a line of symbols, of functions, or a name stands for.

    ``home`` is the tonic of a line of symbols; None finds it as told above.  ``led`` and
    ``guide`` are as in ``Pattern``.  Raises TheoryError, in a player's words.
    """
    line = PROGRESSIONS.get(text.strip(), text)
    words = _words(line)
    if not words or len(line) > LONGEST or len(words) > MOST_CHORDS:
        raise faults.progression_long(MOST_CHORDS)
    made = _by_function(words) if looks_like_function(words[0]) else _by_symbol(words, home)
    roots, chords, shapes, functions, home, minor = made
    label = name or (text.strip() if text.strip() in PROGRESSIONS else _label(roots, chords))
    if len(words) == 1 and not functions:
        label, roots = name or _alone(shapes[0], chords[0]), ()
    cells = " | ".join(shape_text(shape) for shape in shapes)
    pattern = Pattern(
        cells,
        label,
        shapes,
        descent=Descent.RETROGRADE,
        mode=Mode.ROOT,
        roots=roots,
        chords=chords,
        functions=functions,
        led=led,
    )
    return Progression(with_guide_tones(pattern) if guide else pattern, home, minor)


def with_guide_tones(pattern: Pattern) -> Pattern:
    """A progression in its guide tones alone.  Raises TheoryError where a chord has none."""
    shapes = tuple(
        guide_tones(shape, chord)
        for shape, chord in zip(pattern.cells, pattern.chords, strict=True)
    )
    cells = " | ".join(shape_text(shape) for shape in shapes)
    return replace(pattern, id=cells, cells=shapes, guide=True)


_Made = tuple[tuple[str, ...], tuple[str, ...], tuple[Shape, ...], tuple[str, ...], Name, bool]
"""Roots, chords, shapes, functions, home, whether it is minor."""


def home_key(text: str) -> Key:
    """The key of a progression as it was typed; C for functions."""
    made = read_progression(text)
    return Key(made.home, "natural_minor" if made.minor else "major")


def _words(line: str) -> tuple[str, ...]:
    """The chords of a line, ``%`` written out."""
    found: list[str] = []
    for word in re.sub(r"[|\u2502;]|,(?![^()]*\))|\s-\s", " ", line).split():
        found.append(found[-1] if word == "%" and found else word)
    return tuple(found)


def _by_function(words: tuple[str, ...]) -> _Made:
    minor = is_minor(words)
    read = [read_function(word, minor=minor) for word in words]
    return (
        tuple(each.root for each in read),
        tuple(each.chord for each in read),
        tuple(each.shape for each in read),
        tuple(each.text for each in read),
        Name("C"),
        minor,
    )


def _by_symbol(words: tuple[str, ...], home: Name | None) -> _Made:
    read = [read_symbol(word) for word in words]
    tonic = home or _home(read)
    on_tonic = [_is_minor(each.shape) for each in read if each.root == tonic]
    return (
        tuple(degree_between(tonic, each.root) for each in read),
        tuple(each.chord for each in read),
        tuple(each.shape for each in read),
        (),
        tonic,
        bool(on_tonic) and all(on_tonic),
    )


def _home(chords: list[Symbol]) -> Name:
    """The tonic of a line of symbols."""
    first, last = chords[0], chords[-1]
    if not _is_dominant(last.shape) or last.root == first.root:
        return last.root
    return degree_name(last.root, "4")


def _tokens(shape: Shape) -> set[str]:
    return {item.degree_text for item in shape}


def _is_dominant(shape: Shape) -> bool:
    return {"3", "b7"} <= _tokens(shape) or {"4", "b7"} <= _tokens(shape)


def _is_minor(shape: Shape) -> bool:
    return "b3" in _tokens(shape)


def guide_tones(shape: Shape, chord: str) -> Shape:
    """The third and seventh of a chord: what leads it to the next.

    A fourth or second stands for the third it suspends, a sixth for the seventh; a triad has
    its fifth (our choice, for there is no seventh).
    """
    by_degree = {item.degree: item.degree_text for item in shape}
    third = next((by_degree[each] for each in (3, 4, 2) if each in by_degree), None)
    seventh = next((by_degree[each] for each in (7, 6, 5) if each in by_degree), None)
    if third is None or seventh is None:
        raise faults.no_guide_tones(chord)
    return tuple(_item(token) for token in (third, seventh))


def _item(token: str) -> Digit:
    sign = token.rstrip("0123456789")
    return Digit(int(token[len(sign) :]), 0, sign)


def _alone(shape: Shape, chord: str) -> str:
    """What one chord is called."""
    known = next((kind.name for kind in CHORDS.values() if written(kind.formula) == chord), "")
    plain = shape[0].degree == 1 and not shape[0].octave
    name = f"{known} arpeggio" if known else shape_text(shape)
    return name if plain else f"{name} over another bass"


def _label(roots: tuple[str, ...], chords: tuple[str, ...]) -> str:
    """A progression's name where it was given none: its functions."""
    return " ".join(numeral_of(root, chord) for root, chord in zip(roots, chords, strict=True))


def symbols_in(pattern: Pattern, tonic: Name) -> tuple[str, ...]:
    """The symbols of a progression in a key: the way back to a line of symbols."""
    from drill.theory.roots import symbol_on  # it builds runs of these

    return tuple(
        symbol_on(pattern, index, degree_name(tonic, root))
        for index, root in enumerate(pattern.roots or ("1",))
    )
