"""``drill sound``: the output tested, in words and as JSON."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from drill.commands.sound import CAUTION, report_object
from drill.sound.report import SoundTest

FIELDS = {
    "sounded", "backend", "device", "latency_s", "latency", "began_s", "peak", "peak_db", "why",
    "caution",
}  # fmt: skip


def drill(home: Path, *words: str, sound: str = "silent") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "drill", "sound", *words],
        env={**os.environ, "DRILL_HOME": str(home), "DRILL_SOUND": sound},
        capture_output=True,
        text=True,
        check=False,
    )


def test_silent_output_is_said_with_the_caution(tmp_path: Path) -> None:
    done = drill(tmp_path)
    assert done.returncode == 0
    assert done.stdout.splitlines() == ["Sound is off (silent output).", CAUTION]
    assert "headphones" in CAUTION
    assert done.stderr == ""


def test_as_json(tmp_path: Path) -> None:
    done = drill(tmp_path, "--json", "--volume", "0.25")
    value = json.loads(done.stdout)
    assert set(value) == FIELDS
    assert (value["sounded"], value["backend"], value["why"]) == (True, "silent", None)
    assert 0 < value["peak"] < 0.25
    assert value["peak_db"] < 0


def test_no_sound_is_a_failure_and_valid_json() -> None:
    report = SoundTest(False, "", "", 0.0, 0.0, 0.0, "No sound: no device.")
    value = json.loads(json.dumps(report_object(report), allow_nan=False))
    assert value["peak_db"] is None
    assert (value["backend"], value["device"]) == (None, None)
    assert value["why"] == "No sound: no device."


def test_a_volume_out_of_range_is_refused(tmp_path: Path) -> None:
    done = drill(tmp_path, "--volume", "2")
    assert done.returncode == 2
    assert "volume" in done.stderr
    assert len(done.stderr.splitlines()) == 1
