"""One practice in plain lines: typed, played on the horn, or in time."""

from __future__ import annotations

import argparse
import contextlib
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from drill.clock import fresh_seed, monotonic, sleep
from drill.errors import ExitCode, UsageError
from drill.memory.kinds import PLAYED, Kind
from drill.opening.house import new_id
from drill.opening.once import deck_for
from drill.opening.plan import (
    deck_plan,
    first_deck,
    open_microphone,
    open_midi,
    player_for,
    setting_of,
    settings_for,
)
from drill.opening.tools import Tools
from drill.settings.values import GlyphChoice, Settings
from drill.wording.linemode import in_time_hint
from drill.wording.options import goes_with, not_in_time
from drill.wording.soundwords import MUTED_BY_EAR

if TYPE_CHECKING:
    from drill.decks.schema import Deck
    from drill.lines.lines import Lines
    from drill.practice.course import Plan
    from drill.practice.room import Room
    from drill.sound.sounding import Sounding


def in_lines(
    args: argparse.Namespace, settings: Settings, asked: tuple[str, ...] | None, tools: Tools
) -> ExitCode:
    """One practice in plain lines.  Raises UsageError for an option that does nothing there."""
    from drill.practice.sounding import BY_EAR, heard_kinds

    if settings.glyphs is GlyphChoice.ASCII:
        tools = tools.ascii_only()
    deck = deck_for(args, tools.house, args.deck)
    if deck is None:
        deck = first_deck(tools, settings, ask=not args.json)
        settings = settings_for(args, tools).settings
    plan = deck_plan(deck, tools.now(), settings, asked)
    player = player_for(settings, tools)
    plan = replace(plan, kinds=heard_kinds(plan.kinds, silent=player.muted))
    _usable(args, plan.kinds)
    room = tools.house.room(settings.names, tools.now())
    for notice in filter(None, (*room.notices, room.clock(tools.now()))):
        tools.say(notice)
    with contextlib.closing(room.store), contextlib.closing(player):
        player.warm()
        if args.json and player.muted and set(plan.kinds) <= set(BY_EAR):
            tools.say(MUTED_BY_EAR)
        begun = _InLines(args, settings, tools, room, deck, plan, player)
        if set(plan.kinds) == {Kind.TIME}:
            _in_time(begun)
            return ExitCode.OK
        _prompts(begun)
        if Kind.TIME in plan.kinds and not args.json:
            tools.say(in_time_hint(args.deck))
    return ExitCode.OK


_IN_TIME = ("tempo", "eighths", "letters", "tap", "click", "metre", "count_in")
_TYPED = ("again", "missed_again")


def _usable(args: argparse.Namespace, kinds: tuple[str, ...]) -> None:
    """Make sure that each option does something with prompts of these kinds."""
    if args.midi is not None and PLAYED not in kinds:
        raise UsageError(goes_with("--midi", "--ask play"))
    in_time = set(kinds) == {Kind.TIME}
    for name in _TYPED if in_time else _IN_TIME:
        value = getattr(args, name)
        if value is None or (value is False and not in_time):
            continue
        option = f"--{'no-' if value is False else ''}{name.replace('_', '-')}"
        raise UsageError(not_in_time(option) if in_time else goes_with(option, "--ask time"))


@dataclass(frozen=True, slots=True)
class _InLines:
    """A practice in lines whose log and sound are open."""

    args: argparse.Namespace
    settings: Settings
    tools: Tools
    room: Room
    deck: Deck
    plan: Plan
    player: Sounding

    @property
    def seed(self) -> int:
        return self.args.seed if self.args.seed is not None else fresh_seed()


def _prompts(begun: _InLines) -> None:
    """Cell after cell, typed or played."""
    from drill.lines.lines import Lines

    making, played = Lines, PLAYED in begun.plan.kinds
    if played:  # the ear is loaded for those who play
        from drill.lines.onhorn import HornLines

        making = HornLines
    args, settings, tools, plan = begun.args, begun.settings, begun.tools, begun.plan
    syllabus = begun.room.syllabus(begun.deck, plan.kinds)
    if (walk := getattr(args, "walk", None)) is not None:
        from drill.practice.introduction import introduction
        from drill.practice.walk import walk_plan, wanted_run

        plan = walk_plan(plan, wanted_run(syllabus, introduction(syllabus), walk))
    desk = begun.room.desk(syllabus, plan, begun.seed, new_id)
    lines = making(
        begun.room, desk, tools.source, tools.out, tools.say, begun.player, tools.now, monotonic,
        json=args.json, words=settings.words, volume=settings.volume, a4=settings.a4,
        hold=settings.hold,
    )  # fmt: skip
    if played:
        _listening(lines, settings, args.midi)
    lines.run()


def _listening(lines: Lines, settings: Settings, midi: str | None) -> None:
    """What lines whose cells are played listen to."""
    from drill.lines.onhorn import HornLines
    from drill.practice.playing import Horn, Keys

    assert isinstance(lines, HornLines)
    syllabus = lines.desk.syllabus
    lines.horn = (
        Horn(
            open_microphone,
            syllabus,
            monotonic,
            lambda: lines.player.playing() is not None,
            settings.a4,
        )
        if midi is None
        else Keys(partial(open_midi, midi), syllabus, monotonic)
    )
    lines.pause = sleep


def _in_time(begun: _InLines) -> None:
    """Bout after bout.  Raises UsageError where the input is no terminal."""
    from drill.lines.intime import TimeLines
    from drill.lines.stamping import stamped
    from drill.lines.tapping import ByMicrophone
    from drill.practice.time.course import time_desk, time_plan
    from drill.sound.capture import Microphone

    args, settings, tools, room = begun.args, begun.settings, begun.tools, begun.room
    plan = time_plan(begun.plan, setting_of(args, settings), args.tempo)
    TimeLines(
        room, time_desk(room, room.syllabus(begun.deck), plan, begun.seed, new_id),
        stamped(tools.source, monotonic, as_json=args.json), tools.out, tools.say, begun.player,
        tools.now, monotonic,
        ByMicrophone(tools.environment, monotonic, sleep, lambda: Microphone(monotonic)),
        json=args.json, words=settings.words,
    ).run()  # fmt: skip
