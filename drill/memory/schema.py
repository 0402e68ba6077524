"""The store's layout on disk: its migrations as plain SQL, and rows as tuples.

Every row carries a checksum over its own fields, so that a flipped byte is noticed and a
row can be recognised in a file whose structure is lost.  No database library is used here.
"""

from __future__ import annotations

import json
import math
import zlib
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from drill.memory.items import Answer, Item, aware, instant, microseconds

APPLICATION_ID = 0x64726C31
"""Marks a file as ours (``PRAGMA application_id``)."""
HEADER = b"SQLite format 3\0"
"""The first bytes of every such file."""
PAGE_SIZE = 512
"""Of a new file, in bytes: an answer writes each page that it touches once more."""
OLD_PAGE_SIZE = 4096
"""Of the files that the first version made; they stay as they are."""

Value = str | int | float | bytes | None
Row = tuple[Value, ...]

_APPEND_ONLY = tuple(
    f"""CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table}
    BEGIN SELECT RAISE(ABORT, 'the {table} log is append-only'); END"""
    for table in ("answers", "items")
    for verb in ("UPDATE", "DELETE")
)

ANSWER_COLUMNS = (
    "uuid", "stamp", "at", "day", "deck", "deck_name", "item", "kind", "typed", "right",
    "outcomes", "slip", "hypotheses", "seconds", "keystrokes", "again", "interrupted",
    "tempo", "details",
)  # fmt: skip
ITEM_COLUMNS = ("id", "key", "shape", "facts", "accidentals", "run", "place")

EARLIER_SLIPS = {
    "right sound, wrong name": "wrong-name",
    "not answered": "unanswered",
    "concert pitch": "concert-pitch",
    "wrong octave": "wrong-octave",
    "wrong direction": "wrong-direction",
    "wrong degree": "wrong-degree",
    "two notes swapped": "swapped",
    "stopped early": "stopped-early",
    "ran on": "ran-on",
    "signature forgotten": "signature-forgotten",
    "accidental forgotten": "accidental-forgotten",
    "B or H": "b-or-h",
    "neighbour signature": "other-signature",
    "other key": "other-key",
    "other shape": "other-shape",
    "one wrong letter": "one-note-off",
    "mode mixture": "other-mode",
}
"""What slips were called in files of layout 1: by the English that a player read."""


def slip_id(said: str) -> str:
    """The id of a slip that an earlier version may have kept by its English."""
    return EARLIER_SLIPS.get(said, said)


_AS_READ = ", ".join(ANSWER_COLUMNS)
_RENAMED = ", ".join(
    {"slip": "slip_id(slip)", "hypotheses": "slip_ids(hypotheses)"}.get(name, name)
    for name in ANSWER_COLUMNS
)
_SLIPS_BY_ID = (
    "DROP TRIGGER answers_no_update",
    # A row that is not as it was written is left so, for the check that finds it.
    f"""UPDATE answers SET slip = slip_id(slip), hypotheses = slip_ids(hypotheses),
        checksum = row_checksum({_RENAMED})
    WHERE (slip IS NOT NULL OR hypotheses <> '[]') AND checksum = row_checksum({_AS_READ})""",
    _APPEND_ONLY[0],
)

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        """CREATE TABLE items (
            seq INTEGER PRIMARY KEY,
            id TEXT NOT NULL UNIQUE,
            key TEXT NOT NULL,
            shape TEXT NOT NULL,
            facts TEXT NOT NULL,
            accidentals INTEGER NOT NULL,
            run TEXT NOT NULL,
            place INTEGER NOT NULL,
            checksum INTEGER NOT NULL
        )""",
        """CREATE TABLE answers (
            seq INTEGER PRIMARY KEY,
            uuid TEXT NOT NULL UNIQUE,
            stamp INTEGER NOT NULL,
            at INTEGER NOT NULL,
            day TEXT NOT NULL,
            deck TEXT NOT NULL,
            deck_name TEXT NOT NULL,
            item TEXT NOT NULL,
            kind TEXT NOT NULL,
            typed TEXT NOT NULL,
            right INTEGER NOT NULL,
            outcomes TEXT NOT NULL,
            slip TEXT,
            hypotheses TEXT NOT NULL,
            seconds REAL,
            keystrokes INTEGER NOT NULL,
            again INTEGER NOT NULL,
            interrupted INTEGER NOT NULL,
            tempo REAL,
            details TEXT NOT NULL,
            checksum INTEGER NOT NULL
        )""",
        "CREATE INDEX answers_stamp ON answers (stamp, uuid)",
        *_APPEND_ONLY,
    ),
    _SLIPS_BY_ID,
)
"""One entry a version, the first makes version 1; never edit one that was released.  They may
call ``FUNCTIONS``."""

_BIGGEST = 2**63 - 1


class BadRowError(ValueError):
    """A row that is not what was once written."""


def checksum(row: Row) -> int:
    """CRC-32 of a row without its sequence number and checksum."""
    # ascii() and not repr(): what repr() leaves unescaped grows with Python's Unicode tables.
    return zlib.crc32(ascii(row).encode())


def clean(answer: Answer) -> Answer:
    """The answer as the store can keep it: finite numbers, 64-bit integers, UTC, ids of slips."""
    return replace(
        answer,
        at=aware(answer.at),
        right=bool(answer.right),
        again=bool(answer.again),
        interrupted=bool(answer.interrupted),
        outcomes=tuple(str(o) for o in answer.outcomes),
        hypotheses=tuple(slip_id(str(h)) for h in answer.hypotheses),
        kind=str(answer.kind),
        slip=None if answer.slip is None else slip_id(str(answer.slip)),
        seconds=_finite(answer.seconds),
        tempo=_finite(answer.tempo),
        keystrokes=min(max(int(answer.keystrokes), 0), _BIGGEST),
    )


def _finite(number: float | None) -> float | None:
    if number is None or not math.isfinite(number):
        return None
    return float(number) + 0.0  # SQLite gives -0.0 back as 0.0, which the checksum would see


def put(text: str) -> str | bytes:
    """Text for the file; as bytes when it is no clean UTF-8 or holds a NUL."""
    try:
        text.encode()
    except UnicodeEncodeError:
        return text.encode(errors="surrogatepass")
    return text.encode() if "\0" in text else text


def _get(value: Value) -> str:
    if isinstance(value, bytes):
        return value.decode(errors="surrogatepass")
    if isinstance(value, str):
        return value
    raise BadRowError(f"text expected, {value!r} found")


def _list(values: tuple[str, ...]) -> str:
    return json.dumps(values, separators=(",", ":"))


@lru_cache(maxsize=512)
def _unlist(value: Value) -> tuple[str, ...]:
    """The texts of a list; a log has few different ones.  Raises BadRowError where it is none."""
    try:
        return tuple(map(str, json.loads(_get(value))))
    except (TypeError, RecursionError) as error:
        raise BadRowError("a list expected") from error


def _slip_or_none(value: Value) -> Value:
    return value if value is None else put(slip_id(_get(value)))


def _slip_list(value: Value) -> str:
    return _list(tuple(map(slip_id, _unlist(value))))


def _row_checksum(*row: Value) -> int:
    return checksum(row)


FUNCTIONS: tuple[tuple[str, int, Callable[..., Value]], ...] = (
    ("slip_id", 1, _slip_or_none),
    ("slip_ids", 1, _slip_list),
    ("row_checksum", -1, _row_checksum),
)
"""What migrations may call, as (name, number of arguments, function); -1 is any number."""


def answer_row(answer: Answer) -> Row:
    """A cleaned answer as a row in the order of ``ANSWER_COLUMNS``, checksum last."""
    row: Row = (
        put(answer.uuid), answer.stamp, microseconds(answer.at), put(answer.day),
        put(answer.deck), put(answer.deck_name), put(answer.item), put(answer.kind),
        put(answer.typed), int(answer.right), _list(answer.outcomes),
        None if answer.slip is None else put(answer.slip), _list(answer.hypotheses),
        answer.seconds, answer.keystrokes, int(answer.again), int(answer.interrupted),
        answer.tempo, put(answer.details),
    )  # fmt: skip
    return (*row, checksum(row))


def read_answer(row: Row) -> Answer:
    """The answer of a row in the order of ``ANSWER_COLUMNS``, checksum last; slips by their id,
    also where a file that is rebuilt has them by their English.

    Raises BadRowError when the checksum does not fit.
    """
    if len(row) != len(ANSWER_COLUMNS) + 1 or checksum(row[:-1]) != row[-1]:
        raise BadRowError("the checksum does not fit")
    (uuid, stamp, at, day, deck, deck_name, item, kind, typed, right, outcomes, slip,
     hypotheses, seconds, keystrokes, again, interrupted, tempo, details, _) = row  # fmt: skip
    return Answer(
        uuid=_get(uuid), at=instant(_whole(at)), day=_get(day), item=_get(item),
        right=bool(right), deck=_get(deck), deck_name=_get(deck_name), kind=_get(kind),
        typed=_get(typed), outcomes=_unlist(outcomes),
        slip=None if slip is None else slip_id(_get(slip)),
        hypotheses=tuple(map(slip_id, _unlist(hypotheses))),
        seconds=_number(seconds), keystrokes=_whole(keystrokes),
        again=bool(again), interrupted=bool(interrupted), tempo=_number(tempo),
        details=_get(details), stamp=_whole(stamp),
    )  # fmt: skip


def item_row(item: Item) -> Row:
    """An item as a row in the order of ``ITEM_COLUMNS``, checksum last."""
    row: Row = (
        put(item.id), put(item.key), put(item.shape), _list(item.facts),
        min(max(int(item.accidentals), 0), _BIGGEST), put(item.run),
        min(max(int(item.place), -_BIGGEST), _BIGGEST),
    )  # fmt: skip
    return (*row, checksum(row))


def read_item(row: Row) -> Item:
    """The item of a row in the order of ``ITEM_COLUMNS``, checksum last; raises BadRowError."""
    if len(row) != len(ITEM_COLUMNS) + 1 or checksum(row[:-1]) != row[-1]:
        raise BadRowError("the checksum does not fit")
    id_, key, shape, facts, accidentals, run, place, _ = row
    return Item(
        _get(id_), _get(key), _get(shape), _unlist(facts), _whole(accidentals), _get(run),
        _whole(place),
    )  # fmt: skip


def _whole(value: Value) -> int:
    if isinstance(value, int):
        return value
    raise BadRowError(f"a whole number expected, {value!r} found")


def _number(value: Value) -> float | None:
    return float(value) if isinstance(value, int | float) else None
