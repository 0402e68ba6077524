"""Typed notes, read as a person would mean them and never guessed.

* Notes stand between spaces, commas, semicolons or hyphens, in any mixture.  A
  hyphen is never a flat: hanging on a note with a space after it, it is asked about.
* A token that is a note name is that one note: ``bb`` is B flat, ``ab`` is A flat.
  Words of accidentals may stand apart: ``B flat``, ``F double sharp``, ``si bémol``.
* Notes run together are read only where there is one way to read them.  Capitals
  make ``BbEbB`` plain; ``ceb`` is C Eb or C E B, and so is ``CEB``, for a line all in
  capitals has no small b.  Who runs notes together means no A flat by ``ab`` for
  certain: beside such a token it is asked too.
* What cannot be seen is no part of a note (joiners, byte-order marks); what would have
  changed the line (backspace, cursor keys) is refused.  A terminal's own arrow up and
  down are the sharp and flat signs of a keyboard without them.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from drill.terms import Key, Name
from drill.theory.language import Language
from drill.theory.names import accidental_words, hint, read_name, show_name

LONGEST = 400
"""Characters read of one answer: 16 notes in the longest words, and some over."""

_DASHES = r"\-\u2010-\u2015\u2212"
_SEPARATORS = re.compile(rf"[\s,;{_DASHES}]+")
_HANGING = re.compile(rf"([^\s,;{_DASHES}]+)[{_DASHES}]\s")
_ARROW = re.compile(r"\x1b[\[O]([AB])")
_HARMLESS = re.compile(r"\x1b\[(?:20[01]~|[0-9;]*m)")
"""The marks of a paste, and colours."""
_DIGITS = "0123456789"
_MOST_READINGS = 4
_LONGEST_NAME = 24


@dataclass(frozen=True, slots=True)
class Typed:
    """One note as typed."""

    name: Name
    octave: int | None = None
    """The octave where one was typed; None asks for none."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read: the notes, or why they could not be read."""

    notes: tuple[Typed, ...] = ()
    """The notes; those before the problem where there is one."""
    problem: str = ""
    """Empty when the notes were read; else one sentence for the player."""
    choices: tuple[tuple[Typed, ...], ...] = ()
    """The readings to choose from, of the token asked about, where there is more than one."""

    @property
    def readable(self) -> bool:
        return not self.problem


@dataclass(frozen=True, slots=True)
class _Speech:
    """A language of note names, with the key that movable do needs."""

    language: Language
    key: Key | None

    def show(self, notes: tuple[Typed, ...]) -> str:
        return " ".join(show_name(note.name, self.language, key=self.key) for note in notes)

    @property
    def example(self) -> str:
        if self.language is Language.MOVABLE:
            return "do"
        return show_name(Name("B", -1), self.language)


def read(text: str, language: Language = Language.ENGLISH, key: Key | None = None) -> Reading:
    """The reading of an answer in one language of note names; other languages are only hinted at.

    ``key`` is needed for movable do only.  Never raises: what cannot be read comes
    back as ``problem``.
    """
    speech = _Speech(language, key if language is Language.MOVABLE else None)
    if language is Language.MOVABLE and key is None:
        return Reading(problem="movable do needs a key: choose another language of note names")
    plain, problem = _cleaned(text)
    if problem:
        return Reading(problem=problem)
    notes: list[Typed] = []
    single: list[tuple[str, int]] = []
    together = False
    for token in _tokens(plain, language):
        found = _readings(token, speech)
        if not found:
            return Reading(tuple(notes), _unread(token, speech))
        if len(found) > 1:
            return _which(token, found, tuple(notes), speech)
        if len(found[0]) == 1:
            single.append((token, len(notes)))
        else:
            together = True
            if _english_elsewhere(token, language):
                also = speech.show(found[0])
                return Reading(
                    tuple(notes), f"{hint(token, language)}; for {also} put spaces between"
                )
        notes.extend(found[0])
    if not notes:
        return Reading(problem=f"nothing typed: type the notes, such as {speech.example}")
    if together:
        for token, place in single:
            if token[0].islower() and len(found := _segmented(token, speech)) > 1:
                return _which(token, found, tuple(notes[:place]), speech)
    return Reading(tuple(notes))


def _cleaned(text: str) -> tuple[str, str]:
    """The text without what cannot be seen, or why it is refused."""
    plain = text.strip()
    if len(plain) > LONGEST:
        return "", f"more than {LONGEST} characters: type the notes of one cell"
    if not (plain.isascii() and plain.isprintable()):
        plain = _ARROW.sub(lambda match: "↑" if match[1] == "A" else "↓", plain)
        plain = _HARMLESS.sub("", plain).replace("×", "x")
        if "\x1b" in plain:
            return "", "keys that are no notes are in the line: type the notes again"
        seen = []
        for char in plain:
            kind = unicodedata.category(char)
            if char.isspace():
                seen.append(" ")
            elif kind == "Cc":
                return "", f"a control character (U+{ord(char):04X}) is in the line: type it again"
            elif kind != "Cf" and not "\ufe00" <= char <= "\ufe0f":
                seen.append(char)
        plain = "".join(seen).strip()
    if hanging := _HANGING.search(plain):
        return "", (
            f"{_quoted(hanging[1])} with a hyphen after it: a hyphen is no flat, it stands "
            "between two notes"
        )
    return plain, ""


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


def _readings(token: str, speech: _Speech) -> tuple[tuple[Typed, ...], ...]:
    """Every way to read a token, at most a few; see the head of the module for the rules."""
    whole = _typed(token, speech)
    if not any(char.isupper() for char in token[1:]):
        return ((whole,),) if whole is not None else _segmented(token, speech)
    if token[0].isupper() and any(char.islower() for char in token):
        split = _by_capitals(token, speech)
        if split:
            return (split,)
        # SIb is one name; EbGb where Eb is no name contradicts every other reading.
        return _segmented(token, speech) if whole is not None else ()
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


def _by_capitals(token: str, speech: _Speech) -> tuple[Typed, ...]:
    """One note to a capital letter; empty where a part is no name."""
    parts = re.findall(r"[A-Z][^A-Z]*", token)
    notes = [_typed(part, speech) for part in parts]
    if len(parts) < 2 or "".join(parts) != token:
        return ()
    read_notes = tuple(note for note in notes if note is not None)
    return read_notes if len(read_notes) == len(parts) else ()


def _segmented(token: str, speech: _Speech) -> tuple[tuple[Typed, ...], ...]:
    """The ways to cut a run of letters into names, the first few of them.

    Worked from the end, each place keeping a bounded number of ways, so that a
    long run of letters costs no more than its length.  None where a word of an
    accidental stands apart: what it belongs to, only capitals can tell.
    """
    if " " in token:
        whole = _typed(token, speech)
        return ((whole,),) if whole is not None else ()
    token = token.casefold()
    ways: list[list[tuple[Typed, ...]]] = [[] for _ in token] + [[()]]
    for start in range(len(token) - 1, -1, -1):
        for end in range(start + 1, min(start + _LONGEST_NAME, len(token)) + 1):
            if not ways[end]:
                continue
            note = _typed(token[start:end], speech)
            if note is not None:
                ways[start].extend((note, *rest) for rest in ways[end])
        del ways[start][_MOST_READINGS:]
    return tuple(ways[0])


def _english_elsewhere(token: str, language: Language) -> bool:
    """Whether notes run together are one English name, where another language is set."""
    return language is not Language.ENGLISH and read_name(token, Language.ENGLISH) is not None


def _which(
    token: str, found: tuple[tuple[Typed, ...], ...], notes: tuple[Typed, ...], speech: _Speech
) -> Reading:
    """The question which of several readings is meant."""
    options = " or ".join(speech.show(reading) for reading in found)
    return Reading(notes, f"{_quoted(token)} can be {options}: put spaces between notes", found)


def _unread(token: str, speech: _Speech) -> str:
    """Why a token is no note, with the language it may belong to."""
    lettered = speech.language is not Language.MOVABLE  # whose hints would need a key
    if lettered and len(token) <= _LONGEST_NAME and (said := hint(token, speech.language)):
        return f"{said}; the note names are set to {speech.language.label}"
    shown = _quoted(token)
    if token[0] in "#♯♭+↑↓":
        return f"{shown}: a sharp or flat stands right after its letter"
    if token.isdecimal():
        return f"{shown}: an octave stands right after the name of its note"
    return f"{shown} is no note name: type names such as {speech.example}, with spaces between"


def _quoted(token: str) -> str:
    """A token as it may be shown: short, and without anything that a terminal would obey."""
    return repr(token if len(token) <= 20 else token[:20] + "…")
