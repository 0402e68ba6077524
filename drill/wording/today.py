"""How a deck stands today: what is due, how long a practice is, when it is to be known."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Protocol

from drill.shown import counted
from drill.wording.figures import ago
from drill.wording.levels import LABELS
from drill.wording.screens import COUNTING


def past_words(days: Sequence[date], today: date) -> str:
    """On how many days anything was practised, and when last; empty for never."""
    if not days:
        return ""
    away = (today - days[-1]).days
    last = f"last {ago(away)}"
    if away <= 0:
        last = "today too" if len(days) > 1 else "today"
    return f"Practised on {counted(len(days), 'day')}, {last}."


HELLO = "You are asked for a cell: type its notes, such as C D E C, then Enter."
"""For a player who has answered nothing yet."""
UNUSABLE = "cannot be used"

COLUMNS = ("due", *(LABELS[each] for each in ("untried", "shaky", "holding", "by-heart")))
"""The numbers of a deck."""


class DeckCounts(Protocol):
    """See ``tui.tally.Tally`` for the meaning of each."""

    @property
    def problem(self) -> str: ...
    @property
    def cells(self) -> int | None: ...
    @property
    def enough(self) -> str: ...
    @property
    def due(self) -> int: ...
    @property
    def untried(self) -> int: ...
    @property
    def prompts(self) -> int: ...
    @property
    def minutes(self) -> int: ...


def deck_told(deck: DeckCounts) -> str:
    """What is due in a deck, and how long its next practice is."""
    if deck.problem:
        return f"{UNUSABLE}: {deck.problem}"
    if deck.cells is None:
        return COUNTING
    length = _length(deck.prompts, deck.minutes)
    if deck.enough:
        return f"{deck.enough} To go on all the same: {length}."
    if deck.due:
        return f"{counted(deck.due, 'cell')} due; {length}"
    other = "new cells wait" if deck.untried else "it can be practised all the same"
    return f"nothing due; {other}; {length}"


def _length(prompts: int, minutes: int) -> str:
    """How long a practice is; 0 minutes where it has no end."""
    if not minutes:
        return "asks until you end it"
    asked = f"{counted(prompts, 'prompt')}, " if prompts else ""
    return f"{asked}about {counted(minutes, 'minute')}"
