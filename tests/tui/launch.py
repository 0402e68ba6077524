"""Runs the screens alone, for tests and benchmarks on a pty: ``launch.py [DECK]``.

The environment chooses: DRILL_HOME, and ``LAUNCH_`` with SIGNS, THEME, COLOUR, KINDS,
PROMPTS, HOLD, NAMES, SOUND, BREAK.
"""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from drill.clock import monotonic, utc_now
from drill.settings.values import Color, GlyphChoice, Settings, Theme
from drill.tui.app import run
from drill.tui.context import Context

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.practice.course import Plan
    from drill.practice.room import Room
    from drill.practice.time.bout import Setting
    from drill.sound.sounding import Sounding

HOME = Path(os.environ["DRILL_HOME"])
DECKS = Path(__file__).resolve().parents[2] / "decks"


def wish(name: str, default: str = "") -> str:
    return os.environ.get(f"LAUNCH_{name}", default)


def open_room() -> Room:
    from drill.memory.store import FILE_NAME, Store
    from drill.practice.room import Room
    from drill.theory.language import Language

    if wish("BREAK") == "room":
        raise RuntimeError("broken on purpose")
    store = Store.open(HOME / FILE_NAME)
    return Room(store, Language(wish("NAMES", "english")), utc_now().astimezone().tzinfo)


def plan(wishes: Settings, deck: Deck, now: datetime) -> Plan:
    from drill.practice.machine import plan_for

    made = plan_for(deck, now)
    if wish("PROMPTS"):
        made = replace(made, prompts=int(wish("PROMPTS")) or None)
    if wish("KINDS"):
        made = replace(made, kinds=tuple(wish("KINDS").split(",")))
    return made


def timing(wishes: Settings) -> Setting:
    from drill.practice.time.bout import Setting

    return Setting(volume=wishes.volume, a4=wishes.a4)


def wishes() -> Settings:
    return Settings(
        glyphs=GlyphChoice(wish("SIGNS", "auto")),
        theme=Theme(wish("THEME", "dark")),
        color=Color(wish("COLOUR", "auto")),
        hold=bool(wish("HOLD")),
    )


def new_id() -> str:
    from uuid import uuid4

    return str(uuid4())


def player() -> Sounding:
    sys.path.insert(0, str(Path(__file__).parents[1] / "sound"))
    from silent_player import SilentPlayer

    from drill.sound.player import Player

    if not wish("SOUND"):
        return SilentPlayer()
    return Player(monotonic, log=HOME / "sound.log")


def main() -> int:
    return run(
        Context(
            open_room=open_room,
            make_player=player,
            folders=(HOME / "decks", DECKS),
            wishes=wishes,
            plan=plan,
            timing=timing,
            utc_now=utc_now,
            monotonic=monotonic,
            new_id=new_id,
            seed=7,
            log=HOME / "log",
            deck=sys.argv[1] if len(sys.argv) > 1 else None,
        )
    )


if __name__ == "__main__":
    sys.exit(main())
