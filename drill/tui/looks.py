"""How the terminal is to be treated: its environment before Textual loads, signs, theme.

Textual reads its settings when it is imported, so ``prepare`` comes before that.
"""

from __future__ import annotations

import sys
from collections.abc import MutableMapping
from dataclasses import dataclass, replace

from drill.settings.at_hand import ascii_only
from drill.settings.values import Color, Settings, Theme
from drill.settings.values import GlyphChoice as Signs
from drill.tui.glyphs import ASCII, UNICODE, Glyphs


@dataclass(frozen=True, slots=True)
class Looks:
    """What was settled on."""

    glyphs: Glyphs
    theme: Theme
    monochrome: bool
    """True where no colour may be used."""
    few: bool = False
    """True on a terminal of 16 colours or fewer."""

    def followed(self, wishes: Settings) -> Looks:
        """The looks after a change of the settings; whether there is colour at all stays."""
        plain = self.monochrome or self.few
        theme = Theme.TERMINAL if plain else wishes.theme
        return replace(self, glyphs=glyphs_of(wishes.glyphs), theme=theme)


def prepare(wishes: Settings, environment: MutableMapping[str, str]) -> Looks:
    """The looks for a terminal; sets what Textual will read in the environment."""
    environment.setdefault("TEXTUAL_FPS", "120")  # a chained repaint waits half as long
    environment.setdefault("ESCDELAY", "50")
    environment["TEXTUAL_ANIMATIONS"] = "none"
    if environment.get("TEXTUAL_COLOR_SYSTEM") == "none":  # Textual fails on it
        del environment["TEXTUAL_COLOR_SYSTEM"]
    if wishes.color is Color.ALWAYS or not environment.get("NO_COLOR"):
        environment.pop("NO_COLOR", None)  # an empty one counts as none: no-color.org
    if wishes.color is Color.NEVER:
        environment["NO_COLOR"] = "1"
    monochrome = "NO_COLOR" in environment
    few = _few_colours(environment)
    theme = Theme.TERMINAL if monochrome or few else wishes.theme
    # Textual settles how it treats colour with the theme that it begins with.
    environment["TEXTUAL_THEME"] = "ansi-dark" if theme is Theme.TERMINAL else "textual-dark"
    return Looks(glyphs_of(wishes.glyphs), theme, monochrome, few)


def _few_colours(environment: MutableMapping[str, str]) -> bool:
    """Whether the terminal is known to have 16 colours or fewer."""
    if environment.get("COLORTERM", "").strip().lower() in ("truecolor", "24bit"):
        return False
    term = environment.get("TERM", "")
    return term in ("ansi", "linux", "xterm", "xterm-16color", "screen", "vt100", "vt220", "dumb")


def glyphs_of(signs: Signs) -> Glyphs:
    """The set of signs that a setting comes to on the stream where Textual draws."""
    return ASCII if ascii_only(signs, getattr(sys.__stderr__, "encoding", None)) else UNICODE
