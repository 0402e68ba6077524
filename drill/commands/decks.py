"""``drill decks``: the decks that can be practised."""

from __future__ import annotations

import argparse
from typing import Any

from drill.commands.giving import picked
from drill.decks.schema import Deck
from drill.errors import ExitCode
from drill.opening.tools import Tools

EXAMPLES = """\
examples:
  drill decks
  drill decks --json
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """As text or as JSON."""
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Every deck with its title and horn; files that cannot be read are named apart."""
    good, bad = tools.house.decks()
    if args.json:
        tools.give({"decks": [_deck_object(deck) for deck in good]})
    else:
        width = max((len(deck.name) for deck in good), default=0)
        for deck in good:
            tools.out.write(f"{deck.name:<{width}}  {deck.title} ({deck.horn.name})\n")
    for error in bad:
        tools.err.write(f"{error}\n")
    return ExitCode.BAD_DATA if bad else ExitCode.OK


def _deck_object(deck: Deck) -> dict[str, Any]:
    return {
        **picked(deck, "name", "title"),
        "file": str(deck.path),
        "instrument": deck.instrument,
        "patterns": [pattern.id for pattern in deck.patterns],
        "scales": deck.scales,
        "keys": list(map(str, deck.keys)),
        **picked(deck, "directions", "span", "fingerprint"),
    }
