"""The sound helper: a process of its own that renders takes and plays them.

Started by ``player`` as ``python -m drill.sound.helper``; it reads orders from its
standard input and writes replies to its standard output (see ``protocol``).  It ends
when its input ends, so it never outlives the drill.
"""

from __future__ import annotations

import contextlib
import os
import queue
import sys
import threading
import time
from collections.abc import Callable
from typing import BinaryIO, Protocol

from drill.clock import monotonic
from drill.errors import DrillError
from drill.sound import protocol
from drill.sound.device import MiniaudioOutput, forced, open_output
from drill.sound.latency import Asker, asked, card_latency, server_latency, server_sink
from drill.sound.limits import Backend
from drill.sound.output import Output, SoundError
from drill.sound.render import render
from drill.sound.take import verdict_take
from drill.sound.tone import RATE

STEADY_FROM_S = 6.0
"""A take of this length, or one with clicks, goes out by the way that does not stumble."""
SLIP_S = 0.012
"""A take that fell behind by less is not told."""
MEASURE_AFTER_S = 0.5
"""Once a take has played for so long, the server is asked how much of it it holds."""
MEASURE_AGAIN_S = 30.0
TRIES = 8
"""How often the server is asked until no samples go out meanwhile."""
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


class Opener(Protocol):
    """Opens an output as ``device.open_output`` does."""

    def __call__(
        self,
        force: Backend,
        clock: Callable[[], float],
        skip: tuple[Backend, ...] = (),
        *,
        steady: bool = False,
    ) -> Output: ...


class Helper:
    """Orders in, sound and replies out."""

    def __init__(
        self,
        orders: queue.SimpleQueue[object],
        reply: Callable[[protocol.Reply], None],
        clock: Callable[[], float],
        *,
        force: Backend = Backend.AUTO,
        skip: tuple[Backend, ...] = (),
        opener: Opener = open_output,
        ask: Asker | None = None,
    ) -> None:
        self._orders = orders
        self._reply = reply
        self._clock = clock
        self._force = force
        self._skip = skip
        self._open = opener
        self._outputs: dict[bool, Output] = {}
        """By whether it is the steady one; simpleaudio's is both."""
        self._output: Output | None = None
        """The one in use."""
        self._meter = Meter(ask or asked(os.environ), clock)
        self._id = 0
        self._slipped = 0.0
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
                    if order is None or isinstance(order, protocol.Bye):
                        return
                    later = orders[place + 1 :]
                    over = protocol.Play | protocol.Stop
                    if isinstance(order, protocol.Play) and any(isinstance(o, over) for o in later):
                        self._reply(protocol.Ended(order.id))
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
            output = self._output = self._opened(steady=False)
        except SoundError as fault:
            print(fault, fault.innards, file=sys.stderr)
            self._reply(protocol.Ready("", "", 0.0))
        else:
            name = self._meter.output(output)
            self._reply(protocol.Ready(output.backend, output.device, output.latency_s, name))

    def _opened(self, *, steady: bool) -> Output:
        """The output of that kind, opened the first time.  Raises SoundError."""
        if steady not in self._outputs:
            one = self._outputs.get(not steady)
            if one is not None and one.backend is not Backend.MINIAUDIO:
                return one  # it has one way only
            made = self._open(self._force, self._clock, self._skip, steady=steady)
            if isinstance(made, MiniaudioOutput):
                made.ask_with(self._meter.answers)
            self._outputs[steady] = made
        return self._outputs[steady]

    def _obey(self, order: object) -> None:
        match order:
            case protocol.Play():
                self._end()
                if order.stale_s and self._clock() - order.sent > order.stale_s:
                    self._reply(protocol.Ended(order.id))
                else:
                    self._play(order)
            case protocol.Stop():
                self._end()
            case protocol.Ping():
                self._reply(protocol.Pong(order.number))

    def _play(self, order: protocol.Play) -> None:
        pcm = render(order.take).tobytes()
        steady = bool(order.take.clicks) or order.take.length_s >= STEADY_FROM_S
        skip = self._skip
        why = ""
        for _ in range(3):
            output = None
            try:
                output = self._opened(steady=steady)
                if self._output is not None and self._output is not output:
                    self._output.stop()
                self._output = output
                at = output.start(pcm)
            except SoundError as fault:
                print(fault, fault.innards, file=sys.stderr)
                why = why or str(fault)
                if output is None:
                    break
                # A device that was lost may come back; a library that cannot is left out.
                if self._force is Backend.AUTO and output.backend is Backend.SIMPLEAUDIO:
                    skip = self._skip = (*skip, Backend.SIMPLEAUDIO)
                self._drop()
            else:
                self._id, self._told, self._told_at = order.id, at, self._clock()
                self._slipped = 0.0
                self._resting = False
                self._meter.begin(self._clock())
                self._tell(at)
                return
        self._reply(protocol.Failed(why))

    def _tell(self, at: float) -> None:
        """Say when the take is heard, and how that is known."""
        output = self._output
        assert output is not None  # it plays
        meter = self._meter
        self._reply(
            protocol.Started(
                self._id,
                at,
                output.device,
                output.latency_s,
                meter.measured(output),
                meter.output(output),
            )
        )

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
                self._told_at = self._clock()
                found = self._meter.look(self._output, self._told_at)
                slipped = self._output.slipped()
                if slipped > self._slipped + SLIP_S:
                    self._slipped = slipped
                    self._reply(protocol.Slipped(self._id, slipped))
                at = self._output.began()
                if at is not None and (found or abs(at - self._told) > SHIFT_S):
                    self._told = at
                    self._tell(at)
        except SoundError:
            # Lost while it played: the next take opens it anew, or says why not.
            lost = self._id
            self._drop()
            if lost:
                self._reply(protocol.Lost(lost))
            self._end()

    def _end(self) -> None:
        if self._output is not None:
            self._output.stop()
            self._resting = False
        if self._id:
            self._reply(protocol.Ended(self._id))
            self._id = 0

    def _drop(self) -> None:
        for output in self._outputs.values():
            output.close()
        self._outputs = {}
        self._output = None
        self._meter.forget()


class Meter:
    """Learns from the sound server how late each output is, aside, while a take plays."""

    def __init__(self, ask: Asker, clock: Callable[[], float]) -> None:
        self._ask = ask
        self._clock = clock
        self._sink: str | None = None
        self._known: set[int] = set()
        """Outputs whose latency somebody told, by identity."""
        self._began = 0.0
        self._asked_at: dict[int, float] = {}
        self._told: queue.SimpleQueue[tuple[int, float | None]] = queue.SimpleQueue()

    def begin(self, now: float) -> None:
        """A take begins."""
        self._began = now

    def forget(self) -> None:
        """The outputs are closed: what was told of them counts no more."""
        self._known.clear()
        self._asked_at.clear()

    def output(self, output: Output) -> str:
        """A name for the way to the loudspeaker: library, host and the server's own sink."""
        if self._sink is None:
            silent = output.backend is Backend.SILENT
            self._sink = "" if silent else server_sink(self._ask)
        return " ".join(filter(None, (output.backend.value, output.device, self._sink)))

    def answers(self) -> bool:
        """Whether there is a sound server and it answers."""
        return bool(server_sink(self._ask))

    def measured(self, output: Output) -> bool:
        """Whether somebody told this output's latency."""
        return id(output) in self._known

    def look(self, output: Output, now: float) -> bool:
        """Ask, when it is time, and take what was told; True where the latency is new."""
        if output.backend is not Backend.MINIAUDIO:
            return False  # what the others hold is not what the first sample waited for
        new = False
        while not self._told.empty():
            whose, latency_s = self._told.get()
            if whose == id(output) and latency_s is not None:
                new = abs(output.latency_s - latency_s) > SHIFT_S or whose not in self._known
                self._known.add(whose)
                output.latency_s = latency_s
        asked_at = self._asked_at.get(id(output))
        due = asked_at is None or now - asked_at > MEASURE_AGAIN_S
        if due and now - self._began > MEASURE_AFTER_S:
            self._asked_at[id(output)] = now
            threading.Thread(target=self._measure, args=(output,), daemon=True).start()
        return new

    def _measure(self, output: Output) -> None:
        """What is held of the samples handed over so far tells when the first was heard."""
        pid = os.getpid()
        for _ in range(TRIES):
            handed, before = output.handed(), self._clock()
            held_s = server_latency(self._ask, pid)
            if held_s is None:
                held_s = card_latency(pid)
            after, began = self._clock(), output.began()
            if held_s is None or began is None:
                break
            if output.handed() == handed:  # else a period went out while it was asked
                heard = (before + after) / 2 - handed / RATE + held_s
                self._told.put((id(output), heard - (began - output.latency_s)))
                return
        self._told.put((id(output), None))


def _private_pipe() -> BinaryIO:
    """Standard output for ourselves; what a library prints goes to standard error."""
    pipe = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(2, 1)
    return pipe


def _hurry() -> None:
    """Ask the system to let us go before others; where it does not, so be it."""
    with contextlib.suppress(AttributeError, OSError):
        os.setpriority(os.PRIO_PROCESS, 0, -11)


def main() -> int:
    """Run the helper on the standard pipes; the exit code."""
    out = _private_pipe()
    _hurry()
    orders: queue.SimpleQueue[object] = queue.SimpleQueue()

    def reply(message: protocol.Reply) -> None:
        try:
            out.write(protocol.encode(message))
        except OSError:
            os._exit(0)  # the drill has gone

    # Unbuffered: a buffered reader would hold its lock when the process ends.
    source = open(0, "rb", buffering=0, closefd=False)  # noqa: SIM115 (open to the end)

    def read() -> None:
        try:
            while (order := protocol.receive(source)) is not None:
                orders.put(order)
        except DrillError as fault:
            print(fault, file=sys.stderr)
        orders.put(None)
        time.sleep(CLOSE_S)
        os._exit(0)  # the device hangs; the drill has gone

    threading.Thread(target=read, daemon=True).start()
    skip = tuple(Backend(word) for word in sys.argv[1:])
    Helper(orders, reply, monotonic, force=forced(os.environ), skip=skip).run()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
