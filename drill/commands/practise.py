"""``drill`` itself: a practice in lines or on screens."""

from __future__ import annotations

import argparse
import contextlib
import gc
import os
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from drill.clock import fresh_seed, monotonic, sleep
from drill.commands.options import add_names
from drill.errors import DrillError, ExitCode, UsageError
from drill.files import make_folder
from drill.memory.items import PLAYED, Kind
from drill.opening.house import House, new_id
from drill.opening.once import add_once, deck_for
from drill.opening.tools import Tools
from drill.settings.at_hand import dumb, names_here, sound_environment
from drill.settings.load import load
from drill.settings.values import Glyphs, Motion, Settings
from drill.theory.instruments import NO_HORN
from drill.theory.metre import read_click, read_metre

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.lines.lines import Lines
    from drill.practice.course import Plan
    from drill.practice.playing import Source, Strokes
    from drill.practice.room import Room
    from drill.practice.time.bout import Setting as TimeSetting
    from drill.practice.time.course import TimeDesk
    from drill.settings.keymap import Known
    from drill.settings.load import Loaded
    from drill.sound.player import Sounding
    from drill.tui.context import Wishes

MOST_PROMPTS = 100_000
MOST_MINUTES = 600
MOST_KEYS = 200
FIRST_DECK = "major-returning-cells"
"""The deck of a practice in lines where none is named."""
MY_PRACTICE = "my-practice.toml"
"""The file of the deck that the first start makes: see ``decks.mine``."""

EXAMPLES = """\
examples:
  drill                                        what is due today
  drill --deck tricky-keys-tenor --prompts 20
  drill --plain --words                        in lines, notes in words: G sharp
  drill --plain --json --seed 7 < answers.txt
  drill --ask time --tempo 72                  in time with the metronome
"""


def kinds(text: str | None) -> tuple[str, ...] | None:
    """The kinds of prompt in a list such as ``next,degree,key``; None for None.

    Raises UsageError for a word that is none.
    """
    if text is None:
        return None
    from drill.marking.back import Back

    known = [*(kind.value for kind in Kind), PLAYED, *(back.value for back in Back)]
    found = tuple(word.strip() for word in text.split(","))
    for word in found:
        if word not in known:
            raise UsageError(f"{word!r} is no kind of prompt: {', '.join(known)}")
    return found


def wished(plan: Plan, settings: Settings, asked: tuple[str, ...] | None) -> Plan:
    """A deck's plan with the player's wishes in the place of the deck's.

    ``asked`` are the kinds of prompt named on the command line, None for none.
    """
    own = settings.practice
    if own.prompts is not None:
        plan = replace(plan, prompts=own.prompts or None)
    if own.minutes is not None:
        plan = replace(plan, minutes=own.minutes or None)
    new = plan.options.new
    if own.new_keys is not None:
        new = replace(new, keys=own.new_keys)
    if own.new_cells is not None:
        new = replace(new, cells=own.new_cells)
    plan = replace(plan, options=replace(plan.options, new=new))
    if own.again is not None:
        plan = replace(plan, again=own.again)
    if own.missed_again is not None:
        plan = replace(plan, missed_again=own.missed_again)
    if asked is not None or own.kinds is not None:
        plan = replace(plan, kinds=asked or own.kinds or plan.kinds)
    if asked is None and not settings.in_time:
        rest = tuple(kind for kind in plan.kinds if kind != Kind.TIME)
        plan = replace(plan, kinds=rest or (Kind.DEGREE,))
    return plan


def deck_plan(deck: Deck, now: datetime, settings: Settings, asked: tuple[str, ...] | None) -> Plan:
    """How a practice with a deck goes: as the deck says, with the player's wishes."""
    from drill.practice.machine import plan_for

    return wished(plan_for(deck, now), settings, asked)


def flags_of(args: argparse.Namespace) -> dict[str, str | None]:
    """What the command line says, by the settings' names, as the settings room reads it."""

    def text(value: object) -> str | None:
        if isinstance(value, float):
            return f"{value:g}"
        if isinstance(value, bool):
            return "true" if value else "false"
        if isinstance(value, float):
            return f"{value:g}"
        return None if value is None else str(value)

    return {
        "practice.prompts": text(args.prompts),
        "practice.minutes": text(args.minutes),
        "practice.new_keys": text(args.new_keys),
        "practice.new_cells": text(args.new_cells),
        "practice.again": text(args.again),
        "practice.missed_again": text(args.missed_again),
        "names": args.names,
        "glyphs": "ascii" if args.ascii else None,
        "theme": args.theme,
        "color": args.color,
        "words": "true" if args.words else None,
        "sound": "false" if args.mute else None,
    }


def settings_for(args: argparse.Namespace, tools: Tools) -> Loaded:
    """The settings in force; every mistake in them is said and passed over."""
    loaded = load(tools.house.places, tools.environment, flags_of(args), Path(), known_actions)
    for fault in loaded.faults:
        tools.say(str(fault))
    return loaded


def known_actions() -> tuple[Known, ...]:
    """The screens' actions, as far as their keys can be changed."""
    from drill.settings.keymap import Known, typing
    from drill.tui.actions import ACTIONS, Place

    actions = (
        Known(action.id, action.keys, tuple(place.called for place in action.places))
        for action in ACTIONS
    )
    return (*actions, typing(Place.STAND.called))


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


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of a practice."""
    add = parser.add_argument
    add("--deck", metavar="NAME|FILE", help="the deck to practise")
    add("--plain", action="store_true", help="plain lines instead of screens")
    add("--json", action="store_true", help="with --plain: one object of JSON a line")
    add("--prompts", type=_count, metavar="N", help="prompts in this practice; 0 for no end")
    add("--minutes", type=_minutes, metavar="N", help="minutes to its end; 0 for no limit")
    add("--new-keys", type=_keys, metavar="N|all", help="new keys in this practice at most")
    add("--new-cells", type=_count, metavar="N", help="new cells in this practice at most")
    add(
        "--ask",
        metavar="KINDS",
        help="kinds of prompt: next,degree,run,ear,time,key,which-degree,concert,written,"
        "signature,different,chord; time alone plays in time, play answers on the horn",
    )
    add(
        "--again",
        action=argparse.BooleanOptionalAction,
        help="copy a missed cell before going on (else as the deck says)",
    )
    add(
        "--missed-again",
        action=argparse.BooleanOptionalAction,
        help="ask the missed cells once more at the end (else as the deck says)",
    )
    add(
        "--midi",
        nargs="?",
        const="",
        metavar="NAME",
        help="with --ask play: a MIDI instrument in place of the microphone",
    )
    add("--tempo", type=_tempo, metavar="N", help="in time: the tempo to begin at, 40 to 260")
    add("--eighths", action="store_true", help="in time: two notes to a beat")
    add("--letters", action="store_true", help="in time: letters alone, without accidentals")
    add("--tap", action="store_true", help="in time: any key on each note, time alone is judged")
    add("--click", type=_click, metavar="WHICH", help="in time: all, 2-and-4, gaps:2:2, growing:2")
    add(
        "--metre",
        type=_metre,
        metavar="M",
        help="in time: 3/4, 6/8, 7/8 ... (else as the deck says)",
    )
    add("--count-in", type=int, choices=(1, 2), help="in time: bars counted in")
    add("--mute", action="store_true", help="no sound")
    add("--ascii", action="store_true", help="draw with plain ASCII characters")
    add("--theme", metavar="NAME", help="dark, light, terminal or high-contrast")
    add("--color", metavar="WHEN", help="auto, always or never")
    add("--words", action="store_true", help="with --plain: notes in words, G sharp")
    add("--seed", type=int, metavar="N", help="decides among cells that are equally due")
    add_names(parser)
    add_once(parser)


def run(args: argparse.Namespace, tools: Tools) -> int:
    """One practice, in lines or on screens."""
    if args.json and not args.plain:
        raise UsageError("--json goes with --plain")
    asked = kinds(args.ask)
    loaded = settings_for(args, tools)
    if args.plain:
        return in_lines(args, loaded.settings, asked, tools)
    if dumb(tools.environment):
        tools.say("this terminal cannot draw screens (TERM=dumb): here is line mode")
        return in_lines(args, loaded.settings, asked, tools)
    if not (tools.source.isatty() and tools.err.isatty()):
        raise UsageError(
            "the screens need a terminal on standard input and standard error; "
            "over pipes use drill --plain (drill --help shows more)"
        )
    return on_screens(args, loaded, asked, tools)


def in_lines(
    args: argparse.Namespace, settings: Settings, asked: tuple[str, ...] | None, tools: Tools
) -> ExitCode:
    """One practice in plain lines."""
    from drill.lines.lines import Lines
    from drill.practice.sounding import BY_EAR, heard_kinds

    if settings.glyphs is Glyphs.ASCII:
        tools = tools.ascii_only()
    deck = deck_for(args, tools.house, args.deck)
    if deck is None:
        deck = first_deck(tools, settings, ask=not args.json)
        settings = settings_for(args, tools).settings
    room = tools.house.room(settings.names, tools.now())
    for notice in (*room.notices, room.clock(tools.now())):
        if notice:
            tools.say(notice)
    player = player_for(settings, tools)
    with contextlib.closing(room.store), contextlib.closing(player):
        player.warm()
        seed = args.seed if args.seed is not None else fresh_seed()
        plan = deck_plan(deck, tools.now(), settings, asked)
        plan = replace(plan, kinds=heard_kinds(plan.kinds, silent=player.muted))
        if player.muted and set(plan.kinds) <= set(BY_EAR):
            tools.say("the sound is off, and this is asked by ear: type mute to turn it on")
        if set(plan.kinds) == {Kind.TIME}:
            desk = time_desk_for(args, settings, room, deck, plan, seed)
            lines_in_time(args, settings, tools, room, desk, player)
            return ExitCode.OK
        making = Lines
        if PLAYED in plan.kinds:
            from drill.lines.onhorn import HornLines

            making = HornLines
        syllabus = room.syllabus(deck, plan.kinds)
        if (walk := getattr(args, "walk", None)) is not None:
            from drill.practice.introduction import introduction
            from drill.practice.walk import walk_plan, wanted_run

            plan = walk_plan(plan, wanted_run(syllabus, introduction(syllabus), walk))
        lines = making(
            room,
            room.desk(syllabus, plan, seed, new_id),
            tools.source,
            tools.out,
            tools.say,
            player,
            tools.now,
            monotonic,
            json=args.json,
            words=settings.words,
            volume=settings.volume,
            a4=settings.a4,
            hold=settings.hold,
        )
        if making is not Lines:
            _on_horn(lines, settings, args.midi)
        else:
            lines.run()
        if Kind.TIME in plan.kinds and not args.json:
            tools.say(f"to play these runs in time: drill --plain --ask time --deck {deck.name}")
    return ExitCode.OK


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


def open_microphone() -> Source:
    """The microphone, open.  Raises SoundError where there is none."""
    from drill.sound.capture import Microphone

    return Microphone(monotonic)


def open_midi(name: str) -> Strokes:
    """A MIDI instrument by a part of its name; the first one for none.  Raises MidiError."""
    from drill.sound.midiport import MidiPort

    return MidiPort(name or None)


def _on_horn(lines: Lines, settings: Settings, midi: str | None) -> None:
    """A practice in lines whose cells are played; typed where there is no microphone."""
    from drill.lines.onhorn import HornLines
    from drill.practice.playing import Horn, Keys

    def sounding() -> bool:
        return lines.player.playing() is not None

    assert isinstance(lines, HornLines)
    syllabus = lines.desk.syllabus
    lines.horn = (
        Horn(open_microphone, syllabus, monotonic, sounding, settings.a4)
        if midi is None
        else Keys(partial(open_midi, midi), syllabus, monotonic)
    )
    lines.pause = sleep
    lines.run_on_horn()


def time_desk_for(
    args: argparse.Namespace, settings: Settings, room: Room, deck: Deck, plan: Plan, seed: int
) -> TimeDesk:
    """A place to practise in time, as the command line and the settings ask for it."""
    from drill.practice.time.course import time_desk, time_plan

    syllabus = room.syllabus(deck)
    return time_desk(
        room, syllabus, time_plan(plan, time_setting(args, settings), args.tempo), seed, new_id
    )


def time_setting(args: argparse.Namespace, settings: Settings) -> TimeSetting:
    """How bouts in time are set."""
    from drill.practice.time.bout import Setting

    return Setting(
        notes_per_beat=2 if args.eighths else None,
        letters=args.letters,
        tapped=args.tap,
        click=args.click,
        metre=args.metre,
        count_in_bars=args.count_in,
        volume=settings.volume,
        a4=settings.a4,
    )


def lines_in_time(
    args: argparse.Namespace,
    settings: Settings,
    tools: Tools,
    room: Room,
    desk: TimeDesk,
    player: Sounding,
) -> None:
    """One practice in time, in plain lines.  Raises UsageError where the input is no terminal."""
    from drill.lines.intime import TimeLines, stamped
    from drill.lines.tapping import ByMicrophone
    from drill.sound.capture import Microphone

    source = stamped(tools.source, monotonic, as_json=args.json)
    TimeLines(
        room,
        desk,
        source,
        tools.out,
        tools.say,
        player,
        tools.now,
        monotonic,
        ByMicrophone(tools.environment, monotonic, sleep, lambda: Microphone(monotonic)),
        json=args.json,
        words=settings.words,
    ).run()


def on_screens(
    args: argparse.Namespace, loaded: Loaded, asked: tuple[str, ...] | None, tools: Tools
) -> int:
    """The trainer, until the player leaves it; the screens' own exit code."""
    gc.disable()  # until the first screen stands: a start makes much and drops little
    from drill.commands.errands import Errands
    from drill.opening.desk_settings import Desk
    from drill.tui import context as tui
    from drill.tui.app import run as run_screens

    house = tools.house
    if loaded.settings.motion is Motion.REDUCED:
        os.environ.setdefault("TEXTUAL_ANIMATIONS", "none")
    # What is wrong with a deck is said before a screen is drawn.
    deck = deck_for(args, house, args.deck)

    def settings() -> Settings:
        return load(house.places, tools.environment, flags_of(args), Path(), known_actions).settings

    return int(
        run_screens(
            tui.Context(
                open_room=lambda: house.room(settings().names, tools.now()),
                make_player=lambda: player_for(settings(), tools),
                folders=house.deck_folders,
                wishes=lambda: wishes_of(settings(), asked),
                opened=house.opened,
                walk=getattr(args, "walk", None),
                utc_now=tools.now,
                monotonic=monotonic,
                new_id=new_id,
                seed=args.seed if args.seed is not None else fresh_seed(),
                log=house.places.log,
                deck=deck if deck is None or deck.path is None else deck.path,
                ask_first=deck is None and is_new(house, loaded.settings),
                names_here=names_here(tools.environment),
                first_deck=_first(house),
                in_time=tui.InTime(
                    args.tempo,
                    args.eighths,
                    args.letters,
                    args.tap,
                    args.click,
                    args.metre,
                    args.count_in,
                ),
                microphone=open_microphone,
                midi=None if args.midi is None else partial(open_midi, args.midi),
                errands=Errands(tools),
                settings=Desk(house.places, tools.environment, flags_of(args)),
            )
        )
    )


def _first(house: House) -> str:
    """The deck that Today stands on before anything was answered: one's own, where it is there."""
    own = house.places.decks / MY_PRACTICE
    return own.stem if own.exists() else FIRST_DECK


def is_new(house: House, settings: Settings) -> bool:
    """Whether nobody has practised or answered the first questions here."""
    named = settings.horn != NO_HORN or (house.places.decks / MY_PRACTICE).exists()
    return not (named or house.log.exists())


def wishes_of(settings: Settings, asked: tuple[str, ...] | None) -> Wishes:
    """What the screens follow of the settings."""
    from drill.tui.context import Wishes

    return Wishes(
        plan=lambda deck, now: deck_plan(deck, now, settings, asked),
        names=settings.names,
        glyphs=settings.glyphs,
        theme=settings.theme,
        color=settings.color,
        hold=settings.hold,
        sound=settings.sound,
        volume=settings.volume,
        a4=settings.a4,
        keymap={remap.action: ",".join(remap.keys) for remap in settings.keys},
    )


def _count(text: str) -> int:
    if text.isdecimal() and int(text) <= MOST_PROMPTS:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a number from 0 to {MOST_PROMPTS}")


def _keys(text: str) -> int:
    if text == "all":
        return 0
    if text.isdecimal() and int(text) <= MOST_KEYS:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a number from 0 to {MOST_KEYS}, nor all")


def _click(text: str) -> str:
    return _understood(text, read_click)


def _metre(text: str) -> str:
    return _understood(text, read_metre)


def _understood(text: str, read: Callable[[str], object]) -> str:
    try:
        read(text)
    except UsageError as error:
        raise argparse.ArgumentTypeError(str(error)) from None
    return text


def _tempo(text: str) -> float:
    with contextlib.suppress(ValueError):
        if 40 <= float(text) <= 260:
            return float(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a tempo from 40 to 260 beats a minute")


def _minutes(text: str) -> float:
    with contextlib.suppress(ValueError):
        if 0 <= float(text) <= MOST_MINUTES:
            return float(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a number from 0 to {MOST_MINUTES}")
