"""The renderers of sentences: signs or words, in a language of note names."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from drill.terms import Key, Name
from drill.theory.language import Language
from drill.theory.names import natural_word, say_name, show_name
from drill.wording.sentence import Figures, InDo, NameManner, Part, Sentence, Spelled

_ALTERED = re.compile(r"(bb?|##?)(?=[0-9IViv])")
"""An accidental before a digit or a numeral."""
_SIGNS = {"b": "♭", "bb": "♭♭", "#": "♯", "##": "x"}
_WORDS = {"b": "flat", "bb": "double flat", "#": "sharp", "##": "double sharp"}


class Script(StrEnum):
    """What note names are written with."""

    TYPED = "typed"
    """ASCII where the language has it, as players type: ``Bb``, ``F##``.  For lines and logs."""
    SIGNS = "signs"
    """With the signs of print: ``B♭``, ``Fx``.  For screens and pages."""
    SPOKEN = "spoken"
    """In words, for screen readers: ``B flat``, ``F double sharp``."""


@dataclass(frozen=True, slots=True)
class Voice:
    """How sentences are put: a language of note names, and what they are written with."""

    language: Language = Language.ENGLISH
    script: Script = Script.TYPED

    def text(self, said: Sentence | str) -> str:
        """The sentence as the player reads it.  A plain text passes unchanged."""
        if isinstance(said, str):
            return said
        return "".join(map(self._part, said.parts))

    def _part(self, part: Part) -> str:
        if isinstance(part, InDo):
            chosen = part.do if self.language is Language.MOVABLE else part.letters
            return "".join(map(self._part, chosen))
        if isinstance(part, Figures):
            return self._figures(part.text)
        return part if isinstance(part, str) else self.spell(part)

    def _figures(self, text: str) -> str:
        """Degrees and kinds of chord with signs, or in words: ``1-flat 3-5``, ``m7 flat 5``."""
        if self.script is Script.TYPED:
            return text
        if self.script is Script.SIGNS:
            return _ALTERED.sub(lambda met: _SIGNS[met[0]], text)

        def said(met: re.Match[str]) -> str:
            apart = " " if text[met.start() - 1 : met.start()].isalnum() else ""
            return f"{apart}{_WORDS[met[0]]} "

        return _ALTERED.sub(said, text)

    def spell(self, part: Spelled) -> str:
        """Note names as this voice has them."""
        key, octave = part.key, "" if part.octave is None else str(part.octave)
        match part.manner:
            case NameManner.ROW:
                said = self._between().join(self._shown(name, key) for name in part.names)
                return said + (" " if octave and self.script is Script.SPOKEN else "") + octave
            case NameManner.TONIC:
                return self._between().join(self._shown(name, None) for name in part.names)
            case NameManner.ROOT:
                said = " ".join(self._shown(name, None) for name in part.names)
                return said + (" " if self.script is Script.SPOKEN else "")
            case NameManner.LETTER:
                letters = Voice(Language.ENGLISH, self.script)
                return " ".join(letters._shown(name, None) for name in part.names)
        full = part.manner is NameManner.FULLY
        return " ".join(self._said(name, key, full) for name in part.names)

    def _between(self) -> str:
        """Between the notes of a row: words run into each other without a comma."""
        return ", " if self.script is Script.SPOKEN else " "

    def _language(self, key: Key | None) -> Language:
        """Movable do needs a key to count from; without one its names are letters."""
        if self.language is Language.MOVABLE and key is None:
            return Language.ENGLISH
        return self.language

    def _shown(self, name: Name, key: Key | None) -> str:
        language = self._language(key)
        if self.script is Script.SPOKEN:
            return say_name(name, language, key)
        return show_name(name, language, self.script is Script.SIGNS, key)

    def _said(self, name: Name, key: Key | None, full: bool) -> str:
        language = self._language(key)
        said = say_name(name, language, key)
        natural = natural_word(language) if full and name.alter == 0 else ""
        return f"{said} {natural}" if natural else said


PLAIN = Voice()
"""English, as typed."""
