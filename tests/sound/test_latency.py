"""How late the output is: what servers and cards tell, and what taps do."""

from __future__ import annotations

import random
from collections.abc import Sequence
from pathlib import Path
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.sound.latency import (
    COUNTED,
    WARM_UP,
    Calibrations,
    LatencySource,
    card_latency,
    microphone_latency,
    server_latency,
    server_sink,
    tapped,
)

INPUTS = """\
Sink Input #4
\tDriver: protocol-native.c
\tSink: 0
\tBuffer Latency: 70000 usec
\tSink Latency: 900 usec
\tProperties:
\t\tapplication.name = "other"
\t\tapplication.process.id = "41"
Sink Input #7
\tDriver: protocol-native.c
\tBuffer Latency: 9977 usec
\tSink Latency: 4023 usec
\tProperties:
\t\tapplication.name = "drill"
\t\tapplication.process.id = "417"
"""
"""As ``pactl list sink-inputs`` prints it (PulseAudio 16, from memory of a run)."""


def test_the_server_tells_what_it_holds_of_our_stream() -> None:
    assert server_latency(lambda command: INPUTS, 417) == pytest.approx(0.014)
    assert server_latency(lambda command: INPUTS, 41) == pytest.approx(0.0709)


def test_no_server_no_stream_no_figure() -> None:
    assert server_latency(lambda command: None, 417) is None
    assert server_latency(lambda command: INPUTS, 4) is None
    assert server_latency(lambda command: "", 417) is None
    assert server_sink(lambda command: None) == ""


def test_the_server_s_own_sink_is_named() -> None:
    asked: list[Sequence[str]] = []

    def ask(command: Sequence[str]) -> str:
        asked.append(command)
        return "Server Name: x\nDefault Sink: alsa_output.usb\nDefault Source: m\n"

    assert server_sink(ask) == "alsa_output.usb"
    assert asked == [("pactl", "info")]


def test_a_card_tells_the_delay_of_its_owner(tmp_path: Path) -> None:
    """The kernel's own files (Documentation/sound/designs/procfile.rst, from memory)."""
    for name, owner in (("card0/pcm0p/sub0", 12), ("card1/pcm3p/sub0", 99)):
        folder = tmp_path / name
        folder.mkdir(parents=True)
        (folder / "status").write_text(
            f"state: RUNNING\nowner_pid   : {owner}\ndelay       : 882\n"
        )
        (folder / "hw_params").write_text("access: RW\nrate: 44100 (44100/1)\n")
    (tmp_path / "card2/pcm0p/sub0").mkdir(parents=True)
    (tmp_path / "card2/pcm0p/sub0/status").write_text("closed\n")
    assert card_latency(99, tmp_path) == pytest.approx(0.02)
    assert card_latency(7, tmp_path) is None
    assert card_latency(7, tmp_path / "none") is None


CLICKS = [0.6 * n for n in range(48)]


@given(st.floats(-0.12, 0.25), st.integers(0, 10**6))
def test_taps_tell_how_late_the_click_is_heard(late: float, seed: int) -> None:
    """A player whose taps scatter by 15 ms about what he hears (the order found for musicians:
    Repp 2005, from memory); the first eight are far off."""
    rng = random.Random(seed)
    taps = [
        click + late + rng.gauss(0, 0.015) + (rng.uniform(0, 0.2) if n < WARM_UP else 0)
        for n, click in enumerate(CLICKS[: WARM_UP + COUNTED + 3])
    ]
    found = tapped(taps, CLICKS)
    assert found.steady
    assert found.count == COUNTED
    # Five standard errors of the median of twenty.
    assert found.late_s == pytest.approx(late, abs=0.022)


def test_a_tap_too_many_or_too_few_moves_nothing() -> None:
    taps = [click + 0.04 for click in CLICKS]
    del taps[20]
    taps.insert(30, CLICKS[30] + 0.29)
    found = tapped(taps, CLICKS)
    assert found.late_s == pytest.approx(0.04)
    assert found.spread_s < 0.001


def test_wild_taps_say_nothing() -> None:
    rng = random.Random(4)
    wild = [click + rng.uniform(-0.25, 0.25) for click in CLICKS]
    assert not tapped(wild, CLICKS).steady
    assert not tapped(CLICKS[: WARM_UP + 5], CLICKS).steady
    assert tapped([], CLICKS).count == 0


def test_the_median_is_of_the_taps_that_count() -> None:
    offs = [0.01 * (n % 7) for n in range(WARM_UP + COUNTED)]
    taps = [click + off for click, off in zip(CLICKS, offs, strict=False)]
    assert tapped(taps, CLICKS).late_s == pytest.approx(median(offs[WARM_UP:]))


def test_calibrations_are_kept_by_output(tmp_path: Path) -> None:
    kept = Calibrations(tmp_path / "data")
    assert kept.of("miniaudio PULSEAUDIO a") is None
    kept.keep("miniaudio PULSEAUDIO a", 0.0832)
    kept.keep("simpleaudio ALSA default b", 0.02)
    again = Calibrations(tmp_path / "data")
    assert again.of("miniaudio PULSEAUDIO a") == (0.0832, LatencySource.CALIBRATED)
    assert again.of("simpleaudio ALSA default b") == (0.02, LatencySource.CALIBRATED)
    assert again.of("another") is None


def test_a_later_calibration_takes_the_place_of_one_found_another_way(tmp_path: Path) -> None:
    kept = Calibrations(tmp_path)
    kept.keep("a", 0.06, LatencySource.HEARD)
    assert kept.of("a") == (0.06, LatencySource.HEARD)
    kept.keep("a", 0.05)
    assert kept.of("a") == (0.05, LatencySource.CALIBRATED)
    kept.keep("a", 0.07, LatencySource.HEARD)
    assert kept.of("a") == (0.07, LatencySource.HEARD)


def test_the_server_tells_what_it_holds_of_our_microphone() -> None:
    told = (
        "Source Output #3\n\tBuffer Latency: 453 usec\n\tSource Latency: 12000 usec\n"
        '\t\tapplication.process.id = "41"\n'
    )
    asked: list[tuple[str, ...]] = []

    def ask(command: Sequence[str]) -> str:
        asked.append(tuple(command))
        return told

    assert microphone_latency(ask, 41) == pytest.approx(0.012453)
    assert microphone_latency(ask, 4) is None
    assert asked[0] == ("pactl", "list", "source-outputs")


DAMAGED = (
    "", "[]", "{", '{"a": "x"}', '{"a": 99}', '{"a": -9}', '{"a": true}', "null", '{"a": NaN}',
    '{"a": 1' + 400 * "0" + "}", 60_000 * "[",
)  # fmt: skip


@pytest.mark.parametrize("text", DAMAGED, ids=range(len(DAMAGED)))
def test_a_damaged_file_holds_no_calibration(tmp_path: Path, text: str) -> None:
    (tmp_path / "latency.json").write_text(text)
    kept = Calibrations(tmp_path)
    assert kept.of("a") is None
    kept.keep("a", 0.05)
    assert kept.of("a") == (0.05, LatencySource.CALIBRATED)
