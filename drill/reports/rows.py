"""The lines of a results file as values: JSON within bounds, cells and answers checked.

Whole columns are checked at once: each kind of field for its type, its bounds and its
texts, so that a class of 40 times 5,000 answers takes a moment.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime
from functools import lru_cache
from itertools import repeat
from operator import add
from typing import Any, NoReturn, TypeVar

from drill.errors import DataError
from drill.memory.items import Answer, Item, in_columns, instant
from drill.memory.repair import without_wrong_dates
from drill.memory.schema import slip_id
from drill.reports.results import (
    AGAIN,
    EARLIER,
    INTERRUPTED,
    LETTERS,
    LOCKED_IN,
    UNDATED,
    HandedDeck,
    TimedAnswer,
)
from drill.shown import first_harmful, harmless
from drill.theory.scales import SCALES

_T = TypeVar("_T")

LONGEST_TEXT = 160
_CHUNK = 1000
_EARLIEST = 946_684_800_000_000
"""The year 2000 in microseconds."""
_LONGEST_SECONDS = 7 * 86_400
_MOST_KEYSTROKES = 1_000_000
_SLOWEST, _FASTEST = 1.0, 1000.0

_ID = re.compile(r"[0-9A-Za-z_.:-]{1,64}")
_IDS = re.compile(r"[0-9A-Za-z_.:-]*")
_WORD = re.compile(r"[a-z][a-z-]{0,23}")
_TONIC = re.compile(r"[A-G](#{1,3}|b{1,3})?")
_SHAPE = re.compile(r"[!-~]{1,120}")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_OUTCOMES = {letter: outcome for outcome, letter in LETTERS.items()}


def _refuse(word: str) -> NoReturn:
    raise ValueError(word)


_DECODER = json.JSONDecoder(parse_constant=_refuse)


def parse(lines: Sequence[bytes]) -> list[Any]:
    """The value of each line; raises DataError where one is not JSON."""
    try:
        values = _DECODER.decode("[" + b",".join(lines).decode() + "]")
    except (ValueError, RecursionError):  # no UTF-8 is a ValueError
        raise DataError("a line is not what this program writes") from None
    if len(values) != len(lines):
        raise DataError("a line is not what this program writes")
    return values  # type: ignore[no-any-return]  # it decodes a list


def _rows(
    lines: Sequence[bytes], types: Sequence[frozenset[type]], what: str
) -> list[tuple[Any, ...]]:
    """Columns of rows in which every field is of its type; empty where there are no rows."""
    columns: list[list[Any]] = [[] for _ in types]
    for start in range(0, len(lines), _CHUNK):
        rows = parse(lines[start : start + _CHUNK])
        if not all(type(row) is list and len(row) == len(types) for row in rows):
            raise DataError(f"a line of {what} has not the fields that this program writes")
        for column, more in zip(columns, zip(*rows, strict=True), strict=True):
            column.extend(more)
    for column, allowed in zip(columns, types, strict=True):
        if not allowed.issuperset(map(type, column)):
            raise DataError(f"a field in a line of {what} is of another kind than expected")
    return [tuple(column) for column in columns]


def need(good: bool, what: str) -> None:
    """Raises DataError, which says ``what``, unless ``good``."""
    if not good:
        raise DataError(what)


def _within(numbers: Iterable[float], low: float, high: float, what: str) -> None:
    """Raises DataError where a number is out of bounds; infinity always is."""
    known = list(numbers)
    need(not known or (low <= min(known) and max(known) <= high), f"{what} is out of bounds")


def _each(values: Iterable[str], good: Callable[[str], object], what: str) -> None:
    """Raises DataError where a text is not what it must be; each different text is tried once."""
    for value in set(values):
        if not good(value):
            raise DataError(
                f"{what} {harmless(repr(value[:40]))} is not one that this program writes"
            )


# -- cells and answers


@lru_cache(maxsize=4096)
def is_key(text: str) -> bool:
    """Whether it is a key as items name it: ``G:major``."""
    tonic, _, scale = text.partition(":")
    return bool(_TONIC.fullmatch(tonic)) and scale in SCALES


def _is_text(text: str) -> bool:
    return len(text) <= LONGEST_TEXT and first_harmful(text) is None


def _is_item(item: Item) -> bool:
    return item.id.startswith(item.key + ":") and len(item.facts) <= 64


_Types = frozenset[type]
_STR: _Types = frozenset({str})
_INT: _Types = frozenset({int})
_LIST: _Types = frozenset({list})
_NUMBER: _Types = frozenset((int, float, type(None)))
_ITEM_TYPES = (_STR, _STR, _STR, _LIST, _INT, _STR, _INT, _INT)
_ANSWER_TYPES = (
    _STR, _INT, _INT, _STR, _INT, _STR, _INT, _STR, _STR, _NUMBER, _INT, _INT, _NUMBER,
    _STR, _STR,
)  # fmt: skip


def read_items(lines: Sequence[bytes]) -> tuple[tuple[Item, ...], frozenset[str]]:
    """The cells of a file, and the ids of those that its deck asks; raises DataError."""
    ids, keys, shapes, facts, accidentals, runs, places, asked = _rows(
        lines, _ITEM_TYPES, "the cells"
    )
    need(all(set(map(type, each)) <= {str} for each in facts), "a fact is not text")
    _each((*ids, *runs, *(fact for each in facts for fact in each)), _is_text, "the text")
    _each(keys, is_key, "the key")
    _each(shapes, _SHAPE.fullmatch, "the pattern")
    _within(accidentals, 0, 7, "a number of accidentals")
    _within(places, 0, 10_000, "a place in a run")
    need(set(asked) <= {0, 1}, "a mark is neither 0 nor 1")
    need(len(set(ids)) == len(ids), "a cell stands there twice")
    items = tuple(
        Item(id_, key, shape, tuple(each), count, run, place)
        for id_, key, shape, each, count, run, place in zip(
            ids, keys, shapes, facts, accidentals, runs, places, strict=True
        )
    )
    need(all(map(_is_item, items)), "a cell is not in its key")
    marked = frozenset(id_ for id_, mark in zip(ids, asked, strict=True) if mark)
    return items, marked


@lru_cache(maxsize=4096)
def _is_day(text: str) -> bool:
    try:
        return bool(_DAY.fullmatch(text)) and date.fromisoformat(text).year >= 1999
    except ValueError:
        return False


@lru_cache(maxsize=4096)
def _outcomes(letters: str) -> tuple[str, ...]:
    return tuple(str(_OUTCOMES[letter]) for letter in letters)


def _is_outcomes(text: str) -> bool:
    return len(text) <= 64 and _OUTCOMES.keys() >= set(text)


def _is_id(text: str) -> bool:
    return not text or bool(_ID.fullmatch(text))


def _is_slip(text: str) -> bool:
    return len(text) <= 40 and first_harmful(text) is None


def read_answers(
    lines: Sequence[bytes], items: Sequence[Item], deck: HandedDeck, now: datetime
) -> tuple[Answer, ...]:
    """The answers of a file to those cells; raises DataError."""
    columns = _rows(lines, _ANSWER_TYPES, "the answers")
    _check_texts(columns)
    _check_numbers(columns, len(items))
    (uuids, ats, waits, days, places, kinds, rights, letters, slips, seconds, keys, flags, tempi,
     bouts, practices) = columns  # fmt: skip
    made = in_columns(
        len(lines), uuid=uuids, at=map(instant, ats), day=_translated(days, str),
        item=[items[place].id for place in places], right=map(bool, rights),
        deck=_translated(flags, lambda flag: "" if flag & EARLIER else deck.fingerprint),
        deck_name=repeat(deck.name), kind=_translated(kinds, str),
        outcomes=_translated(letters, _outcomes),
        slip=_translated(slips, lambda slip: slip_id(slip) or None),
        seconds=[None if took is None else float(took) for took in seconds], keystrokes=keys,
        again=_translated(flags, lambda flag: bool(flag & AGAIN)),
        interrupted=_translated(flags, lambda flag: bool(flag & INTERRUPTED)),
        tempo=[None if tempo is None else float(tempo) for tempo in tempi],
        details=[
            TimedAnswer(bout, practice, bool(flag & LOCKED_IN)).text() if bout else ""
            for bout, practice, flag in zip(bouts, practices, flags, strict=True)
        ],
        stamp=map(add, ats, waits),
    )  # fmt: skip
    return without_wrong_dates(made, now)


def _translated(column: Sequence[_T], of: Callable[[_T], object]) -> Iterable[object]:
    """A column of another kind; each different value is translated once."""
    return map({value: of(value) for value in set(column)}.__getitem__, column)


def _check_numbers(columns: Sequence[tuple[Any, ...]], items: int) -> None:
    _, ats, waits, days, places, _, rights, _, _, seconds, keys, flags, tempi, _, _ = columns
    _within(ats, _EARLIEST, 4e15, "the instant of an answer")
    _within(waits, -4e15, 4e15, "the place of an answer in its log")
    _within(places, 0, items - 1, "the cell of an answer")
    _within(rights, 0, 1, "a mark of right or not")
    _within(
        (each for each in seconds if each is not None), 0, _LONGEST_SECONDS, "a time in seconds"
    )
    _within(keys, 0, _MOST_KEYSTROKES, "a number of keystrokes")
    _within(flags, 0, 31, "the flags of an answer")
    need(
        all(bool(flag & UNDATED) == (not day) for flag, day in zip(flags, days, strict=True)),
        "an answer has a day and is marked as without one",
    )
    _within((each for each in tempi if each is not None), _SLOWEST, _FASTEST, "a tempo")


def _check_texts(columns: Sequence[tuple[Any, ...]]) -> None:
    uuids, _, _, days, _, kinds, _, letters, slips, _, _, _, tempi, bouts, practices = columns
    lengths = set(map(len, uuids))
    need(not lengths or (min(lengths) >= 1 and max(lengths) <= 64), "the id of an answer is none")
    need(bool(_IDS.fullmatch("".join(uuids))), "the id of an answer is none")
    need(len(set(uuids)) == len(uuids), "an answer stands there twice")
    _each(filter(None, days), _is_day, "the day")
    _each(kinds, _WORD.fullmatch, "the kind of prompt")
    _each(letters, _is_outcomes, "the marking")
    _each(slips, _is_slip, "the slip")
    _each((*bouts, *practices), _is_id, "the id of a bout")
    need(
        not any(bout and tempo is None for bout, tempo in zip(bouts, tempi, strict=True)),
        "an answer in time has no tempo",
    )
