"""The drill's side of the sound: hands takes to a helper process, and never waits.

Usage::

    player = Player(clock=monotonic)        # starts nothing yet
    player.warm()                           # after the first screen is drawn
    player.play(verdict_take(midi, program)) # sounding MIDI numbers; returns at once
    player.stop()                           # be silent now
    player.mute(); player.unmute()          # unmuting also gives a failed device another go
    notice = player.poll()                  # a sentence to show once, or None
    playing = player.playing()              # what sounds, and since when
    player.close()                          # at the end

The helper (``helper``) renders and plays.  It may crash, hang or find no device: the
drill goes on, the helper is started once more, and when that does not help either
there is one notice, then silence.  The helper never has the terminal: its errors go
to the file ``log``, or nowhere.
"""

from __future__ import annotations

import os
import queue
import threading
from collections.abc import Callable, Mapping
from dataclasses import replace
from enum import Enum, auto
from pathlib import Path

from drill.clock import monotonic
from drill.sound.latency import LARGEST_S, SMALLEST_S, Calibrations, LatencySource
from drill.sound.limits import Backend
from drill.sound.process import HelperProcess, Replied, helper_command
from drill.sound.protocol import (
    Ended,
    Failed,
    Lost,
    Ping,
    Play,
    Ready,
    Reply,
    Slipped,
    Started,
    Stop,
)
from drill.sound.sounding import STALE_S, OutputState, Playing
from drill.sound.take import Take

PATIENCE_S = 3.0
"""A helper that owes a sound and says nothing for this long is hung."""
START_PATIENCE_S = 15.0
"""The same while it starts, for slow machines."""
TICK_S = 0.5
"""How often a busy helper is looked after."""
AFTER_KEY_S = 0.01
"""A helper is started this long after it is asked for, so that a key is drawn first."""
RETRY_S = 5.0
"""Sound that was given up is tried again, without a word, when a take is asked for after this."""
RESTART_S = 600.0
"""One restart is allowed in this time."""


class _Word(Enum):
    """What the keeper is told besides orders and replies."""

    WARM = auto()
    TICK = auto()


class Player:
    """Plays takes through a helper process.  No method waits for it, except ``close``."""

    def __init__(
        self,
        clock: Callable[[], float] = monotonic,
        *,
        muted: bool = False,
        room: bool = True,
        log: Path | None = None,
        environment: Mapping[str, str] | None = None,
        calibrations: Calibrations | None = None,
        command: Callable[[tuple[str, ...]], list[str]] = helper_command,
        patience_s: float = PATIENCE_S,
        start_patience_s: float = START_PATIENCE_S,
    ) -> None:
        self._clock = clock
        self._muted = muted
        self._room = room
        self._log = log
        self._environment = dict(os.environ if environment is None else environment)
        self._calibrations = calibrations
        self._command = command
        self._patience_s = patience_s
        self._start_patience_s = start_patience_s
        self._orders: queue.SimpleQueue[object] = queue.SimpleQueue()
        self._pause = threading.Event()
        self._keeper: threading.Thread | None = None
        self._process: HelperProcess | None = None
        self._ready = False
        self._wanted: Play | None = None
        self._started: Playing | None = None
        self._beginning: Playing | None = None
        self._heard_at = 0.0
        self._restarted_at: float | None = None
        self._skip: tuple[str, ...] = ()
        self._failed = False
        self._failed_at = 0.0
        self._trying_again = False
        self._cut_off: Take | None = None
        self._notice: str | None = None
        self._state = OutputState()
        self._count = 0
        self._finished = 0
        self._closed = False

    # What the drill calls; none of it waits.

    @property
    def muted(self) -> bool:
        """Whether the player is muted."""
        return self._muted

    @property
    def failed(self) -> bool:
        """Whether sound was given up, also while it is tried again; ``unmute`` gives it a go."""
        return self._failed or self._trying_again

    @property
    def ready(self) -> bool:
        """Whether the helper is up and has looked at the device."""
        return self._process is not None and self._ready

    @property
    def idle(self) -> bool:
        """Whether nothing asked for is still to be sounded."""
        return self._finished >= self._count

    @property
    def state(self) -> OutputState:
        """The backend, device and latency in use."""
        return self._state

    @property
    def pid(self) -> int | None:
        """The helper's process id; None while there is none."""
        process = self._process
        return process.pid if process else None

    def warm(self) -> None:
        """Start the helper, so that the first sound is not late."""
        if not (self._muted or self._failed or self._closed):
            self._tell(_Word.WARM)

    def play(self, take: Take, *, stale_s: float = STALE_S) -> bool:
        """Sound a take in place of what sounds; False when muted or given up a moment ago: a
        device may come back, so it is tried again every few seconds.

        It is left out when it could begin only ``stale_s`` from now; 0 means never.
        """
        if self._muted or self._closed or not take.length_s:
            return False
        if self._failed:
            if self._clock() - self._failed_at < RETRY_S:
                return False
            self._failed, self._trying_again, self._restarted_at = False, True, None
        self._count += 1
        self._cut_off = None
        self._started = None
        take = take if self._room else replace(take, room=False)
        self._tell(Play(self._count, take, self._clock(), stale_s))
        return True

    def stop(self) -> None:
        """Be silent now."""
        self._started = None
        if self._keeper is not None:
            self._tell(Stop())

    def mute(self) -> None:
        """Be silent from now on."""
        self._muted = True
        self.stop()

    def unmute(self) -> None:
        """Sound again; a device that failed is tried anew."""
        self._muted = False
        self._failed = self._trying_again = False
        self._restarted_at = None

    def poll(self) -> str | None:
        """A sentence to show the player, once; None when there is nothing to say."""
        notice, self._notice = self._notice, None
        return notice

    def playing(self) -> Playing | None:
        """What is heard now; None when nothing is or when it is not known yet."""
        now = self._started
        return now if now and now.seconds(self._clock()) < now.take.length_s else None

    def cut_off(self, take: Take) -> bool:
        """Whether the device or the helper went while this take was playing."""
        cut = self._cut_off
        return cut is not None and (cut.events, cut.clicks) == (take.events, take.clicks)

    def calibrate(self, late_s: float, source: LatencySource = LatencySource.CALIBRATED) -> float:
        """Keep that this output is heard later than it was taken to be, by so many seconds
        (negative: earlier), as ``source`` found; the latency from now on.

        Raises DrillError where it cannot be kept.
        """
        latency_s = min(LARGEST_S, max(SMALLEST_S, self._state.latency_s + late_s))
        if self._calibrations is not None and self._state.output:
            self._calibrations.keep(self._state.output, latency_s, source)
        self._state = replace(self._state, latency_s=latency_s, source=source)
        return latency_s

    @property
    def beginning(self) -> Playing | None:
        """What was heard last and when it began, even when it is over; None before any."""
        return self._beginning

    def close(self, wait_s: float = 0.5) -> None:
        """End the helper; waits at most about ``wait_s`` seconds for the device to close."""
        self._closed = True
        self._orders.put(None)
        if self._keeper is not None:
            self._keeper.join(wait_s + 3.0)
        process, self._process = self._process, None
        if process is not None:
            process.end(wait_s)

    # The keeper: one thread that starts, feeds and watches the helper.

    def _tell(self, order: object) -> None:
        if self._keeper is None:
            self._keeper = threading.Thread(target=self._keep, daemon=True, name="sound keeper")
            self._keeper.start()
        self._orders.put(order)

    def _keep(self) -> None:
        last = self._clock()
        while True:
            busy = self._process is not None and (self._wanted is not None or not self._ready)
            try:
                order: object = self._orders.get(timeout=TICK_S if busy else None)
            except queue.Empty:
                order = _Word.TICK
            if order is None:
                return
            now = self._clock()
            if order is _Word.TICK and now - last > TICK_S + 1.0:
                self._heard_at = now  # we slept too (suspended or stopped): forgive
            last = now
            try:
                self._handle(order, now)
            except OSError as fault:
                self._give_up(f"the helper cannot be started ({fault.strerror or fault})")

    def _handle(self, order: object, now: float) -> None:
        match order:
            case Play():
                self._wanted = order
                self._start(now).send(order)
            case Stop():
                self._started = None  # it may have begun since ``stop``
                self._forget()
                if self._process is not None:
                    self._process.send(order)
            case _Word.WARM:
                self._start(now)
            case _Word.TICK:
                self._watch(now)
            case Replied():
                if order.process is self._process:
                    self._note(order.reply, now)

    def _forget(self) -> None:
        """Nothing that was asked for up to now is wanted any more."""
        if self._wanted is not None:
            self._finished = self._wanted.id
        self._wanted = None

    def _break_off(self) -> None:
        """What sounds is heard no more: the device or the helper has gone."""
        if self._wanted is not None and self._started is not None:
            self._cut_off = self._wanted.take
        self._forget()
        self._started = None

    def _start(self, now: float) -> HelperProcess:
        process = self._process
        if process is None:
            self._ready = False
            self._heard_at = now
            self._pause.wait(AFTER_KEY_S)
            process = self._process = HelperProcess(
                self._command(self._skip),
                self._environment,
                self._log,
                lambda process, reply: self._orders.put(Replied(process, reply)),
            )
        elif self._ready:
            self._heard_at = now  # it owes nothing from before
        return process

    def _watch(self, now: float) -> None:
        process = self._process
        if process is None:
            return
        patience = self._patience_s if self._ready else self._start_patience_s
        if now - self._heard_at > patience:
            self._lost("the sound helper hung", now)
        elif self._ready:
            process.send(Ping(self._count))

    def _note(self, reply: Reply | None, now: float) -> None:  # noqa: C901 - a branch a reply
        self._heard_at = now
        wanted = self._wanted
        match reply:
            case None:
                self._lost("the sound helper ended", now)
            case Ready():
                self._ready = True
                latency_s, source = self._latency(reply.latency_s, reply.output, measured=False)
                self._state = OutputState(
                    reply.backend, reply.device, latency_s, source, reply.output
                )
            case Started():
                self._heard(reply)
            case Slipped():
                if self._started is not None and reply.id == self._count:
                    self._started = replace(self._started, slipped_s=reply.by_s)
                    self._beginning = self._started
            case Lost():
                if wanted is not None and reply.id == wanted.id:
                    self._notice = "The sound output is gone. Sound comes back when it does."
                    self._break_off()  # who sees that nothing sounds finds why
            case Ended():
                if wanted is not None and reply.id == wanted.id:
                    self._forget()
            case Failed():
                self._give_up(reply.why)

    def _latency(
        self, told_s: float, output: str, *, measured: bool
    ) -> tuple[float, LatencySource]:
        """The latency to go by, and how it is known: a calibration before what was told."""
        kept = self._calibrations
        calibrated = kept.of(output) if kept is not None and output else None
        if calibrated is not None:
            return calibrated
        return told_s, LatencySource.MEASURED if measured else LatencySource.ASSUMED

    def _heard(self, reply: Started) -> None:
        """A take has begun, or when it began is known better."""
        self._trying_again = False
        wanted = self._wanted
        latency_s, source = self._latency(reply.latency_s, reply.output, measured=reply.measured)
        if wanted is not None and reply.id == wanted.id == self._count:
            slipped = self._started.slipped_s if self._started else 0.0
            at = reply.at - reply.latency_s + latency_s
            self._started = self._beginning = Playing(wanted.take, at, source, slipped)
        if reply.device:
            self._state = replace(
                self._state,
                device=reply.device,
                latency_s=latency_s,
                source=source,
                output=reply.output,
            )

    def _lost(self, why: str, now: float) -> None:
        """The helper is gone or hangs: start it once more, or give up."""
        process, self._process = self._process, None
        if process is not None:
            process.end()
        if self._state.backend == Backend.SIMPLEAUDIO and "DRILL_SOUND" not in self._environment:
            self._skip = (Backend.SIMPLEAUDIO,)
        if self._restarted_at is not None and now - self._restarted_at < RESTART_S:
            self._give_up(why)
            return
        self._restarted_at = now
        if self._wanted is not None and self._started is None:
            self._start(now).send(self._wanted)
        else:
            self._break_off()

    def _give_up(self, why: str) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.end()
        self._failed_at = self._clock()
        if not (self._failed or self._trying_again):  # else it was said
            self._notice = f"No sound: {why}. The drill goes on without it."
        self._failed = True
        self._break_off()  # who sees that nothing sounds finds why
