"""What is heard and played in time on a real-time output: a PulseAudio null sink."""

from __future__ import annotations

import json
import os
import pty
import queue
import select
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from alsa_file import need
from pulse_sink import RATE, Recorder, evenly, need_pulse, null_sink, onsets

from drill.clock import monotonic
from drill.terms import Direction, Key, Name
from drill.theory.patterns import find_pattern
from drill.theory.runs import build_run

pytestmark = [pytest.mark.slow, pytest.mark.quiet]

BEAT = 0.5
"""120 beats a minute."""


@pytest.mark.parametrize("backend", ["miniaudio", "simpleaudio"])
def test_the_clicks_of_drill_hear_are_even_for_a_minute(tmp_path: Path, backend: str) -> None:
    """Four runs in quarters, short notes on the clicks: a minute and more at 120.

    Spread of the intervals under 2 ms, drift under 0.1 %.
    """
    need_pulse()
    need(backend)

    def spread() -> float:
        with null_sink(tmp_path) as settings:
            recorder = Recorder(settings)
            played = subprocess.run(
                [sys.executable, "-m", "drill", "hear", "1-2-3-1", "--key", "C,F,G,Bb", "--up",
                 "--tempo", "120", "--notes", "1", "--articulation", "staccatissimo",
                 "--shape", "level", "--count-in", "--clicks", "all", "--volume", "1"],
                env={**settings, "DRILL_HOME": str(tmp_path / "home"), "DRILL_SOUND": backend},
                capture_output=True, text=True, timeout=150, check=False,
            )  # fmt: skip
            samples = recorder.stop()
        assert played.returncode == 0, played.stderr
        assert played.stderr == ""
        found = onsets(samples) / RATE
        beats = np.round((found - found[0]) / BEAT)
        assert len(set(beats.tolist())) == len(beats)
        assert 115 <= len(found) <= 132  # all but the beats inside the held tonics
        assert found[-1] - found[0] > 60
        slope, start = np.polyfit(beats, found, 1)
        off = found - (start + slope * beats)
        steps = np.diff(found)[np.diff(beats) == 1]
        print(f"{backend}: {len(found)} clicks, spread {1000 * steps.std():.3f} ms")
        print(f"  off {1000 * np.abs(off).max():.3f} ms, drift {100 * (slope / BEAT - 1):.4f} %")
        assert abs(slope / BEAT - 1) < 0.001
        return float(steps.std())

    assert evenly(spread, 0.002) < 0.002


TRIES = 2
"""How often a bout is played again whose sound fell behind, which a machine may do by itself."""


class Typist:
    """Drives line mode through a pseudo-terminal, as a hand would through a real one.

    It follows the audio clock as the program tells it: ``at`` is the latest measurement
    of the instant at which the take began to be heard.
    """

    def __init__(self, environment: dict[str, str], *words: str) -> None:
        self._keys, back = pty.openpty()
        self._program = subprocess.Popen(
            [sys.executable, "-m", "drill", "--plain", "--json", "--ask", "time", *words],
            env=environment, stdin=back, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        os.close(back)
        self._told: queue.SimpleQueue[dict[str, Any]] = queue.SimpleQueue()
        threading.Thread(target=self._read, daemon=True).start()
        self.at = 0.0
        self.late: list[float] = []
        """How late each note was typed: a busy machine makes a bad typist."""

    def _read(self) -> None:
        assert self._program.stdout is not None
        for line in self._program.stdout:
            found = json.loads(line)
            if found["kind"] in ("started", "clock"):
                self.at = found["at"]
            if found["kind"] != "clock":
                self._told.put(found)

    def told(self) -> dict[str, Any]:
        """The next object that is not about the clock alone."""
        return self._told.get(timeout=60)

    def type(self, text: str) -> None:
        os.write(self._keys, f"{text}\n".encode())
        while select.select([self._keys], [], [], 0)[0]:  # the terminal's own echo
            os.read(self._keys, 4096)

    def type_at(self, text: str, seconds: float) -> None:
        """Type so many seconds into the take."""
        while (wait := self.at + seconds - monotonic()) > 0:
            time.sleep(min(wait, 0.05))
        self.type(text)
        self.late.append(monotonic() - self.at - seconds)

    def leave(self) -> None:
        self.type("quit")
        self._program.wait(timeout=20)
        os.close(self._keys)


def names_of(bout: dict[str, Any]) -> list[str]:
    """The notes of the offered bout, spelled by the engine."""
    key = Key(Name(bout["tonic"][0], len(bout["tonic"][1:]) * (-1 if "b" in bout["tonic"] else 1)),
              bout["scale"])  # fmt: skip
    run = build_run(key, find_pattern(bout["cell"]), Direction(bout["direction"]))
    return [str(note.name) for cell in run.cells for note in cell.notes]


def test_a_typist_on_the_audio_clock_s_beats_is_locked_in(tmp_path: Path) -> None:
    """Through a terminal, at 120; a second bout is 0.2 s late, and told so: this output was never
    calibrated, so that its lead decides nothing."""
    need_pulse()
    need("miniaudio")
    with null_sink(tmp_path) as settings:
        environment = {
            **settings,
            "DRILL_HOME": str(tmp_path / "home"),
            "DRILL_SOUND": "miniaudio",
        }
        recorder = Recorder(settings)
        typist = Typist(environment, "--tempo", "120", "--seed", "3")
        bout = typist.told()
        judged, began = [], []
        for late in (-0.02, 0.2):
            ended: dict[str, Any] = {"kind": "stumbled", "by_s": 0}
            tries = 0
            while ended["kind"] == "stumbled" and tries < TRIES:
                # A null sink can be late by itself; the drill says so, and offers the bout again.
                print(f"the output was behind by {1000 * ended['by_s']:.1f} ms")
                tries += 1
                typist.type("")
                first_told = typist.told()["at"]
                for name, due in zip(names_of(bout), bout["due_s"], strict=True):
                    typist.type_at(name, due + late)
                ended = typist.told()
                began.append(typist.at)
                print(f"the audio clock moved by {1000 * (typist.at - first_told):.1f} ms")
            judged.append(ended)
            bout = typist.told()
        typist.leave()
        samples = recorder.stop()
    first, second = judged
    assert [first["kind"], second["kind"]] == ["timing", "timing"], judged
    print(f"the typist was late by {1000 * max(typist.late):.1f} ms at most")
    print({name: first[name] for name in ("outcome", "lead_ms", "spread_ms", "drift_ms_per_beat")})
    print({name: second[name] for name in ("outcome", "lead_ms", "spread_ms")})
    assert first["outcome"] == "locked-in", first
    assert first["lead_ms"] == pytest.approx(-20, abs=60)  # as the latency moves when it is told
    assert first["spread_ms"] < 10
    assert second["outcome"] == "locked-in", second
    assert second["lead_ms"] == pytest.approx(200, abs=60)
    assert second["accuracy"] == 1.0
    # The clicks were heard where the drill said that the take begins.
    clicks = onsets(samples)
    off = began[0] - recorder.heard_at(int(clicks[0]))
    print(f"the take began {off * 1000:.1f} ms from where it was heard")
    assert abs(off) < 0.25  # half a beat: what counts is that it does not move
