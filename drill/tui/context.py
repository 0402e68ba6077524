"""What the screens are handed: the room, the decks, sound, time, chance and looks.

Nothing here loads Textual or the practice room, so that the composition root can make a
``Context`` at no cost.  Themes, colours and signs are those of the settings.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from drill.theory.language import Language

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.practice.course import Plan
    from drill.practice.playing import Strokes
    from drill.practice.room import Room
    from drill.practice.time.bout import Setting
    from drill.practice.time.echoes import OpenMicrophone
    from drill.practice.walk import WantedRun
    from drill.settings.values import Settings
    from drill.sound.sounding import Sounding
    from drill.tui.desk_settings import SettingsFile
    from drill.tui.outside import Errands


@dataclass(frozen=True, slots=True)
class Context:
    """Everything the screens need, made by the composition root."""

    open_room: Callable[[], Room]
    """Opens the log; called once, in a thread, after the first frame.  May raise DrillError."""
    make_player: Callable[[], Sounding]
    """Makes the sound's player; called after the first frame.  It must not wait."""
    folders: tuple[Path, ...]
    """Folders of decks, the player's own first."""
    wishes: Callable[[], Settings]
    """Reads the settings in force, the command line's on top of them."""
    plan: Callable[[Settings, Deck, datetime], Plan]
    """How a practice with a deck goes at an instant: the deck's wishes, the player's on top."""
    timing: Callable[[Settings], Setting]
    """How playing in time begins: as the command line says."""
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
    tempo: float | None = None
    """In time: beats a minute to begin at; None for what is remembered."""
    microphone: Callable[[], OpenMicrophone] | None = None
    """Opens the microphone for a practice on the horn; None where there is none to open."""
    midi: Callable[[], Strokes] | None = None
    """Opens a MIDI instrument in the microphone's place; None takes the microphone."""
    opened: Callable[[Deck], Deck] = lambda deck: deck
    """A deck on the player's own horn, where it asks for that and one is named."""
    settings: SettingsFile | None = None
    """None where settings cannot be changed from the screens."""
    errands: Errands | None = None
    """None where commands cannot be done from the screens."""
