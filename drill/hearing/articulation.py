"""Slurred or tongued, judged by passage: articulations return with the cell.

One note's dip in level tells little in a room; the same place of eight cells tells it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

import numpy as np

from drill.hearing.path import HeardSound

STRUCK_DB = 4.0
"""A dip so deep between two notes is a tongue stroke."""
PASSAGE = 8
"""Times a place returns that are judged together."""
_DEEPEST_DB = 12.0


def slurred(answers: Mapping[int, HeardSound], group: int) -> dict[int, bool]:
    """For each note of the line that was heard, but its first, whether it was slurred to."""
    period = group if group > 2 else 4
    passages: dict[tuple[int, int], list[int]] = defaultdict(list)
    for place in answers:
        passages[place % period, place // (PASSAGE * period)].append(place)
    found: dict[int, bool] = {}
    for places in passages.values():
        dips = [
            min(answers[each].stroke, _DEEPEST_DB) if answers[each].joined else _DEEPEST_DB
            for each in places
        ]
        usual = float(np.median(dips)) < STRUCK_DB
        for each in places:
            # A silence before it is plain, whatever the others do.
            found[each] = usual and answers[each].joined
    found.pop(0, None)
    return found
