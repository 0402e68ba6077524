"""The one place where time and chance enter; everything else is handed them."""

from __future__ import annotations

import random
import time
from datetime import UTC, datetime


def utc_now() -> datetime:
    """The present instant in UTC, with microseconds."""
    return datetime.now(UTC)


def monotonic() -> float:
    """Seconds on a clock that is never set back; only differences mean anything."""
    return time.monotonic()


def sleep(seconds: float) -> None:
    """Wait; 0 or less does not."""
    time.sleep(max(0.0, seconds))


def fresh_seed() -> int:
    """A seed from the system's own randomness, 0 to 2**32 - 1."""
    return random.SystemRandom().randrange(2**32)
