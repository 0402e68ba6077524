"""How late the loudspeaker is: from who knows it, from a calibration, or assumed.

* *measured*: the sound server says how much of our stream it holds (``pactl``, which
  PulseAudio and PipeWire answer), or the kernel says it of the card (ALSA's ``status``);
* *calibrated*: the player tapped with a click on this very output;
* *heard*: the microphone heard a click of this very output, its own delay taken off;
* *assumed*: nobody knows, and a constant stands in its place.

What is kept of calibrations is a small JSON file: seconds by the output's name.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import subprocess
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from pathlib import Path
from statistics import median
from typing import Self

from drill.files import make_folder, write_whole


class LatencySource(StrEnum):
    """Where a latency comes from."""

    CALIBRATED = "calibrated"
    HEARD = "heard"
    MEASURED = "measured"
    ASSUMED = "assumed"


UNCERTAIN_S = {
    LatencySource.CALIBRATED: 0.005,
    LatencySource.HEARD: 0.02,
    LatencySource.MEASURED: 0.08,
    LatencySource.ASSUMED: 0.1,
}
"""How far off a latency may be, as found on null sinks: what lies between us and the server is in
nobody's figure.  A microphone adds what its own device holds, which nobody tells: 20 ms is a guess
at the most of it."""
ASK_S = 1.0
"""How long the server may take to answer."""
SMALLEST_S, LARGEST_S = -0.2, 2.0
"""No output is later than this; a little before the instant at which a library says that it began
a sound may have been heard already."""

Asker = Callable[[Sequence[str]], str | None]
"""Runs a command and gives what it printed; None where it cannot be run."""


def asked(environment: Mapping[str, str]) -> Asker:
    """An asker that runs commands in this environment, in plain English, for a second at most."""

    def ask(command: Sequence[str]) -> str | None:
        with contextlib.suppress(OSError, subprocess.SubprocessError):
            done = subprocess.run(
                command,
                env={**environment, "LC_ALL": "C"},
                capture_output=True,
                text=True,
                timeout=ASK_S,
                check=False,
                stdin=subprocess.DEVNULL,
            )
            return done.stdout if done.returncode == 0 else None
        return None

    return ask


_STREAM = re.compile(r"^(?:Sink Input|Source Output) #\d+$", re.MULTILINE)
_HELD = re.compile(r"^\s*(?:Buffer|Sink|Source) Latency: (\d+) usec$", re.MULTILINE)


def microphone_latency(ask: Asker, pid: int) -> float | None:
    """Seconds that the sound server holds of what the microphone of process ``pid`` heard; None
    where no server answers or it does not listen for us."""
    return _held(ask, "source-outputs", pid)


def server_latency(ask: Asker, pid: int) -> float | None:
    """Seconds that the sound server holds of the stream of process ``pid``, the sink's own among
    them; of several that with most in it, for the others rest.  None where no server answers or
    it has no such stream."""
    return _held(ask, "sink-inputs", pid)


def _held(ask: Asker, streams: str, pid: int) -> float | None:
    told = ask(("pactl", "list", streams))
    if told is None:
        return None
    ours = (
        sum(int(part) for part in _HELD.findall(stream)) / 1e6
        for stream in _STREAM.split(told)[1:]
        if f'application.process.id = "{pid}"' in stream and _HELD.search(stream)
    )
    return max(ours, default=None)


def server_sink(ask: Asker) -> str:
    """The name of the server's default sink; empty where no server answers."""
    told = ask(("pactl", "info"))
    found = re.search(r"^Default Sink: (.+)$", told or "", re.MULTILINE)
    return found[1].strip() if found else ""


def card_latency(pid: int, root: Path = Path("/proc/asound")) -> float | None:
    """Seconds that an ALSA card holds of a stream owned by a thread of process ``pid``; None where
    there is no such card.  ``root`` is the kernel's folder of sound cards."""
    for status in root.glob("card*/pcm*p/sub*/status"):
        with contextlib.suppress(OSError, ValueError):
            text = status.read_text()
            owner = re.search(r"^owner_pid\s*: (\d+)$", text, re.MULTILINE)
            delay = re.search(r"^delay\s*: (\d+)$", text, re.MULTILINE)
            rate = re.search(r"^rate: (\d+)", (status.parent / "hw_params").read_text(), re.M)
            if owner and delay and rate and _is_thread_of(int(owner[1]), pid):
                return int(delay[1]) / int(rate[1])
    return None


def _is_thread_of(thread: int, pid: int) -> bool:
    return thread == pid or os.path.exists(f"/proc/{pid}/task/{thread}")


# -- calibration by tapping

WARM_UP = 8
"""The first taps find the beat and do not count."""
COUNTED = 20
"""Taps whose median is taken."""
WIDEST_S = 0.05
"""Taps that spread wider than this say nothing."""


@dataclass(frozen=True, slots=True)
class Delays:
    """How late something came, time and again."""

    late_s: float
    """Their median: positive where it came late."""
    spread_s: float
    """See ``robust_spread``."""
    count: int

    @classmethod
    def of(cls, found: Sequence[float]) -> Self:
        """Those of so many seconds; noughts for none."""
        return cls(median(found) if found else 0.0, robust_spread(found), len(found))


def robust_spread(values: Sequence[float]) -> float:
    """1.48 times the median absolute deviation: the standard deviation of a normal curve, which
    one slip cannot move.

    0 for fewer than two values.
    """
    if not values:
        return 0.0
    middle = median(values)
    return 1.4826 * median(abs(value - middle) for value in values)


class Tapped(Delays):
    """What taps with a click told: positive where the click is heard late."""

    __slots__ = ()

    @property
    def steady(self) -> bool:
        """Whether there were enough taps, near enough to each other."""
        return self.count >= COUNTED and self.spread_s <= WIDEST_S


def tapped(taps: Sequence[float], clicks: Sequence[float]) -> Tapped:
    """The taps that count against the clicks nearest to them; all in seconds on one clock.

    The first ``WARM_UP`` taps are left out, and what is further from every click than half
    the distance of two.  ``clicks`` has two at least, evenly apart.
    """
    apart = min(later - earlier for earlier, later in pairwise(clicks))
    near = [min((tap - click for click in clicks), key=abs) for tap in taps[WARM_UP:]]
    return Tapped.of([off for off in near if abs(off) < apart / 2][:COUNTED])


# -- what is kept

FILE = "latency.json"
_MOST_BYTES = 64 * 1024
_BY_MICROPHONE = " heard"
"""Stands behind the name of an output whose latency a microphone told."""


class Calibrations:
    """Calibrated latencies by output, kept in a file of the player's data folder.

    A file that is missing or damaged holds none: calibrating again writes it anew.
    """

    def __init__(self, folder: Path) -> None:
        self._path = folder / FILE

    def of(self, output: str) -> tuple[float, LatencySource] | None:
        """Seconds from handing over a sample to hearing it on that output, and how that was found;
        None where it was never calibrated."""
        known = self._read()
        for name, source in (
            (output, LatencySource.CALIBRATED),
            (output + _BY_MICROPHONE, LatencySource.HEARD),
        ):
            if name in known:
                return known[name], source
        return None

    def keep(
        self, output: str, seconds: float, source: LatencySource = LatencySource.CALIBRATED
    ) -> None:
        """Keep a calibration in place of the one before, however that was found.

        Raises DrillError where it cannot be written.
        """
        heard = output + _BY_MICROPHONE
        known = {name: s for name, s in self._read().items() if name not in (output, heard)}
        name = heard if source is LatencySource.HEARD else output
        known[name] = round(min(LARGEST_S, max(SMALLEST_S, seconds)), 4)
        text = json.dumps(known, ensure_ascii=False, indent=1, sort_keys=True) + "\n"
        make_folder(self._path.parent, private=True)
        write_whole(self._path, text.encode(), private=True)

    def _read(self) -> dict[str, float]:
        try:
            with self._path.open("rb") as file:
                value = json.loads(file.read(_MOST_BYTES))
        except (OSError, ValueError, RecursionError):
            return {}
        if not isinstance(value, dict):
            return {}
        return {
            name: float(each)
            for name, each in value.items()
            if type(each) in (int, float) and SMALLEST_S <= each <= LARGEST_S  # true is no second
        }
