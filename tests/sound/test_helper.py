"""The helper's loop, in this process, with an output and a clock of the test's own."""

from __future__ import annotations

import contextlib
import io
import queue
from collections.abc import Callable
from typing import cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.errors import DataError
from drill.sound.device import Backend, SoundError
from drill.sound.helper import Helper
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
    decode,
    encode,
    receive,
)
from drill.sound.take import Click, ClickEvent, Event, Take, verdict_take
from drill.sound.tone import Colour

CELL = verdict_take((60, 62), "sax")


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
    Helper(box, replies.append, lambda: now, opener=opener).run()
    return replies


def test_a_take_is_rendered_and_started() -> None:
    output = FakeOutput()
    replies = serve([Play(1, CELL, 0.0, 2.5), Ping(7), Stop()], lambda *_: output)
    assert replies == [
        Ready("simpleaudio", "a test", 0.01),
        Started(1, 5.0, "a test", 0.01),
        Pong(7),
        Ended(1),
    ]
    assert output.done[-1] == "close"
    assert f"start {2 * round(CELL.length_s * 44100)}" in output.done


def test_a_take_that_comes_too_late_is_left_out() -> None:
    output = FakeOutput()
    replies = serve([Play(1, CELL, 0.0, 2.5), Play(2, CELL, 0.0, 0.0)], lambda *_: output, 10.0)
    assert replies[1:] == [Ended(1, stale=True), Started(2, 5.0, "a test", 0.01)]


def test_a_burst_plays_the_last_alone() -> None:
    output = FakeOutput()
    burst = [Play(number, CELL, 0.0, 0.0) for number in (1, 2, 3)]
    replies = serve([*burst, Bye()], lambda *_: output, at_once=True)
    assert [reply for reply in replies if isinstance(reply, Started)] == [
        Started(3, 5.0, "a test", 0.01)
    ]
    assert [reply for reply in replies if isinstance(reply, Ended)] == [Ended(1), Ended(2)]


def test_a_device_that_failed_once_is_opened_anew() -> None:
    outputs = [FakeOutput(fails=1), FakeOutput()]
    opened: list[tuple[Backend, ...]] = []

    def opener(force: object, clock: object, skip: tuple[Backend, ...]) -> FakeOutput:
        opened.append(skip)
        return outputs[len(opened) - 1]

    replies = serve([Play(1, CELL, 0.0, 0.0)], opener)
    assert replies[1:] == [Started(1, 5.0, "a test", 0.01)]
    assert opened == [(), (Backend.SIMPLEAUDIO,)]  # the other library is tried


def test_a_device_that_fails_for_good_is_told_once() -> None:
    def opener(*_: object) -> FakeOutput:
        raise SoundError("no output device was found")

    replies = serve([Play(1, CELL, 0.0, 0.0)], opener)
    assert replies == [Ready("", "", 0.0), Failed("no output device was found")]


def test_every_message_comes_out_as_it_went_in() -> None:
    take = Take(
        (Event(60, 0.5, 0.2, 90, 0.0, 0.02, 0.25), Event(62, 0.75, 0.2, 90, 0.02, 0.0, 0.25)),
        3.0,
        (ClickEvent(0.0, Click.ACCENT), ClickEvent(0.5)),
        Colour.TRUMPET,
        120.0,
        0.5,
        3,
        442.0,
        0.3,
    )
    messages = [Play(1, take, 2.0, 2.5), Stop(), Ping(3), Bye(), Ready("a", "b", 0.1),
                Started(1, 2.0, "d", 0.2), Ended(1, True), Failed("why"), Pong(3)]  # fmt: skip
    pipe = io.BytesIO(b"".join(encode(message) for message in messages))
    assert [receive(pipe) for _ in messages] == messages
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
