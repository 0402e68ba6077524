"""``drill paths``: the folders and files in use."""

from __future__ import annotations

import argparse

from drill.errors import ExitCode
from drill.opening.tools import Tools

EXAMPLES = """\
examples:
  drill paths
  DRILL_HOME=/tmp/try drill paths         all of them in one folder
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """As text or as JSON."""
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Each place by name; nothing is made."""
    house = tools.house
    rows = {
        "answers": house.log,
        "decks": house.places.decks,
        "shipped decks": house.deck_folders[-1],
        "settings": house.places.settings,
        "cache": house.places.cache,
        "error reports": house.places.log,
    }
    if args.json:
        tools.give({name: str(path) for name, path in rows.items()})
        return ExitCode.OK
    for name, path in rows.items():
        tools.out.write(f"{name + ':':<15}{path}\n")
    return ExitCode.OK
