"""A cell of five notes, played into a null sink whose monitor is the microphone."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from pathlib import Path

import numpy as np
import pytest
from horn_player import cell
from pulse_sink import need_pulse, null_sink

from drill.practice.recording import wav_of

pytestmark = [pytest.mark.slow, pytest.mark.quiet]

FIVE = 'title = "Five"\ninstrument = "alto_sax"\npatterns = ["1-2-3-1-2"]\nkeys = ["E"]\n'
FIVE += 'directions = ["up"]\n'


def play(folder: Path, number: int, env: dict[str, str]) -> None:
    """The first five notes from a cell of the run on, as a person would a second later."""
    file = folder / f"cell{number}.wav"
    quiet = np.zeros(22050, np.float32)
    file.write_bytes(wav_of(np.concatenate([quiet, cell(number, 5), quiet])))
    subprocess.run(["paplay", "--device=test", str(file)], env=env, check=False)


def test_a_cell_played_into_the_microphone_answers_a_prompt(tmp_path: Path) -> None:
    need_pulse()
    deck = tmp_path / "five.toml"
    deck.write_text(FIVE)
    with null_sink(tmp_path) as settings:
        env = settings | {"DRILL_HOME": str(tmp_path / "home"), "PULSE_SOURCE": "test.monitor"}
        drill = subprocess.Popen(
            [sys.executable, "-m", "drill", "--plain", "--json", "--mute", "--ask", "play",
             "--deck", str(deck), "--prompts", "2", "--seed", "3", "--no-missed-again",
             "--no-again"],
            env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            cwd=Path(__file__).parents[2],
        )  # fmt: skip
        assert drill.stdin is not None
        assert drill.stdout is not None
        watch = threading.Timer(90, drill.kill)
        watch.start()
        verdicts = []
        for line in drill.stdout:
            said = json.loads(line)
            if said["kind"] == "microphone" and "long note" in said["say"]:
                drill.stdin.write("\n")
                drill.stdin.flush()
            elif said["kind"] == "prompt":
                number = said["degree"] - 1
                if number > 5:  # the kept take ends before
                    drill.stdin.write("show\n")
                    drill.stdin.flush()
                    continue
                threading.Thread(target=play, args=(tmp_path, number, env)).start()
            elif said["kind"] == "verdict":
                verdicts.append(said["right"])
        watch.cancel()
        drill.wait(10)
    assert True in verdicts


def test_a_take_is_recorded_and_checked(tmp_path: Path) -> None:
    need_pulse()
    with null_sink(tmp_path) as settings:
        env = settings | {"DRILL_HOME": str(tmp_path / "home"), "PULSE_SOURCE": "test.monitor"}
        file = tmp_path / "take.wav"
        drill = subprocess.Popen(
            [sys.executable, "-m", "drill", "take", str(file), "--record", "--keep", "--pattern",
             "1-2-3-1-2", "--key", "E", "--instrument", "alto_sax", "--up", "--tempo", "200"],
            env=env | {"DRILL_SOUND": "silent"}, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            text=True, cwd=Path(__file__).parents[2],
        )  # fmt: skip
        assert drill.stderr is not None
        while "microphone open" not in drill.stderr.readline():
            pass
        play(tmp_path, 0, env)
        out, said = drill.communicate(timeout=60)
    assert file.stat().st_size > 20_000
    assert "the microphone is closed" in said
    assert "kept: " in said
    assert "1-2-3-1-2 in E major, up:" in out
