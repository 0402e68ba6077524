"""What is said while a take is recorded, and of what becomes of it."""

from __future__ import annotations

from drill.wording.figures import clock
from drill.wording.playing import MICROPHONE

OPEN = MICROPHONE
SILENCE = "nothing was recorded: the microphone gave silence"
NOT_KEPT = "the take was not kept"
HEADPHONES = "the click goes on: wear headphones at a low level, or it is recorded too"
RESULT_KEPT = "kept for the next hand-in of this deck: numbers and words, no sound"

# On the screens.

NO_MICROPHONE = "there is no microphone to open here"
WAITING = "waiting for the microphone"
LISTENING_TO_IT = "hearing the take"
END_IT, BREAK_OFF, ONCE_MORE = "end the take", "break off", "once more"
WORDS, STAFF, MORE = "words", "staff", "more cells"
BROKEN_OFF = "broken off: nothing is kept"
WAV = "Keep the take as"
HOW = (
    "Enter opens the microphone and counts a bar in; then play the run, and it is told note by "
    "note. The take stays on this machine, and nowhere but in memory unless you keep it."
)
MEASURED = "Measured on takes made from sampled instruments, not yet on people: no mark, no pass."


def tempo_line(tempo: float, clicks: bool) -> str:
    """How the run is begun."""
    after = f"; {HEADPHONES}" if clicks else "; the click stops after the count-in"
    return f"One bar at {tempo:g} is counted in{after}."


TEMPI_KEPT = (
    "Tempi are kept, as on the horn: three takes in a row that are locked in are a step up."
)
TEMPI_NOT_KEPT = "tempi of takes are not kept from now on"
next_told = "The next take is counted in at {:g}.".format
"""The tempo of the next take."""
ends_told = "Once you have played, {:g} seconds of silence end it, or Enter.".format
"""How a take ends."""


def open_told(tempo: float, title: str, quiet_s: float) -> str:
    """Line mode's sentence when the microphone was opened."""
    return (
        f"{OPEN}: one bar at {tempo:g}, then play {title}; it ends after {quiet_s:g} s of silence, "
        "or with ctrl+c"
    )


def counted_in(beat: int) -> str:
    """The count-in."""
    return f"count-in  {'  '.join(str(each) for each in range(1, beat + 1))}"


def recorded_told(seconds: float) -> str:
    """How much was recorded so far."""
    return f"recording  {clock(seconds)}"


kept_told = "kept: {}".format
"""Where a take was kept."""


def place_in(first: int, last: int, count: int) -> str:
    """Which notes of the line stand on the staff."""
    return f"notes {first} to {last} of {count}"
