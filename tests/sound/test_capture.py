"""Recordings read from files; WAV files are written by scipy, which is not ours."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import miniaudio
import numpy as np
import pytest
from kept_takes import read_recording
from scipy.io import wavfile

from drill.errors import DataError, UsageError
from drill.sound.capture import LONGEST_S, RATE, Microphone, decoded
from drill.sound.output import SoundError


def tone(rate: int, seconds: float = 0.5) -> np.ndarray:
    return (np.sin(2 * np.pi * 440 * np.arange(int(rate * seconds)) / rate) * 0.5).astype("f4")


@pytest.mark.parametrize("rate", [8000, 22050, 44100, 48000])
@pytest.mark.parametrize("channels", [1, 2])
def test_a_wav_is_read_at_our_rate_as_one_channel(tmp_path: Path, rate: int, channels: int) -> None:
    file = tmp_path / "a.wav"
    samples = (np.stack([tone(rate)] * channels, 1) * 32767).astype("<i2")
    wavfile.write(file, rate, samples)
    found = read_recording(file)
    assert len(found) == pytest.approx(0.5 * RATE, abs=RATE * 0.01)
    spectrum = np.abs(np.fft.rfft(found * np.hanning(len(found))))
    assert spectrum.argmax() * RATE / len(found) == pytest.approx(440, abs=3)
    assert np.abs(found).max() == pytest.approx(0.5, abs=0.03)


def test_what_is_no_recording_is_one_clear_line(tmp_path: Path) -> None:
    film = tmp_path / "film.mp4"
    film.write_bytes(b"\x00\x00\x00\x20ftypisom" + os.urandom(5000))
    avi = tmp_path / "film.avi"
    avi.write_bytes(b"RIFF\x00\x00\x00\x00AVI LIST" + os.urandom(5000))
    broken = tmp_path / "broken.wav"
    broken.write_bytes(b"RIFF\x00\x00\x00\x00WAVE" + os.urandom(50))
    empty = tmp_path / "empty.wav"
    empty.touch()
    for path in (film, avi, broken, empty):
        with pytest.raises(DataError) as said:
            read_recording(path)
        assert path.name in str(said.value)
        assert "\n" not in str(said.value)
    for path in (tmp_path, tmp_path / "missing.wav"):
        with pytest.raises(UsageError):
            read_recording(path)


def test_four_gigabytes_are_refused_unread(tmp_path: Path) -> None:
    large = tmp_path / "large.wav"
    with large.open("wb") as out:
        out.write(b"RIFF")
        out.truncate(4 << 30)
    with pytest.raises(DataError, match="4295 MB"):
        read_recording(large)


def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    if not hasattr(os, "mkfifo"):
        pytest.skip("no pipes in folders here")
    os.mkfifo(pipe)
    with pytest.raises(UsageError, match="not a file"):
        read_recording(pipe)


def test_what_lasts_too_long_is_refused_by_its_head(tmp_path: Path) -> None:
    file = tmp_path / "long.wav"
    wavfile.write(file, 1000, np.zeros(int((LONGEST_S + 60) * 1000), np.uint8))
    with pytest.raises(DataError, match="lasts 11 minutes"):
        read_recording(file)


def test_mpeg_frames_are_a_sound_file_with_a_tag_and_without(tmp_path: Path) -> None:
    """ISO 11172-3: a header (layer III, 128 kbit/s, 44.1 kHz) begins each frame of 417 bytes."""
    file = tmp_path / "a.mp3"
    frames = (b"\xff\xfb\x90\x00" + bytes(413)) * 40
    for head in (b"", b"ID3\x03\x00\x00\x00\x00\x00\x00"):  # an empty tag (ID3v2.3)
        file.write_bytes(head + frames)
        assert np.abs(read_recording(file)).max() == 0.0
    found = read_recording(file)
    assert len(found) == pytest.approx(40 * 1152 / 44100 * RATE, rel=0.1)
    assert np.abs(found).max() == 0.0


def test_an_mp3_is_decoded_no_further_than_it_may_last(monkeypatch: pytest.MonkeyPatch) -> None:
    """ISO 13818-3: layer III, 8 kbit/s, 16 kHz, one channel has frames of 36 bytes and 36 ms."""
    blocks = []
    whole = miniaudio.stream_memory

    def counted(*asked: object) -> Iterator[object]:
        for block in whole(*asked):
            blocks.append(len(block))
            yield block

    monkeypatch.setattr(miniaudio, "stream_memory", counted)
    monkeypatch.setattr(miniaudio, "decode", None)
    frame = b"\xff\xf3\x18\xc0" + bytes(32)
    hours = frame * round(2 * 3600 / 0.036)
    with pytest.raises(DataError, match="lasts more than 10 minutes; a recording may last 10"):
        decoded(hours, "hours.mp3")
    assert sum(blocks) <= (LONGEST_S + 2) * RATE
    assert len(decoded(frame * 1000, "short.mp3")) == pytest.approx(36 * RATE, rel=0.01)


def test_a_microphone_that_does_not_start_is_let_go(monkeypatch: pytest.MonkeyPatch) -> None:
    closed = []

    class Refuses:
        def __init__(self, **_: object) -> None:
            pass

        def start(self, _: object) -> None:
            raise OSError("the device is busy")

        def close(self) -> None:
            closed.append(True)

    monkeypatch.setattr("miniaudio.CaptureDevice", Refuses)
    with pytest.raises(SoundError, match="the device is busy"):
        Microphone(lambda: 0.0)
    assert closed == [True]
