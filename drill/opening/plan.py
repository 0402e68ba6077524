"""How a practice goes: settings in force, a deck's plan with them, the first deck, the sound."""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drill.clock import monotonic
from drill.errors import DrillError
from drill.files import make_folder
from drill.memory.kinds import Kind
from drill.opening.house import House
from drill.opening.tools import Tools
from drill.settings.at_hand import names_here, sound_environment
from drill.settings.load import load
from drill.settings.values import Settings
from drill.theory.instruments import NO_HORN
from drill.tui.desk_settings import known_actions

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.practice.course import Plan
    from drill.practice.playing import Strokes
    from drill.practice.time.bout import Setting
    from drill.practice.time.echoes import OpenMicrophone
    from drill.settings.load import Loaded
    from drill.sound.sounding import Sounding

FIRST_DECK = "major-returning-cells"
"""The deck of a practice in lines where none is named."""
MY_PRACTICE = "my-practice.toml"
"""The file of the deck that the first start makes: see ``decks.mine``."""


def _given(**wishes: Any) -> dict[str, Any]:
    return {name: wish for name, wish in wishes.items() if wish is not None}


def wished(plan: Plan, settings: Settings, asked: tuple[str, ...] | None) -> Plan:
    """A deck's plan with the player's wishes in the place of the deck's.

    Whoever asks for minutes alone has them: the deck's number of prompts would end them early.
    ``asked`` are the kinds of prompt named on the command line, None for none.
    """
    own = settings.practice
    new = replace(plan.options.new, **_given(keys=own.new_keys, cells=own.new_cells))
    wishes = _given(
        again=own.again, missed_again=own.missed_again, kinds=asked or own.kinds or None
    )
    plan = replace(plan, options=replace(plan.options, new=new), **wishes)
    if own.prompts is not None or own.minutes:
        plan = replace(plan, prompts=own.prompts or None)
    if own.minutes is not None:
        plan = replace(plan, minutes=own.minutes or None)
        if not own.minutes and own.prompts is None and plan.prompts is None:
            from drill.decks.schema import Practice

            plan = replace(plan, prompts=Practice().prompts)  # minutes alone had ended it
    if asked is None and not settings.in_time:
        rest = tuple(kind for kind in plan.kinds if kind != Kind.TIME)
        plan = replace(plan, kinds=rest or (Kind.DEGREE,))
    return plan


def deck_plan(deck: Deck, now: datetime, settings: Settings, asked: tuple[str, ...] | None) -> Plan:
    """How a practice with a deck goes: as the deck says, with the player's wishes."""
    from drill.practice.machine import plan_for

    return wished(plan_for(deck, now), settings, asked)


def setting_of(args: argparse.Namespace, settings: Settings) -> Setting:
    """How playing in time begins: as the command line says."""
    from drill.practice.time.bout import Setting

    return Setting(
        notes_per_beat=2 if args.eighths else None, letters=args.letters, tapped=args.tap,
        click=args.click, metre=args.metre, count_in_bars=args.count_in, volume=settings.volume,
        a4=settings.a4,
    )  # fmt: skip


def flags_of(args: argparse.Namespace) -> dict[str, str | None]:
    """What the command line says, by the settings' names, as the settings room reads it."""
    said = {f"practice.{name}": getattr(args, name) for name in _PRACTICE}
    said |= {"names": args.names, "theme": args.theme, "color": args.color}
    said |= {"words": args.words or None, "glyphs": "ascii" if args.ascii else None}
    said |= {"sound": False if args.mute else None}
    return {name: None if value is None else _text(value) for name, value in said.items()}


_PRACTICE = ("prompts", "minutes", "new_keys", "new_cells", "again", "missed_again")


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:g}" if isinstance(value, float) else str(value)


def settings_for(args: argparse.Namespace, tools: Tools) -> Loaded:
    """The settings in force; every mistake in them is said and passed over."""
    loaded = load(tools.house.places, tools.environment, flags_of(args), Path(), known_actions)
    for fault in loaded.faults:
        tools.say(str(fault))
    return loaded


def open_microphone() -> OpenMicrophone:
    """The microphone, open.  Raises SoundError where there is none."""
    from drill.sound.capture import Microphone

    return Microphone(monotonic)


def open_midi(name: str) -> Strokes:
    """A MIDI instrument by a part of its name; the first one for none.  Raises MidiError."""
    from drill.sound.midiport import MidiPort

    return MidiPort(name or None)


def player_for(settings: Settings, tools: Tools) -> Sounding:
    """The sound of a practice; where it is off, nothing is started until it is turned on."""
    from drill.sound.latency import Calibrations
    from drill.sound.player import Player

    log: Path | None = tools.house.places.log / "sound.log"
    try:
        make_folder(tools.house.places.log, private=True)
    except DrillError:  # nowhere to write: the drill and its sound go on without the log
        log = None
    environment = sound_environment(settings.backend, tools.environment)
    return Player(
        monotonic,
        muted=not settings.sound,
        room=settings.room,
        log=log,
        environment=environment,
        calibrations=Calibrations(tools.house.places.data),
    )


def is_new(house: House, settings: Settings) -> bool:
    """Whether nobody has practised or answered the first questions here."""
    named = settings.horn != NO_HORN or (house.places.decks / MY_PRACTICE).exists()
    return not (named or house.log.exists())


def first_deck(tools: Tools, settings: Settings, *, ask: bool = True) -> Deck:
    """The deck of a practice in lines where none is named: one's own, which a person at a
    terminal is asked for the first time, and which has the usual answers elsewhere, and for a
    program that speaks JSON (``ask`` False)."""
    from drill.decks.mine import NAME, Start, keep_my_practice
    from drill.settings.write import write_setting

    house = tools.house
    if is_new(house, settings):
        start = Start(names=names_here(tools.environment))
        if tools.source.isatty() and ask:
            from drill.lines.starting import ask_start

            start = ask_start(tools.source, tools.say, start)
        write_setting(house.places.settings, "horn", start.horn)
        if start.names is not settings.names:
            write_setting(house.places.settings, "names", start.names.value)
        keep_my_practice(house.places.decks, start.known)
    if (house.places.decks / f"{NAME}.toml").exists():
        return house.deck(NAME)
    return house.deck(FIRST_DECK)
