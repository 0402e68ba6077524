"""``drill log``: the answers, one a line; and whether the log is sound."""

from __future__ import annotations

import argparse
from typing import Any

from drill.commands.giving import picked
from drill.errors import ExitCode, UsageError
from drill.memory.items import Answer, Item
from drill.opening.tools import Tools
from drill.reports.widths import set_apart
from drill.shown import harmless
from drill.wording.logs import REPAIR_ALONE, answer_told

EXAMPLES = """\
examples:
  drill log
  drill log --json > answers.jsonl
  drill log --check               is the log sound?
  drill log --check --repair      what cannot be right is set aside
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """As text or as JSON, or its check."""
    parser.add_argument(
        "--json", action="store_true", help="one object of JSON a line; with --check one in all"
    )
    parser.add_argument("--check", action="store_true", help="look whether the log is sound")
    parser.add_argument(
        "--repair", action="store_true", help="with --check: set aside what cannot be right"
    )


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Every answer, oldest first; nothing where there is none.

    With ``--check`` a report, 65 where something cannot be right.  Raises UsageError, StoreError.
    """
    if args.repair and not args.check:
        raise UsageError(REPAIR_ALONE)
    if args.check:
        from drill.commands.log_check import check

        return check(tools, repair=args.repair, as_json=args.json)
    if not tools.house.log_there:
        return ExitCode.OK
    with tools.log() as store:
        items = store.items()
        for answer in store.answers():
            if args.json:
                tools.give(answer_object(answer, items.get(answer.item)))
            else:
                tools.out.write(_answer_line(answer, tools) + "\n")
    return ExitCode.OK


def answer_object(answer: Answer, item: Item | None) -> dict[str, Any]:
    """An answer as an object of JSON; instants are ISO 8601 in UTC."""
    tonic, scale, shape, place = (*answer.item.split(":"), "", "", "", "")[:4]
    return {
        "uuid": answer.uuid,
        "at": answer.at.isoformat(),
        **picked(answer, "day", deck="deck_name", fingerprint="deck", item="item"),
        "tonic": tonic,
        "scale": scale,
        "shape": item.shape if item else shape,
        "direction": shape.rpartition("/")[2],
        "degree": int(place) if place.removeprefix("-").isdecimal() else None,
        "help": answer.kind,
        **picked(answer, "typed", "right", "outcomes", "slip", "hypotheses", "seconds"),
        **picked(answer, "keystrokes", "again", "tempo"),
    }


def _answer_line(answer: Answer, tools: Tools) -> str:
    """Tab-separated: instant, right or not, item, kind, typed, slip.

    In a terminal what finds no room follows on a line that is set in.
    """
    told = (
        answer.at.isoformat(timespec="seconds"),
        answer_told(right=answer.right, again=answer.again),
        *map(harmless, (answer.item, str(answer.kind), answer.typed, answer.slip or "")),
    )
    if not tools.out.isatty():
        return "\t".join(told)
    return "\n".join(set_apart(filter(None, told), tools.columns))
