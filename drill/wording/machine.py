"""What is said of the machine: its streams, its clock and its time zone."""

from __future__ import annotations

from datetime import datetime, tzinfo
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drill.memory.dates import ClockFault

NO_BYTES = "bytes are not written to a terminal: name a file, or pipe them on"


def stdout_closed(fault: OSError) -> str:
    """Standard output takes nothing."""
    return f"standard output cannot be written: {fault.strerror}"


no_zone = "the time zone {!r} (TZ) cannot be used: name one such as Europe/Berlin, or none".format
"""A time zone of the environment that the system does not know."""
_SAYS, _SET = "this computer's clock says {}", "set it right"
clock_wrong = f"{_SAYS}: {_SET}".format
"""A clock that no date can be reckoned with."""
program_says = "drill: {}".format
"""A message as it stands on the terminal."""


def clock_words(fault: ClockFault, zone: tzinfo | None = None) -> str:
    """A clock that cannot be right, in one line; days and hours are those of ``zone`` (None: the
    system's own)."""
    from drill.memory.dates import MADE  # every command loads this module

    says = _SAYS.format(_minute(fault.now, zone))
    if fault.newest is None:
        return f"{says}, and this version was not made before {MADE.year}: {_SET}"
    newest = _minute(fault.newest, zone)
    return f"{says}, your newest answer is of {newest}: if the clock is wrong, {_SET}"


def _minute(at: datetime, zone: tzinfo | None) -> str:
    return at.astimezone(zone).strftime("%Y-%m-%d %H:%M")
