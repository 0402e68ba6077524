"""A take as a Standard MIDI File 1.0: format 1, at concert pitch.

Track 0 holds tempo and metre, track 1 the notes on channel 1, track 2 (only where
there are clicks) the metronome on channel 10 with the wood blocks of General MIDI 1.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass

from drill.errors import UsageError
from drill.sound.take import Click, Take
from drill.theory.metre import Metre as PlayedMetre
from drill.wording.paper import midi_note_out

TICKS = 480
"""Ticks a quarter note."""
FREE_BPM = 120.0
"""The tempo written for a take that is free of any beat."""

_CLICK_KEYS = {Click.ACCENT: (76, 112), Click.BEAT: (77, 88), Click.DIVISION: (77, 48)}
"""Key and velocity of each click: high and low wood block (General MIDI 1)."""
_PERCUSSION = 9
_LARGEST_TEMPO = 0xFFFFFF


@dataclass(frozen=True, slots=True, order=True)
class _At:
    """Bytes of one event at a tick; at equal ticks note-offs come first."""

    tick: int
    rank: int
    data: bytes


def _variable(value: int) -> bytes:
    """A variable-length quantity (Standard MIDI Files 1.0)."""
    out = [value & 0x7F]
    while value := value >> 7:
        out.append(0x80 | (value & 0x7F))
    return bytes(reversed(out))


def _meta(kind: int, data: bytes) -> bytes:
    return bytes((0xFF, kind)) + _variable(len(data)) + data


def _track(events: list[_At], name: str, end: int) -> bytes:
    body = b"\x00" + _meta(0x03, name.encode("ascii", "replace"))
    tick = 0
    for event in sorted(events):
        body += _variable(event.tick - tick) + event.data
        tick = event.tick
    body += _variable(max(0, end - tick)) + _meta(0x2F, b"")
    return b"MTrk" + struct.pack(">I", len(body)) + body


def _note(key: int, velocity: int, on: int, off: int, channel: int) -> tuple[_At, _At]:
    return (
        _At(on, 1, bytes((0x90 | channel, key, velocity))),
        _At(max(off, on + 1), 0, bytes((0x80 | channel, key, 64))),
    )


@dataclass(frozen=True, slots=True)
class MetreAt:
    """A metre that begins at a bar."""

    beat: float
    """Quarter notes from the beginning."""
    count: int
    unit: int
    """2 for halves, 4 for quarters, 8 for eighths."""
    clicked: float | None = None
    """Quarter notes from click to click of a metronome; None where it clicks each unit."""

    @property
    def data(self) -> bytes:
        """24 clocks a quarter, eight 32nd notes a quarter (Standard MIDI Files 1.0)."""
        clocks = round(24 * (self.clicked or 4 / self.unit))
        return bytes((self.count, {2: 1, 4: 2, 8: 3}[self.unit], clocks, 8))


@dataclass(frozen=True, slots=True)
class Signature:
    """A key signature that begins at a bar."""

    beat: float
    fifths: int
    """Sharps, flats when negative; -7 to 7."""
    minor: bool

    @property
    def data(self) -> bytes:
        """The two bytes of the meta event (Standard MIDI Files 1.0): fifths, then 1 for minor."""
        return struct.pack("bb", self.fifths, int(self.minor))


def midi_bytes(
    take: Take,
    program: int = 0,
    title: str = "drill",
    metres: Sequence[MetreAt] = (),
    signatures: Sequence[Signature] = (),
    played_in: PlayedMetre | None = None,
) -> bytes:
    """The bytes of the file.

    ``program`` is the General MIDI program, counted from 0.  Without ``metres`` the take's own
    beats make a bar.  ``played_in`` is the metre whose beats the take
    counts; None takes them for quarter notes.  Raises UsageError when a note lies outside 0 to 127.
    """
    bpm = take.bpm or FREE_BPM
    quarters = played_in.quarters if played_in else 1.0
    per_second = TICKS * bpm * quarters / 60

    def tick(seconds: float) -> int:
        return round(seconds * per_second)

    notes = [_At(0, -1, bytes((0xC0, program & 0x7F)))]
    for event in take.events:
        if not 0 <= event.midi <= 127:
            raise UsageError(midi_note_out(event.midi))
        on, off = tick(event.onset_s), tick(event.onset_s + event.sounding_s)
        notes += _note(event.midi, event.velocity, on, off, 0)
    tempo = min(_LARGEST_TEMPO, round(60_000_000 / (bpm * quarters)))
    whole = played_in.signature if played_in else (take.beats_per_bar, 4)
    metres = metres or (MetreAt(0.0, *whole, clicked=quarters),)
    head = [
        _At(0, 0, _meta(0x51, tempo.to_bytes(3, "big"))),
        *(_At(round(each.beat * TICKS), 1, _meta(0x58, each.data)) for each in metres),
        *(_At(round(each.beat * TICKS), 2, _meta(0x59, each.data)) for each in signatures),
    ]
    end = tick(take.length_s)
    tracks = [_track(head, title, end), _track(notes, "notes", end)]
    if take.clicks:
        clicks: list[_At] = []
        for click in take.clicks:
            on = tick(click.onset_s)
            clicks += _note(*_CLICK_KEYS[click.click], on, on + TICKS // 16, _PERCUSSION)
        tracks.append(_track(clicks, "metronome", end))
    return b"MThd" + struct.pack(">IHHH", 6, 1, len(tracks), TICKS) + b"".join(tracks)
