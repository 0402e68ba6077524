"""The languages of note names; apart from their tables, which settings can do without."""

from __future__ import annotations

from enum import StrEnum


class Language(StrEnum):
    """The language of note names: one setting for what is typed, shown and printed."""

    ENGLISH = "english"
    GERMAN = "german"
    DUTCH = "dutch"
    ITALIAN = "italian"
    FRENCH = "french"
    SPANISH = "spanish"
    SOLFEGE = "solfege"
    """Fixed do, written with # and b: do, re, mib, fa#."""
    MOVABLE = "movable"
    """Movable do: needs a key to read or show a name."""
    PORTUGUESE = "portuguese"
    CATALAN = "catalan"
    FLEMISH = "flemish"
    SWEDISH = "swedish"
    NORWEGIAN = "norwegian"
    FINNISH = "finnish"
    ENGLISH_SF = "english-sf"
    """Engravers' English: s for sharp, f for flat."""

    @property
    def label(self) -> str:
        """What players call it: ``German``, ``solfège``."""
        return {
            Language.SOLFEGE: "solfège",
            Language.MOVABLE: "movable do",
            Language.ENGLISH_SF: "English with s and f",
        }.get(self, self.value.capitalize())
