"""How true the beat is that the drill judges by: ``python tests/bench/bench_latency.py``.

On each output of a PulseAudio server of its own (a null sink at 10 ms, one where a client asks
for 200 ms, and ALSA's ``file`` plugin before it), with each audio library: how far off the
instant is at which a take is said to begin, against the monitor's recording, before and after a
calibration by taps that fall exactly where the recorded clicks are; then the same at several
tempi.  ``--busy`` keeps one core occupied and plays a click of three minutes: the mean and the
spread of its intervals, or the notice that it fell behind.  The baseline of each is the same
figure without the calibration, or the same click played by ``paplay``.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import mean, median, pstdev
from time import sleep

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent / "sound")]

from alsa_file import until  # noqa: E402
from pulse_sink import RATE, Recorder, null_sink, onsets  # noqa: E402

from drill.practice.time.tapping import tapping_take, told_by  # noqa: E402
from drill.sound.latency import Calibrations  # noqa: E402
from drill.sound.metronome import click_take  # noqa: E402
from drill.sound.player import Player  # noqa: E402
from drill.sound.take import Take  # noqa: E402
from drill.theory.metre import Metronome  # noqa: E402

TEMPI = (40, 60, 120, 240)
EVEN = Metronome(accent=False)
OUTPUTS = ("null sink, 10 ms", "null sink, 200 ms asked", "ALSA file plugin before it")


def set_up(output: str, home: Path, settings: dict[str, str]) -> dict[str, str]:
    """The environment that makes this output the default one."""
    if output == OUTPUTS[1]:
        return {**settings, "PULSE_LATENCY_MSEC": "200"}
    if output == OUTPUTS[2]:
        (home / ".asoundrc").write_text(
            f'pcm.!default {{ type file; file "{home}/out.raw"; format "raw"; '
            'slave.pcm "ours" }\npcm.ours { type pulse }\nctl.!default { type pulse }\n'
        )
        return settings
    return settings


def played(player: Player, settings: dict[str, str], take: Take) -> tuple[np.ndarray, float, float]:
    """When each click of a take was heard, when the drill says that the take began, and how far
    it fell behind."""
    recorder = Recorder(settings)
    assert player.play(take, stale_s=0)
    assert until(lambda: player.playing() is not None), player.poll()
    assert until(lambda: player.idle, take.length_s + 30)
    sleep(0.3)
    samples = recorder.stop()
    found = onsets(samples)
    playing = player.beginning
    assert playing is not None
    return np.array([recorder.heard_at(int(at)) for at in found]), playing.at, playing.slipped_s


def off_by(heard: np.ndarray, at: float, take: Take) -> float:
    """Seconds by which the drill takes the clicks to be later than they were: what a player who
    is exactly on the click would be told that he leads by."""
    due = np.array([at + click.onset_s for click in take.clicks])
    count = min(len(due), len(heard))
    return float(median(due[:count] - heard[:count]))


def bench_outputs() -> None:
    print("Injected minus reported lead, ms: how far the beat judged by is from the one heard")
    for output in OUTPUTS:
        for backend in ("miniaudio", "simpleaudio"):
            with tempfile.TemporaryDirectory() as folder, null_sink(Path(folder)) as settings:
                home = Path(folder)
                environment = set_up(output, home, settings)
                kept = Calibrations(home / "data")
                player = Player(
                    environment={**environment, "DRILL_SOUND": backend}, calibrations=kept
                )
                player.warm()
                until(lambda: player.ready, 20)  # noqa: B023 - asked at once
                take = tapping_take(1.0)
                heard, at, _ = played(player, settings, take)
                before = off_by(heard, at, take)
                source = player.state.source
                beginning = player.beginning
                assert beginning is not None
                found = told_by(list(heard), beginning)
                player.calibrate(found.late_s)
                after = []
                for bpm in TEMPI:
                    one = click_take(EVEN, bpm, max(2, bpm // 40), count_in_bars=0, volume=1.0)
                    heard, at, _ = played(player, settings, one)
                    after.append(off_by(heard, at, one))
                player.close()
            worst = max(map(abs, after))
            shown = ", ".join(
                f"{bpm}: {1000 * off:+.1f}" for bpm, off in zip(TEMPI, after, strict=True)
            )
            print(
                f"  {output:28s} {backend:12s} before {1000 * before:+6.1f} ({source})   "
                f"after calibration {shown}   worst {1000 * worst:.1f}, "
                f"ratio {worst / max(abs(before), 1e-4):.2f}",
                flush=True,
            )


def bench_busy(minutes: float) -> None:
    print(f"A click of {minutes:g} minutes at 120 with one core kept busy")
    busy = subprocess.Popen([sys.executable, "-c", "while True: pass"])
    try:
        with tempfile.TemporaryDirectory() as folder, null_sink(Path(folder)) as settings:
            take = click_take(EVEN, 120, round(minutes * 30), count_in_bars=0, volume=1.0)
            for backend in ("miniaudio", "simpleaudio"):
                player = Player(environment={**settings, "DRILL_SOUND": backend})
                heard, _, slipped = played(player, settings, take)
                player.close()
                told(backend, heard, slipped)
            told("paplay", by_paplay(take, Path(folder), settings), 0.0)
    finally:
        busy.kill()
        busy.wait()


def by_paplay(take: Take, folder: Path, settings: dict[str, str]) -> np.ndarray:
    """The same click by the system's own player."""
    from drill.paper.wav import wav_bytes

    file = folder / "click.wav"
    file.write_bytes(wav_bytes(take))
    recorder = Recorder(settings)
    subprocess.run(["paplay", str(file)], env=settings, check=True)
    sleep(0.5)
    return np.array([at / RATE for at in onsets(recorder.stop())])


def told(name: str, heard: np.ndarray, slipped: float) -> None:
    gaps = 1000 * np.diff(heard)[1:]
    print(
        f"  {name:12s} {len(heard)} clicks: mean {mean(gaps):.3f} ms, spread {pstdev(gaps):.3f}, "
        f"longest {max(gaps):.1f}; said to have fallen behind by {1000 * slipped:.0f} ms",
        flush=True,
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--busy", action="store_true", help="three minutes with one core busy")
    parser.add_argument("--minutes", type=float, default=3.0, help="length of the busy click")
    given = parser.parse_args()
    if given.busy:
        bench_busy(given.minutes)
    else:
        bench_outputs()
