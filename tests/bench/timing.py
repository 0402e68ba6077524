"""How long a piece of work takes on the clock, over several goes."""

from __future__ import annotations

import time
from collections.abc import Callable


def timed(work: Callable[[], object], times: int) -> list[float]:
    """Seconds of each of so many goes."""
    spent = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        spent.append(time.perf_counter() - begun)
    return spent
