"""A real-time output: a PulseAudio null sink of our own, recorded through its monitor.

The server runs under a private HOME and socket, and is ended by its process id.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
from alsa_file import until
from numpy.typing import NDArray

from drill.clock import monotonic

RATE = 44100


def need_pulse() -> None:
    for program in ("pulseaudio", "parec", "pactl"):
        if shutil.which(program) is None:
            pytest.skip(f"{program} is not installed (pulseaudio, pulseaudio-utils)")


def environment(home: Path, **more: str) -> dict[str, str]:
    """An environment in which the only output is the null sink under ``home``."""
    return {
        "PATH": os.environ["PATH"],
        "HOME": str(home),
        "XDG_RUNTIME_DIR": str(home / "run"),
        "PULSE_RUNTIME_PATH": str(home / "run"),
        "PULSE_SERVER": f"unix:{home}/socket",
        **more,
    }


@contextmanager
def null_sink(home: Path) -> Iterator[dict[str, str]]:
    """A running server whose default sink sounds nowhere; the environment to reach it."""
    (home / "run").mkdir(mode=0o700, exist_ok=True)
    (home / ".asoundrc").write_text("pcm.!default { type pulse }\nctl.!default { type pulse }\n")
    settings = environment(home)
    server = subprocess.Popen(
        ["pulseaudio", "--daemonize=no", "--exit-idle-time=-1", "-n", "-F", os.devnull,
         "-L", f"module-native-protocol-unix auth-anonymous=1 socket={home}/socket",
         "-L", f"module-null-sink sink_name=test rate={RATE}"],
        env={name: value for name, value in settings.items() if name != "PULSE_SERVER"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )  # fmt: skip

    def answers() -> bool:
        asked = subprocess.run(["pactl", "info"], env=settings, capture_output=True, check=False)
        return asked.returncode == 0

    try:
        if not until(answers, 10.0):
            pytest.skip("a PulseAudio server of our own does not start here")
        yield settings
    finally:
        server.terminate()
        server.wait(10)


TRIES = 3
"""A busy machine holds up the sink and the recorder, so a take that is uneven is played again.
Chance never makes an uneven program even."""


def evenly(measure: Callable[[], float], limit_s: float) -> float:
    """The first spread below the limit of up to ``TRIES`` takes, else the last."""
    spread = measure()
    for _ in range(TRIES - 1):
        if spread < limit_s:
            break
        print(f"  uneven by {1000 * spread:.3f} ms: played again")
        spread = measure()
    return spread


class Recorder:
    """Records the monitor of the sink, and when each part arrived."""

    def __init__(self, settings: dict[str, str]) -> None:
        self._parec = subprocess.Popen(
            ["parec", "-d", "test.monitor", "--format=s16le", f"--rate={RATE}", "--channels=1",
             "--latency-msec=10", "--raw"],
            env=settings,
            stdout=subprocess.PIPE,
            bufsize=0,
        )  # fmt: skip
        self._parts: list[bytes] = []
        self._arrived: list[tuple[int, float]] = []
        self._frames = 0
        self._thread = threading.Thread(target=self._read, daemon=True)
        self._thread.start()
        assert until(lambda: self._frames > RATE // 5), "the monitor gives nothing"

    def _read(self) -> None:
        assert self._parec.stdout is not None
        while part := self._parec.stdout.read(4096):
            self._parts.append(part)
            self._frames += len(part) // 2
            self._arrived.append((self._frames, monotonic()))

    def stop(self) -> NDArray[np.int16]:
        """End the recording; its samples."""
        self._parec.terminate()
        self._parec.wait(5)
        self._thread.join(5)
        data = b"".join(self._parts)
        return np.frombuffer(data[: len(data) // 2 * 2], dtype="<i2")

    def arrived_at(self, frame: int) -> float:
        """The instant at which a frame came out of the monitor: no earlier than it was heard."""
        return next(at for frames, at in self._arrived if frames > frame)

    def heard_at(self, frame: int) -> float:
        """The instant at which the sink played a frame, as far as the arrivals tell."""
        return min(at - (frames - frame) / RATE for frames, at in self._arrived)


def onsets(samples: NDArray[np.integer], apart_s: float = 0.1) -> NDArray[np.int64]:
    """The frames at which sound begins after silence."""
    loud = np.flatnonzero(np.abs(samples.astype(int)) > 300)
    first = np.concatenate(([True], np.diff(loud) > apart_s * RATE))
    return loud[first]
