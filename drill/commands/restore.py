"""``drill restore``: the answer log as it was in a backup."""

from __future__ import annotations

import argparse
from pathlib import Path

from drill.errors import ExitCode, UsageError
from drill.memory.exchange import restore
from drill.opening.tools import Tools
from drill.shown import harmless
from drill.wording import logs
from drill.wording.remedies import Remedy

EXAMPLES = """\
examples:
  drill restore answers-2030-06.db           asks first
  drill restore answers-2030-06.db --yes
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The backup."""
    parser.add_argument("file", metavar="FILE", help="a backup made by drill backup")
    parser.add_argument("--yes", action="store_true", help="do it without asking")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Put the backup in the log's place; the present log is kept beside it.

    Raises UsageError without consent, StoreError for what is no intact backup.
    """
    source = Path(args.file)
    shown = harmless(args.file)
    if not source.is_file():
        raise UsageError(logs.no_file(shown))
    with tools.log(written=True) as store:
        before = store.count()
        if before and not args.yes and not _agreed(before, shown, tools):
            tools.say(logs.UNCHANGED)
            return ExitCode.FAILURE
        kept = restore(store, source)
        after = store.count()
    tools.say(logs.restored(after, shown))
    if before:
        tools.say(logs.kept_aside(before, harmless(str(kept)), tools.do(Remedy.MERGE)))
    return ExitCode.OK


def _agreed(count: int, shown: str, tools: Tools) -> bool:
    """Asks on a terminal; raises UsageError elsewhere."""
    if not tools.source.isatty():
        raise UsageError(logs.SAY_YES)
    return tools.ask(logs.restore_asked(count, shown)).strip().casefold() in ("yes", "y")
