"""A sound ended twice, how long a recording may last, and the soft edges of notes."""

from __future__ import annotations

import sys
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from drill.errors import DataError
from drill.sound import capture, tone
from drill.sound.capture import FIRST_S, LOST_S
from drill.sound.device import FADE_S, SIMPLEAUDIO_AHEAD_S, MiniaudioOutput, SimpleaudioOutput
from drill.sound.output import SoundError
from drill.sound.render import click_sound
from drill.sound.roundtrip import CLICKS, clicks_take
from drill.sound.spectra import Colour, harmonics
from drill.sound.take import Click
from drill.sound.tone import RATE


class Sounding:
    """What simpleaudio gives for a sound that it plays."""

    def __init__(self) -> None:
        self.stops = 0

    def is_playing(self) -> bool:
        return not self.stops

    def stop(self) -> None:
        self.stops += 1


class Clock:
    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def played(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Any, Sounding]]:
    """What was played by a simpleaudio of the test's own: the samples and the sound."""
    found: list[tuple[Any, Sounding]] = []

    def play_buffer(samples: Any, channels: int, width: int, rate: int) -> Sounding:
        assert (channels, width, rate) == (1, 2, RATE)
        found.append((samples, Sounding()))
        return found[-1][1]

    library = ModuleType("simpleaudio")
    library.play_buffer = play_buffer  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "simpleaudio", library)
    return found


def test_a_sound_is_stopped_when_its_fade_was_heard(played: list[tuple[Any, Sounding]]) -> None:
    clock = Clock()
    output = SimpleaudioOutput(clock)
    output.stop()  # nothing sounds yet
    assert output.start(np.full(2 * RATE, 1000, "<i2").tobytes()) == 100.0
    ((samples, sound),) = played
    clock.now = 100.5
    output.stop()
    output.stop()  # once more is nothing
    left = np.frombuffer(samples, "<i2")
    at, end = round(0.65 * RATE), round(0.665 * RATE)
    assert set(left[:at]) == {1000}
    assert 0 < left[(at + end) // 2] < 1000
    assert not left[end + 1 :].any()
    clock.now = 100.5 + 2 * SIMPLEAUDIO_AHEAD_S + FADE_S - 0.001
    assert not output.rest()
    assert sound.stops == 0
    clock.now += 0.002
    assert output.rest()
    assert sound.stops == 1
    assert not output.playing()


def test_how_long_a_recording_may_last_is_told_in_minutes() -> None:
    with pytest.raises(DataError, match="^x lasts 11 minutes; a recording may last 10$"):
        raise capture._too_long("x", 660.0)


def test_an_edge_rises_by_a_cosine_and_a_cross_fade_by_a_quarter_sine() -> None:
    """So that the energies of two notes that meet add up to that of one."""
    for length in (1, 2, 9, 100):
        plain, crossed = tone._rise(length, False), tone._rise(length, True)
        assert plain + plain[::-1] == pytest.approx(1.0, abs=1e-6)
        assert crossed**2 + crossed[::-1] ** 2 == pytest.approx(1.0, abs=1e-6)
        assert (np.diff(plain) > 0).all()
        assert (np.diff(crossed) > 0).all()


class Device:
    """A miniaudio device of the test's own: it asks for samples when it is told to."""

    backend = "test"

    def __init__(self, **_: Any) -> None:
        self.running = False
        self._feed: Any = None

    def start(self, feed: Any) -> None:
        self.running, self._feed = True, feed

    def stop(self) -> None:
        self.running = False

    def close(self) -> None:
        self.running = False

    def pull(self, frames: int) -> np.ndarray:
        return np.frombuffer(bytes(self._feed.send(frames)), "<i2")


@pytest.fixture
def fed(monkeypatch: pytest.MonkeyPatch) -> tuple[MiniaudioOutput, Device, Clock]:
    import miniaudio

    monkeypatch.setattr(miniaudio, "PlaybackDevice", Device)
    clock = Clock()
    output = MiniaudioOutput(clock, 20)
    return output, output._device, clock


def test_a_device_plays_on_until_what_it_holds_was_heard(
    fed: tuple[MiniaudioOutput, Device, Clock],
) -> None:
    output, device, clock = fed
    assert not output.playing()  # nothing was ever asked for
    assert output.start(np.full(100, 7, "<i2").tobytes()) == clock.now + 0.02
    assert output.playing()
    assert list(device.pull(60)) == [7] * 60
    assert list(device.pull(60)) == [7] * 40 + [0] * 20
    assert output.playing()
    device.pull(round(0.03 * RATE))
    assert output.playing()  # three periods of 20 ms are on their way
    device.pull(round(0.04 * RATE))
    assert not output.playing()


def test_a_new_take_fades_the_old_one_out(fed: tuple[MiniaudioOutput, Device, Clock]) -> None:
    output, device, _ = fed
    output.start(np.full(RATE, 1000, "<i2").tobytes())
    assert set(device.pull(100)) == {1000}
    output.start(np.full(RATE, 0, "<i2").tobytes())
    cut = device.pull(round(FADE_S * RATE))
    assert cut[0] > 900
    assert (np.diff(cut.astype(int)) <= 0).all()
    assert cut[-1] < 100


def test_a_note_has_ninety_six_harmonics_at_most_and_none_above_hearing() -> None:
    assert len(harmonics(next(iter(Colour)), 21, 90)) == 96  # 27.5 Hz
    assert len(harmonics(next(iter(Colour)), 69, 90)) == 36  # 16,000 / 440


def test_a_click_ends_in_silence() -> None:
    for click in Click:
        wave = click_sound(click)
        assert wave[-1] == 0.0
        assert np.abs(wave[-20:]).max() < 0.1 * np.abs(wave).max()


def test_the_clicks_that_a_microphone_hears_take_some_seven_seconds() -> None:
    clicks = [each.onset_s for each in clicks_take().clicks]
    gaps = np.diff(clicks)
    assert 6.5 < clicks[-1] < 7.0
    assert len(clicks) == CLICKS == 12
    assert len({round(float(gap), 3) for gap in gaps}) == len(gaps)
    assert 0.4 < min(gaps) < max(gaps) < 0.8


class Capture:
    """A miniaudio microphone of the test's own: it hears when it is told to."""

    def __init__(self, **_: Any) -> None:
        self.taking: Any = None

    def start(self, taking: Any) -> None:
        self.taking = taking

    def close(self) -> None: ...


@pytest.mark.parametrize(
    ("last", "now", "fault"),
    [
        (None, 100.0 + FIRST_S, ""),
        (None, 100.1 + FIRST_S, "gives no sound"),
        (101.0, 101.0 + LOST_S, ""),
        (101.0, 101.1 + LOST_S, "was lost"),
    ],
)
def test_a_microphone_is_lost_when_nothing_comes(
    monkeypatch: pytest.MonkeyPatch, last: float | None, now: float, fault: str
) -> None:
    import miniaudio

    monkeypatch.setattr(miniaudio, "CaptureDevice", Capture)
    clock = Clock()
    microphone = capture.Microphone(clock)
    if last is not None:
        clock.now = last
        for _ in range(2):
            microphone._device.taking.send(np.ones(4, np.float32).tobytes())
        clock.now = 200.0
        assert len(microphone.take()) == 8  # what waits is given, however late it is looked at
    clock.now = now
    if fault:
        with pytest.raises(SoundError, match=fault):
            microphone.take()
    else:
        assert len(microphone.take()) == 0
