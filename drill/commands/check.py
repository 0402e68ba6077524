"""``drill check``: what is wrong with a deck file."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from drill.commands.giving import picked
from drill.decks.load import MOST_BYTES, load, load_bytes
from drill.decks.schema import Deck
from drill.errors import DataError, ExitCode, Fault, FaultsError
from drill.opening.tools import Tools
from drill.shown import counted, harmless

EXAMPLES = """\
examples:
  drill check my-deck.toml
  drill check decks/*.toml --json
  cat my-deck.toml | drill check -        standard input
"""

STDIN = "-"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The files."""
    parser.add_argument("files", nargs="+", metavar="FILE", help="deck files; - is standard input")
    parser.add_argument("--json", action="store_true", help="one object of JSON a file")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Read each file and name every fault of each, one a line; 65 when there is one."""
    code = ExitCode.OK
    for file in args.files:
        deck: Deck | None = None
        faults: tuple[Fault, ...] = ()
        try:
            deck = _load(file, tools)
            need_cells(deck, file, tools)
        except FaultsError as error:
            deck, faults, code = None, error.faults, ExitCode.BAD_DATA
        if args.json:
            tools.give(_object(file, deck, faults))
        elif deck is not None:
            past = "; its due date has passed" if deck.due and deck.due < tools.today else ""
            told = f"good; {deck.title}, {counted(_runs(deck), 'run')}{past}"
            tools.out.write(f"{harmless(file)}: {told}\n")
        else:
            tools.err.writelines(f"{fault}\n" for fault in faults)
    return code


def _load(file: str, tools: Tools) -> Deck:
    """Raises FaultsError."""
    if file != STDIN:
        return load(Path(file))
    source = getattr(tools.source, "buffer", None)
    if source is not None:
        return load_bytes(source.read(MOST_BYTES + 1), STDIN)
    return load_bytes(tools.source.read(MOST_BYTES + 1).encode(), STDIN)


def need_cells(deck: Deck, file: str, tools: Tools) -> None:
    """Raises FaultsError for a deck that has nothing to ask."""
    from drill.practice.syllabus import build

    try:
        build(deck)
    except DataError as error:
        raise FaultsError((Fault(harmless(file), 0, 0, harmless(str(error))),)) from None


def _runs(deck: Deck) -> int:
    return len(deck.patterns) * len(deck.keys) * len(deck.directions)


def _object(file: str, deck: Deck | None, faults: tuple[Fault, ...]) -> dict[str, Any]:
    return {
        "file": harmless(file),
        "good": deck is not None,
        "title": deck.title if deck else None,
        "runs": _runs(deck) if deck else None,
        "faults": [picked(fault, "line", "column", "message", "hint") for fault in faults],
    }
