"""Calibrating by Enter along with a click, in lines."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

from drill.lines.tapping import tap_along
from drill.practice.time.strokes import Stroke
from drill.practice.time.tapping import TAPS, tapping_take
from drill.sound.latency import LatencySource
from drill.sound.sounding import OutputState, Playing
from drill.sound.take import Take


class Clicking:
    """A player whose output is heard so much later than it says."""

    def __init__(self, late_s: float, latency_s: float = 0.04) -> None:
        self.now = 100.0
        self.late_s, self._latency_s = late_s, latency_s
        self.kept: list[float] = []
        self._take: Take | None = None
        self.muted = False

    @property
    def state(self) -> OutputState:
        return OutputState("miniaudio", "a test", self._latency_s, LatencySource.ASSUMED, "out")

    def play(self, take: Take, *, stale_s: float = 2.5) -> bool:
        if self.muted:
            return False
        self._take, self._at = take, self.now + 0.3
        return True

    def playing(self) -> Playing | None:
        take = self._take
        if take is None or not self._at <= self.now < self._at + take.length_s:
            return None
        return Playing(take, self._at)

    def calibrate(self, late_s: float, source: LatencySource = LatencySource.CALIBRATED) -> float:
        self.source = source
        self.kept.append(late_s)
        return self._latency_s + late_s

    def cut_off(self, take: Take) -> bool:
        return False

    def poll(self) -> str | None:
        return None

    def stop(self) -> None:
        self._take = None


class Tapper:
    """Taps along with what he hears, or at random."""

    def __init__(self, player: Clicking, spread_s: float, most: int = 99) -> None:
        self.player, self.spread_s, self.most = player, spread_s, most
        self.rng = random.Random(1)
        self.taps = 0
        self.ended = False

    def line(self, until: float | None) -> Stroke | None:
        player = self.player
        playing = player.playing()
        assert until is not None
        if playing is None or self.taps >= self.most:
            player.now = until
            return None
        due = playing.at + 0.6 * self.taps + player.late_s + self.rng.gauss(0, self.spread_s)
        if due > until:
            player.now = until
            return None
        player.now = max(player.now, due)
        self.taps += 1
        return Stroke("", due)


def now_of(player: Clicking) -> Callable[[], float]:
    return lambda: player.now


@pytest.mark.parametrize("late", [-0.03, 0.0, 0.07])
def test_taps_tell_the_latency_and_it_is_kept(late: float) -> None:
    said: list[str] = []
    player = Clicking(late)
    tapper = Tapper(player, 0.012)
    found = tap_along(player, tapper, lambda: player.now, 0.5, said.append)  # type: ignore[arg-type]
    assert tapper.taps == TAPS
    assert found == pytest.approx(0.04 + late, abs=0.01)
    assert player.kept == [pytest.approx(late, abs=0.01)]
    assert said[0].startswith("tap along with the click, 28 times")
    assert said[1].startswith("calibrated: this output sounds")


def test_wild_or_few_taps_keep_nothing() -> None:
    for spread_s, most in ((0.2, 99), (0.01, 12)):
        said: list[str] = []
        player = Clicking(0.0)
        tapper = Tapper(player, spread_s, most)
        assert tap_along(player, tapper, now_of(player), 0.5, said.append) is None  # type: ignore[arg-type]
        assert player.kept == []
        assert said[-1].endswith("nothing was kept")


def test_without_sound_it_says_so() -> None:
    said: list[str] = []
    player = Clicking(0.0)
    player.muted = True
    assert tap_along(player, Tapper(player, 0.0), lambda: player.now, 0.5, said.append) is None  # type: ignore[arg-type]
    assert said[-1] == "the sound is off"


def test_the_click_is_steady_and_long_enough() -> None:
    take = tapping_take()
    gaps = {
        round(b.onset_s - a.onset_s, 6) for a, b in zip(take.clicks, take.clicks[1:], strict=False)
    }
    assert gaps == {0.6}
    assert len(take.clicks) >= TAPS + 4
