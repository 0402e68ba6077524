"""What a key, a cell and a prompt are called on screen, in the player's note names."""

from __future__ import annotations

import re
from collections.abc import Iterable

from drill.marking.back import Back, about_a_cell
from drill.memory.items import Kind
from drill.practice.effects import Prompt
from drill.terms import Descent, Direction, Instrument, Key, Name, Note
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.theory.scales import SCALES, signature, signature_names
from drill.tui.glyphs import Glyphs

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven")
_SIGNED = (Language.ENGLISH, Language.MOVABLE)
"""Languages in which other rooms write names as a capital with # and b."""
_SPELLED = re.compile(r"(?<![\w'])[A-G](?:#{1,3}|b{1,3})(?![\w'#])")
_DESCENTS = {
    Descent.MIRROR: "mirrored",
    Descent.SAME_SHAPE: "same shape",
    Descent.RETROGRADE: "backwards",
    Descent.RETROGRADE_INVERSION: "mirrored, backwards",
    Descent.CHORD_TONES: "chord tones from the top",
}


class Words:
    """Names in one language and one set of signs."""

    def __init__(self, language: Language, glyphs: Glyphs) -> None:
        self.language = language
        self.glyphs = glyphs

    def name(self, name: Name, key: Key | None = None) -> str:
        """A name as it is written: ``B♭``; a key is needed for movable do only."""
        if self.language is Language.MOVABLE and key is None:
            return self.glyphs.text(show_name(name, Language.ENGLISH, glyphs=True))
        return self.glyphs.text(show_name(name, self.language, self.glyphs.unicode, key))

    def names(self, notes: Iterable[Note | Name], key: Key | None = None) -> str:
        """Names with a space between."""
        return " ".join(
            self.name(note.name if isinstance(note, Note) else note, key) for note in notes
        )

    def key(self, key: Key) -> str:
        """``E♭ harmonic minor``."""
        return f"{self.name(key.tonic)} {SCALES[key.scale].label}"

    def signature(self, key: Key) -> str:
        """``three flats: B♭ E♭ A♭``; where none can be printed, that is said."""
        fifths = signature(key)
        if abs(fifths) > 7:
            return "too many accidentals for a signature"
        if not fifths:
            return "no sharps or flats"
        kind = "sharp" if fifths > 0 else "flat"
        many = "" if abs(fifths) == 1 else "s"
        signs = self.names(signature_names(fifths))
        return f"{_NUMBERS[abs(fifths)]} {kind}{many}: {signs}"

    def horn(self, horn: Instrument) -> str:
        """``Alto saxophone in E♭``."""
        return " ".join(
            self.glyphs.spelled(word) if word in ("Bb", "Eb", "C/BBb") else word
            for word in self.glyphs.text(horn.name).split()
        )

    def horn_of(self, prompt: Prompt) -> str:
        """The prompt's instrument; empty for one at concert pitch that has no name."""
        return self.horn(prompt.question.horn) if prompt.question.horn else ""

    def where(self, prompt: Prompt) -> str:
        """Which cell a verdict is on: ``G major, on 4 up``."""
        cell, on = prompt.cell, self.glyphs.spelled(prompt.cell.label)
        back = prompt.question.back
        if back and not about_a_cell(Back(back)):
            return self.key(prompt.question.run.key)
        return f"{self.key(prompt.question.run.key)}, on {on} {cell.direction.value}"

    def way(self, prompt: Prompt, *, brief: bool = False) -> str:
        """``going up``, or how the pattern comes down."""
        if prompt.cell.direction is Direction.UP:
            return "going up"
        if brief:
            return "coming down"
        return f"coming down, {_DESCENTS[prompt.question.run.pattern.descent]}"

    def ask(self, prompt: Prompt) -> str:
        """What the prompt asks for, in words."""
        on = self.glyphs.spelled(prompt.cell.label)
        if prompt.again:
            return "Once more, as it stands on the staff"
        if prompt.closing:
            return f"Missed before: the cell on {on}"
        if prompt.kind == Kind.EAR:
            return "The cell you hear, the tonic first"
        if prompt.kind == Kind.RUN and prompt.place:
            cell, cells = prompt.place
            return f"The run from memory, cell {cell} of {cells}: on {on}"
        if prompt.kind == Kind.NEXT:
            return f"The next cell, on {on}"
        return f"The cell on {on}"

    def said(self, sentence: str) -> str:
        """A sentence of another room in this set's characters: its ``Gb`` as ``G♭``."""
        if self.language in _SIGNED:
            sentence = _SPELLED.sub(lambda found: self.glyphs.spelled(found[0]), sentence)
        return self.glyphs.text(sentence)
