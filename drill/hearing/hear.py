"""A take and the line that was asked, in; what was heard of it, out.

``hear`` and a live ear share every step: frames are computed once, as samples come in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import isnan, log10

import numpy as np

from drill.hearing.align import paired
from drill.hearing.articulation import slurred
from drill.hearing.figures import shape, time_of
from drill.hearing.frames import Array, Ear
from drill.hearing.judge import Judged, judged, sounds_of
from drill.hearing.onsets import meeting
from drill.hearing.path import HeardSound, Scene, scene
from drill.hearing.sift import Sifted
from drill.hearing.values import Asked, Doubt, DoubtKind, Heard, HeardAs, MidiNote, NoteHeard

PLAIN_SEMITONES = 5
"""A pitch further off than this is not said to be a wrong note: it may be no note at all."""
PLAIN_SURE = 0.3
PLAIN_PART = 0.45
"""A sound must fill so much of a note's time before it is said to be a wrong note."""
BETWEEN = 30.0
"""Cents off as a whole from which the semitone that is meant is no longer plain."""
CENTS_FROM_S = 0.06
"""A shorter note has no tuning."""


def hear(samples: Array, rate: int, asked: Asked) -> Heard:
    """What was heard in mono samples (-1 to 1)."""
    ear = Ear(asked.pitches, rate, asked.a4)
    ear.feed(samples)
    ear.end()
    return heard_by(ear, asked)


def heard_by(ear: Ear, asked: Asked) -> Heard:
    """What an ear has heard so far."""
    if not ear.ready or not len(ear.level):
        return _nothing(asked)
    here = scene(ear)
    pace = paced(here, asked.note_s)
    asked = replace(asked, note_s=pace)
    found = judged(here, asked.pitches, pace, asked.octaves_told)
    if abs(here.tune) > BETWEEN:
        # Half way between two semitones: which of them is meant, the line tells.
        other = scene(ear, here.tune - (100 if here.tune > 0 else -100))
        again = judged(other, asked.pitches, pace, asked.octaves_told)
        if matches(again, asked.pitches) > matches(found, asked.pitches):
            here, found = other, again
    joins = slurred(found.sifted.sounds, asked.group)
    sifted = with_meetings(here, found.sifted, joins)
    heard = told(sifted, joins, found.pairing.restarts, asked)
    return replace(
        heard,
        tune_cents=_tuning(heard) if heard.sounded_s else None,
        clipped=ear.clipped / max(1, ear.samples),
    )


def hear_events(events: Sequence[MidiNote], asked: Asked) -> Heard:
    """What was heard from a MIDI instrument: the same pairing, and no second look."""
    sounds: list[HeardSound] = []
    for event in sorted(events, key=lambda each: each.on_s):
        before = sounds[-1] if sounds else None
        joined = before is not None and event.on_s - before.off < 0.03
        level = 20 * log10(max(1, event.velocity) / 127)
        legato = before is not None and event.on_s <= before.off + 0.005
        sounds.append(
            HeardSound(
                event.on_s, event.off_s, event.pitch, 1.0, 0.0, level,
                stroke=0.0 if legato else 12.0, joined=joined,
            )
        )  # fmt: skip
    if not sounds:
        return _nothing(asked)
    steps = [after.on - one.on for one, after in pairwise(sounds)]
    pace = asked.note_s or (float(np.median(steps)) if steps else 0.3)
    asked = replace(asked, note_s=pace)
    pairing = paired(asked.pitches, sounds, pace)
    answers = {place: sounds[at] for place, at in pairing.sounds.items()}
    extras = tuple((sounds[at], place) for at, place in pairing.extras)
    # A key has no doubts: its octave is a wrong note as any other.
    sifted = Sifted(answers, frozenset(), extras)
    joins = {place: answers[place].stroke < 4 for place in answers if place}
    return told(sifted, joins, pairing.restarts, asked, exact=True)


def matches(found: Judged, pitches: tuple[int, ...]) -> int:
    """How many asked notes were heard as they were asked."""
    return sum(sound.midi == pitches[at] for at, sound in found.sifted.sounds.items())


def paced(here: Scene, asked_s: float | None) -> float:
    """Seconds from note to note by which a take is judged: the player's own where none is
    asked, or where it is far from what was."""
    found = [each for each in sounds_of(here, 0.25) if each.sure > 0.4 and each.length > 0.05]
    if len(found) < 4:
        return asked_s or 0.3
    steps = [after.on - one.on for one, after in pairwise(found)]
    own = float(np.clip(np.median(steps), 0.08, 3.0))
    return asked_s if asked_s is not None and 0.6 < own / asked_s < 1.6 else own


def _nothing(asked: Asked) -> Heard:
    return Heard(tuple(NoteHeard(at, HeardAs.UNHEARD) for at in range(len(asked.pitches))))


def with_meetings(here: Scene, sifted: Sifted, joins: dict[int, bool]) -> Sifted:
    """Notes that were slurred to begin where the two pitches meet, however the level went."""
    answers = dict(sifted.sounds)
    for place, slur in joins.items():
        sound, before = answers[place], answers.get(place - 1)
        if (
            slur
            and before is not None
            and before.midi != sound.midi
            and sound.on - before.off < 0.06
        ):
            at = meeting(here, sound.on, before.midi, sound.midi)
            answers[place] = replace(sound, on=at)
            answers[place - 1] = replace(before, off=at)
    return replace(sifted, sounds=answers)


def told(
    sifted: Sifted,
    joins: dict[int, bool],
    restarts: tuple[int, ...],
    asked: Asked,
    exact: bool = False,
) -> Heard:
    """What is told of a take, from what the second looks left; ``exact`` is for MIDI."""
    notes = tuple(
        _note(place, pitch, sifted, joins, exact, asked.note_s or 0.3)
        for place, pitch in enumerate(asked.pitches)
    )
    doubts = [Doubt(sound.on, after, DoubtKind.EXTRA) for sound, after in sifted.extras]
    doubts += [
        Doubt(sifted.sounds[place].on, place - 1, DoubtKind.OCTAVE) for place in sifted.octaves
    ]
    onsets = {
        note.index: note.on_s
        for note in notes
        if note.on_s is not None and note.outcome in (HeardAs.RIGHT, HeardAs.WRONG)
    }
    time = time_of(onsets, asked)
    loud = [
        (note.db, asked.pitches[note.index])
        for note in notes
        if note.db is not None and note.outcome is HeardAs.RIGHT
    ]
    return Heard(
        notes=notes,
        doubts=tuple(sorted(doubts, key=lambda each: each.at_s)),
        restarts=restarts,
        spread_ms=time.spread_ms,
        lead_ms=time.lead_ms,
        drift_percent=time.drift_percent,
        note_s=time.note_s,
        swing=time.swing,
        shape_r=shape([db for db, _ in loud], [pitch for _, pitch in loud]),
        slurred_share=float(np.mean(list(joins.values()))) if joins else None,
        sounded_s=float(sum(sound.length for sound in sifted.sounds.values())),
    )


def _note(
    place: int, pitch: int, sifted: Sifted, joins: dict[int, bool], exact: bool, note_s: float
) -> NoteHeard:
    sound = sifted.sounds.get(place)
    if sound is None:
        return NoteHeard(place, HeardAs.UNHEARD)
    apart = abs(sound.midi - pitch)
    whole = sound.length >= PLAIN_PART * note_s
    if place in sifted.octaves:
        outcome = HeardAs.UNSURE
    elif apart == 0:
        outcome = HeardAs.RIGHT
    elif exact or (apart <= PLAIN_SEMITONES and sound.sure >= PLAIN_SURE and whole):
        outcome = HeardAs.WRONG
    else:
        outcome = HeardAs.UNSURE
    cents = sound.cents if sound.length >= CENTS_FROM_S and not isnan(sound.cents) else None
    db = None if isnan(sound.db) else sound.db
    return NoteHeard(place, outcome, sound.midi, sound.on, sound.off, cents, db, joins.get(place))


def _tuning(heard: Heard) -> float | None:
    """Cents of the take as a whole: the median of its notes."""
    cents = [note.cents for note in heard.notes if note.cents is not None]
    return float(np.median(cents)) if cents else None
