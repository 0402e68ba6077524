"""Figures of the sound room: ``python tests/bench/bench_sound.py``.

Prints what ``Player.play`` costs the drill, how fast takes are rendered, and how long
after Enter the first sample is heard on a real-time output (a PulseAudio null sink,
where there is one), each beside a baseline measured in the same run.
"""

from __future__ import annotations

import queue
import sys
import tempfile
from functools import partial
from pathlib import Path
from statistics import median
from time import sleep
from typing import Any

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent / "sound")]

from timing import timed  # noqa: E402

from drill.clock import monotonic  # noqa: E402
from drill.sound.phrasing import BY_TEMPO, Manner, Phrase, phrase_take  # noqa: E402
from drill.sound.player import Player  # noqa: E402
from drill.sound.render import render  # noqa: E402
from drill.sound.take import Take, verdict_take  # noqa: E402
from drill.sound.tone import RATE  # noqa: E402
from drill.terms import Contour, Tonguing  # noqa: E402
from drill.theory.metre import Metronome  # noqa: E402

CELL = verdict_take((58, 60, 62, 58))


def spread_of(values: list[float]) -> str:
    ordered = sorted(values)
    at = [ordered[min(len(ordered) - 1, int(share * len(ordered)))] for share in (0.5, 0.95)]
    return f"median {at[0] * 1000:8.3f} ms, p95 {at[1] * 1000:8.3f} ms"


def long_take() -> Take:
    cells = tuple((p, p + 2, p + 4, p) for p in (58, 60, 62, 63, 65, 67, 69))
    manner = Manner(
        bpm=100,
        swing=BY_TEMPO,
        tonguing=Tonguing.TWO_AND_TWO,
        contour=Contour.RISE_AND_FALL,
        click=Metronome(division=2),
        count_in_bars=1,
    )
    return phrase_take((Phrase(cells, close=70),) * 10, manner)


def bench_play() -> None:
    print("Player.play: what it costs the drill (aim: well under 5 ms)")
    with tempfile.TemporaryDirectory() as home:
        player = Player(environment={"HOME": home, "DRILL_SOUND": "silent"})
        first = timed(lambda: player.play(CELL), 1)
        while player.playing() is None:
            sleep(0.01)

        def one() -> None:
            player.play(CELL)

        found = []
        for _ in range(200):
            found += timed(one, 1)
            sleep(0.005)
        player.close()
    box: queue.SimpleQueue[object] = queue.SimpleQueue()
    bare = timed(lambda: box.put(CELL), 200)
    print(f"  the first, which starts the helper   {first[0] * 1000:.3f} ms")
    print(f"  each later one                       {spread_of(found)}")
    print(f"  a bare queue.put                     {spread_of(bare)}")
    print(f"  ratio {median(found) / median(bare):.1f}\n")


def bench_render() -> None:
    print("Rendering against real time (aim 200 x)")
    for name, take in (("a cell", CELL), ("ten runs with clicks", long_take())):
        render(take)
        found = median(timed(partial(render, take), 15))
        frames = round(take.length_s * RATE)
        ramp = np.arange(frames) * 0.05
        bare = median(timed(partial(np.sin, ramp), 15))
        print(
            f"  {name:22s} {take.length_s:6.1f} s in {found * 1000:7.2f} ms: "
            f"{take.length_s / found:6.0f} x real time; "
            f"{found / bare:.2f} x one bare sine of that length"
        )
    print()


def bench_heard() -> None:
    from pulse_sink import RATE as SINK_RATE
    from pulse_sink import Recorder, null_sink, onsets

    print("From Enter to the first sample out of the monitor of a PulseAudio null sink")
    medians: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as folder, null_sink(Path(folder)) as settings:
        for backend in ("miniaudio", "simpleaudio"):
            player = Player(environment={**settings, "DRILL_SOUND": backend})
            player.warm()
            while not player.ready:
                sleep(0.01)
            recorder = Recorder(settings)
            asked = []
            for _ in range(12):
                sleep(2.2)  # long enough for the device to come to rest
                asked.append(monotonic())
                player.play(CELL)
            sleep(2.0)
            samples = recorder.stop()
            player.close()
            found = onsets(samples, apart_s=0.5)
            late = [recorder.arrived_at(int(at)) - q for at, q in zip(found, asked, strict=False)]
            medians[backend] = median(late)
            print(f"  {backend:12s} {len(found)} of 12 heard   {spread_of(late)}")
        medians["bare"] = bare_heard(settings, Recorder, onsets)
        assert SINK_RATE == RATE
    for backend in ("miniaudio", "simpleaudio"):
        print(f"  ratio {backend} / bare: {medians[backend] / medians['bare']:.2f}")
    print()


def bare_heard(settings: dict[str, str], recorder_type: Any, onsets: Any) -> float:
    """The same sound by a bare program that holds it rendered and calls simpleaudio itself."""
    import subprocess

    code = (
        "import sys, time, numpy, simpleaudio\n"
        "pcm = (3000 * numpy.sin(numpy.arange(40000) * 0.06)).astype('int16').tobytes()\n"
        "for _ in range(6):\n"
        "    time.sleep(2.2); print(time.monotonic(), flush=True)\n"
        "    simpleaudio.play_buffer(pcm, 1, 2, 44100)\n"
        "time.sleep(2)\n"
    )
    recorder = recorder_type(settings)
    done = subprocess.run(
        [sys.executable, "-c", code], env=settings, capture_output=True, text=True, check=True
    )
    samples = recorder.stop()
    asked = [float(line) for line in done.stdout.split()]
    found = onsets(samples, apart_s=0.5)
    late = [recorder.arrived_at(int(at)) - q for at, q in zip(found, asked, strict=False)]
    print(f"  {'bare program':12s} {len(found)} of 6 heard    {spread_of(late)}")
    return float(median(late))


if __name__ == "__main__":
    bench_play()
    bench_render()
    bench_heard()
