"""Rows read straight from the pages of a damaged store, without its structure.

The layout of pages, cells and records is that of the published SQLite file format
(sections 1.5, 1.6, 2.1 and 4.1 of its documentation; from memory).  Every 4096-byte page
of the file and of its write-ahead log is tried as a table leaf; a record counts only when
its checksum fits, so a wrong guess adds nothing and the order of pages does not matter.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from drill.memory.items import Answer, Item
from drill.memory.schema import (
    ANSWER_COLUMNS,
    ITEM_COLUMNS,
    PAGE_SIZE,
    BadRowError,
    Row,
    Value,
    read_answer,
    read_item,
)

_TABLE_LEAF = 0x0D
_WAL_HEADER = 32
_FRAME_HEADER = 24
_FIRST_PAGE_HEADER = 100


@dataclass(frozen=True, slots=True)
class Salvage:
    """What could be read."""

    answers: tuple[Answer, ...]
    """In the log's order, each uuid once."""
    items: tuple[Item, ...]
    """By id, each once."""


def salvage(path: Path) -> Salvage:
    """All intact answers and items in the file at ``path`` and in its write-ahead log.

    A file that is missing or empty gives nothing; never raises for bad content.
    """
    answers: dict[str, Answer] = {}
    items: dict[str, Item] = {}
    for row in _rows(path):
        try:
            if len(row) == len(ANSWER_COLUMNS) + 2:
                answer = read_answer(_with_reals(row[1:]))
                answers.setdefault(answer.uuid, answer)
            elif len(row) == len(ITEM_COLUMNS) + 2:
                item = read_item(row[1:])
                items.setdefault(item.id, item)
        except (BadRowError, ValueError, OverflowError):
            continue
    return Salvage(
        tuple(sorted(answers.values(), key=lambda a: a.order)),
        tuple(items[name] for name in sorted(items)),
    )


_REALS = tuple(ANSWER_COLUMNS.index(name) for name in ("seconds", "tempo"))


def _with_reals(row: Row) -> Row:
    """The row with its reals as such: the format keeps whole ones as integers."""
    values = list(row)
    for n in _REALS:
        value = values[n]
        if isinstance(value, int):
            values[n] = float(value)
    return tuple(values)


def wal_path(path: Path) -> Path:
    """The write-ahead log beside a store."""
    return path.with_name(path.name + "-wal")


def pages_of_log(path: Path) -> Iterator[tuple[int, bytes]]:
    """Number and content of every whole page in the write-ahead log, oldest first."""
    try:
        data = wal_path(path).read_bytes()
    except OSError:
        return
    size = _FRAME_HEADER + PAGE_SIZE
    for at in range(_WAL_HEADER, len(data) - size + 1, size):
        yield struct.unpack_from(">I", data, at)[0], data[at + _FRAME_HEADER : at + size]


def _rows(path: Path) -> Iterator[Row]:
    try:
        data = path.read_bytes()
    except OSError:
        data = b""
    pages: dict[int, bytes] = {}
    for number in range(1, -(-len(data) // PAGE_SIZE) + 1):
        page = data[(number - 1) * PAGE_SIZE : number * PAGE_SIZE]
        pages[number] = page.ljust(PAGE_SIZE, b"\0")
    for number, page in list(pages.items()):
        yield from _leaf(page, number, pages)
    for number, page in pages_of_log(path):
        pages[number] = page
        yield from _leaf(page, number, pages)


_RECORD = re.compile(rb"(?=[\x09-\x30]\x00)")
"""A record's header: its size, then the type NULL of the row number kept elsewhere."""
_BEFORE_RECORD = 12
"""Bytes that the length and the row number take at most before it."""


def _leaf(page: bytes, number: int, pages: dict[int, bytes]) -> Iterator[Row]:
    """The records of one page, if it holds any.

    The page's own header and pointers are used first.  Where they lead nowhere (they were
    hit, or this is no such page) everything that looks like a record is tried.
    """
    header = _FIRST_PAGE_HEADER if number == 1 else 0
    pointers: set[int] = set()
    if page[header] == _TABLE_LEAF:
        count = min(struct.unpack_from(">H", page, header + 3)[0], (PAGE_SIZE - header - 8) // 2)
        pointers.update(struct.unpack_from(f">{count}H", page, header + 8))
    found = 0
    for at in sorted(pointers):
        row = _record_at(page, at, pages)
        if row is not None:
            found += 1
            yield row
    if pointers and found == len(pointers):
        return
    tried = set(pointers)
    for match in _RECORD.finditer(page, header + 8):
        for at in range(max(match.start() - _BEFORE_RECORD, 0), match.start()):
            if at not in tried:
                tried.add(at)
                row = _record_at(page, at, pages)
                if row is not None:
                    yield row


def _record_at(page: bytes, at: int, pages: dict[int, bytes]) -> Row | None:
    """The record of the cell that begins at this byte, with its row number; None if none does."""
    try:
        length, at = _varint(page, at)
        rowid, at = _varint(page, at)
        if length < len(ITEM_COLUMNS) + 2 or length > 1 << 30:
            return None
        payload = _payload(page, at, length, pages)
        columns = _columns(payload)
    except (IndexError, struct.error, ValueError, KeyError, RecursionError):
        return None
    return None if columns is None else (rowid, *columns[1:])


def _payload(page: bytes, at: int, length: int, pages: dict[int, bytes]) -> bytes:
    """The record's bytes, those on overflow pages included."""
    most = PAGE_SIZE - 35
    if length <= most:
        if at + length > PAGE_SIZE:
            raise ValueError("the record leaves its page")
        return page[at : at + length]
    least = (PAGE_SIZE - 12) * 32 // 255 - 23
    local = least + (length - least) % (PAGE_SIZE - 4)
    local = local if local <= most else least
    parts = [page[at : at + local]]
    number = struct.unpack_from(">I", page, at + local)[0]
    left = length - local
    while left > 0:
        overflow = pages[number]
        parts.append(overflow[4 : 4 + min(left, PAGE_SIZE - 4)])
        left -= PAGE_SIZE - 4
        number = struct.unpack_from(">I", overflow, 0)[0]
        if len(parts) > len(pages) + 1:
            raise ValueError("the overflow pages go round in a circle")
    return b"".join(parts)


def _columns(payload: bytes) -> Row | None:
    """The values of a record; None when it has neither table's number of columns."""
    size, at = _varint(payload, 0)
    if size > len(payload) or size > 9 * (len(ANSWER_COLUMNS) + 3):
        return None
    types: list[int] = []
    while at < size:
        kind, at = _varint(payload, at)
        types.append(kind)
    if at != size or len(types) not in (len(ANSWER_COLUMNS) + 2, len(ITEM_COLUMNS) + 2):
        return None
    values: list[Value] = []
    for kind in types:
        value, at = _value(payload, at, kind)
        values.append(value)
    return tuple(values) if at == len(payload) else None


_INTEGER_SIZES = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}


def _value(data: bytes, at: int, kind: int) -> tuple[Value, int]:
    """One value of a record and where the next begins."""
    if kind == 0:
        return None, at
    if kind in (8, 9):
        return kind - 8, at
    if kind == 7:
        return struct.unpack_from(">d", data, at)[0], at + 8
    if kind in _INTEGER_SIZES:
        end = at + _INTEGER_SIZES[kind]
        return int.from_bytes(data[at:end], signed=True), end
    if kind < 12:
        raise ValueError("a reserved type")
    end = at + (kind - 12) // 2
    if end > len(data):
        raise ValueError("the value leaves its record")
    return (data[at:end].decode() if kind % 2 else data[at:end]), end


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """A variable-length integer of 1 to 9 bytes and where the next value begins."""
    value = 0
    for n in range(8):
        byte = data[at + n]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + n + 1
    return value << 8 | data[at + 8], at + 9
