"""A cell played as the answer to a prompt: fed block by block, judged as soon as it can be.

The frames are the take's own (``frames``), the way through them grows with them, and the last
judgement is the take's.  The player's tempo is not asked: it is read from what is played.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

import numpy as np

from drill.hearing.align import OCTAVE, OCTAVE_UNTOLD, Pairing, paired
from drill.hearing.articulation import slurred
from drill.hearing.frames import HOP_S, Array, Ear
from drill.hearing.hear import told, with_meetings
from drill.hearing.judge import NEAR_DUE, sounds_on
from drill.hearing.partials import presence
from drill.hearing.path import HeardSound, Path, Scene, loud_enough, quiet_of, scene, tuning
from drill.hearing.sift import sifted
from drill.hearing.values import Asked, Heard, Known

CHECK_S = 0.03
"""How often what was played is held against what was asked."""
SURE_S = 0.075
"""The last note must sound so long before it is believed."""
ENDED_S = 0.11
"""Silence after a last note that was not the one asked."""
STOPPED_S = 1.25
"""Silence in the middle after which the player has stopped."""
STRUCK_ANEW_DB = 8.0
"""A dip so deep within one pitch is a new note."""
FALLEN_DB = 16.0
"""A note that has fallen so far under its own level is over; what is left is the room's."""
RETUNED = 15.0
"""Cents by which the player's pitch must be another than thought for all to be heard anew."""
IN_TIME = 0.75
"""A player who goes on in time is silent for less than this part of a note."""
LONGEST_S = 20.0
"""From the first sound; then what was heard is judged."""
WAITED_S, KEPT_S = 30.0, 1.0
"""Who has played nothing for so long is listened to anew, with what came in last: a prompt may
stand for an hour."""
ABOVE_ROOM_DB = 9.0
ROOM_S = 0.1
"""Listened to before anything is taken for a note."""
_NOTE_S = 0.3
FLOOR_DB = -61.0


class WhyEnded(StrEnum):
    """Why an answer was judged when it was."""

    WHOLE = "whole"
    """Its last note sounds."""
    QUIET = "quiet"
    """It ended and was not whole."""
    LONG = "long"


@dataclass(frozen=True, slots=True)
class HeardCell:
    """A cell as it was played."""

    heard: Heard
    ended: WhyEnded
    at_s: float
    """Seconds of sound that had come in when it was judged."""


class CellEar:
    """Listens for one cell: ``feed`` blocks until it gives the answer."""

    def __init__(
        self,
        pitches: tuple[int, ...],
        rate: int,
        a4: float = 440.0,
        *,
        octaves_told: bool = True,
        known: Known | None = None,
        quietest_db: float = FLOOR_DB,
    ) -> None:
        """``quietest_db`` is the level under which nothing is taken for the player's."""
        self._asked = Asked(pitches, _NOTE_S, a4=a4, group=max(3, len(pitches)))
        self._told, self._known = octaves_told, known
        self._ear = Ear(pitches, rate, a4)
        self._recent: list[Array] = []
        """What came in last, at least ``KEPT_S`` of it."""
        self._forgotten_s = 0.0
        """Seconds of sound before the first that the ear still has."""
        self._quietest = quietest_db
        self._tune = known.tune_cents if known else 0.0
        self._path: Path | None = None
        self._seen = 0
        self._began = 0
        self._checked = 0.0

    @property
    def level(self) -> float:
        """The latest level in decibels; -120 before the first."""
        return float(self._ear.level[-1]) if len(self._ear.level) else -120.0

    @property
    def began(self) -> bool:
        """Whether anything was played yet."""
        return self._path is not None

    @property
    def clipped(self) -> float:
        """The part of the samples at full scale."""
        return self._ear.clipped / max(1, self._ear.samples)

    def feed(self, samples: Array) -> HeardCell | None:
        """Take in a block; the answer once it can be judged."""
        self._ear.feed(samples)
        self._recent.append(samples)
        while sum(map(len, self._recent[1:])) >= KEPT_S * self._ear.rate:
            del self._recent[0]
        now = self._ear.samples / self._ear.rate
        if now - self._checked < CHECK_S or now < ROOM_S:
            return None
        self._checked = now
        if self._path is None and not self._begin():
            if now > WAITED_S:
                self._begin_anew()
            return None
        return self._judged(now)

    def _begin_anew(self) -> None:
        """Forget what was no playing."""
        ear = self._ear
        self._ear = Ear(self._asked.pitches, ear.rate, ear.a4)
        self._ear.feed(np.concatenate(self._recent))
        self._checked = self._ear.samples / ear.rate
        self._forgotten_s += ear.samples / ear.rate - self._checked
        self._path = None

    def _begin(self) -> bool:
        """Whether something is played: the level stands above the room's."""
        level = self._ear.level
        room = float(np.percentile(level, 10))
        loud = np.flatnonzero(level > max(room + ABOVE_ROOM_DB, self._quietest))
        if len(loud) < 8:
            return False
        first = float(self._ear.level_times[loud[0]]) - 0.15
        self._began = self._seen = int(np.searchsorted(self._ear.times, max(0.0, first)))
        self._path = self._fresh_path()
        return True

    def _fresh_path(self) -> Path:
        return Path(self._ear.low, self._ear.high - self._ear.low + 1, self._ear.asked)

    def _judged(self, now: float) -> HeardCell | None:
        here = self._scene()
        sounds, pairing, note_s = self._so_far(here)
        if not sounds:
            if len(here.times) * HOP_S > LONGEST_S:
                self._begin_anew()  # loud, and no note: a fan, talk
            return None
        ended = self._ended(now, here, sounds, pairing)
        if ended is None:
            return None
        asked = replace(self._asked, note_s=note_s)
        found = sifted(
            here, asked.pitches, sounds, pairing, note_s,
            octaves_told=self._told, known=self._known,
        )  # fmt: skip
        joins = slurred(found.sounds, asked.group)
        heard = told(with_meetings(here, found, joins), joins, pairing.restarts, asked)
        heard = replace(heard, tune_cents=here.tune, clipped=self.clipped)
        return HeardCell(heard, ended, self._forgotten_s + now)

    def _scene(self) -> Scene:
        """What was heard since the first sound, by the player's pitch: a long note told it, or
        it is read off what was played so far."""
        first = self._began
        if self._known is None:
            found = tuning(*self._ear.evidence(first))
            if abs(found - self._tune) > RETUNED:
                self._tune, self._seen = found, first
                self._path = self._fresh_path()
        whole = scene(self._ear, self._tune)
        return replace(
            whole,
            times=whole.times[first:],
            pitch=whole.pitch[first:],
            cents=whole.cents[first:],
        )

    def _so_far(self, here: Scene) -> tuple[list[HeardSound], Pairing, float]:
        assert self._path is not None
        fresh = self._seen - self._began
        new = replace(here, times=here.times[fresh:], pitch=here.pitch[fresh:])
        if len(new.times):
            bonus = np.zeros_like(new.pitch)
            bonus[:, [each - here.low for each in self._ear.asked]] = NEAR_DUE
            self._path.add(new.pitch, quiet_of(new, loud_enough(here.level)), bonus)
            self._seen += len(new.times)
        sounds = sounds_on(here, self._path.way(), _NOTE_S)
        lengths = [each.length for each in sounds if each.sure > 0.4]
        note_s = float(np.clip(np.median(lengths), 0.1, 1.0)) if lengths else _NOTE_S
        octave = OCTAVE if self._told else OCTAVE_UNTOLD
        return sounds, paired(self._asked.pitches, sounds, note_s, octave), note_s

    def _ended(
        self, now: float, here: Scene, sounds: list[HeardSound], pairing: Pairing
    ) -> WhyEnded | None:
        pitches = self._asked.pitches
        last = len(pitches) - 1
        at = pairing.sounds.get(last)
        final = sounds[-1]
        # What follows a last note at its own pitch is its tail.
        reached = at is not None and all(each.midi == sounds[at].midi for each in sounds[at:])
        whole = reached and len(pairing.sounds) == last + 1
        right = all(sounds[each].midi == pitches[place] for place, each in pairing.sounds.items())
        again = not (whole and right) and self._begun_again(sounds)
        heard_to = float(here.times[-1])
        good = final.midi == pitches[last] and final.length > SURE_S and final.sure > 0.4
        if whole and good and not again:
            return WhyEnded.WHOLE
        silence = float(here.level_times[-1]) - _over(here, final)
        near = reached and len(pairing.sounds) >= last and not self._swells(sounds)
        if silence > self._patience(sounds, near, again):
            return WhyEnded.QUIET
        if heard_to - sounds[0].on > LONGEST_S:
            return WhyEnded.LONG
        return None

    def _patience(self, sounds: list[HeardSound], near: bool, again: bool) -> float:
        """Seconds of silence after which nothing more is waited for.

        Before the last note (``near`` False) a player may be thinking.  As many notes as were
        asked, the last ones like the cell's first, are its end or a new start (``again``): who
        begins anew goes on in time.
        """
        if not near:
            return STOPPED_S
        if not again:
            return ENDED_S
        if len(sounds) < len(self._asked.pitches):
            return STOPPED_S
        step = float(np.median([after.on - one.on for one, after in pairwise(sounds)]))
        return min(STOPPED_S, max(ENDED_S, IN_TIME * step))

    def _swells(self, sounds: list[HeardSound]) -> bool:
        """Whether the last sound may be the note before it, swelling: no answer to the last."""
        if len(sounds) < 2 or sounds[-1].midi == self._asked.pitches[-1]:
            return False
        before, final = sounds[-2:]
        return final.midi == before.midi and final.stroke < STRUCK_ANEW_DB

    def _begun_again(self, sounds: list[HeardSound]) -> bool:
        """Whether the last sounds are the cell's first notes: it may go on."""
        played = [each.midi for each in sounds]
        line = list(self._asked.pitches)
        return any(played[-many:] == line[:many] for many in range(2, len(line)))


def _over(here: Scene, note: HeardSound) -> float:
    """When a note ended: where its pitch was lost, or its level fell for good."""
    first = int(np.searchsorted(here.level_times, note.on))
    loud = np.flatnonzero(here.level[first:] > note.db - FALLEN_DB)
    if not len(loud):
        return note.off
    return min(note.off, float(here.level_times[first + int(loud[-1])]))


def learned(samples: Array, rate: int, low: int, high: int, a4: float = 440.0) -> Known | None:
    """What a long note between two pitches tells; None where there is none."""
    ear = Ear((low, high), rate, a4)
    ear.feed(samples)
    ear.end()
    if not ear.ready:
        return None
    here = scene(ear)
    path = Path(here.low, here.pitch.shape[1], tuple(range(low, high + 1)))
    path.add(here.pitch, quiet_of(here, loud_enough(here.level)))
    held = [each for each in sounds_on(here, path.way(), 1.0) if each.length > 0.7]
    if not held:
        return None
    note = max(held, key=lambda each: each.length)
    own = presence(here, note.on, note.off, note.midi)
    upper = presence(here, note.on, note.off, note.midi - 12)
    if own is None or upper is None:
        return None
    return Known(note.midi, float(note.cents), float(note.db), own, upper)
