"""A real output device that writes what is played: ALSA's ``file`` plugin.

It runs under a private HOME, so that no setting of the machine is touched.  Its null
slave does not pace: it tells pitch and order, not time.
"""

from __future__ import annotations

import ctypes.util
import os
import sys
from collections.abc import Callable
from pathlib import Path
from time import sleep

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.io import wavfile

from drill.clock import monotonic


def need_alsa() -> None:
    if not sys.platform.startswith("linux"):
        pytest.skip("ALSA is on Linux only")
    if ctypes.util.find_library("asound") is None:
        pytest.skip("the ALSA library (libasound2) is not installed")


def need(module: str) -> None:
    pytest.importorskip(module, reason=f"{module} is not installed")


def environment(home: Path, **more: str) -> dict[str, str]:
    """An environment in which the only sound device is that of ``home``."""
    kept = {name: os.environ[name] for name in ("PATH", "PYTHONPATH", "LANG") if name in os.environ}
    return {**kept, "HOME": str(home), "PULSE_SERVER": f"unix:{home}/no-pulse", **more}


def file_device(home: Path) -> Path:
    """Make the default device write to a file; its path."""
    out = home / "played.wav"
    (home / ".asoundrc").write_text(
        f'pcm.!default {{ type file; file "{out}"; format "wav"; slave.pcm "null" }}\n',
        encoding="utf-8",
    )
    return out


def no_device(home: Path) -> None:
    """Make the default device one that cannot be opened."""
    (home / ".asoundrc").write_text(
        "pcm.!default { type hw; card 31 }\nctl.!default { type hw; card 31 }\n", encoding="utf-8"
    )


def recorded(path: Path) -> tuple[int, NDArray[np.int16]]:
    """Rate and samples of one channel, without the silence at both ends."""
    rate, samples = wavfile.read(path)
    samples = samples if samples.ndim == 1 else samples[:, 0]
    sounding = np.flatnonzero(samples)
    assert len(sounding), "nothing but silence was played"
    return rate, samples[sounding[0] : sounding[-1] + 1]


def until(holds: Callable[[], object], seconds: float = 30.0) -> bool:
    """Wait for something to hold; False when it does not in a generous time."""
    end = monotonic() + seconds
    while monotonic() < end:
        if holds():
            return True
        sleep(0.01)
    return bool(holds())
