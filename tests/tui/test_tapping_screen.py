"""How late the output sounds: told in Settings, and found there by tapping."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

import pytest
from made_room import RoomMicrophone
from real_house import RealHouse
from tui_desk import Notifier, golden, play, screen_text, until

from drill.practice.time.tapping import TAPS
from drill.sound.latency import COUNTED, LatencySource
from drill.sound.output import SoundError
from drill.sound.sounding import OutputState, Playing
from drill.sound.take import Take
from drill.theory.engine import Engine
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
def trainer(
    home: Path, spelling_engine: Engine, output: Late, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Trainer]:
    """Keys are read at the instant that the test set, however busy the machine is."""
    monkeypatch.setattr(StrokePage, "read_at", lambda self, event: output.now)
    house = RealHouse(home, spelling_engine, player=output)
    home.mkdir(parents=True)
    made = house.trainer(monotonic=lambda: output.now)
    yield made
    made.studio.close()


async def at_the_row(pilot: Any, trainer: Trainer) -> None:
    await until(pilot, trainer, "Today", "due")
    await pilot.press("s")
    await until(pilot, trainer, "Settings", "Note names")
    for _ in range(40):
        if "▸ How late it sounds" in screen_text(trainer):
            return
        await pilot.press("down")
        await pilot.pause(0.01)
    raise AssertionError(screen_text(trainer))


async def tap(pilot: Any, output: Late, count: int, late: Any) -> None:
    began = output._began
    assert began is not None
    for n, click in zip(range(count), began.take.clicks, strict=False):
        output.now = began.at + click.onset_s + late(n)
        await pilot.press("space" if n % 2 else "t")


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20)])
def test_settings_tell_it_and_taps_find_it(
    trainer: Trainer, output: Late, width: int, height: int
) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(width, height)) as pilot:
            await at_the_row(pilot, trainer)
            await until(pilot, trainer, "40 ms assumed, within 100")
            await pilot.press("enter")
            shown = await until(pilot, trainer, "How late does it sound?", "start the click")
            golden(f"tapping-{width}x{height}", shown)
            await pilot.press("enter")
            await until(pilot, trainer, "break off")
            await tap(pilot, output, TAPS, lambda n: 0.06)
            await until(pilot, trainer, "calibrated: this output sounds 100 ms")
            assert output.known.latency_s == pytest.approx(0.1, abs=0.001)
            await pilot.press("escape")
            await until(pilot, trainer, "Settings", "100 ms calibrated, within 5")

    play(scenario())


def test_too_few_or_uneven_taps_keep_nothing(trainer: Trainer, output: Late) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await at_the_row(pilot, trainer)
            await pilot.press("enter")
            await until(pilot, trainer, "start the click")
            await pilot.press("enter")
            await tap(pilot, output, TAPS, lambda n: 0.15 * (n % 3))
            shown = await until(pilot, trainer, "start the click")
            assert "calibrated:" not in shown
            await pilot.press("enter")
            await tap(pilot, output, COUNTED, lambda n: 0.06)
            await pilot.press("escape")
            await until(pilot, trainer, "broken off: nothing was kept")
            assert output.playing() is None
            await pilot.press("z", "enter")
            await until(pilot, trainer, "the sound is off")
            await pilot.press("escape")
            await until(pilot, trainer, "Settings")
            assert output.known.source is LatencySource.ASSUMED

    play(scenario())


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


async def listened(pilot: Any, trainer: Trainer, output: Late, *wanted: str) -> str:
    """What the screen shows once the clicks are over, the clock running meanwhile."""
    for _ in range(400):
        shown = screen_text(trainer)
        if all(each in " ".join(shown.split()) for each in wanted):
            return shown
        output.now += 0.1
        await pilot.pause(0.04)
    raise AssertionError(screen_text(trainer))


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

    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await at_the_row(pilot, trainer)
            await pilot.press("enter")
            await until(pilot, trainer, "How late does it sound?", "m microphone")
            await pilot.press("m")
            await until(pilot, trainer, "the microphone is open", "break off")
            told = "calibrated: the microphone heard" if kept else "heard no click"
            await listened(pilot, trainer, output, told)
            assert opened[0].closed
            assert (output.known.source is LatencySource.HEARD) is kept
            if kept:
                assert output.known.latency_s == pytest.approx(0.11, abs=0.002)
                assert "110 ms heard, within 20" in screen_text(trainer)
            await pilot.press("m")
            await until(pilot, trainer, "the microphone is open")
            await pilot.press("escape")
            await until(pilot, trainer, "broken off: nothing was kept")

    play(scenario())


def test_without_a_microphone_it_says_so(trainer: Trainer) -> None:
    def none() -> RoomMicrophone:
        raise SoundError("no microphone can be opened (a test)")

    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await at_the_row(pilot, trainer)
            await pilot.press("enter")
            trainer.studio.context = replace(trainer.studio.context, microphone=None)
            await pilot.press("m")
            await until(pilot, trainer, "there is no microphone to open here")
            trainer.studio.context = replace(trainer.studio.context, microphone=none)
            await pilot.press("m")
            await until(pilot, trainer, "no microphone can be opened (a test)")

    play(scenario())


class NobodyKnows:
    """No sound server to ask."""

    def held(self) -> float | None:
        return None
