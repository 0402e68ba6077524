"""``drill config``: the settings shown with where each came from, and changed one by one."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from drill.commands.giving import picked
from drill.errors import ExitCode, Fault
from drill.settings.describe import SettingRow, describe
from drill.settings.keymap import KnownAction
from drill.settings.load import Loaded, load
from drill.settings.write import write_setting
from drill.shown import harmless

if TYPE_CHECKING:
    from drill.opening.tools import Tools

EXAMPLES = """\
examples:
  drill config                          every setting
  drill config show --origin            with where each came from
  drill config set names german
  drill config set keys.mute f2
  drill config path                     the file, to edit it by hand
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """``show``, ``set`` and ``path``; ``show`` without any."""
    parser.set_defaults(config="show", origin=False, json=False)
    verbs = parser.add_subparsers(dest="config", metavar="show|set|path")
    showing = verbs.add_parser("show", help="every setting")
    showing.add_argument("--origin", action="store_true", help="with where each came from")
    showing.add_argument("--json", action="store_true", help="as JSON")
    setting = verbs.add_parser("set", help="change one in your settings file")
    setting.add_argument("name", metavar="NAME", help="such as names, or keys.ACTION")
    setting.add_argument("value", metavar="VALUE", help="such as german")
    verbs.add_parser("path", help="where your settings file is")


def run(
    args: argparse.Namespace, tools: Tools, known: Sequence[KnownAction] | None = None
) -> ExitCode:
    """Whichever of the three was asked for; ``known`` None takes the screens' own actions.

    Raises UsageError, FaultsError or DrillError for what cannot be set.
    """
    if known is None:
        from drill.tui.desk_settings import known_actions

        known = known_actions()
    places = tools.house.places
    match args.config:
        case "set":
            write_setting(places.settings, args.name, args.value, known)
        case "path":
            tools.out.write(f"{places.settings}\n")
        case _:
            loaded = load(places, tools.environment, {}, Path(), known)
            show(loaded, tools.out, tools.err, origin=args.origin, as_json=args.json)
    return ExitCode.OK


def show(
    loaded: Loaded, out: TextIO, err: TextIO, *, origin: bool = False, as_json: bool = False
) -> None:
    """Every setting, a line each; mistakes go to ``err``, a line each, and are no failure.

    As JSON one object, always with the origins, and with the mistakes in it as well.
    """
    rows = describe(loaded.settings, loaded.origins)
    if as_json:
        said = {"settings": list(map(_row, rows)), "faults": list(map(_fault, loaded.faults))}
        out.write(json.dumps(said, ensure_ascii=False) + "\n")
    else:
        names = max(len(row.name) for row in rows)
        values = max(len(row.shown) for row in rows)
        for row in rows:
            line = f"{row.name:<{names}}  {row.shown or '-':<{values if origin else 0}}"
            out.write((f"{line}  {row.origin}" if origin else line).rstrip() + "\n")
    for fault in loaded.faults:
        err.write(f"drill: {fault}\n")


def _row(row: SettingRow) -> dict[str, object]:
    made = picked(row, "name", "value", origin="origin.level.value")
    return {**made, "place": row.origin.place or None}


def _fault(fault: Fault) -> dict[str, object]:
    made = picked(fault, "line", "column", "message", "hint")
    return {"file": harmless(fault.file), **made}
