"""Notes out of a Standard MIDI File 1.0 (MIDI Manufacturers Association, 1996)."""

from __future__ import annotations

import struct
from bisect import bisect_left

from drill.errors import DataError
from drill.hearing.values import MidiNote

_DRUMS = 9
"""The channel of percussion, counted from 0: the click, not the player."""


def midi_events(data: bytes, name: str) -> tuple[MidiNote, ...]:
    """The notes of a file in the order in which they begin; percussion is left out.

    Raises DataError for what is no MIDI file.
    """
    if data[:4] != b"MThd" or len(data) < 14:
        raise DataError(f"{name} is not a MIDI file: expected it to begin with MThd")
    kind, tracks, division = struct.unpack(">HHH", data[8:14])
    if division == 0 or kind > 1:
        raise DataError(f"{name} is a MIDI file of format {kind}: expected format 0 or 1")
    at = 8 + struct.unpack(">I", data[4:8])[0]
    tempi: list[tuple[int, int]] = []
    notes: list[tuple[int, int, int, int]] = []
    for _ in range(tracks):
        if data[at : at + 4] != b"MTrk" or at + 8 > len(data):
            raise DataError(f"{name} ends within a track")
        length = struct.unpack(">I", data[at + 4 : at + 8])[0]
        try:
            _track(data[at + 8 : at + 8 + length], tempi, notes)
        except IndexError:
            raise DataError(f"{name} ends within a track") from None
        at += 8 + length
    clock = _Clock(division, tempi)
    return tuple(
        sorted(
            (
                MidiNote(clock.at(on), clock.at(off), pitch, force)
                for on, off, pitch, force in notes
            ),
            key=lambda each: (each.on_s, each.pitch),
        )
    )


class _Clock:
    """From ticks to seconds."""

    def __init__(self, division: int, tempi: list[tuple[int, int]]) -> None:
        self._smpte = 0.0
        if division & 0x8000:
            self._smpte = 1 / ((256 - (division >> 8)) * (division & 0xFF) or 1)
        self._division = division
        self._changes: list[tuple[int, float, int]] = [(0, 0.0, 500_000)]
        """Tick, seconds and tempo of each change: a file may have as many as notes."""
        for when, value in sorted(tempi):
            self._changes.append((when, self._after(self._changes[-1], when), value))

    def at(self, tick: int) -> float:
        if self._smpte:
            return tick * self._smpte
        place = bisect_left(self._changes, tick, lo=1, key=lambda change: change[0])
        return self._after(self._changes[place - 1], tick)

    def _after(self, change: tuple[int, float, int], tick: int) -> float:
        when, seconds, tempo = change
        return seconds + (tick - when) * tempo / 1e6 / self._division


def _track(
    data: bytes, tempi: list[tuple[int, int]], notes: list[tuple[int, int, int, int]]
) -> None:
    at = tick = status = 0
    open_: dict[tuple[int, int], tuple[int, int]] = {}
    while at < len(data):
        step, at = _number(data, at)
        tick += step
        if data[at] & 0x80:
            status, at = data[at], at + 1
        if status == 0xFF:
            kind, (length, at) = data[at], _number(data, at + 1)
            if kind == 0x51 and length == 3:
                tempi.append((tick, int.from_bytes(data[at : at + 3], "big")))
            at += length
        elif status in (0xF0, 0xF7):
            length, at = _number(data, at)
            at += length
        elif 0x80 <= status < 0xF0:
            one = data[at]
            two = data[at + 1] if status >> 4 not in (0xC, 0xD) else 0
            at += 1 if status >> 4 in (0xC, 0xD) else 2
            key = status & 0xF, one
            if status >> 4 in (8, 9) and key[0] != _DRUMS:
                if key in open_:
                    on, force = open_.pop(key)
                    notes.append((on, tick, one, force))
                if status >> 4 == 9 and two:
                    open_[key] = tick, two
        else:
            raise IndexError
    notes += [(on, tick, pitch, force) for (_, pitch), (on, force) in open_.items()]


def _number(data: bytes, at: int) -> tuple[int, int]:
    """A variable-length number, and where the next byte stands."""
    value = 0
    for _ in range(4):
        byte = data[at]
        at += 1
        value = value << 7 | byte & 0x7F
        if not byte & 0x80:
            return value, at
    raise IndexError
