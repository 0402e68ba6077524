"""What is said of an assigned deck: by when it is to be known, and the teacher's words."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from drill.shown import counted
from drill.wording.screens import DONE

if TYPE_CHECKING:
    from drill.decks.schema import Deck

FROM_TEACHER = "From your teacher"


def teacher_words(deck: Deck) -> str:
    """The line that came with an assignment, then the deck's note, in one paragraph; empty for a
    deck that is nobody's assignment, whose note stands on Decks."""
    if deck.assignment is None and deck.due is None:
        return ""
    line = deck.assignment.line if deck.assignment else ""
    said = [" ".join(each.split()) for each in (line, deck.note)]
    return " ".join(dict.fromkeys(filter(None, said)))


def due_words(day: dt.date, today: dt.date, *, met: bool = False) -> str:
    """By when a deck is to be known; ``met`` where its goal is reached."""
    told = f"To be known by {day:%A}, {day.day} {day:%B}"
    if met:
        return f"{told}: done, as many are by heart as the goal asks for"
    left = (day - today).days
    if left < 0:
        return f"{told}: {counted(-left, 'day')} ago"
    when = ("today", "tomorrow")[left] if left < 2 else "in " + counted(left, "day")
    return f"{told}: {when}"


def due_brief(day: dt.date | None, today: dt.date, *, met: bool = False) -> str:
    """The same in two or three words, for a row; an assignment without a day is ``assigned``."""
    if met:
        return DONE
    if day is None:
        return "assigned"
    left = (day - today).days
    if left < 0:
        return f"{counted(-left, 'day')} over"
    if left < 2:
        return ("due today", "due tomorrow")[left]
    if left < 7:
        return f"due in {counted(left, 'day')}"
    return f"due {day.day} {day:%b}" if day.year == today.year else f"due {day.day} {day:%b %Y}"
