"""The metronome: which clicks fall where.  It renders nothing: see ``render``."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from drill.errors import UsageError
from drill.sound.take import TAIL_S, VOLUME, Click, ClickEvent, Take

STEPS: tuple[int, ...] = (
    *range(40, 61, 2),
    *(63, 66, 69, 72),
    *range(76, 121, 4),
    *(126, 132, 138, 144),
    *range(152, 209, 8),
)
"""The 39 tempi engraved on metronomes (common practice); any whole number is accepted."""


def step_tempo(bpm: int, steps: int) -> int:
    """The tempo so many engraved steps faster (or slower, if negative), kept on the scale.

    From a tempo between two steps, the first step goes to the next one in that way.
    """
    for _ in range(abs(steps)):
        if steps > 0:
            bpm = next((step for step in STEPS if step > bpm), max(bpm, STEPS[-1]))
        else:
            bpm = next((step for step in reversed(STEPS) if step < bpm), min(bpm, STEPS[0]))
    return bpm


@dataclass(frozen=True, slots=True)
class Metronome:
    """How the metronome clicks under the music."""

    accent: bool = True
    """The first beat of a bar stands out."""
    division: int = 1
    """Clicks a beat: 1 the beat alone, 2 eighths, 3 triplets, 4 sixteenths."""
    beats: tuple[int, ...] = ()
    """The beats that click, from 1: ``(2, 4)`` for two and four; empty: all of them."""
    sounding_bars: int = 0
    """Bars of click before a gap; 0: no gaps."""
    silent_bars: int = 0
    """Bars of silence in each gap, to test inner time."""

    def __post_init__(self) -> None:
        if not 1 <= self.division <= 4:
            raise UsageError(f"clicks in a beat: {self.division}; expected 1 to 4")
        if min(self.sounding_bars, self.silent_bars, 0) < 0:
            raise UsageError("gaps are counted in bars, from 0")
        if self.silent_bars and not self.sounding_bars:
            raise UsageError("a gap needs bars of click before it")

    def silent(self, bar: int) -> bool:
        """Whether bar number ``bar`` of the music, from 0, lies in a gap."""
        period = self.sounding_bars + self.silent_bars
        return bool(self.silent_bars) and bar % period >= self.sounding_bars


COUNT_IN = Metronome()
"""What a count-in clicks: every beat, the first accented."""


def _bar(metronome: Metronome, per_bar: int) -> Iterator[tuple[float, Click]]:
    """The clicks of one bar, at beats from 0."""
    for beat in range(per_bar):
        if metronome.beats and beat + 1 not in metronome.beats:
            continue
        first = beat == 0 and metronome.accent
        yield beat, Click.ACCENT if first else Click.BEAT
        for part in range(1, metronome.division):
            yield beat + part / metronome.division, Click.DIVISION


def click_track(
    metronome: Metronome | None, bpm: float, bars: int, count_in_bars: int = 0, per_bar: int = 4
) -> tuple[ClickEvent, ...]:
    """The clicks of a count-in and of ``bars`` bars; None clicks in the count-in alone."""
    beat_s = 60.0 / bpm
    clicks = []
    for bar in range(count_in_bars + bars):
        music = bar - count_in_bars
        spec = COUNT_IN if music < 0 else metronome
        if spec is None or (music >= 0 and spec.silent(music)):
            continue
        first = bar * per_bar
        clicks += [ClickEvent((first + at) * beat_s, click) for at, click in _bar(spec, per_bar)]
    return tuple(clicks)


def click_take(
    metronome: Metronome,
    bpm: float,
    bars: int,
    *,
    count_in_bars: int = 1,
    per_bar: int = 4,
    volume: float = VOLUME,
) -> Take:
    """A take of clicks alone, for playing in time."""
    beat_s = 60.0 / bpm
    clicks = click_track(metronome, bpm, bars, count_in_bars, per_bar)
    return Take(
        (),
        (count_in_bars + bars) * per_bar * beat_s + TAIL_S,
        clicks,
        bpm=bpm,
        first_beat_s=count_in_bars * per_bar * beat_s,
        beats_per_bar=per_bar,
        volume=volume,
    )
