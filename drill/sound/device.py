"""The one door to the audio libraries.

simpleaudio is used where it is installed and safe (on Python 3.12 and later it can
crash the process when a sound ends), miniaudio otherwise, silence last.  The
environment variable ``DRILL_SOUND`` forces one: ``simpleaudio``, ``miniaudio``,
``silent``; ``auto`` or nothing lets the machine decide.

All of this runs in the helper process: see ``helper`` and ``player``.
"""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Callable, Generator, Mapping
from typing import Any

from drill.errors import UsageError
from drill.sound.limits import Backend
from drill.sound.output import HOSTS, Clock, Output, SilentOutput, SoundError
from drill.sound.tone import RATE

VARIABLE = "DRILL_SOUND"
"""The environment variable that forces a backend."""
PERIOD_MS = 20
"""The period asked of miniaudio, in milliseconds, where a sound must come at once."""
STEADY_PERIOD_MS = 80
"""The same where it must not stumble: a busy machine may keep us waiting for that long."""
SIMPLEAUDIO_LATENCY_S = 0.0
"""simpleaudio cannot be asked how late it is; found on ALSA through a server of its own."""
SIMPLEAUDIO_AHEAD_S = 0.15
"""simpleaudio has taken at most this much of a sound before it is heard."""
FADE_S = 0.015
"""A sound that is cut off fades out in this time."""
IDLE_S = 1.0
"""A miniaudio device that has nothing to play is stopped after this long."""


class SimpleaudioOutput:
    """simpleaudio: it opens the device for each sound.

    The library reads from the buffer that it is given while it plays.  A sound is
    ended by fading out what lies beyond its reach in that buffer, so that a cut does
    not click; only then is it stopped.
    """

    backend = Backend.SIMPLEAUDIO
    latency_s = SIMPLEAUDIO_LATENCY_S

    def __init__(self, clock: Clock) -> None:
        import simpleaudio

        self._library: Any = simpleaudio
        self._clock = clock
        self._sound: Any = None
        self._samples = bytearray()
        self._began: float | None = None
        self._fading: list[tuple[float, Any]] = []
        """Sounds that fade out, and when each may be stopped."""
        self.device = {"darwin": "Core Audio", "win32": "Windows sound"}.get(
            sys.platform, "ALSA default"
        )

    def start(self, pcm: bytes) -> float:
        self.stop()
        self._sweep()
        self._samples = bytearray(pcm)
        try:
            self._sound = self._play()
        except SoundError:
            if not self._fading:
                raise
            self.close()  # a card that sounds one thing at a time
            self._sound = self._play()
        self._began = self._clock() + self.latency_s
        return self._began

    def _play(self) -> Any:
        try:
            return self._library.play_buffer(self._samples, 1, 2, RATE)
        except Exception as fault:  # the library raises an error class of its C part
            raise SoundError("the output device cannot be opened", _short(fault)) from fault

    def stop(self) -> None:
        sound, self._sound = self._sound, None
        if sound is None or self._began is None or not sound.is_playing():
            return
        now = self._clock()
        at = round((now - self._began + SIMPLEAUDIO_AHEAD_S) * RATE)
        _fade_out(self._samples, max(0, at))
        self._fading.append((now + 2 * SIMPLEAUDIO_AHEAD_S + FADE_S, sound))

    def _sweep(self) -> None:
        now = self._clock()
        for until, sound in self._fading:
            if now >= until:
                sound.stop()
        self._fading = [(until, sound) for until, sound in self._fading if now < until]

    def playing(self) -> bool:
        self._sweep()
        return self._sound is not None and bool(self._sound.is_playing())

    def began(self) -> float | None:
        return self._began

    def handed(self) -> int:
        return len(self._samples) // 2

    def slipped(self) -> float:
        """A sound that plays on after its end was held up on the way."""
        if self._sound is None or self._began is None or not self._sound.is_playing():
            return 0.0
        length_s = len(self._samples) / 2 / RATE
        return max(0.0, self._clock() - self._began - length_s - SIMPLEAUDIO_AHEAD_S)

    def rest(self) -> bool:
        self._sweep()
        return not self._fading

    def close(self) -> None:
        if self._sound is not None:
            self._sound.stop()
            self._sound = None
        for _, sound in self._fading:
            sound.stop()
        self._fading = []


def _fade_out(samples: bytearray, frame: int) -> None:
    """Fade 16-bit samples out from a frame on, in place."""
    import numpy as np

    tail = np.frombuffer(samples, dtype=np.int16)[frame:]
    length = min(len(tail), round(FADE_S * RATE))
    tail[:length] = tail[:length] * np.linspace(1, 0, length)
    tail[length:] = 0


class _Samples:
    """Samples on their way out, with how far they have gone."""

    __slots__ = ("data", "first", "frame", "offsets")

    def __init__(self, data: bytes) -> None:
        self.data = memoryview(data)
        self.frame = 0
        self.offsets: list[float] = []
        """When the first sample was handed over, judged anew at every period."""
        self.first: list[float] = []
        """The same by the periods that came first, once the device had settled."""

    def pull(self, frames: int, now: float) -> memoryview:
        """The next samples, fewer at the end."""
        chunk = self.data[2 * self.frame : 2 * (self.frame + frames)]
        if len(chunk):
            self.offsets.append(now - self.frame / RATE)
            del self.offsets[:-_RECENT]
            if len(self.first) < _SETTLED and self.frame > _SETTLE_S * RATE:
                self.first.append(self.offsets[-1])
            self.frame += len(chunk) // 2
        return chunk

    @property
    def over(self) -> bool:
        return 2 * self.frame >= len(self.data)

    @property
    def slipped(self) -> float:
        """How much later the samples go out now than they did at first; never negative."""
        if len(self.first) < _SETTLED:
            return 0.0
        # The earliest of a few: a period that was asked for late says nothing by itself.
        return max(0.0, min(self.offsets[-_SETTLED:]) - min(self.first))


_RECENT = 50
_SETTLED = 25
"""Periods of which the earliest counts: among so many the device was full once."""
_SETTLE_S = 2.0


class MiniaudioOutput:
    """miniaudio: one device, kept open, fed by callback."""

    backend = Backend.MINIAUDIO

    def __init__(self, clock: Clock, period_ms: int = PERIOD_MS) -> None:
        import miniaudio

        self._clock = clock
        self._sound = _Samples(b"")
        self._cut: _Samples | None = None
        self._idle_frames = 0
        self._last_pull = 0.0
        try:
            self._device: Any = miniaudio.PlaybackDevice(
                output_format=miniaudio.SampleFormat.SIGNED16,
                nchannels=1,
                sample_rate=RATE,
                buffersize_msec=period_ms,
                backends=[miniaudio.Backend[name] for name in HOSTS],
                app_name="drill",
            )
        except Exception as fault:
            raise SoundError("no output device can be opened", _short(fault)) from fault
        self.device = str(self._device.backend)
        # The library does not tell what lies in the device's buffer: see ``latency``.  It asks for
        # three periods, and the newest sample waits for all that lies before it.
        self.latency_s = 3 * period_ms / 1000
        self._period_s = period_ms / 1000
        self._answers: Callable[[], bool] = lambda: False
        self._asked_at = 0.0

    def _feed(self) -> Generator[bytes | memoryview, int, None]:
        """Samples for the device, as many frames as it asks for.  Runs in its own thread."""
        frames = yield b""
        while True:
            now = self._last_pull = self._clock()
            cut, self._cut = self._cut, None
            chunk = self._sound.pull(frames, now)
            self._idle_frames = 0 if len(chunk) else self._idle_frames + frames
            short = 2 * frames - len(chunk)
            out = bytes(chunk) + bytes(short) if short else chunk
            frames = yield _faded(cut.pull(frames, now), out) if cut else out

    def start(self, pcm: bytes) -> float:
        if self._lost():
            raise SoundError("the output device was lost")
        self.stop()
        self._idle_frames = 0
        self._sound = _Samples(pcm)
        if not self._device.running:
            feed = self._feed()
            next(feed)
            self._last_pull = self._clock()
            try:
                self._device.start(feed)
            except Exception as fault:
                raise SoundError("the output device does not start", _short(fault)) from fault
        return self._clock() + self._period_s

    def stop(self) -> None:
        if not self._sound.over:
            self._cut, self._sound = self._sound, _Samples(b"")

    def playing(self) -> bool:
        if not self._sound.over:
            if self._lost():
                raise SoundError("the output device was lost")
            return True
        # What was handed over last is still to be heard.
        return bool(self._sound.data) and (self._idle_frames / RATE < self.latency_s)

    def _lost(self) -> bool:
        """Whether the device has asked for nothing for longer than any load explains, or has
        stopped by itself while there is something to play."""
        now = self._clock()
        if not self._device.running:
            return not self._sound.over
        silent_s = now - self._last_pull
        if silent_s <= _LOST_S or now - self._asked_at < _LOST_S / 2:
            return False
        self._asked_at = now
        # A server that answers may just hold a long stretch already.
        return silent_s > _LONGEST_S or not self._answers()

    def ask_with(self, answers: Callable[[], bool]) -> None:
        """How to find out whether the sound server is still there."""
        self._answers = answers

    def began(self) -> float | None:
        # The earliest: then the device was fullest, which is the same from take to take; periods
        # that are asked for late, or several at once, say nothing.
        recent = self._sound.offsets
        return min(recent) + self.latency_s if recent else None

    def handed(self) -> int:
        return self._sound.frame

    def slipped(self) -> float:
        return self._sound.slipped

    def rest(self) -> bool:
        if self._device.running and self._idle_frames > IDLE_S * RATE:
            self._device.stop()
        return not self._device.running

    def close(self) -> None:
        self._device.close()


def _faded(old: memoryview, new: bytes | memoryview) -> bytes:
    """New samples with the old ones fading out under them, so that a cut does not click."""
    import numpy as np

    fade = np.frombuffer(old, dtype=np.int16)
    mixed = np.frombuffer(new, dtype=np.int16).astype(np.float32)
    mixed[: len(fade)] += fade * np.linspace(1, 0, len(fade), dtype=np.float32)
    return np.clip(mixed, -32767, 32767).astype(np.int16).tobytes()


_LOST_S = 1.2
_LONGEST_S = 10.0


def _short(fault: Exception) -> str:
    """The library's own words, without its codes."""
    words = str(fault).rsplit("MSG:", maxsplit=1)[-1]
    return " ".join(words.split())[:80].rstrip(". ") or type(fault).__name__


def forced(environment: Mapping[str, str]) -> Backend:
    """The backend that the environment forces; raises UsageError on another word."""
    word = environment.get(VARIABLE, "").strip().lower()
    try:
        return Backend(word or Backend.AUTO)
    except ValueError:
        expected = ", ".join(Backend)
        raise UsageError(f"{VARIABLE} is {word!r}; expected one of {expected}") from None


def candidates(
    force: Backend,
    *,
    version: tuple[int, int] | None = None,
    installed: Callable[[str], bool] | None = None,
) -> tuple[Backend, ...]:
    """The backends to try, in order."""
    if force is not Backend.AUTO:
        return (force,)
    version = version or (sys.version_info[0], sys.version_info[1])
    installed = installed or (lambda name: importlib.util.find_spec(name) is not None)
    found = []
    if version < (3, 12) and installed("simpleaudio"):
        found.append(Backend.SIMPLEAUDIO)
    if installed("miniaudio"):
        found.append(Backend.MINIAUDIO)
    return tuple(found)


def open_output(
    force: Backend, clock: Clock, skip: tuple[Backend, ...] = (), *, steady: bool = False
) -> Output:
    """The first output of ``candidates`` that opens, without those in ``skip``; ``steady`` one
    that rather comes late than stumbles.

    Raises SoundError with a sentence that says why there is none.
    """
    why, innards = "no audio library is installed; install miniaudio", ""
    for backend in candidates(force):
        if backend in skip:
            continue
        try:
            match backend:
                case Backend.SIMPLEAUDIO:
                    return SimpleaudioOutput(clock)
                case Backend.MINIAUDIO:
                    return MiniaudioOutput(clock, STEADY_PERIOD_MS if steady else PERIOD_MS)
                case Backend.SILENT:
                    return SilentOutput(clock)
        except SoundError as fault:
            why, innards = str(fault), fault.innards
        except ImportError as fault:
            why = f"{backend} cannot be loaded"
            innards = _short(fault)
    raise SoundError(why, innards)
