"""``drill log --check``: whether every row of the log is one that this program wrote."""

from __future__ import annotations

from typing import Any

from drill.errors import ExitCode
from drill.memory.exchange import set_aside
from drill.memory.repair import Checked, checked
from drill.opening.tools import Tools
from drill.shown import harmless
from drill.wording import logs

_MOST_TOLD = 20


def check(tools: Tools, *, repair: bool, as_json: bool) -> ExitCode:
    """Say what the log holds and what in it cannot be right; 65 where something stays so.

    ``repair`` sets that aside; ``as_json`` gives one object in place of lines.  Raises StoreError.
    """
    if not tools.house.log_there:
        tools.say(logs.NO_LOG)
        if as_json:
            tools.give(_object(Checked(0, 0, (), 0, 0)))
        return ExitCode.OK
    names: list[str] = []
    with tools.log(written=repair) as store:
        found = checked(store, tools.now())
        if not as_json:
            tools.out.writelines(f"{line}\n" for line in _lines(found))
        if repair and found.unfit and (kept := set_aside(store)):
            names = [harmless(each.name) for each in kept]
    if as_json:
        tools.give(_object(found, *names))
    elif names:
        whole, aside = names
        tools.out.write(logs.set_aside(aside, whole) + "\n")
    return ExitCode.BAD_DATA if found.unfit and not names else ExitCode.OK


def _object(found: Checked, whole: str | None = None, aside: str | None = None) -> dict[str, Any]:
    """The report as an object of JSON; after a repair with the names of the log as it was and of
    what was set aside."""
    return {
        "answers": found.answers,
        "cells": found.items,
        "cannot_be_right": [harmless(each) for each in found.unfit],
        "of_unknown_cells": found.orphans,
        "wrongly_dated": found.misdated,
        "set_aside": aside,
        "kept_as": whole,
    }


def _lines(found: Checked) -> list[str]:
    """The report, a line a fact."""
    lines = [logs.holds(found.answers, found.items)]
    if found.unfit:
        lines += map(logs.unfit, found.unfit[:_MOST_TOLD])
        if (more := len(found.unfit) - _MOST_TOLD) > 0:
            lines.append(logs.more_unfit(more))
        lines.append(logs.HOW_TO_REPAIR)
    else:
        lines.append(logs.SOUND)
    if found.orphans:
        lines.append(logs.orphans(found.orphans))
    if found.misdated:
        lines.append(logs.misdated(found.misdated))
    return lines
