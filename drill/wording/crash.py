"""What is said of an error in the program itself."""

from __future__ import annotations

from drill.wording.screens import KEPT


def crash_told(kind: str, report: object) -> str:
    """What the player reads; ``report`` is the file with the trace, None where there is none."""
    where = (
        f"The whole trace is in {report}; please send it with your report."
        if report
        else "No report could be written: see drill paths."
    )
    return f"drill: an error in the program ended it ({kind}). {KEPT}\n{where}"


def versions_told(program: str, python: str, system: str) -> str:
    """The first line of a report."""
    return f"drill {program}, Python {python}, {system}"
