"""What is said of a cell that was played on the horn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drill.terms import Cell
from drill.wording.sentence import Sentence, listed, sentence

if TYPE_CHECKING:
    from drill.hearing.values import Known

IN_TUNE = 5
MICROPHONE = "microphone open"
MIDI = "MIDI open"
CLOSED = "the microphone is closed"
LONG_NOTE = "play one long note first, for your pitch; Enter goes on without"
PLAY = "play the cell; typed notes, show, next and quit work too"


_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


def unheard_told(cell: Cell, places: tuple[int, ...]) -> Sentence:
    """Which notes were not heard; nothing is counted, and the cell is played again."""
    if len(places) == len(cell.notes):
        return sentence("Not heard: play it again.")
    said = listed([_place(at) for at in places])
    what = "note" if len(places) == 1 else "notes"
    return sentence("Not heard: the ", said, f" {what}. Play the cell again.")


def _place(at: int) -> str:
    return _ORDINALS[at] if at < len(_ORDINALS) else f"{at + 1}th"


def known_told(known: Known) -> str:
    """What the long note told."""
    cents = round(known.tune_cents)
    if abs(cents) < IN_TUNE:
        return "Heard: in tune."
    return f"Heard: {abs(cents)} cents {'sharp' if cents > 0 else 'flat'}; cells are heard so."


typed_instead = "{}; answers are typed".format
"""Nothing can be heard: the practice goes on by typing."""
heard_told = "heard: {}".format
"""What was played, as it was read."""
