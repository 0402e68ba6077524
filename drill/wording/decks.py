"""What is said of a deck that cannot be practised as it is."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from drill.decks.schema import Deck
from drill.shown import counted
from drill.terms import Direction, Key, Pattern, Run
from drill.wording.figures import in_percent
from drill.wording.sentence import Sentence, figures, joined, sentence, written
from drill.wording.settings import KINDS_SHORT
from drill.wording.voice import PLAIN

NAME_YOUR_HORN = "drill config set horn alto_sax"
"""The command with which a player says once which horn is theirs."""


def no_horn_told(title: str) -> str:
    """The deck is for everyone's own horn, and none is named."""
    return f"the deck {title!r} is for your own horn: name it in Settings, or by {NAME_YOUR_HORN}"


def nothing_to_ask(title: str, remarks: Sequence[Sentence], *, runs: bool) -> str:
    """No cell is left; ``runs`` where there are runs, and none has the degrees that it names."""
    why = "; ".join(PLAIN.text(each) for each in remarks[:3])
    if runs:
        why = "none of its runs has the degrees that it names"
    return f"the deck {title!r} has nothing to ask: {why}"


nothing_in_time = "the deck {!r} has no cells to play in time".format
"""All that it asks are questions the other way round."""


def no_run_told(title: str, wanted: Sequence[str | None]) -> str:
    """It has no run of that key, pattern and way; None where anything would do."""
    said = ", ".join(text for text in wanted if text) or "this cell"
    return f"the deck {title!r} has no run with {said}: drill deck show lists its keys and patterns"


def left_out(pattern: Pattern, key: Key, direction: Direction, fault: object) -> Sentence:
    """A run that cannot be made, and why."""
    head = sentence(f"{pattern.name} in ", written(key))
    return sentence(head, f" {direction.value} is left out: {fault}")


_SHOWN = 4
"""Patterns that are named; the rest is counted."""


def patterns_told(patterns: Sequence[str]) -> Sentence:
    """The cells of a deck's patterns: ``1-2-3-1, 1-b3-5 and 3 more``."""
    named = joined(", ", map(figures, patterns[:_SHOWN]))
    more = len(patterns) - _SHOWN
    return sentence(named, f" and {more} more" if more > 0 else "")


def goal_told(deck: Deck) -> str:
    """What a deck wants, and by which day."""
    goal = f"goal: {in_percent(deck.goal.right)} by heart, on {counted(deck.goal.days, 'day')}"
    tempo = f", at {deck.goal.tempo}" if deck.goal.tempo else ""
    return f"{goal}{tempo}" + (f", by {deck.due.isoformat()}" if deck.due else "")


# A deck as it is printed.


def shown_told(deck: Deck) -> str:
    """For which horn it is, and what it wants."""
    goal = [f"{100 * deck.goal.right:g} % right on {counted(deck.goal.days, 'day')}"]
    if deck.goal.tempo:
        goal.append(f"at {deck.goal.tempo} beats a minute")
    if deck.goal.ask:
        goal.append("asked " + ", ".join(KINDS_SHORT[each.value] for each in deck.goal.ask))
    return f"for {deck.horn.name}; goal: {', '.join(goal)}"


def due_told(day: date) -> str:
    """The day by which it should be known."""
    return f"due {day.isoformat()}"


def run_told(label: str, run: Run, concert: str) -> str:
    """A run at the head of its cells, with the key that sounds where it is another."""
    sounds = f" (sounds {concert})" if concert != label else ""
    return f"{label}, {run.pattern.called} {run.direction.value}{sounds}"


ends_on = "end: {}".format
"""The note that is held at the end."""
