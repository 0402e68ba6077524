"""The kinds of prompt and of answer, by the names that the log has for them."""

from __future__ import annotations

from enum import StrEnum


class Kind(StrEnum):
    """How a cell is asked, from the most help to the least."""

    NEXT = "next"
    """The previous cell is shown."""
    DEGREE = "degree"
    """Only the degree is named."""
    RUN = "run"
    """The whole run with nothing shown."""
    EAR = "ear"
    """The cell is heard, not named."""
    TIME = "time"
    """The run in time with the metronome."""


CLOSING = "closing"
"""The kind of a missed cell asked once more at the end of its practice.  The right cell was
seen minutes before, so that the answer says little of what is remembered: it is logged and
does not teach, and the cell stays as due as its miss made it."""

PLAYED = "play"
"""The kind of an answer that was played on the horn, however its cell was asked.  Only what was
plainly a wrong note makes such an answer wrong."""
TAPPED = "tapped"
"""The kind of a cell tapped in time, its notes taken as known: it tells of time alone, and does
not teach."""

PLAYED_IN_TIME = "play-time"
"""The kind of a cell of a run that was played on the horn along with the click.  It tells of time
on the horn alone, apart from what is typed in time, and does not teach: whether the run was read
or by heart nobody knows."""

WALK = "walk"
"""The kind of a cell in a run that is walked: it was read minutes before, and does not teach."""

LADDER = tuple(Kind)
"""The kinds in the order in which help fades."""

TURNED = "?"
"""What the shape of an item begins with that asks something about a cell or key, and not for the
cell: it is asked in one way only."""
