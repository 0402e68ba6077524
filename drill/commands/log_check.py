"""``drill log --check``: whether every row of the log is one that this program wrote."""

from __future__ import annotations

from drill.errors import ExitCode
from drill.memory.exchange import set_aside
from drill.memory.repair import Checked, checked
from drill.opening.tools import Tools
from drill.shown import harmless

_MOST_TOLD = 20


def check(tools: Tools, *, repair: bool) -> ExitCode:
    """Say what the log holds and what in it cannot be right; 65 where something stays so.

    ``repair`` sets that aside.  Raises StoreError.
    """
    house = tools.house
    if not house.log_there:
        tools.say("there is no answer log yet")
        return ExitCode.OK
    with house.store() if repair else house.reading() as store:
        for notice in store.notices:
            tools.say(notice)
        found = checked(store, tools.now())
        for line in _lines(found):
            tools.out.write(f"{line}\n")
        if not repair or not found.unfit:
            return ExitCode.BAD_DATA if found.unfit else ExitCode.OK
        kept = set_aside(store)
    assert kept is not None  # something unfit was found
    whole, aside = (harmless(each.name) for each in kept)
    tools.out.write(f"set aside as {aside}; the log as it was is kept as {whole}\n")
    return ExitCode.OK


def _lines(found: Checked) -> list[str]:
    """The report, a line a fact."""
    lines = [f"{_count(found.answers, 'answer')}, {_count(found.items, 'cell')}"]
    if found.unfit:
        lines += [f"cannot be right: {line}" for line in found.unfit[:_MOST_TOLD]]
        if (more := len(found.unfit) - _MOST_TOLD) > 0:
            lines.append(f"cannot be right: {more} more")
        lines.append("drill log --check --repair sets them aside")
    else:
        lines.append("every row is whole and within its bounds")
    if found.orphans:
        lines.append(
            f"{_count(found.orphans, 'answer')} to cells that the log does not know: kept, and "
            "left out of reports"
        )
    if found.misdated:
        lines.append(
            f"{_count(found.misdated, 'answer')} given with a wrong clock: kept, and without a "
            "date where one is needed"
        )
    return lines


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
