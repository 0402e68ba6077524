"""Answering on the horn: a cell is played, heard and spelled, and marked as if it were typed.

The microphone is open from the first prompt that stands to ``close``; while the program itself
sounds, nothing is listened to.  Only a plain wrong note makes an answer wrong; where something
was not heard and nothing was wrong, the cell is asked for again and leaves no trace.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Generic, Protocol, TypeAlias, TypeVar

import numpy as np

from drill.hearing.horns import octaves_told
from drill.hearing.keys import KeyCell, Stroke
from drill.hearing.live import FLOOR_DB, CellEar, learned
from drill.hearing.values import Heard, HeardAs, Known
from drill.practice.effects import Prompt
from drill.practice.syllabus import Syllabus
from drill.sound.capture import QUIETEST_DB, RATE, Samples, level_of
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.wording.take import spelled

CALM_S = 0.25
"""After the program's own sound nothing is listened to for so long."""
LONG_S = 1.2
"""The long note at the beginning must last so long."""
LOUD_DB = 12.0
"""It must stand so far above the room."""
QUIETER_DB = 25.0
"""What lies so far under the player's level is no note: a tail of the room, a breath."""
SETTLED_DB, SETTLED_S, SETTLING_S = 20.0, 0.1, 2.0
"""After an answer its last note must have fallen so far, for so long, before the next cell is
listened for; it is waited for no longer than the last."""


T_co = TypeVar("T_co", covariant=True)


class Source(Protocol[T_co]):
    """Where what is played comes from: a microphone's samples, a MIDI instrument's strokes."""

    def take(self) -> T_co:
        """What has come in since the last call.  Raises SoundError or MidiError when it is lost."""

    def close(self) -> None: ...


class HornPhase(StrEnum):
    """What is listened for."""

    NOTHING = "nothing"
    LONG_NOTE = "long note"
    CELL = "cell"


@dataclass(frozen=True, slots=True)
class Played:
    """A cell as it was heard on the horn."""

    text: str | None
    """Spelled as the player types it; None where it cannot be marked."""
    unheard: tuple[int, ...]
    """Places of notes that were not heard, or not for sure; from 0."""


def read_played(prompt: Prompt, heard: Heard, shift: int, language: Language) -> Played:
    """What was heard as an answer to a prompt; ``shift`` is semitones from written to sounding.

    Notes that were not heard count as played right where another was plainly wrong.
    """
    notes = prompt.cell.notes
    unheard = tuple(
        note.index for note in heard.notes if note.outcome in (HeardAs.UNHEARD, HeardAs.UNSURE)
    )
    wrong = any(note.outcome is HeardAs.WRONG for note in heard.notes)
    if unheard and not wrong:
        return Played(None, unheard)
    own = frozenset(note.name for note in notes)
    key = prompt.question.run.key
    names = [
        spelled(note.heard - shift, written.name, own)
        if note.outcome is HeardAs.WRONG and note.heard is not None
        else written.name
        for note, written in zip(heard.notes, notes, strict=True)
    ]
    return Played(" ".join(show_name(name, language, False, key) for name in names), unheard)


class _Listens(Generic[T_co]):
    """What is open while prompts can be played, and for which horn."""

    def __init__(
        self,
        open_source: Callable[[], Source[T_co]],
        syllabus: Syllabus,
        clock: Callable[[], float],
    ) -> None:
        self._open, self._syllabus, self._clock = open_source, syllabus, clock
        self._source: Source[T_co] | None = None
        self._pitches: tuple[int, ...] = ()
        self.known: Known | None = None
        """What a long note told; None until one was played."""
        self.phase = HornPhase.NOTHING

    @property
    def open(self) -> bool:
        """Whether the microphone or the instrument is open."""
        return self._source is not None

    def shift(self) -> int:
        """Semitones from written to sounding."""
        return self._syllabus.horn.semitones

    def tune(self) -> None:
        """Open it, a microphone for a long note.  Raises SoundError or MidiError where it cannot
        be opened."""
        self._source = self._source or self._open()
        self.phase = HornPhase.CELL

    def ask(self, prompt: Prompt) -> None:
        """Listen for the cell of a prompt.  Raises SoundError or MidiError."""
        source = self._source = self._source or self._open()
        source.take()  # what came before the prompt stood is no answer to it
        self.phase = HornPhase.CELL
        self._pitches = self._syllabus.sounding(prompt.question.run.key, prompt.cell)
        self.again()

    def again(self) -> None:
        """Listen for the same cell once more."""
        raise NotImplementedError

    def rest(self) -> None:
        """No prompt stands that can be played: what is open is closed."""
        source, self._source = self._source, None
        self.phase = HornPhase.NOTHING
        self._forget()
        if source is not None:
            source.close()

    def _forget(self) -> None:
        raise NotImplementedError


class Horn(_Listens[Samples]):
    """Listens to the player's horn, prompt by prompt."""

    def __init__(
        self,
        open_source: Callable[[], Source[Samples]],
        syllabus: Syllabus,
        clock: Callable[[], float],
        sounding: Callable[[], bool],
        a4: float = 440.0,
    ) -> None:
        """``sounding`` tells whether the program itself can be heard just now."""
        super().__init__(open_source, syllabus, clock)
        self._a4, self._sounding = a4, sounding
        self._ear: CellEar | None = None
        self._long: list[Samples] = []
        self._deaf_until = 0.0
        self._settling_until = 0.0
        self._loudest = QUIETEST_DB
        self._quiet_s = 0.0
        self._usual_db: float | None = None
        """The player's level, as far as it is known."""

    @property
    def level(self) -> float:
        """The latest level in decibels below full scale."""
        if self._ear is not None:
            return self._ear.level
        return level_of(self._long[-1]) if self._long else QUIETEST_DB

    def tune(self) -> None:
        super().tune()
        self.phase, self._long = HornPhase.LONG_NOTE, []

    def _forget(self) -> None:
        self._ear, self._long = None, []

    def listen(self) -> Heard | Known | None:
        """What has been recognised since the last call; None for nothing yet.

        Raises SoundError when the microphone is lost.
        """
        if self._source is None:
            return None
        samples = self._source.take()
        now = self._clock()
        if self._sounding():
            self._deaf_until = now + CALM_S
        if now < self._deaf_until:
            if self._ear is not None and self._ear.began:
                self.again()
            return None
        if not len(samples):
            return None
        if self.phase is HornPhase.LONG_NOTE:
            return self._tuned(samples)
        if not self._settled(samples, now):
            return None
        return self._answered(samples)

    def _answered(self, samples: Samples) -> Heard | None:
        if self._ear is None:
            return None
        answer = None
        for at in range(0, len(samples), RATE // 100):
            answer = self._ear.feed(samples[at : at + RATE // 100])
            if answer is not None:
                break
        if answer is None:
            return None
        levels = [note.db for note in answer.heard.notes if note.db is not None]
        if levels:
            self._usual_db = float(np.median(levels))
        self._settle()
        return answer.heard

    def _settle(self) -> None:
        self._settling_until = self._clock() + SETTLING_S
        self._loudest, self._quiet_s = self._usual_db or QUIETEST_DB, 0.0

    def _settled(self, samples: Samples, now: float) -> bool:
        """Whether the note played last has died away, or was waited for long enough."""
        if not self._settling_until:
            return True
        level = level_of(samples)
        self._loudest = max(self._loudest, level)
        quiet = level < self._loudest - SETTLED_DB
        self._quiet_s = self._quiet_s + len(samples) / RATE if quiet else 0.0
        if self._quiet_s < SETTLED_S and now < self._settling_until:
            return False
        self._settling_until = 0.0
        self.again()
        return True

    def again(self) -> None:
        self._ear = CellEar(
            self._pitches, RATE, self._a4,
            octaves_told=octaves_told(self._syllabus.horn.id), known=self.known,
            quietest_db=FLOOR_DB if self._usual_db is None else self._usual_db - QUIETER_DB,
        )  # fmt: skip

    def _tuned(self, samples: Samples) -> Known | None:
        self._long.append(samples)
        levels = [level_of(each) for each in self._long]
        room = float(np.percentile(levels, 10))
        loud = sum(
            len(each) for each, level in zip(self._long, levels, strict=True)
            if level > room + LOUD_DB
        )  # fmt: skip
        if loud < LONG_S * RATE:
            del self._long[: -30 * 50]
            return None
        horn = self._syllabus.horn
        low, high = (note.midi + horn.semitones for note in (horn.low, horn.high))
        self.known = learned(np.concatenate(self._long), RATE, low, high, self._a4)
        self._long = []
        if self.known is not None:
            self._usual_db = self.known.level_db
        self._settle()
        return self.known


Strokes: TypeAlias = Source[list[Stroke]]
"""A MIDI instrument."""


class Keys(_Listens[list[Stroke]]):
    """Listens to a MIDI instrument, prompt by prompt: the same as ``Horn``, without a tuning."""

    def __init__(
        self, open_source: Callable[[], Strokes], syllabus: Syllabus, clock: Callable[[], float]
    ) -> None:
        super().__init__(open_source, syllabus, clock)
        self._cell: KeyCell | None = None
        self._last = 0.0

    def again(self) -> None:
        self._cell = KeyCell(self._pitches)

    def _forget(self) -> None:
        self._cell = None

    def listen(self) -> Heard | Known | None:
        """A cell that was recognised since the last call.  Raises MidiError."""
        if self._source is None:
            return None
        strokes, now = self._source.take(), self._clock()
        if strokes:
            self._last = now
        if self._cell is None:
            return None
        for stroke in strokes:
            self._cell.tell(stroke)
        heard = self._cell.answer(now - self._last)
        if heard is not None:
            self.again()
        return heard
