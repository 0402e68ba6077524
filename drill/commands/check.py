"""``drill check``: what is wrong with a deck file."""

from __future__ import annotations

import argparse
from pathlib import Path

from drill.commands.tools import Tools
from drill.decks.load import load
from drill.errors import ExitCode, FaultsError


def arguments(parser: argparse.ArgumentParser) -> None:
    """The files."""
    parser.add_argument("files", nargs="+", metavar="FILE", help="deck files")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Read each file and name every fault of each, one a line; 65 when there is one."""
    code = ExitCode.OK
    for file in args.files:
        try:
            deck = load(Path(file))
        except FaultsError as error:
            tools.err.write(f"{error}\n")
            code = ExitCode.BAD_DATA
        else:
            count = len(deck.patterns) * len(deck.keys) * len(deck.directions)
            tools.out.write(f"{file}: good; {deck.title}, {count} run{'' if count == 1 else 's'}\n")
    return code
