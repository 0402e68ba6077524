"""What the screens are handed: the room, the decks, sound, time, chance and looks.

Nothing here loads Textual or the practice room, so that the composition root can make a
``Context`` at no cost.  Themes, colours and signs are those of the settings.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from drill.settings.values import Color, GlyphChoice, Theme
from drill.theory.language import Language

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.practice.course import Plan
    from drill.practice.playing import Strokes
    from drill.practice.room import Room
    from drill.practice.time.echoes import OpenMicrophone
    from drill.practice.walk import WantedRun
    from drill.sound.sounding import Sounding
    from drill.tui.outside import Errands, SettingsDesk


@dataclass(frozen=True, slots=True)
class Wishes:
    """The player's settings as far as the screens follow them; read anew after each change."""

    plan: Callable[[Deck, datetime], Plan]
    """How a practice with a deck goes at an instant: the deck's wishes, the player's on top."""
    names: Language = Language.ENGLISH
    glyphs: GlyphChoice = GlyphChoice.AUTO
    theme: Theme = Theme.DARK
    color: Color = Color.AUTO
    hold: bool = False
    """True waits for Enter after a right answer; False goes on at once."""
    sound: bool = True
    volume: float = 0.5
    """0 to 1."""
    a4: float = 440.0
    """Hertz."""
    keymap: Mapping[str, str] = field(default_factory=dict)
    """Keys in place of an action's own: action id to keys joined by commas."""


@dataclass(frozen=True, slots=True)
class TimeWishes:
    """How playing in time begins, where the command line says so."""

    tempo: float | None = None
    """Beats a minute; None for what is remembered."""
    eighths: bool = False
    """Two notes to a beat."""
    letters: bool = False
    """Letters alone, without accidentals."""
    tapped: bool = False
    """Any key on each note."""
    click: str | None = None
    """Which beats click; None as the deck says."""
    metre: str | None = None
    """None as the deck says."""
    count_in: int | None = None
    """Bars counted in; None as the deck says."""


@dataclass(frozen=True, slots=True)
class Context:
    """Everything the screens need, made by the composition root."""

    open_room: Callable[[], Room]
    """Opens the log; called once, in a thread, after the first frame.  May raise DrillError."""
    make_player: Callable[[], Sounding]
    """Makes the sound's player; called after the first frame.  It must not wait."""
    folders: tuple[Path, ...]
    """Folders of decks, the player's own first."""
    wishes: Callable[[], Wishes]
    """Reads the settings in force, the command line's on top of them."""
    utc_now: Callable[[], datetime]
    monotonic: Callable[[], float]
    new_id: Callable[[], str]
    """Gives each answer its row id."""
    seed: int
    log: Path
    """The folder for error reports; made when one is written."""
    deck: str | Path | Deck | None = None
    """A deck to practise at once, by name or file, or for once; None begins with Today."""
    walk: WantedRun | None = None
    """A run of that deck to walk instead of practising; None for a practice."""
    first_deck: str = "major-returning-cells"
    """The deck that Today stands on before anything was answered."""
    ask_first: bool = False
    """True begins with the questions of the first start, where no deck is named."""
    names_here: Language = Language.ENGLISH
    """How notes are called where the player lives, as far as the locale tells."""
    in_time: TimeWishes = TimeWishes()
    microphone: Callable[[], OpenMicrophone] | None = None
    """Opens the microphone for a practice on the horn; None where there is none to open."""
    midi: Callable[[], Strokes] | None = None
    """Opens a MIDI instrument in the microphone's place; None takes the microphone."""
    opened: Callable[[Deck], Deck] = lambda deck: deck
    """A deck on the player's own horn, where it asks for that and one is named."""
    settings: SettingsDesk | None = None
    """None where settings cannot be changed from the screens."""
    errands: Errands | None = None
    """None where commands cannot be done from the screens."""
