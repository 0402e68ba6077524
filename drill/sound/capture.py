"""The way in: recordings read from files, and the microphone.

Beside ``device`` the other door to the audio library.  Samples come as one channel of floats at
``RATE``.  The microphone is open only between ``open`` and ``close``; nothing is kept by itself.
"""

from __future__ import annotations

import contextlib
import ctypes
import stat
import sys
import threading
from collections import deque
from collections.abc import Callable, Generator
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from drill.errors import DataError, UsageError
from drill.sound.output import HOSTS, SoundError

RATE = 22050
"""Samples a second that the ear is given."""
LONGEST_S = 600.0
"""A recording may last so long."""
LARGEST = 400_000_000
"""Bytes of a recording: ten minutes of two channels at 96 kHz and 24 bits are fewer."""
BLOCK_MS = 10
QUIETEST_DB = -120.0
"""The level of nothing."""
FIRST_S = 5.0
"""The first block may come so late: some systems take two seconds."""
LOST_S = 2.0
"""No block for so long: the microphone is lost."""
KINDS = "WAV, FLAC, MP3 or Ogg Vorbis"

Samples = npt.NDArray[np.float32]
Clock = Callable[[], float]


def regular(path: Path, largest: int = LARGEST) -> None:
    """Make sure that a path is a file that can be a recording.

    Raises UsageError for what is missing, a folder or a device, DataError for what is empty or
    too large.
    """
    try:
        found = path.stat()
    except OSError as fault:
        raise UsageError(f"{path} cannot be read: {fault.strerror or fault}") from None
    except ValueError:
        raise UsageError(f"{str(path)!r} is not a path") from None
    if stat.S_ISDIR(found.st_mode):
        raise UsageError(f"{path} is a folder; expected a recording: {KINDS}")
    if not stat.S_ISREG(found.st_mode):
        raise UsageError(f"{path} is not a file; expected a recording: {KINDS}")
    if not found.st_size:
        raise DataError(f"{path} is empty; expected a recording: {KINDS}")
    if found.st_size > largest:
        raise DataError(
            f"{path} has {found.st_size / 1e6:.0f} MB; a recording may have {largest / 1e6:.0f}"
        )


def level_of(samples: Samples) -> float:
    """Decibels below full scale (root of the mean square); ``QUIETEST_DB`` for nothing."""
    if not len(samples):
        return QUIETEST_DB
    return float(20 * np.log10(np.sqrt(np.mean(samples.astype(np.float64) ** 2)) + 1e-6))


def decoded(data: bytes, name: str) -> Samples:
    """The samples of a sound file's bytes.  Raises DataError."""
    import miniaudio

    if not _sound_file(data):
        raise DataError(f"{name} is not a sound file that can be read; expected {KINDS}")
    try:
        info = _info(miniaudio, data)
        if info is not None and info > LONGEST_S:
            raise _too_long(name, info)
        # Block by block: the head of an MP3 does not tell how long it is.
        found, count = list[bytes](), 0
        for block in miniaudio.stream_memory(data, miniaudio.SampleFormat.FLOAT32, 1, RATE, RATE):
            found.append(bytes(block))
            count += len(block)
            if count > LONGEST_S * RATE:
                raise _too_long(name)
    except miniaudio.MiniaudioError:
        raise DataError(f"{name} cannot be read as sound; expected {KINDS}") from None
    samples = np.frombuffer(b"".join(found), np.float32)
    if not len(samples):
        raise DataError(f"{name} holds no sound")
    return np.nan_to_num(samples, nan=0.0, posinf=1.0, neginf=-1.0)


def _too_long(name: str, seconds: float | None = None) -> DataError:
    """``seconds`` is how long it lasts; None where it was read no further than it may last."""
    longest = f"{LONGEST_S / 60:.0f}"
    lasts = f"more than {longest}" if seconds is None else f"{seconds / 60:.0f}"
    return DataError(f"{name} lasts {lasts} minutes; a recording may last {longest}")


def _sound_file(data: bytes) -> bool:
    """Whether the first bytes are those of a sound file: decoders guess at anything."""
    if data[:4] in (b"RIFF", b"RIFX", b"RF64"):
        return data[8:12] == b"WAVE"
    if data[:4] == b"OggS":
        return b"vorbis" in data[:200] or b"FLAC" in data[:200]
    tagged = data[:3] == b"ID3"
    frame = data[:1] == b"\xff" and len(data) > 1 and data[1] & 0xE6 in (0xE2, 0xE4, 0xE6)
    return data[:4] == b"fLaC" or tagged or frame


def _info(library: Any, data: bytes) -> float | None:
    """Seconds of a sound file as its head tells them; None where it does not."""
    readers = {b"RIFF": "wav_get_info", b"fLaC": "flac_get_info", b"OggS": "vorbis_get_info"}
    reader = readers.get(data[:4])
    if reader is None:
        return None
    return float(getattr(library, reader)(data).duration)


_QUIET: list[Any] = []
"""The handler that keeps ALSA quiet, held as long as the library may call it."""


def _hush() -> None:
    """Keep ALSA from writing its own faults on the terminal, over the screens."""
    if sys.platform != "linux" or _QUIET:
        return
    with contextlib.suppress(OSError, AttributeError):
        text, number = ctypes.c_char_p, ctypes.c_int
        kind = ctypes.CFUNCTYPE(None, text, number, text, number, text)
        _QUIET.append(kind(lambda *_: None))
        ctypes.CDLL("libasound.so.2").snd_lib_error_set_handler(_QUIET[0])


class Microphone:
    """The microphone, open from the start to ``close``.

    Raises SoundError where there is none.  Blocks wait in a queue until they are taken.
    """

    def __init__(self, clock: Clock) -> None:
        import miniaudio

        self._clock = clock
        self._blocks: deque[bytes] = deque()
        self._lock = threading.Lock()
        self._opened = clock()
        self._last: float | None = None
        self._frames = 0
        self._zero: float | None = None
        _hush()
        self._device: Any = None
        try:
            self._device = miniaudio.CaptureDevice(
                input_format=miniaudio.SampleFormat.FLOAT32,
                nchannels=1,
                sample_rate=RATE,
                buffersize_msec=BLOCK_MS,
                backends=[miniaudio.Backend[name] for name in HOSTS],
                app_name="drill",
            )
            taking = self._taking()
            next(taking)
            self._device.start(taking)
        except Exception as fault:
            if self._device is not None:
                self.close()
            said = " ".join(str(fault.args[0] if fault.args else fault).split())[:80]
            raise SoundError(f"no microphone can be opened ({said})") from None

    def _taking(self) -> Generator[None, bytes, None]:
        while True:
            block = yield
            data = bytes(block)
            with self._lock:
                self._blocks.append(data)
                self._last = self._clock()
                self._frames += len(data) // 4
                zero = self._last - self._frames / RATE
                self._zero = zero if self._zero is None else min(self._zero, zero)

    @property
    def zero_s(self) -> float | None:
        """The instant at which the first sample came, as the promptest of all blocks tell it: what
        the system holds between air and program is still in it.  None before any came."""
        return self._zero

    def take(self) -> Samples:
        """What has come in since the last call, perhaps nothing.

        Raises SoundError when the microphone is lost.
        """
        with self._lock:
            blocks = list(self._blocks)
            self._blocks.clear()
            last = self._last
        now = self._clock()
        if not blocks and last is None and now - self._opened > FIRST_S:
            raise SoundError("the microphone gives no sound")
        if not blocks and last is not None and now - last > LOST_S:
            raise SoundError("the microphone was lost")
        return np.frombuffer(b"".join(blocks), np.float32)

    def close(self) -> None:
        """Let the microphone go."""
        self._device.close()
