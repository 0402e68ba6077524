"""The metronome: which clicks fall where.  It renders nothing: see ``render``."""

from __future__ import annotations

from collections.abc import Iterator

from drill.sound.limits import VOLUME
from drill.sound.take import TAIL_S, Click, ClickEvent, Take
from drill.theory.metre import Metronome

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


COUNT_IN = Metronome()
"""What a count-in clicks: every beat, the first accented."""


def _bar(
    metronome: Metronome, per_bar: int, accents: tuple[int, ...]
) -> Iterator[tuple[float, Click]]:
    """The clicks of one bar, at beats from 0."""
    for beat in range(per_bar):
        if metronome.beats and beat + 1 not in metronome.beats:
            continue
        first = beat + 1 in accents and metronome.accent
        yield beat, Click.ACCENT if first else Click.BEAT
        for part in range(1, metronome.division):
            yield beat + part / metronome.division, Click.DIVISION


def click_track(
    metronome: Metronome | None,
    bpm: float,
    bars: int,
    count_in_bars: int = 0,
    per_bar: int = 4,
    accents: tuple[int, ...] = (1,),
) -> tuple[ClickEvent, ...]:
    """The clicks of a count-in and of ``bars`` bars; None clicks in the count-in alone.

    ``accents`` are the beats, from 1, that begin a group.
    """
    beat_s = 60.0 / bpm
    clicks = []
    for bar in range(count_in_bars + bars):
        music = bar - count_in_bars
        spec = COUNT_IN if music < 0 else metronome
        if spec is None or (music >= 0 and spec.silent(music)):
            continue
        first = bar * per_bar
        clicks += [
            ClickEvent((first + at) * beat_s, click) for at, click in _bar(spec, per_bar, accents)
        ]
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
