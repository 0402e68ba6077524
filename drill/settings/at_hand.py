"""What the settings come to on the machine at hand: lines or screens, characters, names, sound."""

from __future__ import annotations

import codecs
import re
from collections.abc import Mapping

from drill.errors import UsageError
from drill.settings.catalogue import SOUND_VARIABLE
from drill.settings.reading import OFF, ON
from drill.settings.values import GlyphChoice
from drill.shown import quoted
from drill.sound.limits import Backend
from drill.theory.language import Language

_SAMPLE = "♯♭♮─●✓"


def dumb(environment: Mapping[str, str]) -> bool:
    """Whether the terminal cannot move its cursor: then only line mode will do."""
    return environment.get("TERM", "").strip() == "dumb"


def ascii_only(glyphs: GlyphChoice, encoding: str | None) -> bool:
    """Whether to draw with ASCII alone; ``encoding`` is the stream's, None where it has none.

    ``auto`` takes Unicode on UTF-8 alone; ``unicode`` on whatever can carry it.
    """
    if glyphs is GlyphChoice.ASCII:
        return True
    try:
        if glyphs is GlyphChoice.AUTO:
            return codecs.lookup(encoding or "ascii").name not in ("utf-8", "utf-8-sig")
        _SAMPLE.encode(encoding or "ascii")
    except (LookupError, UnicodeEncodeError):
        return True
    return False


_NAMES = {
    "de": Language.GERMAN, "nl": Language.DUTCH, "it": Language.ITALIAN, "fr": Language.FRENCH,
    "es": Language.SPANISH, "pt": Language.PORTUGUESE, "ca": Language.CATALAN,
    "sv": Language.SWEDISH, "nb": Language.NORWEGIAN, "nn": Language.NORWEGIAN,
    "no": Language.NORWEGIAN, "fi": Language.FINNISH, "nl_be": Language.FLEMISH,
}  # fmt: skip
"""Locales and how notes are called there (common practice)."""


def names_here(environment: Mapping[str, str]) -> Language:
    """How notes are called where the locale says the player is; English where it says nothing.

    The first of LC_ALL, LC_MESSAGES and LANG that is not empty counts (POSIX).
    """
    names = (environment.get(name, "") for name in ("LC_ALL", "LC_MESSAGES", "LANG"))
    place = re.split(r"[.@]", next((name for name in names if name), ""))[0].casefold()
    return _NAMES.get(place) or _NAMES.get(place.partition("_")[0]) or Language.ENGLISH


def sound_environment(backend: Backend, environment: Mapping[str, str]) -> dict[str, str]:
    """The environment for the sound helper: the variable forces the backend chosen, or is gone.

    Gone too where it says on or off, which the helper does not know.  Raises UsageError where
    it says what nobody knows: sound must not come from another library than was asked for.
    """
    word = environment.get(SOUND_VARIABLE, "").strip().casefold()
    known = [choice.value for choice in Backend]
    if word and word not in (*known, *ON, *OFF):
        expected = ", ".join(("on", "off", *known))
        raise UsageError(f"{SOUND_VARIABLE} is {quoted(word)}; expected one of {expected}")
    found = {name: text for name, text in environment.items() if name != SOUND_VARIABLE}
    if backend is not Backend.AUTO:
        found[SOUND_VARIABLE] = backend.value
    return found
