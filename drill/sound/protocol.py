"""The words spoken between the drill and its sound helper, over two pipes.

A message is its length in four bytes, big end first, then a JSON object in UTF-8.
Instants are seconds on the system's monotonic clock, which both processes share.
"""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass
from typing import Any, Protocol

from drill.errors import DataError
from drill.sound.spectra import Colour
from drill.sound.take import Click, ClickEvent, Event, Take

LARGEST = 16_000_000
"""No message is longer, in bytes."""


class Reader(Protocol):
    """A pipe that can be read."""

    def read(self, size: int, /) -> bytes:
        """At most ``size`` bytes; none at the end."""


@dataclass(frozen=True, slots=True)
class Play:
    """Sound a take, in place of what is sounding."""

    id: int
    take: Take
    sent: float
    """When it was asked for."""
    stale_s: float
    """It is left out when it would begin later than this; 0 means never."""


@dataclass(frozen=True, slots=True)
class Stop:
    """Be silent now."""


@dataclass(frozen=True, slots=True)
class Ping:
    """Say that you are alive."""

    number: int


@dataclass(frozen=True, slots=True)
class Bye:
    """Close the device and end."""


@dataclass(frozen=True, slots=True)
class Ready:
    """The helper is up; which device it will use."""

    backend: str
    device: str
    latency_s: float
    output: str = ""
    """The name of the loudspeaker's way, for what is kept of it; empty where it is not known."""


@dataclass(frozen=True, slots=True)
class Started:
    """The take ``id`` is heard from the instant ``at``."""

    id: int
    at: float
    device: str = ""
    latency_s: float = 0.0
    """What ``at`` has in it, from a sample handed over to hearing it."""
    measured: bool = False
    """Whether somebody told the latency; False: it is assumed."""
    output: str = ""
    """As in ``Ready``."""


@dataclass(frozen=True, slots=True)
class Slipped:
    """The take ``id`` fell behind by so many seconds while it played."""

    id: int
    by_s: float


@dataclass(frozen=True, slots=True)
class Lost:
    """The device went while the take ``id`` played."""

    id: int


@dataclass(frozen=True, slots=True)
class Ended:
    """The take ``id`` is over, was stopped, or came too late."""

    id: int


@dataclass(frozen=True, slots=True)
class Failed:
    """The device failed; ``why`` is a sentence for the player."""

    why: str


@dataclass(frozen=True, slots=True)
class Pong:
    """The helper is alive."""

    number: int


Order = Play | Stop | Ping | Bye
"""From the drill to the helper."""
Reply = Ready | Started | Slipped | Lost | Ended | Failed | Pong
"""From the helper to the drill."""

_KINDS: dict[str, type[Any]] = {
    kind.__name__.lower(): kind
    for kind in (Stop, Ping, Bye, Ready, Started, Slipped, Lost, Ended, Failed, Pong)
}


def _fields(value: Any) -> dict[str, Any]:
    return {name: getattr(value, name) for name in value.__slots__}


def _take_out(take: Take) -> dict[str, Any]:
    fields = _fields(take)
    fields["events"] = [[getattr(e, name) for name in Event.__slots__] for e in take.events]
    fields["clicks"] = [[c.onset_s, c.click.value] for c in take.clicks]
    fields["colour"] = take.colour.value
    return fields


def _take_in(fields: dict[str, Any]) -> Take:
    fields = dict(fields)
    fields["events"] = tuple(Event(*event) for event in fields["events"])
    fields["clicks"] = tuple(ClickEvent(at, Click(kind)) for at, kind in fields["clicks"])
    fields["colour"] = Colour(fields["colour"])
    return Take(**fields)


def encode(message: Order | Reply) -> bytes:
    """The bytes of one message."""
    fields = _fields(message)
    if isinstance(message, Play):
        fields["take"] = _take_out(message.take)
    fields["kind"] = type(message).__name__.lower()
    body = json.dumps(fields, separators=(",", ":")).encode()
    return struct.pack(">I", len(body)) + body


def decode(body: bytes) -> Order | Reply:
    """The message in a body without its length; raises DataError when it is none."""
    try:
        fields = json.loads(body)
        kind = fields.pop("kind")
        if kind == "play":
            return Play(**(fields | {"take": _take_in(fields["take"])}))
        message: Order | Reply = _KINDS[kind](**fields)
    except (ValueError, KeyError, TypeError, AttributeError) as fault:
        raise DataError(f"not a message of the sound helper: {body[:60]!r}") from fault
    return message


def _exactly(pipe: Reader, size: int) -> bytes | None:
    parts = b""
    while len(parts) < size:
        part = pipe.read(size - len(parts))
        if not part:
            return None
        parts += part
    return parts


def receive(pipe: Reader) -> Order | Reply | None:
    """The next message of a pipe, waiting for it; None at its end.

    Raises DataError when what comes is no message.
    """
    head = _exactly(pipe, 4)
    if head is None:
        return None
    (size,) = struct.unpack(">I", head)
    if size > LARGEST:
        raise DataError(f"a message of {size} bytes; at most {LARGEST}")
    body = _exactly(pipe, size)
    return None if body is None else decode(body)
