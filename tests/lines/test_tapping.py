"""Calibrating by Enter along with a click, in lines."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest
from late_player import LatePlayer

from drill.lines.tapping import tap_along
from drill.practice.time.strokes import Stroke
from drill.practice.time.tapping import TAPS, tapping_take


class Tapper:
    """Taps along with what he hears, or at random."""

    def __init__(self, player: LatePlayer, spread_s: float, most: int = 99) -> None:
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


def now_of(player: LatePlayer) -> Callable[[], float]:
    return lambda: player.now


@pytest.mark.parametrize("late", [-0.03, 0.0, 0.07])
def test_taps_tell_the_latency_and_it_is_kept(late: float) -> None:
    said: list[str] = []
    player = LatePlayer(late, 100.0)
    tapper = Tapper(player, 0.012)
    found = tap_along(player, tapper, lambda: player.now, 0.5, said.append)  # type: ignore[arg-type]
    assert tapper.taps == TAPS
    assert found == pytest.approx(0.04 + late, abs=0.01)
    ((kept_s, _),) = player.kept
    assert kept_s == pytest.approx(late, abs=0.01)
    assert said[0].startswith("tap along with the click, 28 times")
    assert said[1].startswith("calibrated: this output sounds")


def test_wild_or_few_taps_keep_nothing() -> None:
    for spread_s, most in ((0.2, 99), (0.01, 12)):
        said: list[str] = []
        player = LatePlayer(0.0, 100.0)
        tapper = Tapper(player, spread_s, most)
        assert tap_along(player, tapper, now_of(player), 0.5, said.append) is None  # type: ignore[arg-type]
        assert player.kept == []
        assert said[-1].endswith("nothing was kept")


@pytest.mark.parametrize("heard", [True, False])
def test_quit_breaks_it_off(heard: bool) -> None:
    """Also while the output has not begun to sound."""

    class Leaver(Tapper):
        def line(self, until: float | None) -> Stroke | None:
            if heard and self.taps < 20:
                return super().line(until)
            self.player.now += 0.1
            return Stroke("quit", self.player.now)

    said: list[str] = []
    player = LatePlayer(0.0, 100.0)
    if not heard:
        player.playing = lambda: None  # type: ignore[method-assign]
    leaver = Leaver(player, 0.01)
    assert tap_along(player, leaver, now_of(player), 0.5, said.append) is None  # type: ignore[arg-type]
    assert said[1:] == ["broken off: nothing was kept"]
    assert player.kept == []


def test_without_sound_it_says_so() -> None:
    said: list[str] = []
    player = LatePlayer(0.0, 100.0)
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
