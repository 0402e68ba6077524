"""The values of this room: an item that can be asked, an answer that was given.

Conventions: names of items, keys, shapes and facts are opaque strings; this room
knows no music.  Instants are aware UTC datetimes, durations are seconds, days away
are floats.  A *practice day* is a local date that begins at 04:00.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import MISSING, dataclass, fields, replace
from datetime import UTC, date, datetime, timedelta, tzinfo
from enum import StrEnum
from functools import lru_cache
from itertools import repeat

from drill.memory.kinds import CLOSING, PLAYED, PLAYED_IN_TIME, TAPPED, WALK, Kind

DAY_BEGINS_AT = 4
"""Local hour at which a practice day begins: a late night counts to the day before."""

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)
_DAY = timedelta(days=1)


_TEACHES_NOT = frozenset((CLOSING, WALK, TAPPED, PLAYED_IN_TIME))


class NoteResult(StrEnum):
    """What became of one expected note."""

    RIGHT = "right"
    NAME = "name"
    """The right sound under another name."""
    WRONG = "wrong"
    MISSING = "missing"
    EXTRA = "extra"
    """A note beyond the expected ones; listed after them."""


@dataclass(frozen=True, slots=True)
class Item:
    """One cell that can be asked, with the factors that it shares with others."""

    id: str
    """Unique; two decks that hold the same cell give it the same id."""
    key: str
    """The written key, opaque."""
    shape: str
    """The pattern with its direction, opaque."""
    facts: tuple[str, ...]
    """One name per note, in order: which degree of which key; may repeat."""
    accidentals: int
    """How many accidentals the key's signature has, 0 or more."""
    run: str = ""
    """The run that the cell belongs to; empty when it stands alone."""
    place: int = 0
    """Place in that run, from 0."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One row of the answer log."""

    uuid: str
    """Unique over all machines."""
    at: datetime
    """When the answer was given by this machine's clock; aware, UTC."""
    day: str
    """The local practice day as an ISO date: see ``practice_day``."""
    item: str
    """``Item.id``."""
    right: bool
    """Whether every note was right."""
    deck: str = ""
    """The deck's fingerprint."""
    deck_name: str = ""
    kind: str = Kind.DEGREE.value
    """A ``Kind``, or the name of another kind of prompt."""
    typed: str = ""
    """What was typed, as typed."""
    outcomes: tuple[str, ...] = ()
    """A ``NoteResult`` per expected note, then one per extra note; empty when unknown."""
    slip: str | None = None
    """The named slip; None when there was none."""
    hypotheses: tuple[str, ...] = ()
    """Every slip that would explain the answer, the shown one first."""
    seconds: float | None = None
    """From the prompt to the answer; None when it was not measured."""
    keystrokes: int = 0
    """Keys pressed; 0 when unknown."""
    again: bool = False
    """A retyped or assisted answer: it does not teach the model."""
    interrupted: bool = False
    """Broken off: it does not teach the model."""
    tempo: float | None = None
    """Beats a minute when answered in time, else None."""
    details: str = ""
    """A small JSON text for the rooms above; opaque here."""
    stamp: int = 0
    """Place in the log's one order, in microseconds since 1970: never earlier than an
    answer already in the log, even when the clock was set back; 0 before it is stored."""

    @property
    def teaches(self) -> bool:
        """Whether the model learns from it."""
        return not (self.again or self.interrupted or self.kind in _TEACHES_NOT)

    @property
    def order(self) -> tuple[int, str]:
        """The log's order, the same on every machine: stamp (or instant), then uuid."""
        return (self.stamp or microseconds(self.at), self.uuid)


_DEFAULTS = {field.name: field.default for field in fields(Answer)}
_SET = {name: getattr(Answer, name).__set__ for name in _DEFAULTS}


def in_columns(count: int, **columns: Iterable[object]) -> list[Answer]:
    """So many answers from a column for each field; a field without one has its default.

    What is known at once of thousands of answers is set field by field, which takes half the
    time of making one answer after the other.  Columns may be longer than that.  Raises
    TypeError for a name that is no field, or where one without a default has no column, and
    ValueError where a column is too short.
    """
    if lost := columns.keys() - _DEFAULTS.keys():
        raise TypeError(f"no field of an answer: {', '.join(sorted(lost))}")
    made = [object.__new__(Answer) for _ in range(count)]
    for name, default in _DEFAULTS.items():
        if name not in columns and default is MISSING:
            raise TypeError(f"an answer needs its {name}")
        if len(list(map(_SET[name], made, columns.get(name, repeat(default))))) < count:
            raise ValueError(f"{name} is given for some of {count} answers only")
    return made


def last_played(answers: Iterable[Answer]) -> dict[str, bool]:
    """Whether each cell was right when it was last played on the horn, by item."""
    return {
        answer.item: answer.right for answer in answers if answer.kind == PLAYED and answer.teaches
    }


def microseconds(at: datetime) -> int:
    """Whole microseconds since 1970, negative before; a naive instant is read as UTC."""
    return (aware(at) - _EPOCH) // _MICROSECOND


def instant(micros: int) -> datetime:
    """The UTC instant of ``microseconds``."""
    return _EPOCH + micros * _MICROSECOND


def aware(at: datetime) -> datetime:
    """The instant in UTC; a naive one is read as UTC."""
    zone = at.tzinfo
    if zone is UTC:
        return at
    return at.replace(tzinfo=UTC) if zone is None else at.astimezone(UTC)


def clocked(answers: Sequence[Answer], now: datetime | None) -> Sequence[Answer]:
    """Answers in the log's order with those dated after ``now`` brought back.

    A clock that was ahead for a while would otherwise stop all forgetting until that day has
    come.  Such an answer counts as given when the next answer was that is not dated after
    now, for it came before that one; without one, as given now.  None trusts every date.
    """
    if now is None:
        return answers
    now = aware(now)
    if all(answer.at <= now for answer in answers):
        return answers
    out: list[Answer] = []
    at, day = now, ""
    for answer in reversed(answers):
        if answer.at <= now:
            at, day = answer.at, answer.day
            out.append(answer)
        else:
            out.append(replace(answer, at=at, day=day or answer.day))
    return out[::-1]


@lru_cache(maxsize=1024)
def date_of(day: str) -> date | None:
    """The date of a practice day; None where it is none."""
    try:
        return date.fromisoformat(day)
    except ValueError:
        return None


def days(at: datetime) -> float:
    """Days since 1970 as a float."""
    return (aware(at) - _EPOCH) / _DAY


def day_begins(at: datetime, zone: tzinfo | None = None) -> datetime:
    """The instant at which the practice day of ``at`` began; ``zone`` as in ``practice_day``."""
    local = at if zone is None else aware(at).astimezone(zone)
    begun = local.replace(hour=DAY_BEGINS_AT, minute=0, second=0, microsecond=0)
    return begun if local.hour >= DAY_BEGINS_AT else begun - timedelta(days=1)


def practice_day(at: datetime, zone: tzinfo | None = None) -> str:
    """The local practice day as an ISO date; it begins at 04:00 by the wall clock.

    ``zone`` None means the zone of ``at`` itself.  The wall clock decides, so a day on
    which the clocks change is still one day.
    """
    local = at if zone is None else aware(at).astimezone(zone)
    here = local.date()
    if local.hour < DAY_BEGINS_AT and here.toordinal() > 1:
        here -= timedelta(days=1)
    return here.isoformat()
