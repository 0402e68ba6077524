"""Where the first beat stands in a recording, as a calibration by a microphone lets it be known."""

from __future__ import annotations

import numpy as np
import pytest
from silent_player import SilentPlayer

from drill.practice.recording import Recording
from drill.sound.capture import RATE, Samples
from drill.sound.latency import LatencySource
from drill.sound.sounding import Playing

STEP_S = 0.05
LATE_S = 0.12
"""From when a click is taken to be heard to when it comes out of the microphone."""


class Calibrated(SilentPlayer):
    """Knows its output's way by a microphone, which holds back so much itself."""

    source = LatencySource.HEARD

    def playing(self) -> Playing | None:
        now = super().playing()
        return now and Playing(now.take, now.at + LATE_S, self.source)


class Clapping:
    """A room in which somebody claps on each beat of a click that begins in the first block."""

    def __init__(self, beat_s: float, held_s: float = 0.0) -> None:
        self.now, self.zero_s = 7.0, 7.0
        self._taken = 0
        claps = np.zeros(20 * RATE, np.float32)
        for beat in range(18):
            # The count-in is asked for at the first look, one step after the microphone opened.
            claps[round((STEP_S + LATE_S + held_s + beat * beat_s) * RATE)] = 0.9
        self._room = np.random.default_rng(2).normal(0, 1e-3, len(claps)) + claps

    def clock(self) -> float:
        return self.now

    def take(self) -> Samples:
        self.now += STEP_S
        due = round((self.now - self.zero_s) * RATE)
        part, self._taken = self._room[self._taken : due], due
        return part.astype(np.float32)

    def close(self) -> None: ...


def recorded(player: SilentPlayer, room: Clapping, tempo: float, held_s: float) -> Recording:
    taking = Recording(room, player, room.clock, tempo, volume=0.5, held=lambda: held_s)
    while not taking.tick() and taking.seconds < 3:
        pass
    return taking


@pytest.mark.parametrize(("tempo", "held_s"), [(60, 0.0), (100, 0.0), (100, 0.03), (160, 0.01)])
def test_the_first_beat_is_where_the_clap_is(tempo: float, held_s: float) -> None:
    room = Clapping(60 / tempo, held_s)
    taking = recorded(Calibrated(room.clock), room, tempo, held_s)
    claps = np.flatnonzero(taking.samples() > 0.5) / RATE
    beat = taking.first_beat_s
    assert beat is not None
    assert beat == pytest.approx(claps[np.argmin(abs(claps - beat))], abs=0.001)


def test_taps_or_a_guess_do_not_tell_what_the_microphone_adds() -> None:
    for source in (LatencySource.CALIBRATED, LatencySource.MEASURED, LatencySource.ASSUMED):
        room = Clapping(0.6)
        player = Calibrated(room.clock)
        player.source = source
        assert recorded(player, room, 100, 0.0).first_beat_s is None
