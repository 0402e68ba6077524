"""The sound helper: a process of its own that renders takes and plays them.

Started by ``player`` as ``python -m drill.sound.helper``; it reads orders from its
standard input and writes replies to its standard output (see ``protocol``).  It ends
when its input ends, so it never outlives the drill.
"""

from __future__ import annotations

import os
import queue
import sys
import threading
import time
from collections.abc import Callable
from typing import BinaryIO

from drill.clock import monotonic
from drill.errors import DrillError
from drill.sound.device import Backend, Output, SoundError, forced, open_output
from drill.sound.protocol import (
    Bye,
    Ended,
    Failed,
    Ping,
    Play,
    Pong,
    Ready,
    Reply,
    Started,
    Stop,
    encode,
    receive,
)
from drill.sound.render import render
from drill.sound.take import verdict_take

WATCH_S = 0.02
"""How often the device is looked at while it plays."""
REST_S = 2.0
"""How often while nothing plays and the device rests."""
TELL_S = 0.25
"""How often the beginning of what plays is measured anew."""
SHIFT_S = 0.0005
"""A beginning that moved by less is not told."""
CLOSE_S = 1.0
"""How long a device may take to close when the drill has gone."""

Opener = Callable[[Backend | None, Callable[[], float], tuple[Backend, ...]], Output]


class Helper:
    """Orders in, sound and replies out."""

    def __init__(
        self,
        orders: queue.SimpleQueue[object],
        reply: Callable[[Reply], None],
        clock: Callable[[], float],
        *,
        force: Backend | None = None,
        skip: tuple[Backend, ...] = (),
        opener: Opener = open_output,
    ) -> None:
        self._orders = orders
        self._reply = reply
        self._clock = clock
        self._force = force
        self._skip = skip
        self._open = opener
        self._output: Output | None = None
        self._id = 0
        self._resting = True
        self._told = 0.0
        self._told_at = 0.0

    def run(self) -> None:
        """Serve until told to end or until the orders end (a None among them)."""
        self._warm()
        try:
            while True:
                try:
                    orders = self._next()
                except queue.Empty:
                    self._look()
                    continue
                for place, order in enumerate(orders):
                    if order is None or isinstance(order, Bye):
                        return
                    later = orders[place + 1 :]
                    if isinstance(order, Play) and any(isinstance(o, Play | Stop) for o in later):
                        self._reply(Ended(order.id))
                    else:
                        self._obey(order)
        finally:
            self._drop()

    def _next(self) -> list[object]:
        """Every order that has come, waiting for the first; raises queue.Empty after a while."""
        orders = [self._orders.get(timeout=REST_S if self._resting else WATCH_S)]
        while not self._orders.empty():
            orders.append(self._orders.get())
        return orders

    def _warm(self) -> None:
        """Load and open what the first sound will need; a failure is told when it matters."""
        render(verdict_take((60,)))
        try:
            self._output = self._open(self._force, self._clock, self._skip)
        except SoundError:
            self._reply(Ready("", "", 0.0))
        else:
            self._reply(Ready(self._output.backend, self._output.device, self._output.latency_s))

    def _obey(self, order: object) -> None:
        match order:
            case Play():
                self._end()
                if order.stale_s and self._clock() - order.sent > order.stale_s:
                    self._reply(Ended(order.id, stale=True))
                else:
                    self._play(order)
            case Stop():
                self._end()
            case Ping():
                self._reply(Pong(order.number))

    def _play(self, order: Play) -> None:
        pcm = render(order.take).tobytes()
        skip = self._skip
        why = ""
        for _ in range(3):
            try:
                if self._output is None:
                    self._output = self._open(self._force, self._clock, skip)
                at = self._output.start(pcm)
            except SoundError as fault:
                why = why or str(fault)
                if self._output is None:
                    break
                # A device that was lost may come back; a library that cannot is left out.
                if self._force is None and self._output.backend is Backend.SIMPLEAUDIO:
                    skip = (*skip, Backend.SIMPLEAUDIO)
                self._drop()
            else:
                self._id, self._told, self._told_at = order.id, at, self._clock()
                self._resting = False
                self._reply(Started(order.id, at, self._output.device, self._output.latency_s))
                return
        self._reply(Failed(why))

    def _look(self) -> None:
        """See how the device is getting on, and say so."""
        if self._output is None:
            self._resting = True
            return
        try:
            if not self._id:
                self._resting = self._output.rest()
            elif not self._output.playing():
                self._end()
            elif self._clock() - self._told_at >= TELL_S:
                at = self._output.began()
                self._told_at = self._clock()
                if at is not None and abs(at - self._told) > SHIFT_S:
                    self._told = at
                    self._reply(Started(self._id, at))
        except SoundError:
            # Lost while it played: the next take opens it anew, or says why not.
            self._drop()
            self._end()

    def _end(self) -> None:
        if self._output is not None:
            self._output.stop()
            self._resting = False
        if self._id:
            self._reply(Ended(self._id))
            self._id = 0

    def _drop(self) -> None:
        if self._output is not None:
            self._output.close()
            self._output = None


def _private_pipe() -> BinaryIO:
    """Standard output for ourselves; what a library prints goes to standard error."""
    pipe = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(2, 1)
    return pipe


def main() -> int:
    """Run the helper on the standard pipes; the exit code."""
    out = _private_pipe()
    orders: queue.SimpleQueue[object] = queue.SimpleQueue()

    def reply(message: Reply) -> None:
        try:
            out.write(encode(message))
        except OSError:
            os._exit(0)  # the drill has gone

    # Unbuffered: a buffered reader would hold its lock when the process ends.
    source = open(0, "rb", buffering=0, closefd=False)  # noqa: SIM115 (open to the end)

    def read() -> None:
        try:
            while (order := receive(source)) is not None:
                orders.put(order)
        except DrillError as fault:
            print(fault, file=sys.stderr, flush=True)
        orders.put(None)
        time.sleep(CLOSE_S)
        os._exit(0)  # the device hangs; the drill has gone

    threading.Thread(target=read, daemon=True).start()
    skip = tuple(Backend(word) for word in sys.argv[1:])
    Helper(orders, reply, monotonic, force=forced(os.environ), skip=skip).run()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
