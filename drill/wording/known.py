"""What is known of a deck on the screens: squares of the Map, what trips, how a practice went."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from drill.memory.levels import Level
from drill.shown import counted
from drill.terms import Key, Name
from drill.wording.figures import in_percent, out_of
from drill.wording.levels import level_label
from drill.wording.sentence import Sentence, figures, joined, row, sentence, written

MEASURES: Mapping[str, str] = {
    "recall": "recall expected now, in %",
    "errors": "slips in the answers, in %",
    "answers": "answers so far",
    "tempo": "tempo locked in, beats a minute",
    "horn": "right on the horn when last played, in %",
}
"""The figures of the Map's squares."""


map_heading = "Map: {}".format
"""The Map's first line."""


NOT_ASKED = "the deck does not ask this key"


class KnownSquare(Protocol):
    """See ``tui.charts.MapSquare`` for the meaning of each."""

    @property
    def items(self) -> Sequence[str]: ...
    @property
    def asked(self) -> int: ...
    @property
    def slips(self) -> int: ...
    @property
    def recall(self) -> float: ...
    @property
    def level(self) -> Level: ...
    @property
    def tried(self) -> int: ...
    @property
    def tempo(self) -> float | None: ...
    @property
    def played(self) -> tuple[int, int]: ...
    @property
    def horn_tempo(self) -> float | None: ...


def square_told(square: KnownSquare) -> list[str]:
    """A square of the Map, fact by fact."""
    cells, label = len(square.items), level_label(square.level)
    if not square.asked:
        told = [f"{label}: {counted(cells, 'cell')}, none asked yet"]
    else:
        slips = f"{counted(square.slips, 'slip')} in {counted(square.asked, 'answer')}"
        told = [
            f"{label}, {out_of(square.tried, cells, 'asked')}",
            _recall(square.recall),
            slips,
        ]
    if square.tempo is not None:
        told.append(f"locked in at {round(square.tempo)}")
    if square.played[1]:
        told.append(f"on the horn {out_of(*square.played, 'right')}")
    if square.horn_tempo is not None:
        told.append(f"on the horn locked in at {round(square.horn_tempo)}")
    return told


def _recall(share: float) -> str:
    return f"recall now {in_percent(share)}"


# What trips.

SECTIONS: Mapping[str, tuple[str, str]] = {
    "accidentals": ("Accidentals missed", "none twice so far"),
    "degrees": ("Where runs break", "no run has broken so far"),
    "mixed": ("Keys taken for others", "none twice so far"),
    "slips": ("Slips", "none with a name so far"),
    "slow": ("Slow, though right", "nothing much slower than the rest"),
    "keys": ("Keys, week by week", "nothing asked yet"),
}
"""The heading of each section, and what is said where it is empty."""
NOTHING_YET = "nothing to practise here yet"
NO_LONGER_ASKED = "the deck no longer asks these cells"


trips_heading = "What trips me: {}".format
"""The screen's first line."""


def known_told(tried: int, cells: int, answers: int, recall: float) -> str:
    """How much is known of a deck."""
    asked = out_of(tried, cells, "cells asked")
    return f"{asked}, {counted(answers, 'answer')}; recall expected now {in_percent(recall)}."


def note_in(note: Name, key: Key | None, called: str = "") -> Sentence:
    """A note with its key: ``D♯ in E major``; ``called`` stands for a key that cannot be read."""
    return sentence(row((note,), key), " in ", written(key) if key else called)


def degree_told(label: str, direction: str) -> Sentence:
    """A degree with its way: ``on 7 going up``."""
    return sentence("on ", figures(label), f" going {direction}")


def degree_in(label: str, key: Sentence) -> Sentence:
    """A degree with its key."""
    return sentence("on ", figures(label), " in ", key)


def broke_told(missed: int, asked: int, broken: int, runs: int) -> str:
    """How often a degree was missed, and how many runs broke on it."""
    more = f"; {out_of(broken, runs, 'runs')} broke here" if runs else ""
    return out_of(missed, asked) + more


def taken_told(mixed: int, asked: int, others: Sequence[tuple[Sentence, int]]) -> Sentence:
    """How often a key was taken for others, and for which."""
    told = joined(", ", (sentence(key, f" ({times})") for key, times in others))
    return sentence(out_of(mixed, asked), "; for " if others else "", told)


slow_told = "{:.0f} s, {:.1f} times the usual".format
"""How long a cell takes, and beside the usual."""


def weeks_told(right: int, asked: int, tempo: float | None) -> str:
    """A key over the weeks; the tempo at which it was locked in, None for none."""
    in_time = "" if tempo is None else f"; in time at {tempo:.0f}"
    return f"{in_percent(right / asked)} of {asked} right{in_time}"


# How a practice went.

MISSED = "Missed, and when they come back"
NOTHING_MISSED = "nothing missed"
BY_KEY = "By key, missed"
BY_NOTE = "By note, missed"


def practice_told(right: int, asked: int, minutes: int) -> tuple[str, str]:
    """The score; and the share with the time it took, nothing for 0 minutes."""
    share = in_percent(right / asked) if asked else ""
    took = f"in {counted(minutes, 'minute')}" if minutes else ""
    return out_of(right, asked, "right"), f"{share} {took}".strip()


def moved_told(up: int, down: int) -> str:
    """Cells that changed their level; empty for none."""
    ups = [f"{counted(up, 'cell')} up a level"] if up else []
    return ", ".join([*ups, f"{counted(down, 'cell')} down"] if down else ups)


def missed_of(what: Sentence, missed: int, asked: int) -> Sentence:
    """A key or a note with how often it was missed."""
    return sentence(what, f", {out_of(missed, asked)}")


def cell_in(key: Key, shape: str, label: Sentence, direction: str) -> Sentence:
    """A cell by its key: ``G major, 1-2-3-1 on 4 up``."""
    return sentence(written(key), ", ", figures(shape), " on ", label, f" {direction}")


def back_told(prompts: int | None, length: int | None) -> str:
    """When a cell comes back: its prompt in the next practice, None for far behind that.

    ``length`` is how many prompts the next practice has, None where they are no limit.
    """
    if prompts is None or (length is not None and prompts > length):
        return "in a later practice"
    return "first thing next time" if prompts <= 2 else f"about prompt {prompts} next time"
