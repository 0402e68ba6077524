"""A results file: one student's answers to one deck, handed in to the teacher.

The file is text.  Its first line is ``drill-results 2`` and the SHA-256 of all that
follows; then one line of JSON each: the head (student, date, version, horn, the deck with
its text), the cells that were asked, and the answers.  Nothing else of the player is in it:
no other deck, no machine, no path, and not what was typed.  Layout 1 had no id, horn,
concert keys or line to the teacher, and is still read.

The checksum shows damage, every flipped bit and every cut; it cannot show that somebody
wrote a file of their own: the file is a record, not an examination.
"""

from __future__ import annotations

import hashlib
import json
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from drill.errors import DataError
from drill.memory.items import Answer, Item, NoteResult, microseconds
from drill.memory.repair import misdated
from drill.reports.takes import TakeResult
from drill.shown import first_harmful
from drill.wording import handing as words

MAGIC = "drill-results"
VERSION = 2
OLDEST = 1
"""The oldest layout that is read."""
SUFFIX = ".drill-results"

LONGEST_NAME = 60
"""Characters of a student's chosen name."""
LONGEST_ID = 40
"""Characters of the id that a roster gives a student."""
LONGEST_LINE = 300
"""Characters of a line to the teacher."""

LETTERS: Mapping[str, str] = {
    NoteResult.RIGHT: "R",
    NoteResult.NAME: "N",
    NoteResult.WRONG: "W",
    NoteResult.MISSING: "M",
    NoteResult.EXTRA: "X",
}
"""One letter for what became of a note."""

AGAIN, INTERRUPTED, LOCKED_IN, EARLIER, UNDATED = 1, 2, 4, 8, 16
"""Bits of an answer's flags; ``EARLIER`` was given before the deck was edited, ``UNDATED`` with
a wrong clock: it counts, and its day is empty."""


@dataclass(frozen=True, slots=True)
class HandedDeck:
    """The deck of a results file."""

    name: str
    fingerprint: str
    """As in ``Deck.fingerprint``."""
    text: str
    """The deck file's own text."""
    cells: int
    """How many cells the deck asks; 0 when unknown."""


@dataclass(frozen=True, slots=True)
class Results:
    """What a results file says."""

    student: str
    """The name that the student chose; ``clean_name`` of it."""
    made: datetime
    """When it was written by the student's machine; UTC, whole seconds."""
    program: str
    """The version of the program that wrote it."""
    deck: HandedDeck
    items: tuple[Item, ...]
    """The cells of the answers, by id."""
    asked: frozenset[str]
    """Ids of those items that the deck asks as it stands."""
    answers: tuple[Answer, ...]
    """In the log's order.  ``typed``, ``hypotheses`` and ``details`` are empty, but for
    ``details`` of an answer in time: see ``TimedAnswer``.  ``day`` is empty where a wrong clock
    dated the answer."""
    id: str = ""
    """The student's id on the teacher's roster; empty where none is known."""
    horn: str = ""
    """Id of the horn it was practised on; empty in a file of layout 1."""
    concert: tuple[tuple[str, str], ...] = ()
    """Each written key of the deck with the concert key in which it sounds: ``G:major``."""
    line: str = ""
    """A line from the student to the teacher; empty for none."""
    takes: tuple[TakeResult, ...] = ()
    """Takes of the deck's runs as they were heard, oldest first: no sound."""


def clean_name(text: str) -> str:
    """The name in one spelling: NFC, single spaces.  Raises DataError for what is no name."""
    name = _clean(text, "the name")
    if not 1 <= len(name) <= LONGEST_NAME:
        raise DataError(f"the name has {len(name)} characters: 1 to {LONGEST_NAME} are expected")
    return name


def clean_line(text: str, longest: int, what: str) -> str:
    """An id or a line in one spelling, which may be empty.  Raises DataError."""
    line = _clean(text, what)
    if len(line) > longest:
        raise DataError(f"{what} has {len(line)} characters: at most {longest} are expected")
    return line


def _clean(text: str, what: str) -> str:
    line = " ".join(unicodedata.normalize("NFC", text).split())
    if (bad := first_harmful(line)) is not None:
        raise DataError(f"{what} holds U+{ord(bad):04X}, which cannot be shown")
    return line


def name_key(name: str) -> str:
    """What two spellings of one student's name have in common."""
    return unicodedata.normalize("NFKC", " ".join(name.split())).casefold()


@dataclass(frozen=True, slots=True)
class TimedAnswer:
    """What a results file keeps of an answer in time beside its tempo."""

    bout: str
    """Id of the bout it was part of: a bout is one try, whatever its cells."""
    practice: str
    """Id of the practice: a new one begins anew."""
    passed: bool
    """Whether the whole bout was locked in."""

    def text(self) -> str:
        """The same as an answer's details."""
        names = ("bout", "practice", "passed")
        return json.dumps({name: getattr(self, name) for name in names}, separators=(",", ":"))


def in_time(answer: Answer) -> TimedAnswer | None:
    """What the details say of an answer in time; None for one that was not, or says nothing."""
    if answer.tempo is None or not answer.details:
        return None
    try:
        said = json.loads(answer.details)
        bout, practice, passed = (said[name] for name in ("bout", "practice", "passed"))
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
    if isinstance(bout, str) and bout and isinstance(practice, str) and isinstance(passed, bool):
        return TimedAnswer(bout, practice, passed)
    return None


def encode(results: Results) -> bytes:
    """The bytes of the results file."""
    place = {item.id: number for number, item in enumerate(results.items)}
    deck = results.deck
    head: dict[str, object] = {
        "student": results.student,
        "id": results.id,
        "horn": results.horn,
        "line": results.line,
        "concert": [list(pair) for pair in results.concert],
        "made": results.made.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "program": results.program,
        "deck": {
            "name": deck.name,
            "fingerprint": deck.fingerprint,
            "cells": deck.cells,
            "text": deck.text,
        },
        "items": len(results.items),
        "answers": len(results.answers),
    }
    if results.takes:
        head["takes"] = [take.row() for take in results.takes]
    lines = [_line(head)]
    lines += [_line(_item_row(item, item.id in results.asked)) for item in results.items]
    lines += [_line(_answer_row(answer, place, deck.fingerprint)) for answer in results.answers]
    body = "".join(lines).encode()
    return f"{MAGIC} {VERSION} {hashlib.sha256(body).hexdigest()}\n".encode() + body


def _line(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")) + "\n"


def _item_row(item: Item, asked: bool) -> list[object]:
    return [
        item.id, item.key, item.shape, list(item.facts), item.accidentals, item.run, item.place,
        int(asked),
    ]  # fmt: skip


def _answer_row(answer: Answer, place: Mapping[str, int], fingerprint: str) -> list[object]:
    flags = AGAIN * answer.again + INTERRUPTED * answer.interrupted
    timed = in_time(answer) or TimedAnswer("", "", passed=False)
    flags += LOCKED_IN * timed.passed + EARLIER * (answer.deck != fingerprint)
    flags += UNDATED * (not answer.day)
    at = microseconds(answer.at)
    return [
        answer.uuid, at, (answer.stamp or at) - at, answer.day, place[answer.item],
        str(answer.kind), int(answer.right), "".join(LETTERS[each] for each in answer.outcomes),
        answer.slip or "", None if answer.seconds is None else round(answer.seconds, 3),
        answer.keystrokes, flags, answer.tempo, timed.bout, timed.practice,
    ]  # fmt: skip


def gather(
    answers: Iterable[Answer], items: Mapping[str, Item], deck: HandedDeck, *, earlier: bool
) -> tuple[tuple[Answer, ...], tuple[Item, ...]]:
    """The answers of a log that belong to a deck, with their items by id.

    Those of its fingerprint; with ``earlier`` also those given to a deck of the same name
    that drilled something else: the deck before it was edited.
    """
    mine = [
        answer
        for answer in answers
        if answer.item in items
        and (
            answer.deck == deck.fingerprint
            or (earlier and deck.name and answer.deck_name == deck.name)
        )
    ]
    mine.sort(key=lambda answer: answer.order)
    ids = sorted({answer.item for answer in mine})
    return tuple(mine), tuple(items[each] for each in ids)


def other_editions(answers: Iterable[Answer], deck: HandedDeck) -> int:
    """How many answers were given to a deck of this name with another fingerprint."""
    return sum(
        answer.deck_name == deck.name and answer.deck != deck.fingerprint for answer in answers
    )


def contents(results: Results) -> tuple[str, ...]:
    """What the file contains, a sentence each: for the person who hands it in."""
    return (
        words.holds(
            name=results.student, id_=results.id, line=results.line, deck=results.deck.name,
            program=results.program, answers=len(results.answers), cells=len(results.items),
        ),
        *((words.holds_takes(len(results.takes)),) if results.takes else ()),
        *((words.holds_undated(count),) if (count := misdated(results.answers)) else ()),
        *words.HOLDS_NO_MORE,
    )  # fmt: skip
