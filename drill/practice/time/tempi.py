"""What the log keeps of playing in time, and the tempi that follow from it.

Each cell of a bout is one answer of kind ``time`` with its tempo; what concerns the
whole bout stands in its details, a JSON object, the same in each of its answers.
The tempo book is rebuilt from the log alone.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from drill.memory.items import Answer
from drill.memory.kinds import PLAYED_IN_TIME, TAPPED, Kind
from drill.memory.tempo import TempoBook, Try
from drill.practice.syllabus import Syllabus, shape_id

TYPED: tuple[str, ...] = (Kind.TIME, TAPPED)
"""Kinds of answers from which the tempi of typed runs follow."""
ON_HORN: tuple[str, ...] = (PLAYED_IN_TIME,)
"""Those of runs that were played: a book of their own."""
DEFAULT_BPM = 72.0
"""Where a pattern begins of which nothing is known and the deck says nothing."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What the details of an answer in time hold."""

    bout: str
    """Id of the bout, shared by its answers."""
    practice: str
    """Id of the practice."""
    pattern: str
    """The pattern's name in the tempo book: its shape with the direction."""
    key: str
    cell: int
    """Which cell of the bout, from 0."""
    cells: int
    outcome: str
    """``timing.TimeOutcome``."""
    passed: bool
    """Whether the whole bout was locked in."""
    right: int
    """Notes right in the whole bout."""
    notes: int
    """Notes asked in it."""
    lead_ms: float
    """Negative: before the beat."""
    spread_ms: float
    drift_ms: float
    """A beat; negative: rushing."""
    jitter_ms: float
    """What keys and terminal add by themselves."""
    off_ms: tuple[float | None, ...]
    """Of each note of this cell: typed minus due; None where it did not come."""
    notes_per_beat: int = 1
    letters: bool = False
    """Whether letters alone were asked."""
    sound: bool = True
    """Whether the click was heard; False: seen only."""
    uncertain_ms: float = 0.0
    """How far off the lead may be, for want of a calibration."""

    def text(self) -> str:
        """The details as the log keeps them."""
        return json.dumps(self.as_object(), separators=(",", ":"))

    def as_object(self) -> dict[str, Any]:
        """The details as the values of a JSON object."""
        return {name: _plain(getattr(self, name)) for name in _FIELDS}


_FIELDS = tuple(Kept.__dataclass_fields__)


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def read_kept(details: str) -> Kept | None:
    """The details of an answer in time; None where they are not such."""
    try:
        value = json.loads(details)
        if not isinstance(value, dict):
            return None
        known = {name: value[name] for name in _FIELDS if name in value}
        known["off_ms"] = tuple(value["off_ms"])
        kept = Kept(**known)
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
    texts = (kept.bout, kept.practice, kept.pattern, kept.key)
    good = all(isinstance(text, str) for text in texts) and isinstance(kept.passed, bool)
    return kept if good else None


def tries_of(
    answers: Iterable[Answer], kinds: tuple[str, ...] = TYPED
) -> Iterable[tuple[Kept, Try]]:
    """The bouts of a log in its order, one try each; what is no answer in time is passed over."""
    seen: set[str] = set()
    for answer in answers:
        found = try_of(answer, kinds)
        if found is not None and found[0].bout not in seen:
            seen.add(found[0].bout)
            yield found


def try_of(answer: Answer, kinds: tuple[str, ...] = TYPED) -> tuple[Kept, Try] | None:
    """The bout that an answer belongs to, as a try; None where it is no answer of these kinds."""
    if answer.kind not in kinds or answer.tempo is None:
        return None
    if answer.again or answer.interrupted:
        return None
    kept = read_kept(answer.details)
    if kept is None or not answer.tempo > 0:
        return None
    try:
        day = date.fromisoformat(answer.day)
    except ValueError:
        return None
    return kept, Try(kept.pattern, kept.key, answer.tempo, kept.passed, day, kept.practice)


def book_of(
    answers: Iterable[Answer],
    default_bpm: float = DEFAULT_BPM,
    kinds: tuple[str, ...] = TYPED,
) -> TempoBook:
    """The tempo book of a log; ``default_bpm`` is where an unknown pattern begins."""
    book = TempoBook(default_bpm)
    book.replay(one for _, one in tries_of(answers, kinds))
    return book


def locked_in(
    syllabus: Syllabus, answers: Iterable[Answer], kinds: tuple[str, ...] = TYPED
) -> dict[tuple[str, str], float]:
    """The locked-in tempo of each key and shape that has one; runs are timed as a whole."""
    book, found = book_of(answers, kinds=kinds), {}
    for entry in syllabus.entries.values():
        if entry.cell.direction is entry.run.direction:
            held = book.held(shape_id(entry.run.pattern, entry.run.direction), entry.item.key)
            if held is not None and held.locked_bpm is not None:
                found[entry.item.key, entry.item.shape] = held.locked_bpm
    return found
