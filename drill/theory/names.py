"""Note names in every language: reading what is typed, and showing and saying names.

One language at a time and no guessing: a token that the language does not have
reads as None, and ``foreign`` says whose it is.  Case never matters, so German
``B`` and ``b`` are both B flat.

* Signs after a natural name: ``#``, ``♯``, ``+`` and the arrow up are sharps, ``♭``
  and the arrow down flats, ``x`` a double sharp, in all languages; accents may be
  left out.  The letter ``b`` is a flat in
  English and in fixed do only; ``-`` is never a flat.
* English here is what players write.  The short forms of engravers' English
  (``fs``, ``bf``, ``ess``) are a language of their own, ``ENGLISH_SF``: ``as`` and
  ``es`` are flats in German and Dutch, and ``ef`` is also E and F run together.
* Solfege is fixed do with ``#`` and ``b``; Italian, French and the others add the
  suffixes and words of their own language.
* Movable do counts from the tonic of a key: do is the tonic in major and minor.

Names of twelve languages agree with the tables of an open-source engraver;
spoken words are common practice (from memory).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import product

from drill.errors import TheoryError
from drill.terms import LETTERS, Key, Name
from drill.theory import faults
from drill.theory.language import Language
from drill.theory.spelling import MAJOR_SEMITONES, moved, parse_name


@dataclass(frozen=True, slots=True)
class _Rules:
    """How a language builds its names."""

    naturals: tuple[str, ...]
    """The natural names from C to B, without accents."""
    sharps: tuple[str, ...] = ()
    """Suffixes of a sharp, repeated for a double sharp; the first is the one shown."""
    flats: tuple[str, ...] = ()
    flat_letter: bool = False
    """True where the letter ``b`` is a flat sign."""
    contracted: bool = False
    """Flats of e and a drop a vowel: es, as."""
    full: bool = False
    """The uncontracted flats of e and a are in use: ees, aes."""
    special: tuple[tuple[str, str], ...] = ()
    """Names that follow no rule, as (token, ASCII spelling)."""
    words: tuple[str, ...] = ()
    """Words of sharp, flat, natural, double sharp, double flat; empty where the names are
    spoken as they are written."""
    shown: tuple[str, ...] = ()
    """The natural names as shown, where they are not ``naturals``."""
    also: tuple[tuple[str, str], ...] = ()
    """Other natural names that are read, as (name, letter): ``ti`` is si."""


_ABC = ("c", "d", "e", "f", "g", "a", "b")
_ABH = ("c", "d", "e", "f", "g", "a", "h")
_DO = ("do", "re", "mi", "fa", "sol", "la", "si")
_DO_FRENCH = ("do", "ré", "mi", "fa", "sol", "la", "si")
_DO_PORTUGUESE = ("dó", "ré", "mi", "fá", "sol", "lá", "si")
_B = ("b", "Bb")
_WORDS = ("sharp", "flat", "natural", "double sharp", "double flat")


def _alphabet(naturals: tuple[str, ...], *special: tuple[str, str], full: bool = False) -> _Rules:
    """A language of letters with -is and -es, all but the Swedish and Norwegian."""
    shown = tuple(name.upper() for name in naturals) if naturals is _ABH else naturals
    return _Rules(
        naturals, ("is",), ("es",), contracted=True, full=full, special=special, shown=shown
    )


def _fixed_do(
    sharps: str,
    words: str,
    shown: tuple[str, ...] = _DO,
    also: tuple[tuple[str, str], ...] = (),
) -> _Rules:
    """A language of fixed do; ``words`` are those of ``_Rules.words`` between commas."""
    said = tuple(words.split(", "))
    return _Rules(_DO, tuple(sharps.split()), (), True, words=said, shown=shown, also=also)


_RULES: dict[Language, _Rules] = {
    Language.ENGLISH: _Rules(_ABC, flat_letter=True, words=_WORDS),
    Language.ENGLISH_SF: _Rules(_ABC, ("s",), ("f",), words=_WORDS),
    Language.GERMAN: _alphabet(_ABH, _B, ("asas", "Abb")),
    Language.DUTCH: _alphabet(_ABC, full=True),
    Language.FINNISH: _alphabet(_ABH, _B, ("bes", "Bbb"), ("bb", "Bbb"), ("asas", "Abb")),
    Language.SWEDISH: _Rules(_ABH, ("iss",), ("ess",), contracted=True, special=(_B,)),
    Language.NORWEGIAN: _Rules(
        _ABH,
        ("iss", "is"),
        ("ess", "es"),
        contracted=True,
        full=True,
        special=(_B, ("bess", "Bbb"), ("bes", "Bbb")),
    ),
    Language.SOLFEGE: _Rules(
        _DO, flat_letter=True, words=_WORDS, also=(("so", "G"), ("ti", "B"), ("ut", "C"))
    ),
    Language.ITALIAN: _fixed_do("d", "diesis, bemolle, bequadro, doppio diesis, doppio bemolle"),
    Language.FRENCH: _fixed_do(
        "d", "dièse, bémol, bécarre, double dièse, double bémol", _DO_FRENCH, (("ut", "C"),)
    ),
    Language.SPANISH: _fixed_do("s", "sostenido, bemol, becuadro, doble sostenido, doble bemol"),
    Language.PORTUGUESE: _fixed_do(
        "s", "sustenido, bemol, bequadro, dobrado sustenido, dobrado bemol", _DO_PORTUGUESE
    ),
    Language.CATALAN: _fixed_do("d s", "sostingut, bemoll, becaire, doble sostingut, doble bemoll"),
    Language.FLEMISH: _fixed_do("k", "kruis, mol, herstelteken, dubbelkruis, dubbelmol"),
}

_MOST = 3
"""Accidentals on one name that can be read: B flat of C flat's diminished seventh has three."""
_SIGNS = str.maketrans({"♯": "#", "+": "#", "↑": "#", "↓": "♭", "𝄪": "x", "𝄫": "♭♭"})
_UP = ("do", "di", "re", "ri", "mi", "fa", "fi", "sol", "si", "la", "li", "ti")
_DOWN = ("do", "ra", "re", "me", "mi", "fa", "se", "sol", "le", "la", "te", "ti")
_MOVABLE = ("do", "re", "mi", "fa", "sol", "la", "ti")


def read_name(token: str, language: Language, key: Key | None = None) -> Name | None:
    """The name that one typed token stands for in a language; None where it is none.

    ``key`` is needed for movable do only.  A token with an octave is no name.
    """
    if language is Language.MOVABLE:
        return read_movable(token, key) if key else None
    return _table(language).get(_folded(token))


def foreign(token: str, language: Language) -> tuple[tuple[str, Name], ...]:
    """What a token means in languages other than the one set, as (languages, name).

    Only meanings that differ from the one set count.  The languages with the same
    meaning are joined by "and"; the less common ones are asked only where neither
    the language set nor a common one has the token.  Empty where no language has it.
    """
    word, own = _folded(token), read_name(token, language)
    for group in (_COMMON, _RARE) if own is None else (_COMMON,):
        found: dict[Name, list[Language]] = {}
        for other in group:
            name = _table(other).get(word)
            if name is not None and name != own and other is not language:
                found.setdefault(name, []).append(other)
        if found:
            return tuple((_joined(names), name) for name, names in found.items())
    return ()


def show_name(name: Name, language: Language, glyphs: bool = False, key: Key | None = None) -> str:
    """The name as written in a language: ``Bb`` or ``B♭``, ``B``, ``bes``, ``sib``.

    ``glyphs`` takes ♯ and ♭ for # and b, and x for a double sharp, where the
    language writes signs.  Raises TheoryError for movable do without a key.
    """
    if language is Language.MOVABLE:
        return movable(name, _needed(key))
    rules = _RULES[language]
    place, alter = LETTERS.index(name.letter), name.alter
    natural = (rules.shown or rules.naturals)[place]
    if language is Language.ENGLISH:
        natural = natural.upper()
    if rules.flats:
        return _suffixed(rules, natural, alter)
    if not glyphs:
        return natural + ("#" * alter if alter > 0 else "b" * -alter)
    return natural + ("x" * (alter // 2) + "♯" * (alter % 2) if alter > 0 else "♭" * -alter)


def say_name(name: Name, language: Language, key: Key | None = None) -> str:
    """The name in words, for a screen reader: ``B flat``, ``G double sharp``, ``si bémol``.

    Names that are words already, such as German ``Es``, are said as shown.
    Raises TheoryError for movable do without a key.
    """
    rules = _RULES.get(language)
    if rules is None or not rules.words:
        return show_name(name, language, key=key)
    sharp, flat, _, double_sharp, double_flat = rules.words
    natural = show_name(Name(name.letter), language)
    if language is Language.ENGLISH_SF:
        natural = natural.upper()
    doubles, singles = divmod(abs(name.alter), 2)
    one, two = (sharp, double_sharp) if name.alter > 0 else (flat, double_flat)
    return " ".join([natural, *[two] * doubles, *[one] * singles])


def natural_word(language: Language) -> str:
    """The word of a natural: ``natural``, ``bécarre``; "" where a plain name is told as it is,
    as German ``H`` is, and in movable do, whose syllables are never altered notes."""
    rules = _RULES.get(language)
    return rules.words[2] if rules is not None and rules.words else ""


def accidental_words(language: Language) -> frozenset[str]:
    """The words that may stand after a natural name, apart from it: ``flat``, ``double sharp``.

    Without accents, in lower case; what splits a line of names must not part them.
    """
    rules = _RULES.get(language)
    return frozenset(word for word, _ in _words(rules)) if rules else frozenset()


def movable(name: Name, key: Key) -> str:
    """The movable-do syllable of a name: do is the tonic, ``me`` the minor third.

    Names more than one accidental from the major degree, and those without a
    syllable (a sharp third, a flat fourth), take signs: ``mi#``, ``tibb``.
    """
    steps = (LETTERS.index(name.letter) - LETTERS.index(key.tonic.letter)) % 7
    plain = MAJOR_SEMITONES[steps]
    alter = name.alter - moved(key.tonic, steps, plain).alter
    if abs(alter) == 1:
        syllable = (_UP if alter > 0 else _DOWN)[(plain + alter) % 12]
        if syllable not in _MOVABLE:
            return syllable
    return _MOVABLE[steps] + ("#" * alter if alter > 0 else "b" * -alter)


def read_movable(token: str, key: Key) -> Name | None:
    """The name that a movable-do syllable stands for in a key; None where it is none."""
    interval = _movable_table().get(_folded(token))
    return moved(key.tonic, *interval) if interval else None


_COMMON = (
    Language.ENGLISH,
    Language.GERMAN,
    Language.DUTCH,
    Language.ITALIAN,
    Language.FRENCH,
    Language.SPANISH,
    Language.SOLFEGE,
)
_RARE = tuple(language for language in _RULES if language not in _COMMON)


def _needed(key: Key | None) -> Key:
    if key is None:
        raise TheoryError(faults.NO_KEY)
    return key


def _folded(token: str) -> str:
    """A token as the tables hold it: small letters, no accents, one form of each sign."""
    token = token.strip()
    if not token.isascii():
        apart = unicodedata.normalize("NFD", token)
        token = "".join(char for char in apart if not unicodedata.combining(char))
    token = token.casefold().translate(_SIGNS)
    return " ".join(token.split()) if " " in token else token


def _joined(languages: list[Language]) -> str:
    """The labels in a row; Italian, French and Spanish are said as solfège where it is meant."""
    romance = {Language.ITALIAN, Language.FRENCH, Language.SPANISH}
    if Language.SOLFEGE in languages:
        languages = [language for language in languages if language not in romance]
    labels = [language.label for language in languages]
    return " and ".join([", ".join(labels[:-1]), labels[-1]] if len(labels) > 1 else labels)


def _suffixed(rules: _Rules, natural: str, alter: int) -> str:
    """A name with suffixes: Fis, Es, Heses; B is Bb where h is B."""
    if alter == -1 and rules.naturals is _ABH and natural in ("h", "H"):
        return "B" if natural == "H" else "b"
    if alter >= 0:
        return natural + rules.sharps[0] * alter
    suffix = rules.flats[0]
    if rules.contracted and natural in "eaEA":
        return natural + suffix[1:] + suffix * (-alter - 1)
    return natural + suffix * -alter


def _words(rules: _Rules) -> Iterator[tuple[str, int]]:
    """The words of a language with their alterations, folded."""
    yield from zip(map(_folded, rules.words), (1, -1, 0, 2, -2), strict=False)
    if rules.words is _WORDS:
        yield from (("sharp sharp", 2), ("flat flat", -2))


def _endings(rules: _Rules) -> Iterator[tuple[str, int]]:
    """What may follow a natural name, with its alteration: signs, suffixes and words."""
    yield from (("", 0), ("♮", 0), ("x", 2), ("x#", 3), ("#x", 3))
    if rules.naturals is _ABC and rules.flat_letter:
        yield "n", 0
    flats = "b♭" if rules.flat_letter else "♭"
    for count in range(1, _MOST + 1):
        yield "#" * count, count
        yield from (("".join(signs), -count) for signs in product(flats, repeat=count))
        yield from ((suffix * count, count) for suffix in rules.sharps)
        yield from ((suffix * count, -count) for suffix in rules.flats)
    for word, alter in _words(rules):
        for gap, inner in product(("", " ", "-"), repeat=2):
            yield gap + word.replace(" ", inner), alter


@cache
def _table(language: Language) -> dict[str, Name]:
    """Every folded token of a language."""
    rules = _RULES[language]
    found = {token: parse_name(spelling) for token, spelling in rules.special}
    for natural, letter in (*zip(rules.naturals, LETTERS, strict=True), *rules.also):
        for ending, alter in _endings(rules):
            token = natural + ending
            if rules.contracted and ending.startswith("es") and natural in "ea":
                found.setdefault(natural + ending[1:], Name(letter, alter))
                if not rules.full:
                    continue
            if rules.naturals is _ABH and token in ("hes", "hess"):
                continue  # it is b
            found.setdefault(token, Name(letter, alter))
    return found


@cache
def _movable_table() -> dict[str, tuple[int, int]]:
    """Every folded syllable with its interval above the tonic; signs may follow a plain one."""
    found: dict[str, tuple[int, int]] = {"so": (4, 7)}
    for steps, semitones in enumerate(MAJOR_SEMITONES):
        for count in range(_MOST + 2):
            found[_MOVABLE[steps] + "#" * count] = (steps, semitones + count)
            for flat in "b♭":
                found[_MOVABLE[steps] + flat * count] = (steps, semitones - count)
        for alter, row in ((1, _UP), (-1, _DOWN)):
            syllable = row[(semitones + alter) % 12]
            if syllable not in _MOVABLE:
                found[syllable] = (steps, semitones + alter)
    return found
