"""What is kept of takes, and handed in: numbers and sentences, never sound.

One JSON file in the player's data folder holds the results that ``drill take --result`` kept;
a results file carries those of its deck in its head.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from drill.errors import DataError
from drill.shown import first_harmful

MOST_TAKES = 50
"""Of one deck in a results file: the newest."""
MOST_KEPT = 1000
MOST_LINES = 10
LONGEST_SAID = 300
MOST_NOTES = 10_000
MOST_SQUARES = 100
_FORM = "%Y-%m-%dT%H:%M:%SZ"


@dataclass(frozen=True, slots=True)
class TakeSquare:
    """What was heard of one key and pattern."""

    key: str
    """As items name it: ``G:major``."""
    shape: str
    """The same way: ``1-2-3-1/up``."""
    notes: int
    right: int

    def row(self) -> list[object]:
        """As it stands in a file."""
        return [self.key, self.shape, self.notes, self.right]


@dataclass(frozen=True, slots=True)
class TakeResult:
    """A take as it is kept."""

    made: datetime
    """UTC, whole seconds."""
    deck: str
    """The deck's fingerprint."""
    title: str
    """The run: ``1-2-3-1 in E major, up``."""
    notes: int
    right: int
    wrong: int
    said: tuple[str, ...]
    """What was said of it."""
    squares: tuple[TakeSquare, ...] = ()
    """The notes by key and pattern; empty in a take that was kept before they were."""

    def row(self) -> list[object]:
        """As it stands in a file."""
        at = self.made.astimezone(UTC).strftime(_FORM)
        counts = (self.notes, self.right, self.wrong)
        squares = [each.row() for each in self.squares]
        return [
            at,
            self.deck,
            self.title,
            *counts,
            list(self.said),
            *([squares] if squares else ()),
        ]


def read_takes(value: object, most: int = MOST_TAKES) -> tuple[TakeResult, ...]:
    """Takes from a file's JSON.  Raises DataError for what this program does not write."""
    if not isinstance(value, list) or len(value) > most:
        raise DataError(f"its takes are no list of at most {most}")
    return tuple(_read(row) for row in value)


def _read(row: object) -> TakeResult:
    fault = DataError("its takes are not as this program writes them")
    if not isinstance(row, list) or len(row) not in (7, 8):
        raise fault
    at, deck, title, *counts, said = row[:7]
    texts = [at, deck, title, *(said if isinstance(said, list) else [None])]
    if not all(isinstance(text, str) and len(text) <= LONGEST_SAID for text in texts):
        raise fault
    if len(said) > MOST_LINES or any(first_harmful(text) is not None for text in texts):
        raise fault
    if not all(type(each) is int and 0 <= each <= MOST_NOTES for each in counts):
        raise fault
    notes, right, wrong = counts
    if right + wrong > notes:
        raise fault
    try:
        made = datetime.strptime(at, _FORM).replace(tzinfo=UTC)
    except ValueError:
        raise fault from None
    squares = _read_squares(row[7]) if len(row) == 8 else ()
    if sum(each.notes for each in squares) > notes or sum(each.right for each in squares) > right:
        raise fault
    return TakeResult(made, deck, title, notes, right, wrong, tuple(said), squares)


def _read_squares(value: object) -> tuple[TakeSquare, ...]:
    if isinstance(value, list) and 1 <= len(value) <= MOST_SQUARES and all(map(_is_square, value)):
        return tuple(TakeSquare(*each) for each in value)
    raise DataError("its takes are not as this program writes them")


def _is_square(row: object) -> bool:
    return (
        isinstance(row, list)
        and list(map(type, row)) == [str, str, int, int]
        and all(len(text) <= LONGEST_SAID and first_harmful(text) is None for text in row[:2])
        and 0 <= row[3] <= row[2] <= MOST_NOTES
    )


def kept_takes(path: Path) -> tuple[TakeResult, ...]:
    """The takes in the player's file, oldest first; none where there is none.

    Raises DataError where the file cannot be read.
    """
    try:
        value = json.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return ()
    except (OSError, ValueError, RecursionError) as fault:
        raise DataError(f"{path} cannot be read: {fault}") from None
    return read_takes(value, MOST_KEPT)


def takes_text(takes: tuple[TakeResult, ...]) -> str:
    """The player's file with these takes, the newest of them where there are too many."""
    rows = [json.dumps(take.row(), ensure_ascii=False) for take in takes[-MOST_KEPT:]]
    return "[\n" + ",\n".join(rows) + "\n]\n"
