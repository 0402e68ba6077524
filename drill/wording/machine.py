"""What is said of the machine: its streams, its clock and its time zone."""

from __future__ import annotations

NO_BYTES = "bytes are not written to a terminal: name a file, or pipe them on"


def stdout_closed(fault: OSError) -> str:
    """Standard output takes nothing."""
    return f"standard output cannot be written: {fault.strerror}"


def no_zone(named: str) -> str:
    """A time zone of the environment that the system does not know."""
    return f"the time zone {named!r} (TZ) cannot be used: name one such as Europe/Berlin, or none"


def clock_wrong(day: str) -> str:
    """A clock that no date can be reckoned with."""
    return f"this computer's clock says {day}: set it right"


def program_says(text: str) -> str:
    """A message as it stands on the terminal."""
    return f"drill: {text}"
