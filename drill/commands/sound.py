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
from drill.sound.player import Player
from drill.sound.report import Report, sound_report

CAUTION = (
    "Take headphones off or turn them down before you raise the volume: loud sound harms hearing."
)

EXAMPLES = """\
examples:
  drill sound                    one second of A4, and what plays it
  drill sound --volume 0.2 --json
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The level, the pitch, and the form of the report."""
    add = parser.add_argument
    add("--volume", metavar="V", help="0 to 1")
    add("--a4", metavar="HZ", help="the pitch of the tone, 430 to 450")
    add("--json", action="store_true", help="as JSON")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Play a second of A4 and report on the output; 1 where it made no sound."""
    flags = {"a4": args.a4, "volume": args.volume}
    loaded = load(tools.house.places, tools.environment, flags, Path())
    for fault in loaded.faults:
        tools.say(str(fault))
    settings = loaded.settings
    environment = sound_environment(settings.backend, tools.environment)
    player = Player(monotonic, room=settings.room, environment=environment)
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


def report_object(report: Report) -> dict[str, Any]:
    """The report as JSON; seconds, and decibels of full scale (null where nothing sounded)."""
    return {
        "sounded": report.sounded,
        "backend": report.backend or None,
        "device": report.device or None,
        "latency_s": round(report.latency_s, 4),
        "began_s": round(report.began_s, 4),
        "peak": round(report.peak, 4),
        "peak_db": round(report.peak_db, 1) if math.isfinite(report.peak_db) else None,
        "why": report.why or None,
        "caution": CAUTION,
    }
