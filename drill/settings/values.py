"""The settings as one frozen value, with the closed sets it is made of.

Nothing here reads a file or loads a library; what may stand in a file, and what
each setting does for a person, is in ``catalogue``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from drill.memory.kinds import Kind
from drill.sound.limits import VOLUME, Backend
from drill.terms import Instrument
from drill.theory.instruments import NO_HORN
from drill.theory.language import Language

A4 = 440.0
"""Hertz (ISO 16)."""


class GlyphChoice(StrEnum):
    """Which characters are drawn."""

    AUTO = "auto"
    """Unicode where the terminal's encoding is UTF-8, ASCII elsewhere."""
    UNICODE = "unicode"
    ASCII = "ascii"


class Theme(StrEnum):
    """The colours of the screens."""

    DARK = "dark"
    LIGHT = "light"
    TERMINAL = "terminal"
    """The terminal's own sixteen colours."""
    HIGH_CONTRAST = "high-contrast"


class Color(StrEnum):
    """Whether colour is used at all."""

    AUTO = "auto"
    """On a terminal that has colour, unless ``NO_COLOR`` is set."""
    ALWAYS = "always"
    NEVER = "never"


class Motion(StrEnum):
    """Whether anything on a screen moves by itself."""

    FULL = "full"
    REDUCED = "reduced"
    """Nothing slides, fades or blinks."""


@dataclass(frozen=True, slots=True)
class Overrides:
    """The player's own wishes for a practice; None everywhere leaves it to the deck."""

    prompts: int | None = None
    """Prompts in one practice, the closing round among them; 0 for no limit."""
    minutes: float | None = None
    """Minutes to the end of everything; 0 for no limit."""
    new_keys: int | None = None
    """New keys in one practice; 0 opens all of them."""
    new_cells: int | None = None
    """New cells in one practice; 0 for none."""
    again: bool | None = None
    """Whether a missed cell is copied before going on."""
    missed_again: bool | None = None
    """Whether missed cells are asked once more at the end."""
    kinds: tuple[Kind, ...] | None = None
    """Kinds of prompt that may be asked, each once, at least one."""


@dataclass(frozen=True, slots=True)
class Remap:
    """The keys that the player gives to an action, in place of the program's own."""

    action: str
    """Id in the table of actions."""
    keys: tuple[str, ...]
    """Names as ``keymap.key_name`` gives them, each once, at least one."""


@dataclass(frozen=True, slots=True)
class Settings:
    """How the player wants it; made with no arguments, as the program comes."""

    names: Language = Language.ENGLISH
    """The language of note names: typed, shown and printed."""
    glyphs: GlyphChoice = GlyphChoice.AUTO
    theme: Theme = Theme.DARK
    color: Color = Color.AUTO
    words: bool = False
    """True spells notes in words in line mode: "G sharp"."""
    motion: Motion = Motion.FULL
    hold: bool = False
    """True waits for Enter after a right answer, before the next prompt."""
    sound: bool = True
    """False is mute."""
    volume: float = VOLUME
    """0 to 1."""
    room: bool = True
    """Whether notes sound in a little room."""
    a4: float = A4
    """Hertz, 430 to 450."""
    backend: Backend = Backend.AUTO
    in_time: bool = True
    """False never asks to play in time, whatever the deck wants."""
    horn: Instrument = NO_HORN
    """The player's own horn, for decks that ask for it; ``NO_HORN`` where none is named."""
    student: str = ""
    """The name on results that are handed in; empty for none."""
    practice: Overrides = field(default_factory=Overrides)
    keys: tuple[Remap, ...] = ()
    """By action id; actions that are not among them keep the program's own keys."""

    @property
    def keymap(self) -> dict[str, str]:
        """The same as action id to keys joined by commas."""
        return {remap.action: ",".join(remap.keys) for remap in self.keys}
