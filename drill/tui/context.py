"""What the screens are handed: the room, the decks, sound, time, chance and looks.

Nothing here loads Textual, the practice room or the theory, so that the composition
root can make a ``Context`` at no cost.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.practice.course import Plan
    from drill.practice.room import Room
    from drill.sound.player import Sounding


class Theme(StrEnum):
    """How the screens are coloured."""

    DARK = "dark"
    LIGHT = "light"
    TERMINAL = "terminal"
    """The terminal's own 16 colours and background."""
    CONTRAST = "high-contrast"


class Colour(StrEnum):
    """Whether colour is used at all."""

    AUTO = "auto"
    """As NO_COLOR says."""
    ALWAYS = "always"
    NEVER = "never"


class Signs(StrEnum):
    """Which characters are used."""

    AUTO = "auto"
    """Unicode where the terminal's encoding has it."""
    UNICODE = "unicode"
    ASCII = "ascii"


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting as a screen shows it."""

    name: str
    """Its name in the settings file, dotted."""
    value: str
    """The value in force, as the file would write it."""
    origin: str
    """Where it came from: ``default``, a file, an option."""
    help: str
    """One line: what it does."""
    choices: tuple[str, ...] = ()
    """The values it may take; empty for free text."""


class SettingsDesk(Protocol):
    """What the Settings screen works through; the file is somebody else's affair."""

    def settings(self) -> tuple[Setting, ...]:
        """Every setting, in the order in which they are shown."""
        ...

    def put(self, name: str, value: str) -> str:
        """Keep a new value; a sentence to show (what was wrong, or when it takes effect)."""
        ...


@dataclass(frozen=True, slots=True)
class Context:
    """Everything the screens need, made by the composition root."""

    open_room: Callable[[], Room]
    """Opens the log; called once, in a thread, after the first frame.  May raise DrillError."""
    make_player: Callable[[], Sounding]
    """Makes the sound's player; called after the first frame.  It must not wait."""
    folders: tuple[Path, ...]
    """Folders of decks, the player's own first."""
    plan: Callable[[Deck, datetime], Plan]
    """How a practice with a deck goes at an instant: the deck's wishes, the player's on top."""
    utc_now: Callable[[], datetime]
    monotonic: Callable[[], float]
    new_id: Callable[[], str]
    """Gives each answer its row id."""
    seed: int
    log: Path
    """The folder for error reports; made when one is written."""
    deck: str | None = None
    """A deck's name or file to practise at once; None begins with Today."""
    first_deck: str = "major-returning-cells"
    """The deck that Today stands on before anything was answered."""
    signs: Signs = Signs.AUTO
    theme: Theme = Theme.DARK
    colour: Colour = Colour.AUTO
    hold: bool = False
    """True waits for Enter after a right answer; False goes on at once."""
    volume: float = 0.5
    """0 to 1."""
    a4: float = 440.0
    """Hertz."""
    keymap: Mapping[str, str] = field(default_factory=dict)
    """Keys in place of an action's own: action id to keys joined by commas."""
    settings: SettingsDesk | None = None
    """None where settings cannot be changed from the screens."""
