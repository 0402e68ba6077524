"""Typed notes, read as a person would mean them and never guessed.

* Notes stand between spaces, commas, semicolons or hyphens, in any mixture.  A
  hyphen is never a flat: hanging on a note with a space or nothing after it, it is asked about.
* A token that is a note name is that one note: ``bb`` is B flat, ``ab`` is A flat.
  Words of accidentals may stand apart: ``B flat``, ``F double sharp``, ``si bémol``.
* Notes run together are read where there is one way to read them, or one that has as many
  notes as were asked for.  Capitals make ``BbEbB`` plain; ``ceb`` is C Eb or C E B, and so
  is ``CEB``, for a line all in capitals has no small b.  Who runs notes together means no
  A flat by ``ab`` for certain: beside such a token it is asked too.
* What cannot be seen is no part of a note (joiners, byte-order marks); what would have
  changed the line (backspace, cursor keys) is refused.  A terminal's own arrow up and
  down are the sharp and flat signs of a keyboard without them.  Full-width letters are read
  as the plain ones (NFKC); a letter of another script that looks like one is told.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice, product

from drill.marking.typed import Problem, Reading, Row, Typed, Unread
from drill.terms import Key
from drill.theory.language import Language
from drill.theory.names import accidental_words, foreign, read_name
from drill.theory.scales import scale_of, signature, signature_names

LONGEST = 400
"""Characters read of one answer: 16 notes in the longest words, and some over."""

_DASHES = r"\-\u2010-\u2015\u2212"
_SEPARATORS = re.compile(rf"[\s,;{_DASHES}]+")
_HANGING = re.compile(rf"([^\s,;{_DASHES}]+)[{_DASHES}](?:\s|$)")
_BETWEEN = re.compile(rf"[^\s,;{_DASHES}]\s*[{_DASHES}]+\s*[^\s,;{_DASHES}]")
_ARROW = re.compile(r"\x1b[\[O]([AB])")
_HARMLESS = re.compile(r"\x1b\[(?:20[01]~|[0-9;]*m)")
"""The marks of a paste, and colours."""
_DEGREE = re.compile(r"(?:[b#]{1,2}|ll?|uu?)?[0-9]{1,2}[.']*")
"""A degree as cells are written in: ``3``, ``7.``, ``b3``, ``l1``."""
_DIGITS = "0123456789"
_MOST_READINGS = 4
"""Readings of one token that are kept for each number of notes, and offered in all."""
_MOST_NOTES = 24
"""Notes run together in one token whose number tells readings apart."""
_MOST_LINES = 256
"""Readings of a whole line that are looked through for those of the asked length."""
_LONGEST_NAME = 24


@dataclass(frozen=True, slots=True)
class _Speech:
    """A language of note names, with the key that movable do needs."""

    language: Language
    key: Key | None


@dataclass(frozen=True, slots=True)
class _Token:
    """A token of the line with the ways to read it."""

    text: str
    ways: tuple[Row, ...]


def read(
    text: str,
    language: Language = Language.ENGLISH,
    key: Key | None = None,
    count: int | None = None,
    *,
    unfinished: bool = False,
) -> Reading:
    """The reading of an answer in one language of note names; other languages are only hinted at.

    ``key`` is needed for movable do, and orders readings.  ``count`` is the number of notes
    asked for: of several readings the only one with as many is taken, and those with as many
    are offered first; None asks for none.  ``unfinished`` lets a hyphen stand at the end of a
    line that is still being typed.  Never raises: what cannot be read comes back as ``problem``.
    """
    speech = _Speech(language, key if language is Language.MOVABLE else None)
    if language is Language.MOVABLE and key is None:
        return Reading(problem=Problem(Unread.NO_KEY))
    plain, problem = _cleaned(text, unfinished)
    if problem:
        return Reading(problem=problem)
    tokens: list[_Token] = []
    parts = _tokens(plain, language)
    for token in parts:
        found = _readings(token, speech)
        if not found:
            return Reading(_first(tokens), _unread(token, parts, speech))
        if len(found[0]) > 1 and len(found) == 1 and _one_name(token, speech):
            return Reading(_first(tokens), Problem(Unread.TOGETHER, token, found))
        tokens.append(_Token(token, found))
    if not tokens:
        return Reading(problem=Problem(Unread.NOTHING))
    if any(len(way) > 1 for token in tokens for way in token.ways):
        tokens = [_doubted(token, speech) for token in tokens]
    return _settled(tokens, count, key)


def _first(tokens: list[_Token]) -> Row:
    """The notes of the tokens up to the first that can be read in several ways."""
    notes: list[Typed] = []
    for token in tokens:
        if len(token.ways) > 1:
            break
        notes.extend(token.ways[0])
    return tuple(notes)


def _doubted(token: _Token, speech: _Speech) -> _Token:
    """A token beside notes run together: its small letters are no certain name."""
    if token.text[0].islower() and len(token.ways) == 1 and len(token.ways[0]) == 1:
        return _Token(token.text, _segmented(token.text, speech) or token.ways)
    return token


def _settled(tokens: list[_Token], count: int | None, key: Key | None) -> Reading:
    """The one reading of the line, or the question which of several is meant."""
    if all(len(token.ways) == 1 for token in tokens):
        return Reading(_first(tokens))
    lines = islice(product(*(token.ways for token in tokens)), _MOST_LINES)
    fitting = [line for line in lines if sum(map(len, line)) == count]
    if len(fitting) > 1 and not _has_doubles(key):
        # Nobody means a double accidental in a key that has none.
        fitting = [line for line in fitting if not _doubles(line)] or fitting
    if len(fitting) == 1:
        return Reading(tuple(note for way in fitting[0] for note in way))
    place = next(
        at
        for at, token in enumerate(tokens)
        if len({line[at] for line in fitting} or token.ways) > 1
    )
    token = tokens[place]
    wanted = {line[place] for line in fitting}
    ways = sorted(token.ways, key=lambda way: (way not in wanted, _oddness(way, key)))
    before = _first(tokens[:place])
    return Reading(before, Problem(Unread.SEVERAL, token.text, tuple(ways[:_MOST_READINGS])))


def _doubles(line: Iterable[Row]) -> bool:
    """Whether a reading has a double accidental."""
    return any(abs(note.name.alter) > 1 for way in line for note in way)


@lru_cache(maxsize=512)
def _has_doubles(key: Key | None) -> bool:
    """Whether the key has double accidentals of its own, as G sharp harmonic minor has; True where
    no key is given."""
    if key is None:
        return True
    scale = scale_of(key)
    return any(abs(name.alter) > 1 for name in (*scale.up, *scale.down))


def _oddness(way: Row, key: Key | None) -> tuple[int, int]:
    """How far a reading lies from what is usual: double accidentals, then notes that the key's
    signature does not have."""
    doubles = sum(abs(note.name.alter) > 1 for note in way)
    if key is None:
        return doubles, 0
    altered = {name.letter: name.alter for name in signature_names(signature(key))}
    return doubles, sum(altered.get(n.name.letter, 0) != n.name.alter for n in way)


def _cleaned(text: str, unfinished: bool) -> tuple[str, Problem | None]:
    """The text without what cannot be seen, or why it is refused."""
    plain = text.strip()
    if len(plain) > LONGEST:
        return "", Problem(Unread.TOO_LONG, number=LONGEST)
    if not (plain.isascii() and plain.isprintable()):
        plain = _ARROW.sub(lambda match: "↑" if match[1] == "A" else "↓", plain)
        plain = _HARMLESS.sub("", plain).replace("×", "x")
        if "\x1b" in plain:
            return "", Problem(Unread.KEYS)
        seen = []
        for char in unicodedata.normalize("NFKC", plain):
            kind = unicodedata.category(char)
            if char.isspace():
                seen.append(" ")
            elif kind == "Cc":
                return "", Problem(Unread.CONTROL, char)
            elif kind != "Cf" and not "\ufe00" <= char <= "\ufe0f":
                seen.append(char)
        plain = "".join(seen).strip()[: 2 * LONGEST]
    hanging = _HANGING.search(plain)
    if hanging and not (
        hanging.end() == len(plain) and (unfinished or _BETWEEN.search(plain) is not None)
    ):
        return "", Problem(Unread.HANGING, hanging[1])
    return plain, None


def _tokens(plain: str, language: Language) -> list[str]:
    """The text cut at separators, with spelled-out accidentals joined to their letter."""
    parts = [part for part in _SEPARATORS.split(plain) if part]
    words = _words_of(language)
    if not words or not any(_word(part) in words or part[-1:].isalpha() for part in parts[1:]):
        return parts
    tokens: list[str] = []
    at = 0
    while at < len(parts):
        token, at = parts[at], at + 1
        for count in (2, 1):
            following = " ".join(parts[at : at + count])
            if at + count <= len(parts) and _word(following) in words:
                token, at = f"{token} {following}", at + count
                break
        tokens.append(token)
    return tokens


_words_of = lru_cache(accidental_words)


def _word(part: str) -> str:
    """A word without accents and without the octave glued to it."""
    part = part.rstrip(_DIGITS).casefold()
    if part.isascii():
        return part
    apart = unicodedata.normalize("NFD", part)
    return "".join(char for char in apart if not unicodedata.combining(char))


def _readings(token: str, speech: _Speech) -> tuple[Row, ...]:
    """Every way to read a token, at most a few; see the head of the module for the rules."""
    whole = _typed(token, speech)
    if not any(char.isupper() for char in token[1:]):
        return ((whole,),) if whole is not None else _segmented(token, speech)
    if token[0].isupper() and any(char.islower() for char in token):
        split = _by_capitals(token, speech)
        # SIb is one name; EbGb where Eb is no name contradicts every other reading.
        return split or (_segmented(token, speech) if whole is not None else ())
    return _segmented(token, speech)


@lru_cache(maxsize=4096)
def _typed(token: str, speech: _Speech) -> Typed | None:
    """The one note that a token names, with its octave where one is glued on."""
    name = read_name(token, speech.language, speech.key)
    if name is not None:
        return Typed(name)
    if token[-1:] not in _DIGITS or token[-2:-1] in _DIGITS:  # "" is in every string
        return None
    name = read_name(token[:-1], speech.language, speech.key)
    return None if name is None else Typed(name, int(token[-1]))


def _by_capitals(token: str, speech: _Speech) -> tuple[Row, ...]:
    """The ways to read notes of which each capital begins one; empty where a part has none,
    or is a name of another language."""
    parts = re.findall(r"[A-Z][^A-Z]*", token)
    if len(parts) < 2 or "".join(parts) != token:
        return ()
    ways: list[tuple[Row, ...]] = []
    for part in parts:
        note = _typed(part, speech)
        if note is not None:
            ways.append(((note,),))
        elif _one_name(part, speech):
            return ()
        else:
            ways.append(_segmented(part, speech))
    lines = islice(product(*ways), _MOST_LINES)
    return tuple(tuple(note for way in line for note in way) for line in lines)


def _segmented(token: str, speech: _Speech) -> tuple[Row, ...]:
    """The ways to cut a run of letters into names, a few of each number of notes.

    Worked from the end, each place keeping a bounded number of ways, so that a
    long run of letters costs no more than its length.  None where a word of an
    accidental stands apart: what it belongs to, only capitals can tell.
    """
    if " " in token:
        whole = _typed(token, speech)
        return ((whole,),) if whole is not None else ()
    token = token.casefold()
    ways: list[dict[int, list[Row]]] = [{} for _ in token] + [{0: [()]}]
    for start in range(len(token) - 1, -1, -1):
        for end in range(start + 1, min(start + _LONGEST_NAME, len(token)) + 1):
            if not ways[end]:
                continue
            note = _typed(token[start:end], speech)
            if note is None:
                continue
            for many, rows in ways[end].items():
                more = min(many + 1, _MOST_NOTES)
                ways[start].setdefault(more, []).extend((note, *row) for row in rows)
        for rows in ways[start].values():
            del rows[_MOST_READINGS:]
    return tuple(row for many in sorted(ways[0], reverse=True) for row in ways[0][many])


_SUFFIXED = ("es", "is", "as", "ess", "iss")


def _one_name(token: str, speech: _Speech) -> bool:
    """Whether letters that are several notes here are one name elsewhere, or look like one:
    English ``Bb`` and Dutch ``Bes`` in German, and ``Hes``."""
    if speech.language in (Language.ENGLISH, Language.MOVABLE):
        return False
    if read_name(token, Language.ENGLISH) is not None or foreign(token, speech.language):
        return True
    return token[1:].casefold() in _SUFFIXED and read_name(token[0], speech.language) is not None


def _unread(token: str, parts: list[str], speech: _Speech) -> Problem:
    """Why a token is no note, with the language it may belong to."""
    if all(map(_DEGREE.fullmatch, parts)):
        return Problem(Unread.DEGREES, token)
    # A hint in movable do would need a key.
    lettered = speech.language is not Language.MOVABLE
    if lettered and len(token) <= _LONGEST_NAME and foreign(token, speech.language):
        return Problem(Unread.FOREIGN, token)
    if token[0] in "#♯♭+↑↓":
        return Problem(Unread.SIGN_APART, token)
    if token.isdecimal():
        return Problem(Unread.OCTAVE_APART, token)
    for char in token:
        if char.isalpha() and not unicodedata.name(char, "LATIN").startswith("LATIN"):
            return Problem(Unread.SCRIPT, char)
    return Problem(Unread.NO_NAME, token)
