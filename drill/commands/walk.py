"""``drill walk``: a run with the page, with half of it, and without."""

from __future__ import annotations

import argparse

from drill.commands import practise
from drill.errors import ExitCode
from drill.opening.inlines import in_lines
from drill.opening.plan import first_deck, settings_for
from drill.opening.tools import Tools
from drill.settings.at_hand import dumb

EXAMPLES = """\
examples:
  drill walk                                   the first run of your deck
  drill walk --key Bb --pattern 1-2-3-1 --down
  drill walk --deck thirds --key Eb
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Which run."""
    add = parser.add_argument
    add("--deck", metavar="NAME|FILE", help="the deck that has the run")
    add("--key", metavar="TONIC", help="its written key, as Bb")
    add("--pattern", metavar="ID|CELL", help="its pattern, as 1-2-3-1 or return3")
    add("--down", action="store_true", help="the way down")
    add("--json", action="store_true", help="one object of JSON a line")
    add("--words", action="store_true", help="in lines: notes in words, G sharp")
    add("--mute", action="store_true", help="no sound")
    add("--plain", action="store_true", help="plain lines instead of screens")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode | int:
    """Walk it, in lines or on screens.  Raises UsageError where the deck has no such run,
    TheoryError where the key is no name of a note."""
    from drill.practice.walk import WantedRun
    from drill.terms import Direction
    from drill.theory.spelling import parse_name

    whole = argparse.ArgumentParser()
    practise.arguments(whole)
    made = whole.parse_args([], argparse.Namespace(**vars(args)))
    direction = Direction.DOWN if args.down else Direction.UP
    key = None if args.key is None else str(parse_name(args.key))
    made.walk = WantedRun(key=key, pattern=args.pattern, direction=direction)
    seen = tools.source.isatty() and tools.err.isatty() and not dumb(tools.environment)
    lines = args.plain or args.json or not seen
    if args.words and not lines:
        raise practise.needs_lines("--words")
    loaded = settings_for(made, tools)
    if lines:
        return in_lines(made, loaded.settings, None, tools)
    made.deck = made.deck or first_deck(tools, loaded.settings).name
    from drill.commands.errands import CommandErrands
    from drill.opening.onscreens import on_screens

    return on_screens(made, loaded, None, tools, CommandErrands(tools))
