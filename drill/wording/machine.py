"""What is said of the machine: its streams, its clock and its time zone."""

from __future__ import annotations

NO_BYTES = "bytes are not written to a terminal: name a file, or pipe them on"


def stdout_closed(fault: OSError) -> str:
    """Standard output takes nothing."""
    return f"standard output cannot be written: {fault.strerror}"


no_zone = "the time zone {!r} (TZ) cannot be used: name one such as Europe/Berlin, or none".format
"""A time zone of the environment that the system does not know."""
clock_wrong = "this computer's clock says {}: set it right".format
"""A clock that no date can be reckoned with."""
program_says = "drill: {}".format
"""A message as it stands on the terminal."""
