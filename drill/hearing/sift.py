"""Takes back what is no note of the player's, and what cannot be told from the note asked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isnan

import numpy as np

from drill.hearing.align import Pairing
from drill.hearing.frames import HOP_S
from drill.hearing.partials import presence
from drill.hearing.path import HeardSound, Scene, measured
from drill.hearing.values import Known

NEAR_S = 0.055
"""Sounds so near to each other may be one."""
SUB = (-12, -19, -24, -31)
"""Intervals under a note at which its attack may growl."""
OVER = {12: 2, 19: 3, 24: 4}
"""Intervals above a note that are partials of it, and which."""
PLAIN_S = 0.045
"""A sound too many must last so long before anything is said of it."""
GROWL_DB = 5.0
"""Partials that stand out so far belong to the note itself."""
TELLING_DB = 5.0
"""A horn's octaves are told where the two differ by so much."""
OTHERS = 2
"""Other soundings of a note that its octave must differ from."""
GLIMPSE = 0.15
"""Probability at which a frame shows a note that another outvoted."""


@dataclass(frozen=True, slots=True)
class Sifted:
    """What stands after the second look."""

    sounds: dict[int, HeardSound]
    """Asked note to what answers it; its onset is where the note began."""
    octaves: frozenset[int]
    """Asked notes that may have been their octave."""
    extras: tuple[tuple[HeardSound, int], ...]
    """Sounds too many, each with the asked note before it."""


def sifted(
    here: Scene,
    pitches: tuple[int, ...],
    sounds: list[HeardSound],
    pairing: Pairing,
    note_s: float,
    *,
    octaves_told: bool = True,
    known: Known | None = None,
) -> Sifted:
    """A second look at every sound too many and every octave."""
    answers = {place: sounds[at] for place, at in pairing.sounds.items()}
    owner = {at: place for place, at in pairing.sounds.items()}
    right = {at for at, place in owner.items() if sounds[at].midi == pitches[place]}
    levels = [sounds[at].db for at in right if not isnan(sounds[at].db)]
    usual = float(np.median(levels)) if levels else -99.0
    octaves = _Octaves(here, [sounds[at] for at in right], known)
    extras = _merged(here, sounds, pairing, answers, right, usual, note_s, octaves)
    extras = _but_scoops(extras, answers)
    extras = _rescued(here, pitches, answers, extras)
    _but_thirds(pitches, answers, octaves)
    unsure = _octave_slips(pitches, answers, octaves, octaves_told)
    if not octaves_told:
        extras = [each for each in extras if not _over(each, answers)]
    return Sifted(answers, frozenset(unsure), tuple(extras))


def _merged(  # noqa: PLR0917 - what two passes over the same sounds share, asked for once
    here: Scene,
    sounds: list[HeardSound],
    pairing: Pairing,
    answers: dict[int, HeardSound],
    right: set[int],
    usual: float,
    note_s: float,
    octaves: _Octaves,
) -> list[tuple[HeardSound, int]]:
    """Gives notes their ends and attacks back (in ``answers``); the sounds too many that stand."""
    owner = {at: place for place, at in pairing.sounds.items() if at in right}
    left = []
    for at, place in pairing.extras:
        each = _Extra(here, sounds[at], usual, note_s, first=at == 0)
        before = owner.get(at - 1)
        if before is not None and sounds[at - 1].off >= sounds[at].on - NEAR_S:
            if each.is_the_note(answers[before], octaves):
                answers[before] = replace(sounds[at], on=answers[before].on)
                owner[at] = before
                continue
            if each.trails(answers[before], octaves):
                answers[before] = replace(answers[before], off=sounds[at].off)
                owner[at] = before
                continue
        left.append((at, place, each))
    stands = []
    for at, place, each in reversed(left):
        sound, near = sounds[at], owner.get(at + 1)
        if near is not None and sounds[at + 1].on <= sound.off + NEAR_S:
            note = answers[near]
            if each.is_the_note(note, octaves):
                answers[near] = replace(sound, off=note.off)
                owner[at] = near
                continue
            if each.leads_into(note, octaves):
                answers[near] = replace(note, on=sound.on, stroke=sound.stroke)
                owner[at] = near
                continue
        beside = [owner.get(at - 1), near]
        if each.stands([answers[place] for place in beside if place is not None]):
            stands.append((sound, place))
    return stands[::-1]


def _but_scoops(
    extras: list[tuple[HeardSound, int]], answers: dict[int, HeardSound]
) -> list[tuple[HeardSound, int]]:
    """Leaves out half steps into a note where there are several: so this horn speaks."""

    def scoop(extra: tuple[HeardSound, int]) -> bool:
        sound, place = extra
        note = answers.get(place + 1)
        near = note is not None and note.on - sound.off < NEAR_S
        return near and note is not None and abs(note.midi - sound.midi) == 1

    scoops = [each for each in extras if scoop(each)]
    return [each for each in extras if each not in scoops] if len(scoops) > 1 else extras


def _over(extra: tuple[HeardSound, int], answers: dict[int, HeardSound]) -> bool:
    """Whether a sound too many is an octave of a note beside it."""
    sound, place = extra
    near = [answers[each] for each in (place, place + 1) if each in answers]
    return any((sound.midi - each.midi) % 12 == 0 for each in near)


def _but_thirds(
    pitches: tuple[int, ...], answers: dict[int, HeardSound], octaves: _Octaves
) -> None:
    """Gives back notes that repeat only every third period: heard a twelfth too low, without
    any partial that the lower note would have of its own."""
    for place, sound in answers.items():
        if sound.midi - pitches[place] == -19 and not octaves.within(sound, sound.midi, 3):
            answers[place] = replace(sound, midi=pitches[place])


def _octave_slips(
    pitches: tuple[int, ...], answers: dict[int, HeardSound], octaves: _Octaves, told: bool
) -> set[int]:
    """The notes that were plainly their octave; every other octave becomes the note asked.

    What befalls the same note twice is the horn's sound and no slip.
    """
    off = {
        place: sound.midi - pitches[place]
        for place, sound in answers.items()
        if sound.midi != pitches[place] and (sound.midi - pitches[place]) % 12 == 0
    }
    slips = set()
    raised: dict[int, list[int]] = {}
    for place, sound in list(answers.items()):
        asked = pitches[place]
        apart = off.get(place, 0)
        if apart:
            like = [other for other in off if abs(pitches[other] - asked) <= 2]
            same = [other for other in like if off[other] == apart]
            if told and len(same) == 1 and octaves.told(sound, asked):
                slips.add(place)
            else:
                answers[place] = replace(sound, midi=asked)
        elif told and sound.midi == asked and octaves.above(sound):
            raised.setdefault(asked, []).append(place)
    for asked, places in raised.items():
        if len(places) == 1:
            slips.add(places[0])
            answers[places[0]] = replace(answers[places[0]], midi=asked + 12)
    return slips


def _rescued(
    here: Scene,
    pitches: tuple[int, ...],
    answers: dict[int, HeardSound],
    extras: list[tuple[HeardSound, int]],
) -> list[tuple[HeardSound, int]]:
    """Looks once more for each note that nothing answers; the sounds too many that are left."""
    left = list(extras)
    for place, asked in enumerate(pitches):
        if place in answers:
            continue
        before, after = answers.get(place - 1), answers.get(place + 1)
        start = before.on + 0.02 if before else here.times[0]
        end = after.on if after else here.times[-1]
        own = [each for each in left if start < each[0].on < end]
        octave = next((each for each in own if (each[0].midi - asked) % 12 == 0), None)
        if octave is not None:
            left.remove(octave)
            answers[place] = octave[0]
            continue
        if before is not None and after is not None:
            due = (before.on + after.on) / 2
            near = [each for each in own if abs(each[0].on - due) < 0.3 * (after.on - due)]
            if len(near) == 1:
                left.remove(near[0])
                answers[place] = near[0][0]
                continue
        if asked in {each.midi for each in (before, after) if each is not None}:
            continue
        if before is None and after is not None and place == 0:
            start = after.on - 0.6
        elif before is None or after is None:
            continue
        found = _glimpse(here, asked, start, end)
        if found is not None:
            answers[place] = found
    return left


def _glimpse(here: Scene, midi: int, start: float, end: float) -> HeardSound | None:
    """A note that shows in a few frames on end, though another pitch outvoted it."""
    first, last = np.searchsorted(here.times, [start, end])
    seen = here.pitch[first:last, midi - here.low] > GLIMPSE
    best, run = (0, 0), 0
    for at, each in enumerate(seen):
        run = run + 1 if each else 0
        if run > best[1]:
            best = at + 1 - run, run
    if best[1] < 3:
        return None
    on = float(here.times[first + best[0]])
    return measured(here, on, on + best[1] * HOP_S, midi)


@dataclass(frozen=True, slots=True)
class _Extra:
    here: Scene
    sound: HeardSound
    usual: float
    note_s: float
    first: bool

    def is_the_note(self, part: HeardSound, octaves: _Octaves) -> bool:
        """Whether it is the note, an octave off, and what was taken for the note a part of it."""
        apart = self.sound.midi - part.midi
        if apart == 12:
            longer = self.sound.length > max(0.06, 0.5 * part.length)
            return longer and not octaves.within(self.sound, part.midi, 2)
        return apart == -12 and self.sound.length > 1.5 * part.length

    def leads_into(self, note: HeardSound, octaves: _Octaves) -> bool:
        """Whether it is the attack of the note after it."""
        apart = self.sound.midi - note.midi
        if apart == 0:
            return not self._repeats(self.sound, note)
        if apart in SUB and self.sound.length < 0.75 * self.note_s:
            return True
        if apart == -1 and self.sound.length < (0.09 if self.first else 0.06):
            return True  # a scoop
        return apart in OVER and octaves.within(self.sound, note.midi, OVER[apart])

    def trails(self, note: HeardSound, octaves: _Octaves) -> bool:
        """Whether it is the end of the note before it."""
        apart = self.sound.midi - note.midi
        if apart == 0:
            return not self._repeats(note, self.sound)
        if apart in SUB and self.sound.length < 0.75 * self.note_s:
            return True
        return apart in OVER and octaves.within(self.sound, note.midi, OVER[apart])

    def _repeats(self, one: HeardSound, other: HeardSound) -> bool:
        """Whether two sounds of one pitch are two notes: both whole, both loud, struck between."""
        short = 0.75 * self.note_s
        if min(one.length, other.length) < short:
            return False
        return abs(one.db - other.db) < 8 and other.stroke > 5.0

    def stands(self, near: list[HeardSound]) -> bool:
        """Whether it is plain enough to be mentioned."""
        sound = self.sound
        if sound.length < PLAIN_S or sound.sure < 0.6 or isnan(sound.db):
            return False
        loudest = max((each.db for each in near), default=-99.0)
        if sound.db < max(self.usual - 7, loudest - 11):
            return False
        return not (self.first and sound.db < self.usual - 6)


class _Octaves:
    """How a note and its octave differ on this horn, from the take itself."""

    def __init__(self, here: Scene, right: list[HeardSound], known: Known | None = None) -> None:
        self._here = here
        self._known = known
        self._right = right
        self._seen: dict[tuple[int, int], float] = {}

    def usual(self, pitch: int, lower: int) -> float:
        """How far the partials of ``lower`` usually stand out in notes heard around ``pitch``."""
        key = pitch, lower
        if key not in self._seen:
            near = [each for each in self._right if abs(each.midi - pitch) <= 3][:12]
            found = [
                presence(self._here, each.on, each.off, each.midi + lower - pitch) for each in near
            ]
            values = [each for each in found if each is not None]
            plain = 12.0 if pitch == lower else 0.0
            if self._known is not None:
                plain = self._known.own_db if pitch == lower else self._known.upper_db
            self._seen[key] = float(np.median(values)) if len(values) >= 3 else plain
        return self._seen[key]

    def told(self, sound: HeardSound, asked: int) -> bool:
        """Whether a sound heard an octave off is plainly not the note asked."""
        lower = min(sound.midi, asked)
        seen = presence(self._here, sound.on, sound.off, lower)
        if seen is None or sound.midi - asked not in (-12, 12, 24):
            return False
        own, upper = self.usual(lower, lower), self.usual(lower + 12, lower)
        if own - upper < TELLING_DB:
            return False
        part = (seen - upper) / (own - upper)
        slip = part < 0.3 if sound.midi > asked else part > 0.7
        fewest = 1 if sound.midi > asked else OTHERS  # reeds growl an octave down by themselves
        return slip and self._alone(sound, asked, lower, part, fewest)

    def _alone(self, sound: HeardSound, asked: int, lower: int, part: float, fewest: int) -> bool:
        """Whether the note was heard often enough, and never looked like this."""
        own, upper = self.usual(lower, lower), self.usual(lower + 12, lower)
        others = [each for each in self._right if each.midi == asked and each.on != sound.on]
        compared = 0
        for each in others[:8]:
            seen = presence(self._here, each.on, each.off, lower)
            if seen is not None:
                compared += 1
                other = (seen - upper) / (own - upper)
                if other < part + 0.2 if part < 0.5 else other > part - 0.3:
                    return False
        return compared >= (0 if self._known is not None else fewest)

    def above(self, sound: HeardSound) -> bool:
        """Whether a sound heard as the note asked lacks every partial of its own: its octave."""
        if sound.length < 0.07:
            return False
        seen = presence(self._here, sound.on, sound.off, sound.midi)
        own, upper = self.usual(sound.midi, sound.midi), self.usual(sound.midi + 12, sound.midi)
        if seen is None or seen > 0 or own - upper < 9:
            return False
        part = (seen - upper) / (own - upper)
        return part < 0.05 and self._alone(sound, sound.midi, sound.midi, part, OTHERS)

    def within(self, sound: HeardSound, note: int, times: int) -> bool:
        """Whether a sound heard as a partial of a note has the note's own partials, or is too
        short to say."""
        seen = presence(self._here, sound.on, sound.off, note, times)
        return seen is None or seen > GROWL_DB
