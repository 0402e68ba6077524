"""``drill backup``: the whole answer log in one file."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from drill.errors import ExitCode, TakenError, UsageError
from drill.memory.exchange import backup
from drill.opening.tools import Tools
from drill.shown import harmless
from drill.wording import logs
from drill.wording.remedies import Remedy

EXAMPLES = """\
examples:
  drill backup answers-2030-06.db
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The file."""
    parser.add_argument("file", metavar="FILE", help="a file that does not exist yet")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Copy the log, safe while a practice runs.  Raises UsageError, StoreError."""
    if not tools.house.log_there:
        raise UsageError(logs.NO_ANSWERS)
    with tools.log() as store:
        count = store.count()
        if os.path.lexists(args.file):
            raise TakenError(logs.backup_there(harmless(args.file)), Path(args.file))
        path = backup(store, Path(args.file))
    back = tools.do(Remedy.RESTORE).format(harmless(path.name))
    tools.say(logs.backed_up(count, harmless(str(path)), back))
    return ExitCode.OK
