"""Reading a results file: strict, bounded, and never more than data.

The checksum is compared before anything is believed; then every line, number and text
must be what ``results`` writes, within its bounds.  Everything else is a DataError with
one reason, never an answer.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
from dataclasses import replace
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

from drill.decks.load import loads
from drill.decks.schema import Deck
from drill.errors import DataError, FaultsError
from drill.reports.results import MAGIC, VERSION, HandedDeck, Results, clean_name
from drill.reports.rows import FUTURE, need, parse, read_answers, read_items
from drill.shown import first_harmful

MOST_BYTES = 16 * 1024 * 1024
"""Size of the largest results file; 100,000 answers take 13 MB."""
MOST_ANSWERS = 100_000
MOST_ITEMS = 20_000
LONGEST_HEAD = 512 * 1024
"""Bytes of the line that holds the deck's text."""
LONGEST_LINE = 2048
"""Bytes of any other line: so that no line, however made, takes much memory to read."""

_HEADER = re.compile(rb"drill-results (\d{1,9}) ([0-9a-f]{64})")
_FINGERPRINT = re.compile(r"[0-9a-f]{16}")
_VERSION_TEXT = re.compile(r"[0-9A-Za-z.+-]{1,32}")


def load(path: Path, now: datetime) -> Results:
    """The results in a file, at the instant ``now``; raises DataError with one reason."""
    return decode(read_bytes(path), now)


def read_bytes(path: Path, most: int = MOST_BYTES) -> bytes:
    """The bytes of an ordinary file no larger than a results file; raises DataError."""
    try:
        status = os.stat(path)
        if not stat.S_ISREG(status.st_mode):
            raise DataError("this is no ordinary file")
        with open(path, "rb") as file:
            data = file.read(most + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise DataError(f"cannot be read: {reason[:1].lower()}{reason[1:]}") from None
    if len(data) > most:
        raise DataError(f"larger than a results file may be ({most // 1024**2} MiB)")
    return data


def is_results(start: bytes) -> bool:
    """Whether a file that begins so claims to be a results file."""
    return start.startswith(MAGIC.encode())


def decode(data: bytes, now: datetime) -> Results:
    """The results in the bytes of a file; raises DataError with one reason."""
    body = _checked(data)
    lines = body.split(b"\n")
    if lines.pop() != b"":
        raise DataError("the last line is not ended")
    if len(lines[0] if lines else b"") > LONGEST_HEAD or max(map(len, lines[1:]), default=0) > (
        LONGEST_LINE
    ):
        raise DataError("a line is longer than any that this program writes")
    head = _Head(parse(lines[:1])[0], now)
    if len(lines) != 1 + head.items + head.answers:
        raise DataError(
            f"{len(lines) - 1} lines of cells and answers; {head.items + head.answers} are named"
        )
    items, asked = read_items(lines[1 : 1 + head.items])
    answers = read_answers(lines[1 + head.items :], items, head.deck, now)
    earlier = sum(answer.deck == "" for answer in answers)
    return Results(head.student, head.made, head.program, head.deck, items, asked, answers, earlier)


def _checked(data: bytes) -> bytes:
    """What follows the first line, once its checksum fits."""
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
    if version != VERSION or found[1] != str(VERSION).encode():
        age = "a newer" if version > VERSION else "an older"
        raise DataError(
            f"written in {age} layout ({version}); this program reads layout {VERSION}: "
            "use the same version of the program on both machines"
        )
    return body


def peek_name(path: Path) -> str:
    """The name a results file gives, unchecked and for sorting only; empty where there is none."""
    try:
        if not stat.S_ISREG(os.stat(path).st_mode):
            return ""
        with open(path, "rb") as file:
            file.readline(200)
            found = re.match(rb'\{"student":("(?:[^"\\]|\\.){0,300}")', file.read(2000))
        return clean_name(json.loads(found[1])) if found else ""
    except (OSError, ValueError, DataError):
        return ""


# -- the head


class _Head:
    """The first line, checked."""

    def __init__(self, value: object, now: datetime) -> None:
        names = {"student", "made", "program", "deck", "items", "answers"}
        if not isinstance(value, dict) or set(value) != names:
            raise DataError("its head has not the fields that this program writes")
        self.student = clean_name(_text(value["student"], "the name", 200))
        need(self.student == value["student"], "the name is not as this program writes it")
        self.made = _instant(value["made"])
        need(
            self.made <= now + FUTURE,
            f"made in the future ({self.made:%Y-%m-%d}): a clock is wrong",
        )
        self.program = _text(value["program"], "the version", 32)
        need(bool(_VERSION_TEXT.fullmatch(self.program)), "the version is not one")
        self.items = _whole(value["items"], MOST_ITEMS, "the number of cells")
        self.answers = _whole(value["answers"], MOST_ANSWERS, "the number of answers")
        self.deck = _handed(value["deck"])


def _text(value: object, what: str, longest: int) -> str:
    if not isinstance(value, str) or len(value) > longest:
        raise DataError(f"{what} is no text of at most {longest} characters")
    return value


def _whole(value: object, most: int, what: str) -> int:
    if type(value) is not int or not 0 <= value <= most:
        raise DataError(f"{what} is no whole number from 0 to {most}")
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
