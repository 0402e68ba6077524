"""``drill list``: the horns, patterns, scales, chords and orders that can be named."""

from __future__ import annotations

import argparse

from drill.commands.giving import picked
from drill.errors import ExitCode
from drill.opening.listing import Listed, found, lines
from drill.opening.tools import Tools

EXAMPLES = """\
examples:
  drill list horns                  every horn, its id first
  drill list horns clarinet         those with the word clarinet
  drill list scales minor
  drill list chords 7b9 --json
  drill list orders progression     the progressions that have a name
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """What is listed, a word to look for, and the form."""
    kinds = [each.value for each in Listed]
    parser.add_argument("what", metavar="WHAT", choices=kinds, help=", ".join(kinds))
    parser.add_argument("word", nargs="*", metavar="WORD", help="only rows with these words")
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Print the rows found; 1 with a message where there are none."""
    word = " ".join(args.word)
    shown = found(Listed(args.what), word)
    if args.json:
        names = ("id", "name", "what", "kind", "aliases")
        tools.give({args.what: [picked(row, *names) for row in shown]})
    else:
        tools.out.writelines(f"{line}\n" for line in lines(shown))
    if not shown:
        tools.say(f"no {args.what} with the word {word!r}: drill list {args.what} shows all")
        return ExitCode.FAILURE
    return ExitCode.OK
