"""A sheet as it sounds: the runs one after the other, bar by bar as they are printed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from drill.paper.midi import MetreAt, Signature
from drill.paper.score import Section
from drill.sound.phrasing import Manner, Phrase, phrase_take
from drill.sound.take import TAIL_S, Event, Take
from drill.theory.scales import signature

_MINOR = frozenset({"natural_minor", "harmonic_minor", "melodic_minor"})


def sheet_take(phrases: Sequence[Phrase], sections: Sequence[Section], manner: Manner) -> Take:
    """The take of the runs of a sheet: each note as long as it is printed, no rest between runs.

    ``phrases`` are the runs in the order of the sections.
    """
    beat_s = 60.0 / manner.bpm
    helds = iter(_helds(sections))
    events: list[Event] = []
    beat = 0.0
    for phrase in phrases:
        held = next(helds) / 2 if phrase.close is not None else 0.0
        own = replace(manner, close_beats=held or manner.close_beats, beats_per_bar=1)
        take = phrase_take((phrase,), own)
        events += [replace(each, onset_s=each.onset_s + beat * beat_s) for each in take.events]
        beat += sum(map(len, phrase.cells)) / 2 + held
    return Take(tuple(events), beat * beat_s + TAIL_S, bpm=manner.bpm)


def _helds(sections: Sequence[Section]) -> Iterator[int]:
    """The length of each held tonic, in eighths."""
    for section in sections:
        for bar in section.bars:
            if bar.notes[-1].eighths > 1:
                yield bar.notes[-1].eighths


def metres(sections: Sequence[Section]) -> tuple[MetreAt, ...]:
    """The metre wherever it changes, as the music file has it."""
    found: list[MetreAt] = []
    eighths = length = 0
    for section in sections:
        for bar in section.bars:
            if bar.eighths != length:
                length = bar.eighths
                count, unit = metre_of(length)
                found.append(MetreAt(eighths / 2, count, unit))
            eighths += length
    return tuple(found)


def metre_of(eighths: int) -> tuple[int, int]:
    """A bar of so many eighths as a metre: 2/4 for four, 3/8 for three."""
    return (eighths, 8) if eighths % 2 else (eighths // 2, 4)


def signatures(sections: Sequence[Section]) -> tuple[Signature, ...]:
    """The concert key at the beginning of each section, where it has a signature."""
    found = []
    eighths = 0
    for section in sections:
        key = section.concert
        if key and abs(signature(key)) <= 7:
            found.append(Signature(eighths / 2, signature(key), key.scale in _MINOR))
        eighths += sum(bar.eighths for bar in section.bars)
    return tuple(found)
