"""What is said around a run in time: what is offered, why a bout is not counted, and the end."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from drill.shown import counted
from drill.theory.language import Language
from drill.wording.asking import Prompted, run_told
from drill.wording.figures import out_of
from drill.wording.sentence import Sentence, figures, joined, sentence, written
from drill.wording.squares import key_of, shape_name
from drill.wording.timing import estimate_told

if TYPE_CHECKING:
    from drill.memory.tempo import Estimate

NO_NOTE = "nothing was typed that is a note: nothing was marked"
BROKEN_OFF = "broken off: nothing was marked"
SOUND_LOST = "the sound broke off: the bout is not counted"
NO_CLICK = "the click did not sound: nothing was played"
AWAITING_SOUND = "waiting for the sound…"
TERMINAL_ONLY = (
    "in time needs a terminal on standard input, where each note is stamped as it is typed; "
    "over pipes leave time out of --ask, or add --json"
)


class Set(Protocol):
    """A bout, as far as it is told; see ``practice.time.bout.Bout`` for the meaning of each."""

    @property
    def number(self) -> int: ...
    @property
    def bpm(self) -> int: ...
    @property
    def letters(self) -> bool: ...
    @property
    def tapped(self) -> bool: ...
    @property
    def notes_per_beat(self) -> int: ...


def offered_told(
    bout: Set, prompt: Prompted, labels: Sequence[Sentence], remembered: float | None
) -> Sentence:
    """A bout on one line: its run, the cells that have a bar each, and the tempo.

    ``remembered`` is the tempo that was locked in before; None where none was.
    """
    known = f"; {remembered_told(remembered)}" if remembered else ""
    return sentence(
        run_told(prompt, bout.number),
        ", in time; cells on ",
        joined(" ", labels),
        f", a bar each, {', '.join(manner_told(bout))}, tempo {bout.bpm}{known}: enter plays",
    )


def manner_told(bout: Set) -> list[str]:
    """How the notes are typed, and how many come to a beat."""
    way = "tapped" if bout.tapped else "letters alone" if bout.letters else ""
    each = {1: "a note a beat", 2: "two notes a beat", 3: "three notes a beat"}
    return [*([way] if way else []), each.get(bout.notes_per_beat, "four notes a beat")]


remembered_told = "locked in at {:.0f} before".format
"""The tempo that was locked in before."""


def stumbled_told(by_s: float) -> str:
    """The click came late by so many seconds."""
    return (
        f"the click fell behind by {by_s * 1000:.0f} ms because the machine was too busy: "
        "the bout is not counted"
    )


def locked_told(locked_in: int, bouts: int) -> str:
    """How many bouts were locked in."""
    return out_of(locked_in, bouts, "locked in")


def locked_at(key: str, shape: str, bpm: int) -> Sentence:
    """A run that was locked in, with its tempo, by what items call its key and shape."""
    found = key_of(key)
    return sentence(
        "  ", written(found) if found else key, ", ", figures(str(shape_name(shape))), f": {bpm}"
    )


def practice_over(locked_in: int, bouts: int, by: str) -> str:
    """The end of a practice on the screens, and the key that goes on."""
    return f"that is the practice: {locked_told(locked_in, bouts)}; {by} goes on"


def next_told(bpm: int, before: int) -> str:
    """The tempo that is next, and how it stands to the one before."""
    way = "the same again" if bpm == before else ("faster" if bpm > before else "slower")
    return f"played at {before}; next tempo {bpm}, {way}"


def uncertain_told(uncertain_s: float) -> str:
    """Said once where nobody knows how late the output sounds, to so many seconds."""
    return (
        f"how late this output sounds is known only to within {uncertain_s * 1000:.0f} ms: "
        "until you calibrate it, early and late are not judged"
    )


def jitter_told(jitter_s: float) -> str:
    """What a held key told of the keyboard and the terminal."""
    return f"keys and terminal add about {jitter_s * 1000:.0f} ms"


tempo_told = "tempo {}".format
"""The tempo now."""
goal_tempo = "goal {}".format
"""The tempo that a deck wants."""


def four_of_five(estimate: Estimate) -> str:
    """The tempo at which four tries of five would be locked in."""
    return f"four of five at about {estimate_told(estimate)}"


def bar_told(bar: int) -> str:
    """The bar that sounds, from 1; before it is counted in."""
    return f"bar {bar}" if bar > 0 else "count-in"


def how_in_time(jitter_s: float | None, language: Language) -> tuple[str, ...]:
    """How it goes, before the first bout; None where the terminal was not measured."""
    measured = "Hold the space bar for a second to measure what keys and terminal add."
    if jitter_s is not None:
        measured = f"{jitter_told(jitter_s).capitalize()}."
    how = (
        "Enter starts the click: a bar is counted in, then each cell has a bar of its own. Type "
        "each letter on its beat; its sharp or flat may follow a little later."
    )
    small_b = "A small b right after a letter is a flat; a capital B is always the note."
    return (how, small_b, measured) if language is Language.ENGLISH else (how, measured)


too_fast_told = (
    "the sound is off, and above {} a beat that is only seen is too fast to follow"
).format
"""Said where a beat that is only seen is faster than so many a minute."""


# Calibrating.


def tapping_asked(taps: int, warm_up: int) -> str:
    """What to do; the first taps, ``warm_up``, are not counted."""
    return f"tap along with the click, {taps} times: the first {warm_up} only find the beat"


def too_few_taps(count: int) -> str:
    """So many could be used."""
    return f"only {counted(count, 'tap')} could be used: nothing was kept"


def uneven_taps(spread_s: float) -> str:
    """They lie too far apart."""
    return f"the taps spread by {spread_s * 1000:.0f} ms: nothing was kept"


def calibrated_told(latency_s: float, spread_s: float) -> str:
    """The latency that is kept."""
    return (
        f"calibrated: this output sounds {latency_s * 1000:.0f} ms after it is told to "
        f"(your taps spread by {spread_s * 1000:.0f} ms, and your own usual lead is in it)"
    )
