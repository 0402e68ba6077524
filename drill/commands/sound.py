"""``drill sound``: a test of the output."""

from __future__ import annotations

import argparse
import json
import math
from pathlib import Path
from typing import Any

from drill.clock import monotonic, sleep
from drill.errors import ExitCode
from drill.opening.tools import Tools
from drill.settings.at_hand import sound_environment
from drill.settings.load import load
from drill.sound.latency import Calibrations
from drill.sound.player import Player
from drill.sound.report import Report, sound_report

CAUTION = (
    "Take headphones off or turn them down before you raise the volume: loud sound harms hearing."
)

EXAMPLES = """\
examples:
  drill sound                    one second of A4, and what plays it
  drill sound --volume 0.2 --json
  drill sound --calibrate        tap along: how late does this output sound?
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The level, the pitch, and the form of the report."""
    add = parser.add_argument
    add("--volume", metavar="V", help="0 to 1")
    add("--a4", metavar="HZ", help="the pitch of the tone, 430 to 450")
    add("--calibrate", action="store_true", help="tap Enter along with a click: how late is it?")
    add("--json", action="store_true", help="as JSON")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Play a second of A4 and report on the output; 1 where it made no sound."""
    flags = {"a4": args.a4, "volume": args.volume}
    loaded = load(tools.house.places, tools.environment, flags, Path())
    for fault in loaded.faults:
        tools.say(str(fault))
    settings = loaded.settings
    environment = sound_environment(settings.backend, tools.environment)
    player = Player(
        monotonic,
        room=settings.room,
        environment=environment,
        calibrations=Calibrations(tools.house.places.data),
    )
    if args.calibrate:
        return calibrated(player, settings.volume, tools, as_json=args.json)
    try:
        report = sound_report(player, monotonic, sleep, volume=settings.volume, a4=settings.a4)
    finally:
        player.stop()
        player.close()
    if args.json:
        json.dump(report_object(report), tools.out, ensure_ascii=False)
        tools.out.write("\n")
    else:
        lines = [line.partition(" The drill")[0] for line in report.lines()]
        tools.out.write("\n".join([*lines, CAUTION]) + "\n")
    return ExitCode.OK if report.sounded else ExitCode.FAILURE


def calibrated(player: Player, volume: float, tools: Tools, *, as_json: bool) -> ExitCode:
    """How late the output is, by Enter tapped along with a click; 1 where nothing was kept.

    Raises UsageError where the taps do not come from a terminal, and ``as_json`` does not say
    that a program knows what it does.
    """
    from drill.lines.intime import stamped
    from drill.lines.tapping import tap_along

    source = stamped(tools.source, monotonic, as_json=as_json)
    if not as_json:
        tools.out.write(f"{CAUTION}\n")

    def say(text: str) -> None:
        tools.say(text) if as_json else print(text, file=tools.out, flush=True)

    try:
        player.warm()
        found = tap_along(player, source, monotonic, volume, say)
    finally:
        player.stop()
        player.close()
    if as_json:
        told = {"kept": found is not None, "latency_s": found, "output": player.state.output}
        tools.out.write(json.dumps(told, ensure_ascii=False) + "\n")
    return ExitCode.OK if found is not None else ExitCode.FAILURE


def report_object(report: Report) -> dict[str, Any]:
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
