"""What is said of dates and of the computer's clock."""

from __future__ import annotations

from datetime import datetime, tzinfo

from drill.memory.dates import MADE, ClockFault


def clock_words(fault: ClockFault, zone: tzinfo | None = None) -> str:
    """A clock that cannot be right, in one line; days and hours are those of ``zone`` (None: the
    system's own)."""
    says = f"this computer's clock says {_minute(fault.now, zone)}"
    if fault.newest is None:
        return f"{says}, and this version was not made before {MADE.year}: set it right"
    return (
        f"{says}, your newest answer is of {_minute(fault.newest, zone)}: if the clock is wrong, "
        "set it right"
    )


def _minute(at: datetime, zone: tzinfo | None) -> str:
    return at.astimezone(zone).strftime("%Y-%m-%d %H:%M")
