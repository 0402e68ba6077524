"""A microphone that hears the click, with the face of taps along with it."""

from __future__ import annotations

import threading

from drill.errors import DrillError
from drill.practice.time.echoes import Echoes, OpenMicrophone
from drill.sound.latency import LatencySource
from drill.tui.studio import Studio
from drill.wording.bouts import NO_CLICK
from drill.wording.calibrating import LISTENING, echo_told
from drill.wording.soundwords import SOUND_OFF


class ByEar:
    """Opens the microphone, plays the clicks and listens; ``close`` lets both go."""

    asked = LISTENING
    heard = True

    def __init__(self, studio: Studio) -> None:
        self._studio = studio
        self._fault = ""
        self._echoes: Echoes | None = None
        self._opened: OpenMicrophone | None = None
        self._closed = False
        # Opening may take seconds, and nobody shall wait for it.
        self._lock = threading.Lock()
        threading.Thread(target=self._open, daemon=True).start()

    def tap(self, at: float) -> None:
        """A key pressed meanwhile says nothing."""

    def _open(self) -> None:
        opened = self._studio.context.microphone
        assert opened is not None  # whoever made this has looked
        try:
            microphone = opened()
        except DrillError as fault:
            self._fault = str(fault)
            return
        with self._lock:
            if self._closed:
                microphone.close()
            else:
                self._opened = microphone

    def over(self) -> bool:
        """Whether everything was heard, or there is no more to hear."""
        studio = self._studio
        if self._fault:
            return True
        if self._echoes is None:
            if self._opened is None or studio.player is None or studio.context.errands is None:
                return False
            self._echoes = Echoes(
                studio.player, self._opened, studio.context.monotonic,
                studio.context.errands.held, studio.wishes.volume,
            )  # fmt: skip
        try:
            return self._echoes.tick()
        except DrillError as fault:
            self._fault = str(fault)
            return True

    def told(self) -> str:
        """What the microphone told, kept where it was clear."""
        player, echoes = self._studio.player, self._echoes
        if self._fault or player is None or echoes is None:
            return self._fault or NO_CLICK
        found = echoes.found()
        if found is None:
            return NO_CLICK if echoes.sounding else SOUND_OFF
        latency_s = player.calibrate(found.late_s, LatencySource.HEARD) if found.clear else 0.0
        return echo_told(found, latency_s)

    def close(self) -> None:
        """Be silent and let the microphone go, also one that is still being opened."""
        with self._lock:
            self._closed = True
            opened, self._opened = self._opened, None
        if self._echoes is not None:
            self._echoes.close()
        elif opened is not None:
            opened.close()
