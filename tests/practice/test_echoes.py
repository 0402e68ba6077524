"""Calibrating by a microphone: when the clicks are played, what is kept, what is told."""

from __future__ import annotations

import pytest
from late_player import LatePlayer
from made_room import RoomMicrophone

from drill.lines.tapping import ByMicrophone
from drill.sound.capture import Samples
from drill.sound.latency import LatencySource
from drill.sound.output import SoundError


class Loudspeaker(LatePlayer):
    """A player and a microphone in one room."""

    def __init__(self, late_s: float, *, first_s: float = 0.3, level: float = 0.2) -> None:
        super().__init__(late_s, 50.0, wait_s=0.2)
        self.lost = False
        self._clock = lambda: self.now
        self.microphone = RoomMicrophone(
            self._clock, self.playing, late_s, first_s=first_s, level=level
        )

    def stop(self) -> None:
        """What was asked for can be looked at afterwards."""

    @property
    def closed(self) -> bool:
        return self.microphone.closed

    def sleep(self, seconds: float) -> None:
        self.now += seconds

    def opened(self) -> RoomMicrophone:
        if self.lost:
            self.microphone.take = _lost  # type: ignore[method-assign]
        return self.microphone

    def calibrated(self) -> tuple[float | None, list[str]]:
        said: list[str] = []
        way = ByMicrophone({"PATH": ""}, self._clock, self.sleep, self.opened)
        return way.calibrate(self, 0.5, said.append), said  # type: ignore[arg-type]


def _lost() -> Samples:
    raise SoundError("the microphone was lost")


@pytest.mark.parametrize("late", [-0.03, 0.0, 0.09, 0.4])
def test_what_the_microphone_hears_is_kept_as_heard(late: float) -> None:
    room = Loudspeaker(late)
    found, said = room.calibrated()
    assert found == pytest.approx(0.04 + late, abs=0.001)
    ((kept_s, source),) = room.kept
    assert source is LatencySource.HEARD
    assert kept_s == pytest.approx(late, abs=0.001)
    assert room.closed
    assert said[0] == "the microphone is open: some clicks, then it is closed again"
    assert said[1] == "the microphone is closed"
    assert said[2].startswith(
        f"calibrated: the microphone heard this output {1000 * (0.04 + late):.0f} ms after"
    )


def test_the_click_waits_until_the_microphone_hears() -> None:
    room = Loudspeaker(0.05, first_s=1.5)
    room.calibrated()
    assert room.asked is not None
    assert room.asked.at >= 50.0 + 1.5 + 0.5


def test_headphones_keep_nothing() -> None:
    room = Loudspeaker(0.05, level=0.0)
    found, said = room.calibrated()
    assert found is None
    assert room.kept == []
    assert said[-1].startswith("the microphone heard no click")


def test_sound_that_is_off_and_a_microphone_that_is_lost() -> None:
    room = Loudspeaker(0.05)
    room.muted = True
    found, said = room.calibrated()
    assert (found, said[-1]) == (None, "the sound is off")
    room = Loudspeaker(0.05)
    room.lost = True
    with pytest.raises(SoundError, match="the microphone was lost"):
        room.calibrated()
    assert room.closed


def test_a_microphone_that_never_hears_ends_by_itself() -> None:
    room = Loudspeaker(0.05, first_s=999.0)
    found, _ = room.calibrated()
    assert found is None
    assert room.now < 50 + 25
    assert room.closed
