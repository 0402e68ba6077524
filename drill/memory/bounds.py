"""What a row of a log can hold that this program wrote, and what it never writes.

A log is merged from another machine, or was written by another hand.  The bounds are far
wider than anything a practice makes; what lies beyond them would hurt later: a stamp after
which none fits, a date that no calendar has, a text that acts on a terminal.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import UTC, datetime

from drill.memory.items import Answer, Item, NoteResult, date_of, microseconds
from drill.shown import code_point, first_harmful

LAST_STAMP = microseconds(datetime.max.replace(tzinfo=UTC)) + 10**12
"""The largest stamp that a log may hold, in microseconds since 1970: the last instant that has
a date, and room behind it for more answers than anybody gives."""
FIRST_STAMP = microseconds(datetime.min.replace(tzinfo=UTC))

_UUID = re.compile(r"[0-9A-Za-z_.:-]{1,64}")
_DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_OUTCOMES = frozenset(outcome.value for outcome in NoteResult)
_KEYS_AND_COLOURS = re.compile(
    r"\x1b(?:\[(?:20[01]~|[0-9;]*m)|[\[O][AB])|[\u200b-\u200f\u2060\ufeff]"
)
"""What a terminal may put between typed notes, and the first version kept as it came: arrows,
the marks of a paste, colours, joiners."""
_LONGEST_TYPED = 20_000
_LONGEST_DETAILS = 10_000
_LONGEST_NAME = 300
_MOST_PARTS = 256
_LONGEST_SECONDS = 1e7
_FASTEST = 10_000.0
_MOST = 10**7


def unfit(answer: Answer) -> str:
    """Why this program cannot have written the answer, in a few words; empty where it can."""
    reasons = (
        "" if FIRST_STAMP <= answer.stamp <= LAST_STAMP else "its stamp is out of bounds",
        "" if _UUID.fullmatch(answer.uuid) else "its id is none",
        "" if _DAY.fullmatch(answer.day) and date_of(answer.day) else "its day is none",
        *(
            _text(what, text)
            for what, text in (
                ("deck", answer.deck), ("deck's name", answer.deck_name), ("cell", answer.item),
                ("kind", answer.kind), ("slip", answer.slip or ""),
            )
        ),
        _text("answer as typed", _KEYS_AND_COLOURS.sub("", answer.typed), _LONGEST_TYPED),
        _text("details", answer.details, _LONGEST_DETAILS),
        _parts("slips", answer.hypotheses),
        "its marking is none" if not _OUTCOMES.issuperset(answer.outcomes) else "",
        _parts("marking", answer.outcomes),
        _number("time", answer.seconds, _LONGEST_SECONDS),
        _number("tempo", answer.tempo, _FASTEST),
        _number("number of keys pressed", answer.keystrokes, _MOST),
    )  # fmt: skip
    return next(filter(None, reasons), "")


def unfit_item(item: Item) -> str:
    """Why this program cannot have written the cell; empty where it can."""
    names = (("id", item.id), ("key", item.key), ("pattern", item.shape), ("run", item.run))
    reasons = (
        *(_text(what, text) for what, text in names),
        _parts("notes", item.facts),
        _number("number of accidentals", item.accidentals, _MOST),
        _number("place", abs(item.place), _MOST),
    )
    return next(filter(None, reasons), "")


def _text(what: str, text: str, longest: int = _LONGEST_NAME) -> str:
    if len(text) > longest:
        return f"its {what} is longer than {longest} characters"
    found = first_harmful(text)
    return f"its {what} holds {code_point(found)}" if found else ""


def _parts(what: str, texts: Iterable[str]) -> str:
    parts = tuple(texts)
    if len(parts) > _MOST_PARTS:
        return f"its {what} are more than {_MOST_PARTS}"
    return next(filter(None, (_text(what, part) for part in parts)), "")


def _number(what: str, number: float | None, most: float) -> str:
    good = number is None or 0 <= number <= most
    return "" if good else f"its {what} is out of bounds"
