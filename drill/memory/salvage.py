"""Rows read straight from the pages of a damaged store, without its structure.

The layout of pages, cells and records is that of the published SQLite file format
(sections 1.5, 1.6, 2.1 and 4.1 of its documentation; from memory).  Every page of the file
and of its write-ahead log is tried as a table leaf; a record counts only when its checksum
fits, so a wrong guess adds nothing and the order of pages does not matter.  The file is read
page by page: of a large one only what is found stays in memory.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from drill.memory.items import Answer, Item
from drill.memory.schema import (
    ANSWER_COLUMNS,
    HEADER,
    ITEM_COLUMNS,
    OLD_PAGE_SIZE,
    PAGE_SIZE,
    Row,
    Value,
    read_answer,
    read_item,
)

_TABLE_LEAF = 0x0D
_WAL_HEADER = 32
_WAL_MAGIC = (b"\x37\x7f\x06\x82", b"\x37\x7f\x06\x83")
_FRAME_HEADER = 24
_FIRST_PAGE_HEADER = 100
_WAL_READ = 64 * 1024 * 1024
"""Bytes of a write-ahead log that are looked at; ours is kept a thousand times smaller."""


@dataclass(frozen=True, slots=True)
class Salvage:
    """What could be read."""

    answers: tuple[Answer, ...]
    """In the log's order, each uuid once."""
    items: tuple[Item, ...]
    """By id, each once."""


def salvage(path: Path | None, wal: bytes | None = None) -> Salvage:
    """All intact answers and items in the file at ``path`` and in its write-ahead log.

    ``path`` None opens no file; ``wal`` is a write-ahead log kept in memory, in the place of
    the one beside the file.  A file that is missing or empty gives nothing; never raises for
    bad content.
    """
    written_ahead = wal or b""
    if wal is None and path is not None:
        written_ahead = read_wal(path)
    answers: dict[str, Answer] = {}
    items: dict[str, Item] = {}
    for row in _rows(path, written_ahead):
        with suppress(ValueError, OverflowError):  # BadRowError is a ValueError
            if len(row) == len(ANSWER_COLUMNS) + 2:
                answer = read_answer(_with_reals(row[1:]))
                answers.setdefault(answer.uuid, answer)
            elif len(row) == len(ITEM_COLUMNS) + 2:
                item = read_item(row[1:])
                items.setdefault(item.id, item)
    return joined(answers.values(), items.values())


def joined(answers: Iterable[Answer], items: Iterable[Item]) -> Salvage:
    """Answers and items of several sources as one; the first of a name counts."""
    by_uuid: dict[str, Answer] = {}
    by_id: dict[str, Item] = {}
    for answer in answers:
        by_uuid.setdefault(answer.uuid, answer)
    for item in items:
        by_id.setdefault(item.id, item)
    return Salvage(
        tuple(sorted(by_uuid.values(), key=lambda a: a.order)),
        tuple(by_id[name] for name in sorted(by_id)),
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


def read_wal(path: Path) -> bytes:
    """The write-ahead log beside a store; empty where there is none."""
    try:
        with wal_path(path).open("rb") as file:
            return file.read(_WAL_READ)
    except OSError:
        return b""


def pages_of_log(data: bytes, size: int = 0) -> Iterator[tuple[int, bytes]]:
    """Number and content of every page in a write-ahead log, oldest first; zeros fill the last.

    ``size`` is that of a page; 0 takes the one that the log itself tells.
    """
    size = size or _told(data[:4] in _WAL_MAGIC, ">I", data, 8) or PAGE_SIZE
    frame = _FRAME_HEADER + size
    for at in range(_WAL_HEADER, len(data) - _FRAME_HEADER, frame):
        page = data[at + _FRAME_HEADER : at + frame].ljust(size, b"\0")
        yield struct.unpack_from(">I", data, at)[0], page


def _told(ours: bool, form: str, data: bytes, at: int) -> int:
    """The size of a page as a header tells it; 0 where it tells none that can be."""
    size = 0
    if ours and len(data) >= at + 4:
        (size,) = struct.unpack_from(form, data, at)
        size = 65536 if size == 1 else size
    return size if 512 <= size <= 65536 and not size & (size - 1) else 0


class _Pages:
    """The pages of a file, by number, as far as the write-ahead log has been read."""

    def __init__(self, file: BinaryIO | None, size: int) -> None:
        self.file = file
        self.size = size
        self.ahead: dict[int, bytes] = {}

    def __getitem__(self, number: int) -> bytes:
        """The page of that number, from 1.  Raises KeyError where there is none."""
        if number in self.ahead:
            return self.ahead[number]
        page = b""
        if self.file is not None and number > 0:
            self.file.seek((number - 1) * self.size)
            page = self.file.read(self.size)
        if not page:
            raise KeyError(number)
        return page.ljust(self.size, b"\0")

    def in_order(self) -> Iterator[tuple[int, bytes]]:
        """Every page of the file that is not all zeros."""
        number = 0
        with suppress(KeyError, OSError):
            while True:
                number += 1
                page = self[number]
                if page.count(0) < self.size:
                    yield number, page


def _rows(path: Path | None, wal: bytes) -> Iterator[Row]:
    """Every record that can be found, by each size that a page may have."""
    file = None
    with suppress(OSError):
        file = None if path is None else path.open("rb")
    head = b"" if file is None else file.read(_FIRST_PAGE_HEADER)
    told = (
        _told(head.startswith(HEADER), ">H", head, len(HEADER)),
        _told(wal[:4] in _WAL_MAGIC, ">I", wal, 8),
    )
    try:
        for size in dict.fromkeys((*told, PAGE_SIZE, OLD_PAGE_SIZE)):
            if size:
                pages = _Pages(file, size)
                for number, page in pages.in_order():
                    yield from _leaf(page, number, pages)
                for number, page in pages_of_log(wal, size):
                    pages.ahead[number] = page
                    yield from _leaf(page, number, pages)
    finally:
        if file is not None:
            file.close()


_RECORD = re.compile(rb"(?=[\x09-\x30]\x00)")
"""A record's header: its size, then the type NULL of the row number kept elsewhere."""
_LONGEST_RECORD = 1 << 26
_BEFORE_RECORD = 12
"""Bytes that the length and the row number take at most before it."""


def _leaf(page: bytes, number: int, pages: _Pages) -> Iterator[Row]:
    """The records of one page, if it holds any.

    The page's own header and pointers are used first.  Where they lead nowhere (they were
    hit, or this is no such page) everything that looks like a record is tried.
    """
    header = _FIRST_PAGE_HEADER if number == 1 else 0
    pointers: set[int] = set()
    if page[header] == _TABLE_LEAF:
        count = min(struct.unpack_from(">H", page, header + 3)[0], (pages.size - header - 8) // 2)
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


def _record_at(page: bytes, at: int, pages: _Pages) -> Row | None:
    """The record of the cell that begins at this byte, with its row number; None if none does."""
    try:
        length, at = _varint(page, at)
        rowid, at = _varint(page, at)
        if length < len(ITEM_COLUMNS) + 2 or length > _LONGEST_RECORD:
            return None
        payload = _payload(page, at, length, pages)
        columns = _columns(payload)
    except (IndexError, struct.error, ValueError, KeyError, OSError, OverflowError):
        return None
    return None if columns is None else (rowid, *columns[1:])


def _payload(page: bytes, at: int, length: int, pages: _Pages) -> bytes:
    """The record's bytes, those on overflow pages included."""
    size = pages.size
    most = size - 35
    if length <= most:
        if at + length > size:
            raise ValueError("the record leaves its page")
        return page[at : at + length]
    least = (size - 12) * 32 // 255 - 23
    local = least + (length - least) % (size - 4)
    local = local if local <= most else least
    parts = [page[at : at + local]]
    number = struct.unpack_from(">I", page, at + local)[0]
    left = length - local
    met: set[int] = set()
    while left > 0:
        if number in met:
            raise ValueError("the overflow pages go round in a circle")
        met.add(number)
        overflow = pages[number]
        parts.append(overflow[4 : 4 + min(left, size - 4)])
        left -= size - 4
        number = struct.unpack_from(">I", overflow, 0)[0]
    return b"".join(parts)


def _columns(payload: bytes) -> Row | None:
    """The values of a record; None when it has neither table's number of columns."""
    size, at = _varint(payload, 0)
    if size > len(payload) or size > 9 * (len(ANSWER_COLUMNS) + 3) or payload[at]:
        return None  # the first type is NULL: the row number is kept elsewhere
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
