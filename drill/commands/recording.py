"""``drill take --record``: a count-in, the microphone, and a take kept only where it is wished."""

from __future__ import annotations

import argparse
import io
import wave
from pathlib import Path

import numpy as np

from drill.clock import monotonic, sleep
from drill.errors import DrillError, UsageError
from drill.files import write_whole
from drill.hearing.line import Line
from drill.opening.tools import Tools
from drill.settings.at_hand import sound_environment
from drill.settings.values import Settings
from drill.sound.capture import LONGEST_S, RATE, Microphone, Samples
from drill.sound.metronome import COUNT_IN, click_take
from drill.sound.player import Player

TEMPO = 80.0
"""The count-in's where no tempo is asked."""
QUIET_S = 3.0
"""Silence after the take that ends the recording."""
WAIT_S = 20.0
"""How long the first note is waited for."""
_WATCH_S = 0.05
_METER = 20
_PLAYED_DB = 9.0


def record_take(
    args: argparse.Namespace, tools: Tools, line: Line, tempo: float | None, settings: Settings
) -> bool:
    """Record into ``args.file``; False where the take was not kept.

    Raises UsageError where the file is there already or nobody can say whether to keep it,
    SoundError where there is no microphone.
    """
    path = Path(args.file)
    if args.file == "-" or path.exists():
        raise UsageError(f"{args.file} is there already: name a new file to record into")
    if not args.keep and not tools.source.isatty():
        raise UsageError("nobody is there to keep the take: add --keep, or record at a terminal")
    microphone = Microphone(monotonic)
    try:
        _wait(microphone)
        samples = _recorded(args, tools, microphone, line, tempo or TEMPO, settings)
    finally:
        microphone.close()
    tools.say("the microphone is closed")
    if not len(samples) or float(np.abs(samples).max(initial=0)) < 1e-4:
        raise DrillError("nothing was recorded: the microphone gave silence")
    if not args.keep and not _wished(tools, args.file):
        tools.say("the take was not kept")
        return False
    write_whole(path, wav_of(samples), private=True)
    tools.say(f"kept: {args.file}")
    return True


def wav_of(samples: Samples) -> bytes:
    """A WAV file (RIFF, linear PCM, 16 bits, one channel) of samples at ``RATE``."""
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())
    return buffer.getvalue()


def _wait(microphone: Microphone) -> None:
    """Wait for the first block: some systems take two seconds."""
    while not microphone.listening:
        microphone.take()
        sleep(_WATCH_S)


def _recorded(
    args: argparse.Namespace,
    tools: Tools,
    microphone: Microphone,
    line: Line,
    tempo: float,
    settings: Settings,
) -> Samples:
    """What was played, from the end of the count-in to a silence or ctrl+c."""
    environment = sound_environment(settings.backend, tools.environment)
    player = Player(monotonic, environment=environment)
    bars = 0 if not args.clicks else 4 + int(len(line.places) / line.beat_notes / 4)
    clicks = click_take(COUNT_IN, tempo, bars, count_in_bars=1, volume=settings.volume)
    tools.say(
        f"microphone open: one bar at {tempo:g}, then play {line.title}; it ends after "
        f"{QUIET_S:g} s of silence, or with ctrl+c"
    )
    if args.clicks:
        tools.say("the click goes on: wear headphones at a low level, or it is recorded too")
    player.play(clicks)
    begin = monotonic() + 4 * 60 / tempo
    blocks: list[Samples] = []
    try:
        _listen(tools, microphone, blocks, begin)
    except KeyboardInterrupt:
        pass
    finally:
        player.stop()
        player.close()
        tools.err.write("\n")
    return np.concatenate(blocks) if blocks else np.zeros(0, np.float32)


def _listen(tools: Tools, microphone: Microphone, blocks: list[Samples], begin: float) -> None:
    meter = tools.err.isatty()
    loudest, room, sounded = -120.0, 0.0, begin
    played = False
    while True:
        sleep(_WATCH_S)
        fresh = microphone.take()
        now = monotonic()
        level = _level(fresh)
        if now < begin:
            room = min(room, level)
            continue
        if len(fresh):
            blocks.append(fresh)
        loudest = max(loudest, level)
        if level > max(room + _PLAYED_DB, loudest - 30):
            played, sounded = True, now
        if meter:
            filled = round(_METER * min(1.0, max(0.0, (level + 60) / 60)))
            tools.err.write(f"\rrecording [{'#' * filled:<{_METER}}] {level:6.1f} dB ")
            tools.err.flush()
        if now - sounded > (QUIET_S if played else WAIT_S) or now - begin > LONGEST_S:
            return


def _level(samples: Samples) -> float:
    """Decibels below full scale."""
    if not len(samples):
        return -120.0
    return float(20 * np.log10(np.sqrt(np.mean(samples.astype(np.float64) ** 2)) + 1e-6))


def _wished(tools: Tools, name: str) -> bool:
    tools.err.write(f"Keep this take as {name}? It stays on this machine. [y/N] ")
    tools.err.flush()
    return tools.source.readline().strip().casefold() in ("y", "yes")
