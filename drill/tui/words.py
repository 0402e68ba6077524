"""What a key, a cell and a prompt are called on screen: sentences in the player's note names."""

from __future__ import annotations

from collections.abc import Iterable

from drill.terms import Instrument, Key, Name, Note
from drill.theory.language import Language
from drill.tui.glyphs import Glyphs
from drill.wording.asking import signature_shown
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

    def said(self, told: Sentence | str) -> str:
        """A sentence in this set's characters: its G flat as ``G♭``; a plain text as it stands."""
        if isinstance(told, Sentence):
            return self.glyphs.text(self.voice.text(told))
        return self.glyphs.text(told)
