"""Sentences as values: plain words, and between them note names that are not yet spelled out.

A sentence is made once, from values; how its note names look is decided by the
``Voice`` that renders it: as typed (``Bb``), with signs (``B♭``), in words (``B flat``), in
any language of note names.  So nobody ever searches finished English for names.

    sentence("one note off: ", prose(got, key), " for ", prose(want, key))
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from drill.terms import Direction, Instrument, Key, Name, Note
from drill.theory.scales import SCALES
from drill.theory.spelling import parse_name
from drill.theory.symbols import symbol_parts


class NameManner(StrEnum):
    """How names stand in a sentence."""

    PROSE = "prose"
    """One name among words, in words: ``one note off: B flat``, ``si bémol``."""
    FULLY = "fully"
    """The same, and a natural is told as one: ``F natural``."""
    ROW = "row"
    """The notes of a cell as the player types them: ``C D Eb C``."""
    TONIC = "tonic"
    """A tonic or root; movable do, where every tonic is do, leaves it its letter."""
    LETTER = "letter"
    """English in every language, as in a horn's own name: ``Clarinet in Bb``."""
    ROOT = "root"
    """The root of a chord symbol, which goes on after it: ``Abm7``, in words ``A flat m7``."""


@dataclass(frozen=True, slots=True)
class Spelled:
    """Note names within a sentence, to be spelled by a voice."""

    names: tuple[Name, ...]
    manner: NameManner
    key: Key | None = None
    """From which movable do counts; None leaves it letters."""
    octave: int | None = None
    """Shown right after the last name; None for none."""


@dataclass(frozen=True, slots=True)
class Figures:
    """Degrees and the like, whose accidentals a voice shows: ``1-b3-5``, ``m7b5``, ``#11``."""

    text: str


@dataclass(frozen=True, slots=True)
class InDo:
    """Words for movable do, where syllables are taken for each other, and words for the rest."""

    do: tuple[Part, ...]
    letters: tuple[Part, ...]


Part: TypeAlias = str | Spelled | Figures | InDo


@dataclass(frozen=True, slots=True)
class Sentence:
    """Words and names in the order in which they are read; false when empty."""

    parts: tuple[Part, ...] = ()

    def __add__(self, other: Sentence | Part) -> Sentence:
        return sentence(self, other)

    def __bool__(self) -> bool:
        return any(not isinstance(part, Spelled) or part.names for part in self.parts)

    def capitalized(self) -> Sentence:
        """The sentence with a capital where it begins with a word."""
        if self.parts and isinstance(self.parts[0], str):
            first = self.parts[0]
            return Sentence((first[:1].upper() + first[1:], *self.parts[1:]))
        return self

    @property
    def spelled(self) -> tuple[Spelled, ...]:
        """The note names in it."""
        return tuple(part for part in self.parts if isinstance(part, Spelled))


def sentence(*parts: Sentence | Part) -> Sentence:
    """A sentence of words, names and other sentences."""
    made: list[Part] = []
    for part in parts:
        for each in part.parts if isinstance(part, Sentence) else (part,):
            if isinstance(each, str) and made and isinstance(made[-1], str):
                made[-1] += each
            elif each != "":
                made.append(each)
    return Sentence(tuple(made))


def joined(between: str, parts: Iterable[Sentence | Part]) -> Sentence:
    """Parts with the same words between them."""
    made = Sentence()
    for place, part in enumerate(parts):
        made = sentence(made, between if place else "", part)
    return made


def listed(parts: Iterable[Sentence | Part]) -> Sentence:
    """Parts as English lists them: ``F sharp``, ``F and G``, ``F, G and A``."""
    every = list(parts)
    if len(every) < 2:
        return joined("", every)
    return sentence(joined(", ", every[:-1]), " and ", every[-1])


def prose(name: Name, key: Key | None = None) -> Spelled:
    """A name among words."""
    return Spelled((name,), NameManner.PROSE, key)


def fully(name: Name, key: Key | None = None) -> Spelled:
    """A name among words, ``natural`` told where English leaves it to be understood."""
    return Spelled((name,), NameManner.FULLY, key)


def row(notes: Iterable[Name | Note], key: Key | None = None) -> Spelled:
    """The notes of a cell, without octaves, as they are typed."""
    names = tuple(note.name if isinstance(note, Note) else note for note in notes)
    return Spelled(names, NameManner.ROW, key)


def letter(name: Name) -> Spelled:
    """A tonic among words, ``E flat``; movable do leaves it its letter."""
    return Spelled((name,), NameManner.PROSE)


def tonic(name: Name) -> Spelled:
    """A tonic or root."""
    return Spelled((name,), NameManner.TONIC)


def tonics(names: Iterable[Name]) -> Spelled:
    """Names in a row that keep their letters in movable do, as those of a signature."""
    return Spelled(tuple(names), NameManner.TONIC)


def pitch(note: Note, key: Key | None = None) -> Spelled:
    """A note with its octave: ``Bb3``."""
    return Spelled((note.name,), NameManner.ROW, key, note.octave)


def figures(text: str) -> Figures:
    """A cell in digits, a degree, a function: ``1-b3-5``, ``b7``, ``bII7``."""
    return Figures(text)


def chord(symbol: str) -> Sentence:
    """A chord symbol, its root and bass as note names: ``Abm7/Cb``."""
    root, kind, bass = symbol_parts(symbol)
    made = sentence(Spelled((root,), NameManner.ROOT), Figures(kind) if kind else "")
    return sentence(made, "/", tonic(bass)) if bass else made


def written(key: Key) -> Sentence:
    """A key: ``Eb harmonic minor``."""
    return sentence(tonic(key.tonic), f" {SCALES[key.scale].label}")


def going(direction: Direction) -> str:
    """Which way a cell or a run goes."""
    return "going up" if direction is Direction.UP else "coming down"


def horn(instrument: Instrument) -> Sentence:
    """An instrument by its name: ``Alto saxophone in Eb``."""
    return lettered(instrument.name, ("Bb", "Eb"))


def lettered(label: str, names: Iterable[str]) -> Sentence:
    """A label of a table, such as a horn's name, in which these spellings are note names."""
    made = sentence(label)
    for text in names:
        name = parse_name(text)
        made = sentence(
            *(
                sentence(*_between(part.split(text), Spelled((name,), NameManner.LETTER)))
                if isinstance(part, str)
                else part
                for part in made.parts
            )
        )
    return made


def _between(words: list[str], name: Spelled) -> Iterable[str | Spelled]:
    for place, word in enumerate(words):
        if place:
            yield name
        yield word
