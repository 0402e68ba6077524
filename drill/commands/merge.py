"""``drill merge``: take in the answers of another machine."""

from __future__ import annotations

import argparse
from pathlib import Path

from drill.errors import ExitCode
from drill.memory.exchange import merge
from drill.opening.tools import Tools
from drill.shown import harmless
from drill.wording import logs

MOST_TOLD = 20
"""Rows left out that are told one by one."""

EXAMPLES = """\
examples:
  drill backup laptop.db          on the one machine
  drill merge laptop.db           on the other: the answers of both, each once
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The other log."""
    parser.add_argument("other", metavar="OTHER", help="an answer log or a backup of one")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Take in what is new and say how much it was; the other log stays as it is.

    A row that this program cannot have written is left out, with a line.  Raises StoreError.
    """
    with tools.log(written=True) as store:
        counts = merge(store, Path(args.other))
        total = store.count()
    shown = harmless(args.other)
    for line in counts.refused[:MOST_TOLD]:
        tools.say(logs.left_out(shown, line))
    if len(counts.refused) > MOST_TOLD:
        tools.say(logs.more_left_out(shown, len(counts.refused) - MOST_TOLD))
    tools.say(logs.merged(counts.added, counts.known, total, shown))
    return ExitCode.OK
