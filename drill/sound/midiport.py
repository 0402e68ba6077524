"""MIDI instruments, in a process of their own: ``python -m drill.sound.midiport [NAME]``.

The process writes ``open NAME`` (or ``fault REASON``) and then a line for each note, ``on`` or
``off``, with seconds, number and velocity.  A driver that crashes takes nobody with it.  It
needs the extra ``play`` (mido and python-rtmidi); without it, or without a sequencer on this
machine, there is one line that says so.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Callable
from typing import Any

from drill.errors import DrillError

START_S = 8.0
"""The process answers within so long."""


class MidiError(DrillError):
    """No MIDI instrument can be heard."""


class MidiPort:
    """The notes of one MIDI instrument, as they end or sound."""

    def __init__(self, name: str | None = None, command: tuple[str, ...] | None = None) -> None:
        """``name`` is a part of the port's name, None for the first one.

        Raises MidiError where there is no instrument, no driver or no extra.
        """
        words = command or (sys.executable, "-m", "drill.sound.midiport", *([name] if name else []))
        self._process = subprocess.Popen(
            words, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, stdin=subprocess.PIPE,
            text=True,
        )  # fmt: skip
        self._lines: deque[str] = deque()
        self._ended = threading.Event()
        self._spoken = threading.Event()
        threading.Thread(target=self._read, daemon=True).start()
        self._spoken.wait(START_S)
        first = self._lines.popleft() if self._lines else "fault the MIDI driver does not answer"
        word, _, rest = first.partition(" ")
        if word != "open":
            self.close()
            raise MidiError(rest or first)
        self.name = rest

    def _read(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self._lines.append(line.strip())
            self._spoken.set()
        self._ended.set()
        self._spoken.set()

    def take(self) -> list[tuple[str, float, int, int]]:
        """``on`` or ``off``, seconds, number and velocity of what was played since last asked.

        Raises MidiError when the instrument is gone.
        """
        if self._ended.is_set() and not self._lines:
            raise MidiError("the MIDI instrument was lost")
        found = []
        while self._lines:
            words = self._lines.popleft().split()
            if len(words) == 4 and words[0] in ("on", "off"):
                found.append((words[0], float(words[1]), int(words[2]), int(words[3])))
        return found

    def close(self) -> None:
        """End the process."""
        if self._process.stdin is not None:
            self._process.stdin.close()
        self._process.terminate()
        try:
            self._process.wait(2)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()


WAYS = ("mido.backends.rtmidi", "mido.backends.rtmidi/UNIX_JACK")
"""Where instruments are looked for: the system's own MIDI, then a JACK server."""


def _names(mido: Any, way: str) -> tuple[list[str], str]:
    """The instruments of a way, or why there is none: the driver raises what it likes."""
    try:
        mido.set_backend(way, load=True)
        return list(mido.get_input_names()), ""
    except ImportError:
        return [], "the extra is not installed: pip install 'drill[play]'"
    except Exception as fault:
        return [], " ".join(str(fault).split())[:80]


def _end_with_input() -> None:
    """Ends the process when the drill has gone; the driver may wait for a note for ever."""
    sys.stdin.read()
    os._exit(0)


def main(words: list[str], clock: Callable[[], float]) -> None:
    """Write the notes of an instrument until the input ends."""

    def say(line: str) -> None:
        print(line, flush=True)

    try:
        import mido
    except ImportError:
        say("fault MIDI instruments need the extra: pip install 'drill[play]'")
        return
    known: list[str] = []
    fault = ""
    for way in WAYS:
        names, why = _names(mido, way)
        fault = fault or why
        wanted = [name for name in names if not words or words[0].casefold() in name.casefold()]
        if wanted:
            break
        known += names
    else:
        if fault and not known:
            say(f"fault no MIDI on this machine ({fault})")
        else:
            say(f"fault no such MIDI instrument; there is: {', '.join(known) or 'none'}")
        return
    threading.Thread(target=_end_with_input, daemon=True).start()
    begin = clock()
    with mido.open_input(wanted[0]) as port:
        say(f"open {wanted[0]}")
        for message in port:
            if message.type in ("note_on", "note_off"):
                on = message.type == "note_on" and message.velocity
                word = "on" if on else "off"
                say(f"{word} {clock() - begin:.4f} {message.note} {message.velocity}")


if __name__ == "__main__":
    from drill.clock import monotonic

    main(sys.argv[1:], monotonic)
