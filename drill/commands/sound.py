"""``drill sound``: a test of the output."""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable
from typing import Any

from drill.clock import monotonic, sleep
from drill.errors import ExitCode
from drill.opening.tools import Tools
from drill.settings.at_hand import sound_environment
from drill.sound.latency import Calibrations
from drill.sound.player import Player
from drill.sound.report import SoundTest, sound_report

CAUTION = (
    "Take headphones off or turn them down before you raise the volume: loud sound harms hearing."
)

TAPS, MICROPHONE = "taps", "microphone"
"""The ways to calibrate."""

EXAMPLES = """\
examples:
  drill sound                    one second of A4, and what plays it
  drill sound --volume 0.2 --json
  drill sound --calibrate        tap along: how late does this output sound?
  drill sound --calibrate microphone    by a microphone that hears the speaker
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The level, the pitch, and the form of the report."""
    add = parser.add_argument
    add("--volume", metavar="V", help="0 to 1")
    add("--a4", metavar="HZ", help="the pitch of the tone, 430 to 450")
    add(
        "--calibrate",
        nargs="?",
        const=TAPS,
        choices=(TAPS, MICROPHONE),
        help="how late does this output sound? Tap Enter along with a click, or let a microphone "
        "hear it",
    )
    add("--json", action="store_true", help="as JSON")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Play a second of A4 and report on the output; 1 where it made no sound."""
    settings = tools.settings(said=True, a4=args.a4, volume=args.volume)
    environment = sound_environment(settings.backend, tools.environment)
    player = Player(
        monotonic,
        room=settings.room,
        environment=environment,
        calibrations=Calibrations(tools.house.places.data),
    )
    if args.calibrate:
        by_taps = args.calibrate == TAPS
        way = tapping(tools, as_json=args.json) if by_taps else hearing(tools)
        return calibrated(way, player, settings.volume, tools, as_json=args.json)
    try:
        report = sound_report(player, monotonic, sleep, volume=settings.volume, a4=settings.a4)
    finally:
        player.stop()
        player.close()
    if args.json:
        tools.give(report_object(report))
    else:
        lines = [line.partition(" The drill")[0] for line in report.lines()]
        tools.out.write("\n".join([*lines, CAUTION]) + "\n")
    return ExitCode.OK if report.sounded else ExitCode.FAILURE


Way = Callable[[Player, float, Callable[[str], None]], float | None]
"""Finds and keeps a latency, given the volume and who is told; None where nothing was kept."""


def tapping(tools: Tools, *, as_json: bool) -> Way:
    """By Enter tapped along with a click.

    Raises UsageError where the taps do not come from a terminal, and ``as_json`` does not say
    that a program knows what it does.
    """
    from drill.lines.stamping import stamped
    from drill.lines.tapping import tap_along

    source = stamped(tools.source, monotonic, as_json=as_json)
    return lambda player, volume, say: tap_along(player, source, monotonic, volume, say)


def hearing(tools: Tools) -> Way:
    """By a microphone that hears the click; it is open only meanwhile."""
    from drill.lines.tapping import ByMicrophone
    from drill.sound.capture import Microphone

    return ByMicrophone(
        tools.environment, monotonic, sleep, lambda: Microphone(monotonic)
    ).calibrate


def calibrated(way: Way, player: Player, volume: float, tools: Tools, *, as_json: bool) -> ExitCode:
    """How late the output is; 1 where nothing was kept.  Raises SoundError without a microphone."""
    if not as_json:
        tools.out.write(f"{CAUTION}\n")

    def say(text: str) -> None:
        tools.say(text) if as_json else print(text, file=tools.out, flush=True)

    try:
        player.warm()
        found = way(player, volume, say)
    finally:
        player.stop()
        player.close()
    if as_json:
        told = {"kept": found is not None, "latency_s": found, "output": player.state.output}
        tools.give(told)
    return ExitCode.OK if found is not None else ExitCode.FAILURE


def report_object(report: SoundTest) -> dict[str, Any]:
    """The report as JSON; seconds, and decibels of full scale (null where nothing sounded)."""
    return {
        "sounded": report.sounded,
        "backend": report.backend or None,
        "device": report.device or None,
        "latency_s": round(report.latency_s, 4),
        "latency": report.source.value if report.sounded else None,
        "began_s": round(report.began_s, 4),
        "peak": round(report.peak, 4),
        "peak_db": round(report.peak_db, 1) if math.isfinite(report.peak_db) else None,
        "why": report.why or None,
        "caution": CAUTION,
    }
