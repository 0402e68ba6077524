"""The helper's loop, in this process, with an output and a clock of the test's own."""

from __future__ import annotations

import contextlib
import io
import os
import queue
from collections.abc import Callable, Sequence
from typing import cast

import pytest
from alsa_file import until
from hypothesis import given
from hypothesis import strategies as st

from drill.errors import DataError
from drill.sound.helper import Helper, Meter
from drill.sound.limits import Backend
from drill.sound.output import SoundError
from drill.sound.protocol import (
    Bye,
    Ended,
    Failed,
    Lost,
    Ping,
    Play,
    Pong,
    Ready,
    Reply,
    Slipped,
    Started,
    Stop,
    decode,
    encode,
    receive,
)
from drill.sound.spectra import Colour
from drill.sound.take import Click, ClickEvent, Event, Take, verdict_take

CELL = verdict_take((60, 62))


class FakeOutput:
    """An output that fails as often as it is told."""

    backend = Backend.SIMPLEAUDIO
    device = "a test"
    latency_s = 0.01

    def __init__(self, fails: int = 0) -> None:
        self.fails = fails
        self.done: list[str] = []

    def start(self, pcm: bytes) -> float:
        if self.fails:
            self.fails -= 1
            raise SoundError("the device is busy")
        self.done.append(f"start {len(pcm)}")
        return 5.0

    def stop(self) -> None:
        self.done.append("stop")

    def playing(self) -> bool:
        return False

    def began(self) -> float | None:
        return None

    def handed(self) -> int:
        return 4410

    def slipped(self) -> float:
        return 0.0

    def rest(self) -> bool:
        return True

    def close(self) -> None:
        self.done.append("close")


class Orders:
    """A queue whose orders come one after the other, or all at once."""

    def __init__(self, orders: list[object], at_once: bool) -> None:
        self.left = [*orders, None]
        self.at_once = at_once

    def get(self, timeout: float | None = None) -> object:
        return self.left.pop(0)

    def empty(self) -> bool:
        return not (self.at_once and self.left)


def serve(
    orders: list[object],
    opener: Callable[..., FakeOutput],
    now: float = 1.0,
    at_once: bool = False,
) -> list[Reply]:
    replies: list[Reply] = []
    box = cast("queue.SimpleQueue[object]", Orders(orders, at_once))
    Helper(box, replies.append, lambda: now, opener=opener, ask=lambda command: None).run()
    return replies


def test_a_take_is_rendered_and_started() -> None:
    output = FakeOutput()
    replies = serve([Play(1, CELL, 0.0, 2.5), Ping(7), Stop()], lambda *_, **__: output)
    assert replies == [
        Ready("simpleaudio", "a test", 0.01, "simpleaudio a test"),
        Started(1, 5.0, "a test", 0.01, False, "simpleaudio a test"),
        Pong(7),
        Ended(1),
    ]
    assert output.done[-1] == "close"
    assert f"start {2 * round(CELL.length_s * 44100)}" in output.done


def test_a_take_that_comes_too_late_is_left_out() -> None:
    output = FakeOutput()
    replies = serve(
        [Play(1, CELL, 0.0, 2.5), Play(2, CELL, 0.0, 0.0)], lambda *_, **__: output, 10.0
    )
    assert replies[1:] == [
        Ended(1),
        Started(2, 5.0, "a test", 0.01, False, "simpleaudio a test"),
    ]


def test_a_burst_plays_the_last_alone() -> None:
    output = FakeOutput()
    burst = [Play(number, CELL, 0.0, 0.0) for number in (1, 2, 3)]
    replies = serve([*burst, Bye()], lambda *_, **__: output, at_once=True)
    assert [reply for reply in replies if isinstance(reply, Started)] == [
        Started(3, 5.0, "a test", 0.01, False, "simpleaudio a test")
    ]
    assert [reply for reply in replies if isinstance(reply, Ended)] == [Ended(1), Ended(2)]


def test_a_device_that_failed_once_is_opened_anew() -> None:
    outputs = [FakeOutput(fails=1), FakeOutput()]
    opened: list[tuple[Backend, ...]] = []

    def opener(
        force: object, clock: object, skip: tuple[Backend, ...], *, steady: bool
    ) -> FakeOutput:
        assert not steady
        opened.append(skip)
        return outputs[len(opened) - 1]

    replies = serve([Play(1, CELL, 0.0, 0.0)], opener)
    assert replies[1:] == [Started(1, 5.0, "a test", 0.01, False, "simpleaudio a test")]
    assert opened == [(), (Backend.SIMPLEAUDIO,)]  # the other library is tried


def test_a_device_that_fails_for_good_is_told_once() -> None:
    def opener(*_: object, **__: object) -> FakeOutput:
        raise SoundError("no output device was found")

    replies = serve([Play(1, CELL, 0.0, 0.0)], opener)
    assert replies == [Ready("", "", 0.0), Failed("no output device was found")]


def test_every_message_comes_out_as_it_went_in() -> None:
    take = Take(
        (Event(60, 0.5, 0.2, 90, 0.0, 0.02), Event(62, 0.75, 0.2, 90, 0.02, 0.0)),
        3.0,
        (ClickEvent(0.0, Click.ACCENT), ClickEvent(0.5)),
        Colour.TRUMPET,
        120.0,
        0.5,
        3,
        442.0,
        0.3,
    )
    messages = (
        Play(1, take, 2.0, 2.5), Stop(), Ping(3), Bye(), Ready("a", "b", 0.1),
        Started(1, 2.0, "d", 0.2), Ended(1), Slipped(1, 0.1), Lost(2), Failed("why"), Pong(3),
    )  # fmt: skip
    pipe = io.BytesIO(b"".join(encode(message) for message in messages))
    assert [receive(pipe) for _ in messages] == list(messages)
    assert receive(pipe) is None


@given(st.binary(max_size=60))
def test_noise_on_the_pipe_is_a_fault_or_an_end_and_nothing_else(noise: bytes) -> None:
    pipe = io.BytesIO(noise)
    with contextlib.suppress(DataError):
        assert receive(pipe) is None


@pytest.mark.parametrize("body", [b"[]", b"{}", b'{"kind":"take"}', b'{"kind":"ping"}', b"\xff"])
def test_what_is_no_message_is_refused(body: bytes) -> None:
    with pytest.raises(DataError, match="not a message"):
        decode(body)


class FakeMini(FakeOutput):
    """A device that plays for some looks, falls behind, and may be lost."""

    backend = Backend.MINIAUDIO

    def __init__(self, looks: int, *, slips_s: float = 0.0, lost: bool = False) -> None:
        super().__init__()
        self.looks, self.slips_s, self.lost = looks, slips_s, lost

    def playing(self) -> bool:
        self.looks -= 1
        if self.lost and self.looks <= 0:
            raise SoundError("the output device was lost", "error -401")
        return self.looks > 0

    def began(self) -> float | None:
        return 5.0 + self.slips_s

    def slipped(self) -> float:
        return self.slips_s if self.looks < 3 else 0.0


class Patient:
    """Orders that come, then nothing for so many looks, then the end."""

    def __init__(self, orders: list[object], looks: int) -> None:
        self.left, self.looks = list(orders), looks

    def get(self, timeout: float | None = None) -> object:
        if self.left:
            return self.left.pop(0)
        self.looks -= 1
        if self.looks < 0:
            return None
        raise queue.Empty

    def empty(self) -> bool:
        return True


def watched(output: FakeMini, looks: int, told: str | None = None) -> list[Reply]:
    """What is told of one take while the device is looked at, a second apart."""
    replies: list[Reply] = []
    now = 0.0

    def clock() -> float:
        nonlocal now
        now += 1.0
        return now

    Helper(
        Patient([Play(1, CELL, 0.0, 0.0)], looks),  # type: ignore[arg-type]
        replies.append,
        clock,
        opener=lambda *_, **__: output,
        ask=lambda command: told,
    ).run()
    return replies


def test_a_device_lost_while_it_plays_is_told() -> None:
    replies = watched(FakeMini(3, lost=True), 6)
    assert [reply for reply in replies if isinstance(reply, (Lost, Ended))] == [Lost(1), Ended(1)]


def test_a_take_that_falls_behind_is_told_once_with_how_far() -> None:
    replies = watched(FakeMini(8, slips_s=0.12), 10)
    assert [reply for reply in replies if isinstance(reply, Slipped)] == [Slipped(1, 0.12)]
    assert not [r for r in watched(FakeMini(8, slips_s=0.004), 10) if isinstance(r, Slipped)]


def test_clicks_go_out_by_the_way_that_does_not_stumble() -> None:
    made: list[bool] = []

    def opener(*_: object, steady: bool, **__: object) -> FakeMini:
        made.append(steady)
        return FakeMini(1)

    clicks = Take((), 1.0, (ClickEvent(0.0),))
    replies = serve([Play(1, clicks, 0.0, 0.0), Play(2, CELL, 0.0, 0.0)], opener)
    assert made == [False, True], "the quick one is opened at the start, the other when needed"
    assert [reply.id for reply in replies if isinstance(reply, Started)] == [1, 2]


def test_what_the_server_holds_of_the_samples_handed_over_tells_when_it_began() -> None:
    """4410 samples are 100 ms: handed over at the instant t with 30 ms of them held, the first was
    heard 70 ms before t, whatever periods they went out in."""
    told: list[tuple[str, ...]] = []

    def ask(command: Sequence[str]) -> str:
        told.append(tuple(command))
        return (
            "Sink Input #1\n\tBuffer Latency: 20000 usec\n\tSink Latency: 10000 usec\n"
            f'\t\tapplication.process.id = "{os.getpid()}"\n'
        )

    output = FakeMini(99)
    meter = Meter(ask, lambda: 8.0)
    meter.begin(0.0)
    assert not meter.measured(output)
    assert not meter.look(output, 8.0)
    assert until(lambda: meter.look(output, 8.1))
    assert meter.measured(output)
    # It said 5.0 with 10 ms of latency in it: it is heard from 7.93 on.
    assert output.latency_s == pytest.approx(8.0 - 0.1 + 0.03 - (5.0 - 0.01))
    assert ("pactl", "list", "sink-inputs") in told
