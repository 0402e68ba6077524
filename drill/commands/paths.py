"""``drill paths``: the folders and files in use."""

from __future__ import annotations

import argparse

from drill.commands.tools import Tools
from drill.errors import ExitCode


def arguments(parser: argparse.ArgumentParser) -> None:
    """None."""
    del parser


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Each place by name; nothing is made."""
    del args
    house = tools.house
    rows = {
        "answers": house.log,
        "decks": house.places.decks,
        "shipped decks": house.deck_folders[-1],
        "settings": house.places.settings,
        "cache": house.places.cache,
        "error reports": house.places.log,
    }
    for name, path in rows.items():
        tools.out.write(f"{name + ':':<15}{path}\n")
    return ExitCode.OK
