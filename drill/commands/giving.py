"""How a command gives a report: as text in the terminal's columns, or as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drill.opening.tools import Tools

if TYPE_CHECKING:
    from drill.reports.report import Report


def give(report: Report, tools: Tools, *, as_json: bool) -> None:
    """Print the report on standard output."""
    if as_json:
        from drill.reports.data import json_lines

        tools.out.writelines(json_lines(report))
        return
    from drill.reports.text import text

    tools.out.write(text(report, tools.columns))
