"""What is said of a deck that cannot be practised as it is."""

from __future__ import annotations

from collections.abc import Sequence

from drill.terms import Direction, Key, Pattern
from drill.wording.sentence import Sentence, sentence, written
from drill.wording.voice import PLAIN

NAME_YOUR_HORN = "drill config set horn alto_sax"
"""The command with which a player says once which horn is theirs."""


def no_horn_told(title: str) -> str:
    """The deck is for everyone's own horn, and none is named."""
    return f"the deck {title!r} is for your own horn: name it first, as in {NAME_YOUR_HORN}"


def nothing_to_ask(title: str, remarks: Sequence[Sentence], *, runs: bool) -> str:
    """No cell is left; ``runs`` where there are runs, and none has the degrees that it names."""
    why = "; ".join(PLAIN.text(each) for each in remarks[:3])
    if runs:
        why = "none of its runs has the degrees that it names"
    return f"the deck {title!r} has nothing to ask: {why}"


def nothing_in_time(title: str) -> str:
    """All that it asks are questions the other way round."""
    return f"the deck {title!r} has no cells to play in time"


def no_run_told(title: str, wanted: Sequence[str | None]) -> str:
    """It has no run of that key, pattern and way; None where anything would do."""
    said = ", ".join(text for text in wanted if text) or "this cell"
    return f"the deck {title!r} has no run with {said}: drill deck show lists its keys and patterns"


def left_out(pattern: Pattern, key: Key, direction: Direction, fault: object) -> Sentence:
    """A run that cannot be made, and why."""
    head = sentence(f"{pattern.name} in ", written(key))
    return sentence(head, f" {direction.value} is left out: {fault}")
