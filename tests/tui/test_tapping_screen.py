"""How late the output sounds: told in Settings, and found there by tapping."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

import pytest
from made_room import RoomMicrophone
from real_house import RealHouse
from tui_desk import Notifier
from tui_user import BOTH, SMALL, User, at_keys

from drill.practice.time.tapping import TAPS
from drill.sound.latency import COUNTED, LatencySource
from drill.sound.output import SoundError
from drill.sound.sounding import OutputState, Playing
from drill.sound.take import Take
from drill.tui.trainer import Trainer
from drill.tui.widgets.strokes import StrokePage
from drill.wording.calibrating import lateness_told


class Late(Notifier):
    """An output whose lateness is assumed, 40 ms; its beats come by the test's clock."""

    def __init__(self) -> None:
        super().__init__()
        self.now = 100.0
        self.known = OutputState("miniaudio", "a device", 0.04, LatencySource.ASSUMED, "a device")
        self._began: Playing | None = None

    @property
    def state(self) -> OutputState:
        return self.known

    def play(self, take: Take, *, stale_s: float = 0.0) -> bool:
        del stale_s
        if self.muted:
            return False
        self._began = Playing(take, self.now, self.known.source)
        return True

    def playing(self) -> Playing | None:
        began = self._began
        return began if began and self.now - began.at < began.take.length_s else None

    def stop(self) -> None:
        self._began = None

    def calibrate(self, late_s: float, source: LatencySource = LatencySource.CALIBRATED) -> float:
        latency_s = self.known.latency_s + late_s
        self.known = OutputState("miniaudio", "a device", latency_s, source, "a device")
        return latency_s


@pytest.fixture
def output() -> Late:
    return Late()


@pytest.fixture
def trainer(home: Path, output: Late, monkeypatch: pytest.MonkeyPatch) -> Iterator[Trainer]:
    """Keys are read at the instant that the test set, however busy the machine is."""
    monkeypatch.setattr(StrokePage, "read_at", lambda self, event: output.now)
    house = RealHouse(home, player=output)
    home.mkdir(parents=True)
    made = house.trainer(monotonic=lambda: output.now)
    yield made
    made.studio.close()


def at_the_row(user: User) -> None:
    user.today("s", sees=("Settings", "Note names"))
    for _ in range(40):
        if "▸ How late it sounds" in user.shown:
            return
        user.press("down")
        user.pause(0.01)
    raise AssertionError(user.shown)


def tap(user: User, output: Late, count: int, late: Any) -> None:
    began = output._began
    assert began is not None
    for n, click in zip(range(count), began.take.clicks, strict=False):
        output.now = began.at + click.onset_s + late(n)
        user.press("space" if n % 2 else "t")


@BOTH
def test_settings_tell_it_and_taps_find_it(output: Late, user: User) -> None:
    at_the_row(user)
    user.see("40 ms assumed, within 100")
    user.golden("tapping", user.press("enter", sees=("How late does it sound?", "start the click")))
    user.press("enter", sees="break off")
    tap(user, output, TAPS, lambda n: 0.06)
    user.see("calibrated: this output sounds 100 ms")
    assert output.known.latency_s == pytest.approx(0.1, abs=0.001)
    user.press("escape", sees=("Settings", "100 ms calibrated, within 5"))


@SMALL
def test_too_few_or_uneven_taps_keep_nothing(output: Late, user: User) -> None:
    at_the_row(user)
    user.press("enter", sees="start the click")
    user.press("enter")
    tap(user, output, TAPS, lambda n: 0.15 * (n % 3))
    shown = user.see("start the click")
    assert "calibrated:" not in shown
    user.press("enter")
    tap(user, output, COUNTED, lambda n: 0.06)
    user.press("escape", sees="broken off: nothing was kept")
    assert output.playing() is None
    user.press("z", "enter", sees="the sound is off")
    user.press("escape", sees="Settings")
    assert output.known.source is LatencySource.ASSUMED


@pytest.mark.parametrize(
    ("state", "told"),
    [
        (OutputState(), "not known before anything sounded"),
        (OutputState("silent", source=LatencySource.CALIBRATED), "nothing sounds here"),
        (OutputState("miniaudio", "", 0.031, LatencySource.MEASURED), "31 ms measured, within 80"),
        (OutputState("miniaudio", "", 0.031, LatencySource.HEARD), "31 ms heard, within 20"),
        (
            OutputState("miniaudio", "", 0.031, LatencySource.CALIBRATED),
            "31 ms calibrated, within 5",
        ),
        (OutputState("miniaudio", "", 0.04), "40 ms assumed, within 100"),
    ],
)
def test_it_is_told_how_it_is_known_and_how_far_off_it_may_be(
    state: OutputState, told: str
) -> None:
    assert lateness_told(state) == told


def listened(user: User, output: Late, *wanted: str) -> str:
    """What the screen shows once the clicks are over, the clock running meanwhile."""
    for _ in range(400):
        shown = user.shown
        if all(each in " ".join(shown.split()) for each in wanted):
            return shown
        output.now += 0.1
        user.pause(0.04)
    raise AssertionError(user.shown)


@pytest.mark.parametrize(("level", "kept"), [(0.2, True), (0.0, False)])
def test_a_microphone_hears_how_late_it_is(
    trainer: Trainer, output: Late, level: float, *, kept: bool
) -> None:
    opened: list[RoomMicrophone] = []

    def microphone() -> RoomMicrophone:
        opened.append(RoomMicrophone(lambda: output.now, output.playing, 0.07, level=level))
        return opened[0]

    trainer.studio.context = replace(
        trainer.studio.context, microphone=microphone, errands=cast(Any, NobodyKnows())
    )

    with at_keys(trainer, 60, 20) as user:
        at_the_row(user)
        user.press("enter", sees=("How late does it sound?", "m microphone"))
        user.press("m", sees=("the microphone is open", "break off"))
        told = "calibrated: the microphone heard" if kept else "heard no click"
        listened(user, output, told)
        assert opened[0].closed
        assert (output.known.source is LatencySource.HEARD) is kept
        if kept:
            assert output.known.latency_s == pytest.approx(0.11, abs=0.002)
            assert "110 ms heard, within 20" in user.shown
        user.press("m", sees="the microphone is open")
        user.press("escape", sees="broken off: nothing was kept")


def test_without_a_microphone_it_says_so(trainer: Trainer) -> None:
    def none() -> RoomMicrophone:
        raise SoundError("no microphone can be opened (a test)")

    with at_keys(trainer, 60, 20) as user:
        at_the_row(user)
        user.press("enter")
        trainer.studio.context = replace(trainer.studio.context, microphone=None)
        user.press("m", sees="there is no microphone to open here")
        trainer.studio.context = replace(trainer.studio.context, microphone=none)
        user.press("m", sees="no microphone can be opened (a test)")


class NobodyKnows:
    """No sound server to ask."""

    def held(self) -> float | None:
        return None
