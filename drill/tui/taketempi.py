"""The tempi of takes on the horn, kept in the open log; in the backroom only."""

from __future__ import annotations

from datetime import date

from drill.decks.schema import Deck
from drill.memory.items import practice_day
from drill.practice.effects import Log
from drill.practice.time.ontake import TakeRow, keep_tempi, next_tempo, parts_of
from drill.practice.time.tempi import DEFAULT_BPM
from drill.terms import Run
from drill.tui.outside import Taken
from drill.tui.studio import Studio
from drill.wording.timing import NO_TEMPO_KEPT
from drill.wording.voice import Voice


def next_take(studio: Studio, deck: Deck, run: Run) -> float:
    """The tempo of the next take of a run, by the staircase of what was played.

    Raises StoreError.
    """
    room = studio.open_seats().room
    day = date.fromisoformat(practice_day(studio.context.utc_now(), room.zone))
    return next_tempo(room.store.answers(), run, float(deck.tempo or DEFAULT_BPM), day)


def keep_take(studio: Studio, deck: Deck, run: Run, taken: Taken, tempo: float) -> tuple[str, ...]:
    """Keep how a take was in time; what to say of it.  Raises StoreError."""
    room, now = studio.open_seats().room, studio.context.utc_now()
    parts = parts_of(taken.line, taken.heard, [run])
    if not parts:
        return (NO_TEMPO_KEPT,)
    day, notes = practice_day(now, room.zone), taken.line.beat_notes
    told = keep_tempi(
        parts,
        taken.heard,
        TakeRow(now, day, tempo, notes, deck.fingerprint, deck.name),
        room.store.answers(),
        lambda item, answer: room.keep(Log(answer, item)),
        studio.context.new_id,
    )
    voice = Voice(studio.wishes.names)
    return tuple(voice.text(each) for each in told)
