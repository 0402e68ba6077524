"""What ``drill sound`` says: a real helper with the silent output, and one without a device."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from time import sleep

import pytest
from alsa_file import environment, file_device, need, need_alsa, no_device, recorded
from sound_probe import cents, pitch

from drill.clock import monotonic
from drill.sound.latency import LatencySource
from drill.sound.player import Player
from drill.sound.report import SoundTest, sound_report


def test_a_report_on_a_real_device(tmp_path: Path) -> None:
    need_alsa()
    need("simpleaudio")
    played = file_device(tmp_path)
    player = Player(environment=environment(tmp_path, DRILL_SOUND="simpleaudio"))
    report = sound_report(player, monotonic, sleep, volume=0.5, a4=442.0)
    player.close(5.0)
    assert report.sounded
    assert (report.backend, report.device) == ("simpleaudio", "ALSA default")
    assert 0.01 < report.peak < 0.5
    assert report.lines()[0] == "Sound: simpleaudio on ALSA default"
    rate, samples = recorded(played)
    assert abs(cents(pitch(samples, rate), 442.0)) < 2
    assert abs(samples).max() / 32767 == pytest.approx(report.peak, abs=0.001)


def test_a_report_without_a_device(tmp_path: Path) -> None:
    need_alsa()
    no_device(tmp_path)
    player = Player(environment=environment(tmp_path))
    report = sound_report(player, monotonic, sleep, volume=0.5)
    player.close()
    assert not report.sounded
    assert report.lines() == (report.why,)
    assert report.why.startswith("No sound: ")


def test_a_report_with_sound_turned_off(tmp_path: Path) -> None:
    player = Player(environment=environment(tmp_path, DRILL_SOUND="silent"))
    report = sound_report(player, monotonic, sleep, volume=0.5)
    player.close()
    assert report.lines() == ("Sound is off (silent output).",)


def test_the_lines_of_a_report() -> None:
    report = SoundTest(True, "miniaudio", "ALSA", 0.04, 0.065, 0.1)
    assert report.peak_db == pytest.approx(-20)
    assert report.lines() == (
        "Sound: miniaudio on ALSA",
        (
            "Latency: 65 ms from asking to sounding; the device's 40 of it are assumed, nobody "
            "told: drill sound --calibrate"
        ),
        "Level: peak -20 dB of full scale; never above -6.0 dB",
    )
    measured = replace(report, source=LatencySource.MEASURED).lines()[1]
    assert measured.endswith("the device's 40 of it as the sound server tells")
    tapped = replace(report, source=LatencySource.CALIBRATED).lines()[1]
    assert tapped.endswith("as tapped on this output")
    assert SoundTest(False, "", "", 0.0, 0.0, 0.0).peak_db == -math.inf
