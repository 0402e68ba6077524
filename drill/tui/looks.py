"""How the terminal is to be treated: its environment before Textual loads, signs, theme.

Textual reads its settings when it is imported, so ``prepare`` comes before that.
"""

from __future__ import annotations

import codecs
import functools
import os
import sys
from collections.abc import MutableMapping
from dataclasses import dataclass

from drill.tui.context import Colour, Context, Signs, Theme
from drill.tui.glyphs import ASCII, UNICODE, Glyphs


@dataclass(frozen=True, slots=True)
class Looks:
    """What was settled on."""

    glyphs: Glyphs
    theme: Theme
    monochrome: bool
    """True where no colour may be used."""


def prepare(context: Context, environment: MutableMapping[str, str]) -> Looks:
    """The looks for a terminal; sets what Textual will read in the environment."""
    environment.setdefault("TEXTUAL_FPS", "120")  # a chained repaint waits half as long
    environment.setdefault("ESCDELAY", "50")
    environment["TEXTUAL_ANIMATIONS"] = "none"
    if environment.get("TEXTUAL_COLOR_SYSTEM") == "none":  # Textual fails on it
        del environment["TEXTUAL_COLOR_SYSTEM"]
    if context.colour is Colour.ALWAYS or not environment.get("NO_COLOR"):
        environment.pop("NO_COLOR", None)  # an empty one counts as none: no-color.org
    if context.colour is Colour.NEVER:
        environment["NO_COLOR"] = "1"
    monochrome = "NO_COLOR" in environment
    theme = context.theme
    if monochrome or _few_colours(environment):
        theme = Theme.TERMINAL
    # Textual settles how it treats colour with the theme that it begins with.
    environment["TEXTUAL_THEME"] = "ansi-dark" if theme is Theme.TERMINAL else "textual-dark"
    return Looks(_glyphs(context.signs), theme, monochrome)


def _few_colours(environment: MutableMapping[str, str]) -> bool:
    """Whether the terminal is known to have 16 colours or fewer."""
    if environment.get("COLORTERM", "").strip().lower() in ("truecolor", "24bit"):
        return False
    term = environment.get("TERM", "")
    return term in ("ansi", "linux", "xterm", "xterm-16color", "screen", "vt100", "vt220", "dumb")


def _glyphs(signs: Signs) -> Glyphs:
    if signs is Signs.AUTO:
        stream = sys.__stderr__  # where Textual draws
        encoding = (getattr(stream, "encoding", None) or "ascii").lower()
        return UNICODE if encoding.replace("_", "-").startswith("utf") else ASCII
    return UNICODE if signs is Signs.UNICODE else ASCII


def forgive_bad_bytes() -> None:
    """Let a byte that is no UTF-8 become a replacement sign, where Textual would end.

    A terminal, or a line to one, may send anything.
    """
    if os.name != "posix":
        return
    from textual.drivers import linux_driver

    if hasattr(linux_driver, "getincrementaldecoder"):

        def forgiving(encoding: str) -> functools.partial[codecs.IncrementalDecoder]:
            return functools.partial(codecs.getincrementaldecoder(encoding), errors="replace")

        linux_driver.getincrementaldecoder = forgiving
