"""Whether a computer's clock can be right: it is held against the log and this version."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from drill.memory.items import aware

MADE = datetime(2026, 1, 1, tzinfo=UTC)
"""The year of this version: no clock that is right stands before it."""
ALLOWANCE = timedelta(hours=1)
"""So far two computers that share a log may differ without a word."""


@dataclass(frozen=True, slots=True)
class ClockFault:
    """A clock that cannot be right."""

    now: datetime
    """What it says."""
    newest: datetime | None
    """The newest answer, which was given later; None: it stands before this version's own date."""


def clock_fault(now: datetime, newest: datetime | None) -> ClockFault | None:
    """What is wrong with a clock that says ``now``; ``newest`` is the latest date in the log,
    None for an empty one.  None where nothing is."""
    now = aware(now)
    if newest is not None and now + ALLOWANCE < newest:
        return ClockFault(now, newest)
    return ClockFault(now, None) if now < MADE else None
