"""Whether a log is sound: its rows whole and within bounds, its cells known, its dates possible."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from drill.memory.dates import MADE
from drill.memory.exchange import fitting
from drill.memory.items import Answer, aware, date_of, microseconds
from drill.memory.store import Store

FIRST_YEAR = 2000
"""Before it no answer can have been given: the clock of a computer without a battery starts in
1970, 1980 or so."""
AHEAD = timedelta(days=2)
"""How far an answer may be dated after now: another machine's clock is never quite right."""
_FAR = datetime(2100, 1, 1, tzinfo=UTC)
"""What no answer is dated after, where the clock itself cannot be right."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found."""

    answers: int
    items: int
    """Different cells."""
    unfit: tuple[str, ...]
    """A line for each row that this program cannot have written."""
    orphans: int
    """Answers whose cell is not in the log."""
    misdated: int
    """Answers that a wrong clock dated."""


def checked(store: Store, now: datetime) -> Checked:
    """The check of an open log at the instant ``now``.  Raises StoreError."""
    answers, items, unfit = fitting(store)
    known = {item.id for item in items}
    return Checked(
        answers=store.count(),
        items=len(items),
        unfit=unfit,
        orphans=sum(answer.item not in known for answer in answers),
        misdated=sum(not dated_well(answer, now) for answer in answers),
    )


def dated_well(answer: Answer, now: datetime) -> bool:
    """Whether the answer can have been given when its date says, seen from ``now``.

    Where ``now`` itself cannot be right, no date is held against it.
    """
    return _well(answer, _latest(now))


def _latest(now: datetime) -> datetime:
    now = aware(now)
    return now + AHEAD if now >= MADE else _FAR


def _well(answer: Answer, latest: datetime) -> bool:
    at, day = answer.at, date_of(answer.day)
    told = day is not None and day.year >= FIRST_YEAR - 1
    return told and at.year >= FIRST_YEAR and at <= latest


def without_wrong_dates(answers: Sequence[Answer], now: datetime) -> tuple[Answer, ...]:
    """The answers, in the log's order, with an empty day where a wrong clock dated them.

    Such an answer stands at the instant of the one before it that is dated well, for it came
    after that one; without one, of the first that is; without any, at ``now``.  Stamps are
    given anew then, so that the order stays what it was.
    """
    latest = _latest(now)
    if all(_well(answer, latest) for answer in answers):
        return tuple(answers)
    good = (answer.at for answer in answers if _well(answer, latest))
    at, stamp = next(good, max(aware(now), MADE)), 0
    out = []
    for answer in answers:
        day = answer.day if _well(answer, latest) else ""
        at = answer.at if day else at
        stamp = max(stamp + 1, microseconds(at))
        out.append(replace(answer, at=at, day=day, stamp=stamp))
    return tuple(out)


def misdated(answers: Iterable[Answer]) -> int:
    """How many of the answers that ``without_wrong_dates`` gave have no date."""
    return sum(not answer.day for answer in answers)
