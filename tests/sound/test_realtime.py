"""Time on a device that runs in real time: a PulseAudio null sink."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from time import sleep

import numpy as np
import pytest
from alsa_file import need, until
from pulse_sink import RATE, Recorder, evenly, need_pulse, null_sink, onsets

from drill.clock import monotonic
from drill.sound.latency import Calibrations, LatencySource
from drill.sound.metronome import click_take
from drill.sound.player import RETRY_S, Player
from drill.sound.spectra import Colour
from drill.sound.take import Event, Take
from drill.theory.metre import Metronome

pytestmark = [pytest.mark.slow, pytest.mark.quiet]

CLICKS = 40
"""Twenty seconds; a whole minute is heard in test_hear_realtime."""


@pytest.mark.parametrize("backend", ["miniaudio", "simpleaudio"])
def test_clicks_are_even_and_do_not_drift(tmp_path: Path, backend: str) -> None:
    """120 beats a minute: spread of the intervals under 2 ms, drift under 0.1 %."""
    need_pulse()
    need(backend)
    take = click_take(Metronome(accent=False), 120, CLICKS // 4, count_in_bars=0, volume=1.0)

    def spread() -> float:
        with null_sink(tmp_path) as settings:
            player = Player(environment={**settings, "DRILL_SOUND": backend})
            recorder = Recorder(settings)
            assert player.play(take, stale_s=0)
            assert until(lambda: player.playing() is not None), player.poll()
            assert until(lambda: player.idle, 90)
            playing = player.beginning
            samples = recorder.stop()
            player.close()
        found = onsets(samples)
        assert len(found) == CLICKS
        intervals = np.diff(found) / RATE
        drift = np.polyfit(np.arange(CLICKS), found / RATE, 1)[0] / 0.5 - 1
        assert abs(drift) < 0.001
        # The beat that the drill shows is the one that is heard.
        assert playing is not None
        off = playing.at - recorder.heard_at(int(found[0]))
        assert abs(off) < 0.1
        mean, spread = (1000 * float(value) for value in (intervals.mean(), intervals.std()))
        print(f"{backend}: mean {mean:.3f} ms, spread {spread:.3f} ms, drift {drift * 100:.4f} %, ")
        print(f"  the audio clock is off by {off * 1000:.1f} ms")
        return spread / 1000

    assert evenly(spread, 0.002) < 0.002


@pytest.mark.parametrize("backend", ["miniaudio", "simpleaudio"])
def test_a_sound_that_is_cut_off_fades(tmp_path: Path, backend: str) -> None:
    """Stopped, or replaced by another: no step in the samples that a note has not itself."""
    need_pulse()
    need(backend)
    tone = Take((Event(48, 0.0, 5.0),), 5.1, colour=Colour.FLUTE, volume=1.0)
    with null_sink(tmp_path) as settings:
        player = Player(environment={**settings, "DRILL_SOUND": backend})
        player.warm()
        recorder = Recorder(settings)
        for _ in range(4):
            assert player.play(tone, stale_s=0)
            assert until(lambda: player.playing() is not None), player.poll()
            sleep(0.63)
            player.stop()
            sleep(0.7)
        samples = recorder.stop().astype(np.int64)
        player.close()
    begun = onsets(samples, 0.3)
    assert len(begun) == 4
    loud = np.flatnonzero(np.abs(samples) > 300)
    ends = [loud[loud < at][-1] for at in [*begun[1:], len(samples)]]
    for at, end in zip(begun, ends, strict=True):
        steps = np.abs(np.diff(samples[at : end + 2000]))
        usual = steps[4000:12000].max()
        assert steps.max() < 1.5 * usual
        assert 0.5 < (end - at) / RATE < 1.1


def test_a_device_lost_in_the_middle_leaves_the_drill_running(tmp_path: Path) -> None:
    """The server dies while a take sounds; it is told, and comes back with the device."""
    need_pulse()
    need("miniaudio")
    take = click_take(Metronome(), 120, 10, count_in_bars=0)
    with null_sink(tmp_path) as settings:
        player = Player(environment={**settings, "DRILL_SOUND": "miniaudio"})
        assert player.play(take, stale_s=0)
        assert until(lambda: player.playing() is not None), player.poll()
        begun = monotonic()
    # The sink and its server are gone: told within two seconds, in plain words.
    notice = None
    while notice is None and monotonic() < begun + 30:
        notice = player.poll()
        sleep(0.02)
    assert notice == "The sound output is gone. Sound comes back when it does."
    assert player.cut_off(take)
    assert player.playing() is None
    player.play(take, stale_s=0)
    assert until(lambda: player.failed, 30)
    said = player.poll()
    assert said == "No sound: no output device can be opened. The drill goes on without it."
    assert not player.play(take), "tried again only after a while"
    with null_sink(tmp_path):  # it is back: a later take tries again by itself
        sleep(RETRY_S + 0.5)
        assert player.play(take, stale_s=0)
        assert until(lambda: player.playing() is not None), player.poll()
        player.close()


@pytest.mark.parametrize("backend", ["miniaudio", "simpleaudio"])
def test_a_microphone_tells_how_late_the_output_is(tmp_path: Path, backend: str) -> None:
    """The sink's monitor is the microphone; the truth is another recording of it."""
    with null_sink(tmp_path) as settings:
        env = {**os.environ, **settings, "DRILL_HOME": str(tmp_path / "home")}
        env |= {"DRILL_SOUND": backend, "PULSE_SOURCE": "test.monitor"}
        told = subprocess.run(
            [sys.executable, "-m", "drill", "sound", "--calibrate", "microphone", "--json"],
            env=env, capture_output=True, text=True, timeout=90, check=False,
        )  # fmt: skip
        assert told.returncode == 0, told.stderr
        kept = json.loads(told.stdout)
        assert kept["kept"] is True
        again = Player(
            environment={**settings, "DRILL_SOUND": backend},
            calibrations=Calibrations(tmp_path / "home"),
        )
        take = click_take(Metronome(accent=False), 120, 2, count_in_bars=0, volume=1.0)

        def off_by() -> float:
            recorder = Recorder(settings)
            assert again.play(take, stale_s=0)
            assert until(lambda: again.playing() is not None)
            assert until(lambda: again.idle, 30)
            found = recorder.stop()
            beginning = again.beginning
            assert beginning is not None
            assert beginning.source is LatencySource.HEARD
            first = recorder.heard_at(int(onsets(found)[0]))
            return abs(first - beginning.at - take.clicks[0].onset_s)

        try:
            assert evenly(off_by, 0.02) < 0.02
        finally:
            again.close()
