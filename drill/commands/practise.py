"""``drill`` itself: a practice in lines or on screens."""

from __future__ import annotations

import argparse
import contextlib
from dataclasses import replace

from drill.clock import fresh_seed, monotonic
from drill.commands.opening import new_id
from drill.commands.options import add_names, language_of
from drill.commands.tools import Tools
from drill.errors import ExitCode, UsageError
from drill.marking.back import Back
from drill.memory.items import Kind
from drill.practice.machine import Plan, plan_for
from drill.sound.player import Player, SilentPlayer, Sounding

MOST_PROMPTS = 100_000
MOST_MINUTES = 600
FIRST_DECK = "major-returning-cells"
"""The deck of a practice in lines where none is named."""


def kinds(text: str | None) -> tuple[str, ...] | None:
    """The kinds of prompt in a list such as ``next,degree,key``; None for None.

    Raises UsageError for a word that is none.
    """
    if text is None:
        return None
    known = [*(kind.value for kind in Kind), *(back.value for back in Back)]
    found = tuple(word.strip() for word in text.split(","))
    for word in found:
        if word not in known:
            raise UsageError(f"{word!r} is no kind of prompt: {', '.join(known)}")
    return found


def with_wishes(plan: Plan, args: argparse.Namespace) -> Plan:
    """The plan with the command line's wishes in the place of the deck's."""
    if args.prompts is not None:
        plan = replace(plan, prompts=args.prompts or None)
    if args.minutes is not None:
        plan = replace(plan, minutes=args.minutes or None)
    if (asked := kinds(args.ask)) is not None:
        plan = replace(plan, kinds=asked)
    if args.again is not None:
        plan = replace(plan, again=args.again)
    if args.missed_again is not None:
        plan = replace(plan, missed_again=args.missed_again)
    return plan


def player_for(args: argparse.Namespace) -> Sounding:
    """The sound of a practice: none where it is muted from the start."""
    return SilentPlayer(muted=True) if args.mute else Player(monotonic)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of a practice."""
    add = parser.add_argument
    add("--deck", metavar="NAME|FILE", help="the deck to practise")
    add("--plain", action="store_true", help="plain lines instead of screens")
    add("--json", action="store_true", help="with --plain: one object of JSON a line")
    add("--prompts", type=_count, metavar="N", help="prompts in this practice; 0 for no end")
    add("--minutes", type=_minutes, metavar="N", help="its length in minutes; 0 for no limit")
    add(
        "--ask",
        metavar="KINDS",
        help="kinds of prompt: next,degree,run,ear,key,which-degree,concert,written,signature",
    )
    add(
        "--again",
        action=argparse.BooleanOptionalAction,
        help="type a missed cell once more before going on (else as the deck says)",
    )
    add(
        "--missed-again",
        action=argparse.BooleanOptionalAction,
        help="ask the missed cells once more at the end (else as the deck says)",
    )
    add("--mute", action="store_true", help="no sound")
    add("--words", action="store_true", help="with --plain: notes in words, G sharp")
    add("--seed", type=int, metavar="N", help="decides among cells that are equally due")
    add_names(parser)


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """One practice, in lines or on screens."""
    if args.json and not args.plain:
        raise UsageError("--json goes with --plain")
    return in_lines(args, tools)


def in_lines(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """One practice in plain lines."""
    from drill.plain import Lines

    deck = tools.house.deck(args.deck or FIRST_DECK)
    room = tools.house.room(language_of(args))
    for notice in room.notices:
        tools.say(notice)
    player = player_for(args)
    with contextlib.closing(room.store), contextlib.closing(player):
        player.warm()
        seed = args.seed if args.seed is not None else fresh_seed()
        plan = with_wishes(plan_for(deck, tools.now()), args)
        Lines(
            room,
            room.desk(room.syllabus(deck, plan.kinds), plan, seed, new_id),
            tools.source,
            tools.out,
            tools.say,
            player,
            tools.now,
            monotonic,
            json=args.json,
            words=args.words,
        ).run()
    return ExitCode.OK


def _count(text: str) -> int:
    if text.isdecimal() and int(text) <= MOST_PROMPTS:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a number from 0 to {MOST_PROMPTS}")


def _minutes(text: str) -> float:
    with contextlib.suppress(ValueError):
        if 0 <= float(text) <= MOST_MINUTES:
            return float(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a number from 0 to {MOST_MINUTES}")
