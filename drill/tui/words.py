"""What a key, a cell and a prompt are called on screen: sentences in the player's note names."""

from __future__ import annotations

from collections.abc import Iterable

from drill.practice.effects import Prompt
from drill.terms import Instrument, Key, Name, Note
from drill.theory.language import Language
from drill.tui.glyphs import Glyphs
from drill.wording.asking import ask_shown, ask_told, signature_shown, way_shown, where_told
from drill.wording.sentence import Sentence, horn, row, sentence, written
from drill.wording.voice import Script, Voice


class Words:
    """The renderer of sentences on screen: one language and one set of signs."""

    def __init__(self, language: Language, glyphs: Glyphs) -> None:
        self.language = language
        self.glyphs = glyphs
        self.voice = Voice(language, Script.SIGNS if glyphs.unicode else Script.TYPED)

    def name(self, name: Name, key: Key | None = None) -> str:
        """A name as it is written: ``B♭``; a key is needed for movable do only."""
        return self.names((name,), key)

    def names(self, notes: Iterable[Note | Name], key: Key | None = None) -> str:
        """Names with a space between."""
        return self.said(sentence(row(notes, key)))

    def key(self, key: Key) -> str:
        """``E♭ harmonic minor``."""
        return self.said(written(key))

    def signature(self, key: Key) -> str:
        """``three flats: B♭ E♭ A♭``; where none can be printed, that is said."""
        return self.said(signature_shown(key))

    def horn(self, instrument: Instrument) -> str:
        """``Alto saxophone in E♭``."""
        return self.said(horn(instrument))

    def horn_of(self, prompt: Prompt) -> str:
        """The prompt's instrument; empty for one at concert pitch that has no name."""
        return self.horn(prompt.question.horn) if prompt.question.horn else ""

    def where(self, prompt: Prompt) -> str:
        """Which cell a verdict is on: ``G major, on 4 up``."""
        return self.said(where_told(prompt))

    def way(self, prompt: Prompt, *, brief: bool = False) -> str:
        """``going up``, or how the pattern comes down."""
        return way_shown(prompt, brief=brief)

    def ask(self, prompt: Prompt) -> str:
        """What the prompt asks for, above a staff and a clef."""
        return self.said(ask_shown(prompt))

    def asked(self, prompt: Prompt) -> str:
        """What the prompt asks for, in a sentence of its own."""
        return self.said(ask_told(prompt))

    def said(self, told: Sentence | str) -> str:
        """A sentence in this set's characters: its G flat as ``G♭``; a plain text as it stands."""
        if isinstance(told, Sentence):
            return self.glyphs.text(self.voice.text(told))
        return self.glyphs.text(told)
