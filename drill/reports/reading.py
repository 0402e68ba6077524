"""Reading a results file: strict, bounded, and never more than data.

The checksum is compared before anything is believed; then every line, number and text
must be what ``results`` writes, within its bounds.  Everything else is a DataError with
one reason, never an answer.  What mail does to a text (other line ends, a byte-order mark)
is undone before the checksum; a plain zip file is looked into, within bounds.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

from drill.decks.load import loads
from drill.decks.schema import Deck
from drill.errors import DataError, FaultsError
from drill.files import BOM, too_large
from drill.memory.repair import AHEAD
from drill.reports.results import (
    LONGEST_ID,
    LONGEST_LINE,
    MAGIC,
    OLDEST,
    VERSION,
    HandedDeck,
    Results,
    clean_line,
    clean_name,
)
from drill.reports.rows import is_key, need, parse, read_answers, read_items
from drill.reports.takes import read_takes
from drill.shown import first_harmful

MOST_BYTES = 16 * 1024 * 1024
"""Size of the largest results file; 100,000 answers take 13 MB."""
MOST_ANSWERS = 100_000
MOST_ITEMS = 20_000
LONGEST_HEAD = 512 * 1024
"""Bytes of the line that holds the deck's text."""
LONGEST_ROW = 2048
"""Bytes of any other line: so that no line, however made, takes much memory to read."""

_HEADER = re.compile(rb"drill-results (\d{1,9}) ([0-9a-f]{64})")
_FINGERPRINT = re.compile(r"[0-9a-f]{16}")
_VERSION_TEXT = re.compile(r"[0-9A-Za-z.+-]{1,32}")


MOST_MEMBERS = 500
"""Files in a zip file."""
MOST_KEYS = 400
"""Keys of a deck whose concert keys are named."""
_ZIP = b"PK\x03\x04"
_HEAD_BYTES = 2 * LONGEST_HEAD


@dataclass(frozen=True, slots=True)
class ResultsSource:
    """A results file, or one in a zip file."""

    path: Path
    member: str = ""
    """Its name in the zip file; empty for a file of its own."""
    group: str = ""
    """The folder in which it lay below the one that was named; empty for that folder itself."""

    def __str__(self) -> str:
        return f"{self.path}: {self.member}" if self.member else str(self.path)


def load(source: ResultsSource | Path, now: datetime) -> Results:
    """The results in a file, at the instant ``now``; raises DataError with one reason."""
    return decode(source_bytes(source), now)


def source_bytes(source: ResultsSource | Path, most: int = MOST_BYTES) -> bytes:
    """The bytes of a results file, wherever it lies; raises DataError."""
    if isinstance(source, Path):
        return _read_bytes(source, most)
    if not source.member:
        return _read_bytes(source.path, most)
    try:
        with zipfile.ZipFile(source.path) as pack, pack.open(source.member) as file:
            data = file.read(most + 1)
    except (OSError, ValueError, RuntimeError, NotImplementedError, EOFError, KeyError) as error:
        raise DataError(f"cannot be unpacked: {error}") from None
    except zipfile.BadZipFile:
        raise DataError("damaged: the zip file is not whole; ask for it once more") from None
    except Exception as error:  # zlib and lzma have errors of their own
        raise DataError(f"cannot be unpacked: {error}") from None
    if len(data) > most:
        raise DataError(too_large("a results file", most))
    return data


def sources(path: Path, group: str = "") -> Iterator[ResultsSource]:
    """The results file at a path, or those in it where it is a zip file; raises DataError."""
    if start_of(path)[:4] != _ZIP:
        yield ResultsSource(path, "", group)
        return
    try:
        with zipfile.ZipFile(path) as pack:
            names = [each.filename for each in pack.infolist() if not each.is_dir()]
            found = []
            for name in names[: MOST_MEMBERS + 1]:
                with pack.open(name) as member:
                    if is_results(member.read(20)):
                        found.append(ResultsSource(path, name, group))
    except Exception as error:  # a broken zip file raises errors of many kinds
        raise DataError(f"this zip file cannot be read: {error}") from None
    if len(names) > MOST_MEMBERS:
        raise DataError(f"more than {MOST_MEMBERS} files in one zip file")
    if not found:
        raise DataError("no results file in this zip file")
    yield from found


def start_of(path: Path) -> bytes:
    """The first bytes of an ordinary file; empty where it cannot be read."""
    try:
        if not stat.S_ISREG(os.stat(path).st_mode):
            return b""
        with open(path, "rb") as file:
            return file.read(24)
    except (OSError, ValueError):
        return b""


def _read_bytes(path: Path, most: int) -> bytes:
    """The bytes of an ordinary file no larger than a results file; raises DataError."""
    try:
        status = os.stat(path)
        if not stat.S_ISREG(status.st_mode):
            raise DataError("this is not an ordinary file")
        with open(path, "rb") as file:
            data = file.read(most + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise DataError(f"cannot be read: {reason[:1].lower()}{reason[1:]}") from None
    if len(data) > most:
        raise DataError(too_large("a results file", most))
    return data


def is_results(start: bytes) -> bool:
    """Whether a file that begins so claims to be a results file."""
    return start.removeprefix(BOM).startswith(MAGIC.encode())


def looks_right(path: Path) -> bool:
    """Whether a file begins like a results file, or like a zip file that may hold some."""
    start = start_of(path)
    return is_results(start) or (start[:4] == _ZIP and path.suffix.lower() == ".zip")


def as_written(data: bytes) -> bytes:
    """The bytes as this program wrote them: without a byte-order mark, each line ended alike."""
    data = data.removeprefix(BOM)
    if b"\r" not in data[:100]:
        return data
    return data.replace(b"\r\n", b"\n")


def decode(data: bytes, now: datetime) -> Results:
    """The results in the bytes of a file; raises DataError with one reason."""
    version, body = _checked(as_written(data))
    lines = body.split(b"\n")
    if lines.pop() != b"":
        raise DataError("the last line is not ended")
    if not lines:
        raise DataError("it ends with its first line")
    if len(lines[0]) > LONGEST_HEAD or max(map(len, lines[1:]), default=0) > LONGEST_ROW:
        raise DataError("a line is longer than any that this program writes")
    head, cells, count = _head(parse(lines[:1])[0], now, version)
    if len(lines) != 1 + cells + count:
        raise DataError(f"{len(lines) - 1} lines of cells and answers; {cells + count} are named")
    items, asked = read_items(lines[1 : 1 + cells])
    answers = read_answers(lines[1 + cells :], items, head.deck, now)
    return replace(head, items=items, asked=asked, answers=answers)


def _checked(data: bytes) -> tuple[int, bytes]:
    """The layout, and what follows the first line, once its checksum fits."""
    if not is_results(data):
        raise DataError("this is not a results file: it does not begin with 'drill-results'")
    first, _, body = data.partition(b"\n")
    found = _HEADER.fullmatch(first)
    if found is None:
        raise DataError("damaged: its first line is not whole")
    # The checksum before the version: a damaged version is damage.
    version = int(found[1])
    if hashlib.sha256(body).hexdigest().encode() != found[2]:
        raise DataError("damaged: the checksum does not fit; ask for the file once more")
    if not OLDEST <= version <= VERSION or found[1] != str(version).encode():
        age = "a newer" if version > VERSION else "an older"
        raise DataError(
            f"written in {age} layout ({version}); this program reads layouts {OLDEST} to "
            f"{VERSION}: use the same version of the program on both machines"
        )
    return version, body


@dataclass(frozen=True, slots=True)
class Peek:
    """Whose a results file says it is, unchecked and for sorting only."""

    name: str = ""
    id: str = ""
    horn: str = ""


def peek(source: ResultsSource) -> Peek:
    """Whose a results file says it is; all empty where it says nothing."""
    try:
        start = as_written(source_start(source))
        head = json.loads(start.split(b"\n", 2)[1])
        name = clean_name(head["student"])
        text = head["deck"]["text"]
        horn = head.get("horn") or deck_of(text).instrument
        return Peek(name, str(head.get("id", ""))[:LONGEST_ID], str(horn)[:LONGEST_ID])
    except (OSError, ValueError, LookupError, TypeError, AttributeError, DataError, RecursionError):
        return Peek()


def source_start(source: ResultsSource) -> bytes:
    """The beginning of a results file, its head within; raises OSError, DataError."""
    if source.member:
        return source_bytes(source)
    if not stat.S_ISREG(os.stat(source.path).st_mode):
        return b""
    with open(source.path, "rb") as file:
        return file.readline(200) + file.readline(_HEAD_BYTES) + b"\n"


# -- the head


def _head(value: object, now: datetime, version: int) -> tuple[Results, int, int]:
    """What the first line says, without cells and answers, and how many of each follow."""
    names = {"student", "made", "program", "deck", "items", "answers"}
    if version > 1:
        names |= {"id", "horn", "line", "concert"}
    if not isinstance(value, dict) or set(value) - {"takes"} != names:
        raise DataError("its head has not the fields that this program writes")
    student = clean_name(_text(value["student"], "the name", 200))
    need(student == value["student"], "the name is not as this program writes it")
    # A clock that was ahead is no fault of the answers; seconds are all that is written.
    made = min(_instant(value["made"]), now.replace(microsecond=0) + AHEAD)
    program = _text(value["program"], "the version", 32)
    need(bool(_VERSION_TEXT.fullmatch(program)), "the version is not one")
    items = _whole(value["items"], MOST_ITEMS, "the number of cells")
    answers = _whole(value["answers"], MOST_ANSWERS, "the number of answers")
    head = Results(
        student, made, program, _handed(value["deck"]), (), frozenset(), (),
        id=_line(value.get("id", ""), LONGEST_ID, "the student's id"),
        line=_line(value.get("line", ""), LONGEST_LINE, "the line to the teacher"),
        horn=_line(value.get("horn", ""), LONGEST_ID, "the horn"),
        concert=_concert(value.get("concert", [])),
        takes=read_takes(value.get("takes", [])),
    )  # fmt: skip
    return head, items, answers


def _text(value: object, what: str, longest: int) -> str:
    if not isinstance(value, str) or len(value) > longest:
        raise DataError(f"{what} is not a text of at most {longest} characters")
    return value


def _line(value: object, longest: int, what: str) -> str:
    text = _text(value, what, longest)
    need(clean_line(text, longest, what) == text, f"{what} is not as this program writes it")
    return text


def _concert(value: object) -> tuple[tuple[str, str], ...]:
    """Written keys with their concert keys."""
    if not isinstance(value, list) or len(value) > MOST_KEYS:
        raise DataError("its concert keys are no list of keys")
    pairs = []
    for pair in value:
        if not (
            isinstance(pair, list)
            and len(pair) == 2
            and all(isinstance(each, str) and is_key(each) for each in pair)
        ):
            raise DataError("its concert keys are not what this program writes")
        pairs.append((pair[0], pair[1]))
    return tuple(pairs)


def _whole(value: object, most: int, what: str) -> int:
    if type(value) is not int or not 0 <= value <= most:
        raise DataError(f"{what} is not a whole number from 0 to {most}")
    return value


def _instant(value: object) -> datetime:
    text = _text(value, "the date", 20)
    try:
        return datetime.strptime(text, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)
    except ValueError:
        raise DataError("the date is none") from None


def _handed(value: object) -> HandedDeck:
    if not isinstance(value, dict) or set(value) != {"name", "fingerprint", "cells", "text"}:
        raise DataError("its deck has not the fields that this program writes")
    name = _text(value["name"], "the deck's name", 120)
    need(first_harmful(name) is None, "the deck's name holds characters that cannot be shown")
    text = _text(value["text"], "the deck's text", 64 * 1024)
    cells = _whole(value["cells"], 1_000_000, "the number of the deck's cells")
    mark = _text(value["fingerprint"], "the deck's fingerprint", 16)
    need(bool(_FINGERPRINT.fullmatch(mark)), "the deck's fingerprint is none")
    deck = deck_of(text)
    need(deck.fingerprint == mark, "the deck's text is not the deck of the answers")
    return HandedDeck(name, mark, text, cells)


@lru_cache(maxsize=64)
def deck_of(text: str) -> Deck:
    """The deck of a results file's text; raises DataError with the first fault."""
    try:
        return replace(loads(text, "its deck"), name="", path=None)
    except FaultsError as error:
        raise DataError(f"its deck cannot be read: {error.faults[0]}") from None
