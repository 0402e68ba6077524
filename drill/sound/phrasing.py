"""How a run is played: swing, articulation, shape; from notes to a take.

The values are those of the trade's tables: sounding fractions and velocity changes
of the articulations, velocity marks of the dynamics, and the regression line of a
soloist's swing.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

from drill.errors import UsageError
from drill.sound.limits import VOLUME
from drill.sound.metronome import click_track
from drill.sound.spectra import Colour
from drill.sound.take import MF, TAIL_S, Event, Take
from drill.sound.tonguing import SLUR_S, SLURRED, Slot, articulations, slurs
from drill.terms import Contour, Direction, Tonguing
from drill.theory.metre import Metronome

TEMPO_LOW, TEMPO_HIGH = 20, 400
"""Beats a minute that a take accepts."""
SOFT, LOUD = 48, 96
"""The velocities of piano and forte; ``take.MF`` is mezzo forte (steps of 16, common practice)."""


@dataclass(frozen=True, slots=True)
class SwingRatio:
    """How unequal a pair of eighths is: on the beat to off the beat."""

    ratio: float | None = 1.0
    """1 is straight; None follows the tempo as soloists do."""

    def at(self, bpm: float) -> float:
        """The ratio at a tempo, 1 to 4."""
        return soloist_ratio(bpm) if self.ratio is None else self.ratio


STRAIGHT = SwingRatio(1.0)
BY_TEMPO = SwingRatio(None)
TRIPLET = SwingRatio(2.0)


def soloist_ratio(bpm: float) -> float:
    """A soloist's swing ratio at a tempo, kept within 1 to 2.

    Source: the regression line after Friberg & Sundström (2002), as published in
    the first author's open rule code: 2.0483 - 0.0031 bpm.
    """
    return min(2.0, max(1.0, 2.0483 - 0.0031 * bpm))


def read_swing(text: str) -> SwingRatio:
    """A swing from ``straight``, ``by-tempo``, ``triplet``, ``1.6`` or ``3:2``.

    Raises UsageError with what was expected.
    """
    word = text.strip().lower()
    if word in _SWINGS:
        return _SWINGS[word]
    try:
        first, _, second = word.partition(":")
        ratio = float(first) / float(second or 1)
    except (ValueError, ZeroDivisionError):
        ratio = 0.0
    if not 1 <= ratio <= 4:  # also refuses nan
        raise UsageError(
            f"swing is {text!r}; expected straight, by-tempo, triplet or a ratio from 1 to 4"
        )
    return SwingRatio(ratio)


_SWINGS = {
    "straight": STRAIGHT,
    "by-tempo": BY_TEMPO,
    "soloist": BY_TEMPO,
    "triplet": TRIPLET,
}


@dataclass(frozen=True, slots=True)
class Phrase:
    """A run as sounding MIDI numbers, cell by cell."""

    cells: tuple[tuple[int, ...], ...]
    direction: Direction = Direction.UP
    close: int | None = None
    """The held tonic at the end; None without."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How phrases are to be played."""

    bpm: float = 100.0
    notes_per_beat: int = 2
    """1 quarters, 2 eighths, 3 triplets, 4 sixteenths.  Swing is on eighths only."""
    swing: SwingRatio = STRAIGHT
    tonguing: Tonguing = Tonguing.SLURRED
    contour: Contour = Contour.LEVEL
    seed: int = 0
    """For ``Tonguing.RANDOM``."""
    cell_per_bar: bool = False
    """Each cell begins a bar (in time); otherwise the cells run on."""
    count_in_bars: int = 0
    click: Metronome | None = None
    """The metronome under the music; None: the count-in alone clicks."""
    beats_per_bar: int = 4
    accents: tuple[int, ...] = (1,)
    """The beats of a bar, from 1, that begin a group."""
    pickup_notes: int = 0
    """Notes that sound before the first bar line: an upbeat, within the last bar counted in."""
    close_beats: float = 2.0
    """Length of the held tonic."""
    volume: float = VOLUME
    a4: float = 440.0
    room: bool = True
    """Whether the notes have a little reverberation."""

    def __post_init__(self) -> None:
        if not TEMPO_LOW <= self.bpm <= TEMPO_HIGH:
            raise UsageError(
                f"tempo is {self.bpm:g}; expected {TEMPO_LOW} to {TEMPO_HIGH} beats a minute"
            )
        for what, value, high in (
            ("notes in a beat", self.notes_per_beat, 4),
            ("beats in a bar", self.beats_per_bar, 12),
        ):
            if not 1 <= value <= high:
                raise UsageError(f"{what}: {value}; expected 1 to {high}")
        if not 0 <= self.count_in_bars <= 8:
            raise UsageError(f"count-in is {self.count_in_bars} bars; expected 0 to 8")
        most = self.beats_per_bar * self.notes_per_beat - 1
        if not 0 <= self.pickup_notes <= most:
            raise UsageError(f"the upbeat has {self.pickup_notes} notes; expected 0 to {most}")


def phrase_take(phrases: tuple[Phrase, ...], manner: Manner, colour: Colour = Colour.SAX) -> Take:
    """The take of phrases played one after the other, each beginning on a bar line.

    Raises UsageError when it would last longer than ``take.LONGEST_S``.
    """
    beat_s = 60.0 / manner.bpm
    first = _first_beat(manner)
    rng = random.Random(manner.seed)
    events: list[Event] = []
    bar, upbeat = 0.0, _upbeat(manner)
    for phrase in phrases:
        slots, end = _written(phrase, manner, bar - upbeat)
        events.extend(_sounded(slots, manner, rng, first * beat_s))
        # The next upbeat lies in the bar in which this phrase ends, where it has room there.
        bar = _next_bar(end + upbeat, manner.beats_per_bar)
    beat = bar
    bars = round(beat / manner.beats_per_bar)
    counted = round(first / manner.beats_per_bar)
    clicks = click_track(
        manner.click, manner.bpm, bars, counted, manner.beats_per_bar, manner.accents
    )
    if counted > manner.count_in_bars:  # a bar that is there for the upbeat alone
        clicks = tuple(click for click in clicks if click.onset_s >= first * beat_s)
    length = (first + beat) * beat_s + TAIL_S
    return Take(
        tuple(events),
        length,
        clicks,
        colour,
        manner.bpm,
        first * beat_s,
        manner.beats_per_bar,
        manner.a4,
        manner.volume,
        manner.room,
    )


def note_times(phrase: Phrase, manner: Manner) -> tuple[float, ...]:
    """When each note of a phrase begins, in seconds into its take; the held tonic last.

    The count-in and the swing are in it: this is where the player's notes belong.
    """
    beat_s = 60.0 / manner.bpm
    first = _first_beat(manner)
    slots, _ = _written(phrase, manner, -_upbeat(manner))
    return tuple((first + _swung(slot.beat, manner)) * beat_s for slot in slots)


def _upbeat(manner: Manner) -> float:
    """Beats before the bar line at which a phrase begins."""
    return 0.0 if manner.cell_per_bar else manner.pickup_notes / manner.notes_per_beat


def _first_beat(manner: Manner) -> int:
    """Beats before the first bar line: the count-in, or a bar that holds the upbeat."""
    bars = max(manner.count_in_bars, 1 if manner.pickup_notes else 0)
    return bars * manner.beats_per_bar


def _next_bar(beat: float, per_bar: int) -> float:
    bars = -(-round(beat * 1e6) // (per_bar * 1_000_000))
    return float(bars * per_bar)


def _written(phrase: Phrase, manner: Manner, start: float) -> tuple[list[Slot], float]:
    """Where each note of a phrase is written, and the beat after the last."""
    step = 1.0 / manner.notes_per_beat
    slots: list[Slot] = []
    beat = start
    for index, cell in enumerate(phrase.cells):
        if manner.cell_per_bar:
            beat = _next_bar(beat, manner.beats_per_bar)
        for place, midi in enumerate(cell):
            slots.append(Slot(midi, beat + place * step, step, index, place))
        beat += len(cell) * step
    if phrase.close is not None:
        if manner.cell_per_bar:
            beat = _next_bar(beat, manner.beats_per_bar)
        slots.append(Slot(phrase.close, beat, manner.close_beats, -1, 0))
        beat += manner.close_beats
    return [
        replace(slot, velocity=_velocity(at, len(slots), phrase.direction, manner))
        for at, slot in enumerate(slots)
    ], beat


def _velocity(at: int, count: int, direction: Direction, manner: Manner) -> int:
    if manner.contour is Contour.LEVEL:
        return MF
    way = at / max(1, count - 1)
    if direction is Direction.DOWN:
        way = 1 - way
    return round(SOFT + way * (LOUD - SOFT))


def _swung(beat: float, manner: Manner) -> float:
    """Where a written beat is played: an off-beat eighth later, the beat kept."""
    if manner.notes_per_beat != 2:
        return beat
    halves = round(beat * 2)
    if abs(beat * 2 - halves) > 1e-6 or halves % 2 == 0:
        return beat
    ratio = manner.swing.at(manner.bpm)
    return halves // 2 + ratio / (1 + ratio)


def _sounded(
    slots: list[Slot], manner: Manner, rng: random.Random, start_s: float
) -> Iterator[Event]:
    """The events of written notes."""
    beat_s = 60.0 / manner.bpm
    marks = articulations(slots, manner.tonguing)
    joins = slurs(slots, manner.tonguing, rng)
    slur_in = 0.0
    for index, slot in enumerate(slots):
        onset = _swung(slot.beat, manner) * beat_s
        written = _swung(slot.beat + slot.length, manner) * beat_s - onset
        slur_out = min(SLUR_S, written / 5) if joins[index] else 0.0
        mark = SLURRED if joins[index] else marks[index]
        velocity = slot.velocity + (0 if slur_in else mark.velocity)
        yield Event(
            slot.midi,
            start_s + onset,
            written * mark.fraction + slur_out,
            velocity,
            slur_in,
            slur_out,
        )
        slur_in = slur_out
