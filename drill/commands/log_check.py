"""``drill log --check``: whether every row of the log is one that this program wrote."""

from __future__ import annotations

from drill.errors import ExitCode
from drill.memory.exchange import set_aside
from drill.memory.repair import Checked, checked
from drill.opening.tools import Tools
from drill.shown import harmless
from drill.wording import logs

_MOST_TOLD = 20


def check(tools: Tools, *, repair: bool) -> ExitCode:
    """Say what the log holds and what in it cannot be right; 65 where something stays so.

    ``repair`` sets that aside.  Raises StoreError.
    """
    if not tools.house.log_there:
        tools.say(logs.NO_LOG)
        return ExitCode.OK
    with tools.log(written=repair) as store:
        found = checked(store, tools.now())
        for line in _lines(found):
            tools.out.write(f"{line}\n")
        if not repair or not found.unfit:
            return ExitCode.BAD_DATA if found.unfit else ExitCode.OK
        kept = set_aside(store)
    assert kept is not None  # something unfit was found
    whole, aside = (harmless(each.name) for each in kept)
    tools.out.write(logs.set_aside(aside, whole) + "\n")
    return ExitCode.OK


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
