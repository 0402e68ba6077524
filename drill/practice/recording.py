"""Recording a take of a run, headless: a count-in, then what is played, until it is silent.

The microphone is open from the first ``tick`` to ``close`` and no longer; nothing is kept here.
Both front ends record through it; they only show the level and say what is going on.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from enum import StrEnum

import numpy as np

from drill.errors import DrillError
from drill.paper.wav import wav_file
from drill.practice.time.echoes import Held, OpenMicrophone, nobody_knows
from drill.sound.capture import LONGEST_S, QUIETEST_DB, RATE, Samples, level_of
from drill.sound.latency import LatencySource
from drill.sound.metronome import COUNT_IN, click_take
from drill.sound.sounding import Playing, Sounding
from drill.wording.taking import SILENCE

TEMPO = 80.0
"""The count-in's where no tempo is asked, in beats a minute."""
BEATS = 4
"""Beats of the count-in."""
QUIET_S = 3.0
"""Silence after the take that ends the recording."""
WAIT_S = 20.0
"""How long the first note is waited for."""
_PLAYED_DB = 9.0
_SILENT = 1e-4
"""No sample louder than this: the microphone gave nothing."""


class RecordingStage(StrEnum):
    """Where a recording stands."""

    WAITING = "waiting"
    """For the microphone's first block: some systems take two seconds."""
    COUNT_IN = "count-in"
    PLAYING = "playing"
    OVER = "over"


class Recording:
    """One take, from the count-in to a silence."""

    def __init__(
        self,
        microphone: OpenMicrophone,
        player: Sounding,
        clock: Callable[[], float],
        tempo: float,
        *,
        bars: int = 0,
        volume: float,
        held: Held = nobody_knows,
    ) -> None:
        """``bars`` is for how many bars the click goes on after the count-in; 0 stops it.
        ``held`` asks what the system holds of what the microphone heard; it may take a second."""
        self._microphone, self._player, self._clock = microphone, player, clock
        self._beat_s = 60 / tempo
        self._clicks = click_take(COUNT_IN, tempo, bars, count_in_bars=1, volume=volume)
        self._blocks: list[Samples] = []
        self._room, self._loudest = 0.0, QUIETEST_DB
        self._begin = self._sounded = 0.0
        self._played = False
        self._taken = 0
        self._first = 0
        """Samples that came, and those of them before what is kept."""
        self._playing: Playing | None = None
        self._held_s: float | None = None
        self._ask = held
        self.stage = RecordingStage.WAITING
        self.level = QUIETEST_DB
        """The latest level in decibels below full scale."""

    def tick(self) -> bool:
        """Take in what came; True when the take is over.  Raises SoundError for a microphone that
        gives no sound or is lost."""
        fresh, now = self._microphone.take(), self._clock()
        self._taken += len(fresh)
        if len(fresh):
            self.level = level_of(fresh)
        playing = self._player.playing()
        if playing is not None and playing.take.clicks == self._clicks.clicks:
            self._playing = playing
        if self.stage is RecordingStage.WAITING and len(fresh):
            self._count_in(now)
        elif self.stage is RecordingStage.COUNT_IN:
            self._room = min(self._room, self.level)
            if now >= self._begin:
                self.stage = RecordingStage.PLAYING
        elif self.stage is RecordingStage.PLAYING:
            self._take(fresh, now)
        return self.stage is RecordingStage.OVER

    def _count_in(self, now: float) -> None:
        threading.Thread(target=self._be_told, daemon=True).start()
        self._player.play(self._clicks, stale_s=0)
        self._begin = self._sounded = now + BEATS * self._beat_s
        self.stage = RecordingStage.COUNT_IN

    def _be_told(self) -> None:
        self._held_s = self._ask()

    def _take(self, fresh: Samples, now: float) -> None:
        if len(fresh):
            if not self._blocks:
                self._first = self._taken - len(fresh)
            self._blocks.append(fresh)
        self._loudest = max(self._loudest, self.level)
        if self.level > max(self._room + _PLAYED_DB, self._loudest - 30):
            self._played, self._sounded = True, now
        silent = now - self._sounded > (QUIET_S if self._played else WAIT_S)
        if silent or now - self._begin > LONGEST_S:
            self.stage = RecordingStage.OVER

    @property
    def beat(self) -> int:
        """The beat of the count-in, from 1; 0 where none is counted."""
        if self.stage is not RecordingStage.COUNT_IN:
            return 0
        left = self._begin - self._clock()
        return max(1, min(BEATS, BEATS - int(left / self._beat_s)))

    @property
    def first_beat_s(self) -> float | None:
        """When the first beat after the count-in stands in the samples, in seconds.

        None where it is not known well enough: only this output's calibration by a microphone
        has in it what the microphone adds, the same here as there.
        """
        playing, zero_s = self._playing, self._microphone.zero_s
        if playing is None or zero_s is None or playing.source is not LatencySource.HEARD:
            return None
        begun = zero_s - (self._held_s or 0.0) + self._first / RATE
        return playing.at + BEATS * self._beat_s - begun

    @property
    def seconds(self) -> float:
        """How much was recorded."""
        return sum(map(len, self._blocks)) / RATE

    def samples(self) -> Samples:
        """What was played.  Raises DrillError where it is silence."""
        found = np.concatenate(self._blocks) if self._blocks else np.zeros(0, np.float32)
        if float(np.abs(found).max(initial=0)) < _SILENT:
            raise DrillError(SILENCE)
        return found

    def close(self) -> None:
        """Be silent and let the microphone go."""
        self.stage = RecordingStage.OVER
        self._player.stop()
        self._microphone.close()


def bars_of(notes: int, beat_notes: int) -> int:
    """Bars for which a click goes on that accompanies so many notes, some to spare."""
    return 4 + int(notes / beat_notes / BEATS)


def wav_of(samples: Samples) -> bytes:
    """A WAV file of samples at ``RATE``."""
    return wav_file((np.clip(samples, -1, 1) * 32767).astype(np.int16), RATE)
