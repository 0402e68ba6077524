"""``drill take --record``: a count-in, the microphone, and a take kept only where it is wished."""

from __future__ import annotations

import argparse
from pathlib import Path

from drill.clock import monotonic, sleep
from drill.errors import UsageError
from drill.files import write_whole
from drill.hearing.line import Line
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.practice.recording import QUIET_S, TEMPO, Recording, RecordingStage, bars_of, wav_of
from drill.practice.time.echoes import held_by
from drill.settings.at_hand import sound_environment
from drill.settings.values import Settings
from drill.sound.capture import Microphone
from drill.sound.latency import Calibrations
from drill.sound.player import Player
from drill.wording.playing import CLOSED
from drill.wording.taking import HEADPHONES, NOT_KEPT, counted_in, kept_told, open_told

_WATCH_S = 0.05
_METER = 20


def record_take(
    args: argparse.Namespace, tools: Tools, line: Line, tempo: float | None, settings: Settings
) -> Recording | None:
    """Record into ``args.file``; None where the take was not kept.

    Raises UsageError where the file is there already or nobody can say whether to keep it,
    SoundError where there is no microphone.
    """
    path = Path(args.file)
    if args.file == STDOUT:
        raise UsageError("a take is recorded into a file: name a new one")
    if path.exists():
        raise UsageError(f"{args.file} is there already: name a new file to record into")
    if not path.parent.is_dir():  # said before anything is played
        raise UsageError(f"there is no folder {path.parent}: make it first")
    if not args.keep and not tools.source.isatty():
        raise UsageError("nobody is there to keep the take: add --keep, or record at a terminal")
    taking = _recorded(args, tools, line, tempo or TEMPO, settings)
    samples = taking.samples()
    if not args.keep and not _wished(tools, args.file):
        tools.say(NOT_KEPT)
        return None
    write_whole(path, wav_of(samples), private=True)
    tools.say(kept_told(args.file))
    return taking


def _recorded(
    args: argparse.Namespace,
    tools: Tools,
    line: Line,
    tempo: float,
    settings: Settings,
) -> Recording:
    """What was played, from the end of the count-in to a silence or ctrl+c."""
    player = Player(
        monotonic,
        muted=not settings.sound,
        environment=sound_environment(settings.backend, tools.environment),
        calibrations=Calibrations(tools.house.places.data),
    )
    bars = bars_of(len(line.places), line.beat_notes) if args.clicks else 0
    taking = Recording(
        Microphone(monotonic),
        player,
        monotonic,
        tempo,
        bars=bars,
        volume=settings.volume,
        held=held_by(tools.environment),
    )
    try:
        _listen(taking, player, tools, line.title, tempo, clicks=bars > 0 and settings.sound)
    except KeyboardInterrupt:
        pass
    finally:
        taking.close()
        player.close()
        tools.err.write("\n")
    tools.say(CLOSED)
    return taking


def _listen(
    taking: Recording, player: Player, tools: Tools, title: str, tempo: float, *, clicks: bool
) -> None:
    """Say how far it is, and on a terminal the count-in too: the sound may be off or fail."""
    meter, told = tools.err.isatty(), False
    while not taking.tick():
        if not told and taking.stage is not RecordingStage.WAITING:
            told = True
            tools.say(open_told(tempo, title, QUIET_S))
            if clicks:
                tools.say(HEADPHONES)
        if notice := player.poll():
            tools.say(notice)
        if meter and taking.beat:
            tools.err.write(f"\r{counted_in(taking.beat)}")
            tools.err.flush()
        if meter and taking.stage is RecordingStage.PLAYING:
            filled = round(_METER * min(1.0, max(0.0, (taking.level + 60) / 60)))
            tools.err.write(f"\rrecording [{'#' * filled:<{_METER}}] {taking.level:6.1f} dB ")
            tools.err.flush()
        sleep(_WATCH_S)


def _wished(tools: Tools, name: str) -> bool:
    question = f"Keep this take as {name}? It stays on this machine. [y/N] "
    return tools.ask(question).strip().casefold() in ("y", "yes")
