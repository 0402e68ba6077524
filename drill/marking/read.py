"""Typed notes, read as a person would mean them and never guessed.

Notes stand between spaces, commas or hyphens.  Notes run together are read only
where there is one way to read them: capitals make ``BbEbB`` plain, while ``ceb``
is C Eb or C E B, and that is asked.  A token that is a note name is that one
note: ``bb`` is B flat, ``ab`` is A flat.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from drill.terms import Name
from drill.theory.names import Language, foreign, read_name, show_name

LONGEST = 200
"""Characters read of one answer; the longest cell of the longest names needs half of it."""

_SEPARATORS = re.compile(r"[\s,;\-–]+")
_WORDS = {"flat", "sharp", "natural", "double"}
_ARROWS = str.maketrans({"↑": "#", "↓": "b", "+": "#"})
_MOST_READINGS = 4


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
    problem: str = ""
    """Empty when the notes were read; else one sentence for the player."""
    choices: tuple[tuple[Typed, ...], ...] = ()
    """The readings to choose from where there is more than one."""

    @property
    def readable(self) -> bool:
        return not self.problem


def read(text: str, language: Language = Language.ENGLISH) -> Reading:
    """The reading of an answer in one language of note names; other languages are only hinted at.

    Never raises: what cannot be read comes back as ``problem``.
    """
    plain = "".join(char if char.isprintable() else " " for char in text.translate(_ARROWS))
    plain = plain.strip()
    if not plain.strip(" ,;-–"):
        return Reading(problem="nothing typed: type the notes of the cell, e.g. C D E C")
    if len(plain) > LONGEST:
        return Reading(problem=f"more than {LONGEST} characters: type the notes of one cell")
    notes: list[Typed] = []
    choices: tuple[tuple[Typed, ...], ...] = ()
    for token in _tokens(plain):
        found = _readings(token, language)
        if not found:
            return Reading(tuple(notes), _unread(token, language))
        if len(found) > 1:
            choices = found
            options = " or ".join(_shown(notes_of, language) for notes_of in found)
            return Reading(
                tuple(notes), f"{token!r} can be {options}: put spaces between notes", choices
            )
        notes.extend(found[0])
    return Reading(tuple(notes))


def _tokens(plain: str) -> list[str]:
    """The text cut at separators, with spelled-out accidentals joined to their letter."""
    tokens: list[str] = []
    for part in _SEPARATORS.split(plain):
        if part.casefold() in _WORDS and tokens:
            tokens[-1] += f" {part}"
        elif part:
            tokens.append(part)
    return tokens


def _readings(token: str, language: Language) -> tuple[tuple[Typed, ...], ...]:
    """Every way to read a token, at most a few; one that is a note name has one."""
    whole = _typed(token, language)
    if whole is not None:
        return ((whole,),)
    if token[:1].isupper() and (split := _by_capitals(token, language)):
        return (split,)
    return _segmented(token.casefold(), language)


def _typed(token: str, language: Language) -> Typed | None:
    match = re.fullmatch(r"(.*?[^\d])(\d)", token)
    if match and (name := read_name(match[1], language)) is not None:
        return Typed(name, int(match[2]))
    name = read_name(token, language)
    return None if name is None else Typed(name)


def _by_capitals(token: str, language: Language) -> tuple[Typed, ...]:
    """One note to a capital letter; empty where a part is no name."""
    parts = re.findall(r"[A-Z][^A-Z]*", token)
    notes = [_typed(part, language) for part in parts]
    if len(parts) < 2 or "".join(parts) != token or None in notes:
        return ()
    return tuple(note for note in notes if note is not None)


def _segmented(token: str, language: Language) -> tuple[tuple[Typed, ...], ...]:
    """The ways to cut a run of letters into names, the first few of them.

    Worked from the end, each place keeping a bounded number of ways, so that a
    long run of letters costs no more than its length.
    """
    ways: list[list[tuple[Typed, ...]]] = [[] for _ in token] + [[()]]
    for start in range(len(token) - 1, -1, -1):
        for end in range(start + 1, min(start + 8, len(token)) + 1):
            if not ways[end]:
                continue
            note = _typed(token[start:end], language)
            if note is not None:
                ways[start].extend((note, *rest) for rest in ways[end])
        del ways[start][_MOST_READINGS:]
    return tuple(ways[0])


def _shown(notes: tuple[Typed, ...], language: Language) -> str:
    return " ".join(show_name(note.name, language) for note in notes)


def _unread(token: str, language: Language) -> str:
    """Why a token is no note, with the language it may belong to."""
    shown = token if len(token) <= 20 else token[:20] + "…"
    hints = foreign(token, language)
    if hints:
        label, name = hints[0]
        return (
            f"{shown!r} is no note name here; it is {label} for {show_name(name, language)} "
            f"(the names in use are {language.value})"
        )
    example = show_name(Name("B", -1), language)
    return f"{shown!r} is no note name: type names such as {example}, with spaces between"
