"""What the screens share: the room once it is open, the sound, the looks."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from drill.tui.actions import key_for
from drill.tui.backroom import Backroom
from drill.tui.context import Context
from drill.tui.glyphs import Glyphs
from drill.tui.looks import Looks
from drill.wording.soundwords import sound_told

if TYPE_CHECKING:
    from drill.practice.effects import Sound
    from drill.settings.values import Settings
    from drill.sound.sounding import Sounding
    from drill.tui.practices import Seat
    from drill.tui.seats import Glance, PlanOf, Seats
    from drill.tui.tally import Tally
    from drill.tui.words import Words


_NO_GLANCES: Mapping[Path, Glance] = MappingProxyType({})


@dataclass(slots=True)
class Studio:
    """One running program; the slow work goes through ``backroom``."""

    context: Context
    looks: Looks
    wishes: Settings
    """The settings in force."""
    backroom: Backroom = field(default_factory=Backroom)
    lookout: Backroom = field(default_factory=Backroom)
    """For what takes seconds and works on a branch of its own, so that nobody waits for it."""
    player: Sounding | None = None
    """None until the first frame is drawn."""
    tallies: dict[Path, Tally] = field(default_factory=dict)
    """The last numbers of each deck, so that Today has something to show at once."""
    chosen: Path | None = None
    """The deck that the player stood on last."""
    by_hand: bool = False
    """Whether the player said so, and not Today."""
    desk: dict[str, Path] = field(default_factory=dict)
    """What was chosen at the teacher's desk and holds for all of it: the roster."""
    _seats: Seats | None = None

    @property
    def glyphs(self) -> Glyphs:
        """The signs that are drawn with."""
        return self.looks.glyphs

    @property
    def words(self) -> Words:
        """The player's note names in these signs."""
        from drill.tui.words import Words  # no first frame waits for it

        return Words(self.wishes.names, self.glyphs)

    @property
    def plan(self) -> PlanOf:
        """How a practice with a deck goes, by the settings in force now."""
        return partial(self.context.plan, self.wishes)

    def key(self, action_id: str) -> str:
        """The key of an action, the player's own where there is one."""
        return key_for(action_id, self.wishes.keymap, self.glyphs)

    def open_seats(self) -> Seats:
        """The open room; in the backroom only.  Raises DrillError."""
        if self._seats is None:
            from drill.tui.seats import Seats

            self._seats = Seats(self.context, self.context.open_room())
        return self._seats

    def follow(self) -> None:
        """Take the settings as they are now.  Raises DrillError."""
        before, self.wishes = self.wishes, self.context.wishes()
        self.looks = self.looks.followed(self.wishes)
        if self._seats is not None:
            self._seats.speak(self.wishes.names)
        if self.player is not None and before.sound != self.wishes.sound:
            (self.player.unmute if self.wishes.sound else self.player.mute)()

    @property
    def notices(self) -> tuple[str, ...]:
        """What happened on opening the log that the player should read."""
        return self._seats.room.notices if self._seats else ()

    async def tally(self, deck: Path) -> Tally:
        """A deck's numbers now; kept for the next time that it is shown."""
        plan = self.plan
        tally = await self.backroom.do(lambda: self.open_seats().tally(deck, plan))
        self.tallies[deck] = tally
        return tally

    def known(
        self, paths: Sequence[Path], glances: Mapping[Path, Glance] = _NO_GLANCES
    ) -> list[Tally]:
        """The last numbers of these decks; only their titles, or names, until they are counted."""
        from drill.tui.tally import Tally

        def new(path: Path) -> Tally:
            seen = glances.get(path)
            title = seen.title if seen and seen.title else path.stem.replace("-", " ")
            return Tally(path, title, known_by=seen.due if seen else None)

        return [self.tallies.get(path) or new(path) for path in paths]

    def choose(self, deck: Path) -> None:
        """Stand on a deck, as the player said; Today stays there."""
        self.chosen, self.by_hand = deck, True

    # Sound.

    def wake_player(self) -> Sounding:
        """The player, made and let warm up where it was not: after the first frame, or when
        something is to sound."""
        if self.player is None:
            self.player = self.context.make_player()
            self.player.warm()
        return self.player

    @property
    def muted(self) -> bool:
        """Whether the sound is turned off."""
        return not self.wishes.sound if self.player is None else self.player.muted

    def toggle_mute(self) -> str:
        """Turn the sound off or on; what to say of it."""
        player = self.wake_player()
        if player.muted:
            player.unmute()
        else:
            player.mute()
        return sound_told(player.muted)

    def sound(self, effect: Sound) -> None:
        """Let something be heard; returns at once."""
        if self.muted or not effect.midi:
            return
        from drill.practice.sounding import take_of

        self.wake_player().play(take_of(effect, volume=self.wishes.volume, a4=self.wishes.a4))

    def close(self) -> None:
        """Silence, and the log closed; every answer was kept before."""
        closers: list[Callable[[], None]] = []
        if self.player is not None:
            closers.append(self.player.close)
        if self._seats is not None:
            closers.append(self._seats.room.store.close)
        for close in closers:
            with contextlib.suppress(Exception):  # leaving must not fail
                close()


_WRITTEN_S = 0.005


async def written() -> None:
    """Wait until what was painted is written: a thread does that, and would have to wait for its
    turn behind whatever follows at once."""
    await asyncio.sleep(_WRITTEN_S)


async def make_ready(studio: Studio, seat: Seat) -> None:
    """Once the first prompt is in view: what only later prompts need, and the sound."""
    await written()
    studio.wake_player()
    await studio.backroom.do(lambda: seat.desk.pool.arrays)


def is_silent(studio: Studio) -> bool:
    """Whether nothing is heard now: the sound is turned off, or no output can be had."""
    return studio.muted or (studio.player is not None and studio.player.failed)
