"""The horn at the stand: opens the microphone while a prompt stands that can be played."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drill.errors import DrillError
from drill.memory.kinds import PLAYED
from drill.practice.effects import Prompt
from drill.tui.sitting import Sitting
from drill.tui.studio import Studio
from drill.wording.playing import LONG_NOTE, MICROPHONE, MIDI, typed_instead

if TYPE_CHECKING:
    from drill.practice.playing import Horn, Keys

HEAR_S = 0.02
"""How often what came in is heard."""


class Listening:
    """What is heard of the player's horn during one practice."""

    def __init__(self, sitting: Sitting, studio: Studio) -> None:
        self._sitting, self._studio = sitting, studio
        self._horn: Horn | Keys | None = None
        self._asked: Prompt | None = None
        self._open = MICROPHONE
        self.waits_for_long_note = False
        self.news = ""
        """Something to tell the player, once."""

    @property
    def on(self) -> bool:
        """Whether this practice is played on the horn."""
        return self._horn is not None

    def take_news(self) -> str:
        """What there is to tell, once; empty for nothing."""
        notice, self.news = self.news, ""
        return notice

    def begin(self) -> None:
        """Begin to listen where the practice is to be played."""
        seat, context = self._sitting.seat, self._studio.context
        if PLAYED not in seat.desk.plan.kinds:
            return
        from drill.practice.playing import Horn, HornPhase, Keys

        if context.midi is not None:
            self._open = MIDI
            self._horn = Keys(context.midi, seat.desk.syllabus, context.monotonic)
        elif context.microphone is not None:
            self._horn = Horn(
                context.microphone, seat.desk.syllabus, context.monotonic, self._sounding,
                self._studio.wishes.a4,
            )  # fmt: skip
        else:
            return
        try:
            self._horn.tune()
            self.waits_for_long_note = self._horn.phase is HornPhase.LONG_NOTE
            self._sitting.microphone = self._open
            self.news = LONG_NOTE if self.waits_for_long_note else ""
        except DrillError as fault:
            self._give_up(fault)

    def _sounding(self) -> bool:
        player = self._studio.player
        return player is not None and player.playing() is not None

    def skip(self) -> None:
        """Go on without the long note."""
        self.waits_for_long_note = False

    def rest(self) -> None:
        """Nothing is listened for now: the microphone is closed."""
        if self._horn is not None and self._horn.open:
            self._horn.rest()
            self._asked = None
            self._sitting.microphone = ""

    def listen(self) -> bool:
        """Hear what came in; True where an answer was marked."""
        if self._horn is None:
            return False
        try:
            return self._listen(self._horn)
        except DrillError as fault:
            self._give_up(fault)
            return False

    def _listen(self, horn: Horn | Keys) -> bool:
        from drill.hearing.values import Heard, Known
        from drill.wording.playing import known_told

        if self.waits_for_long_note and not horn.open:
            horn.tune()
        if not self.waits_for_long_note:
            self._stand_by(horn)
        self._sitting.microphone = self._open if horn.open else ""
        found = horn.listen()
        if isinstance(found, Known):
            self.waits_for_long_note, self.news = False, known_told(found)
        if not isinstance(found, Heard):
            return False
        marked = self._sitting.played(found, horn.shift())
        if not marked:
            self.news = " "
        return marked

    def _stand_by(self, horn: Horn | Keys) -> None:
        """Listen for the open prompt, if it can be played."""
        prompt = None if self._sitting.held else self._sitting.state.prompt
        if prompt is None or prompt.question.back:
            self.rest()
        elif prompt is not self._asked or not horn.open:
            horn.ask(prompt)
            self._asked = prompt

    def _give_up(self, fault: DrillError) -> None:
        self._horn = None
        self.waits_for_long_note = False
        self._sitting.microphone = ""
        self.news = typed_instead(fault)
