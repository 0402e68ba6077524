"""A teacher's labels of a take, and how far what was heard agrees with them."""

from __future__ import annotations

from pathlib import Path

from drill.errors import DataError
from drill.hearing.line import Line
from drill.hearing.values import Heard, HeardAs
from drill.shown import counted as so_many
from drill.sound.capture import regular

LARGEST = 1_000_000


def counted(path: Path, line: Line, heard: Heard) -> list[str]:
    """Lines that count what was heard against a file of labels.

    The file has a line for each note that was not right: its number in the line, from 1, and
    ``wrong``, ``missing`` or ``octave``; after ``#`` comes a remark.  Raises UsageError,
    DataError.
    """
    labels = read_labels(path, len(line.places))
    flagged = {
        note.index + 1
        for note in heard.notes
        if note.outcome in (HeardAs.WRONG, HeardAs.UNHEARD, HeardAs.UNSURE)
    }
    wrong = {note.index + 1 for note in heard.notes if note.outcome is HeardAs.WRONG}
    bad = set(labels)
    found = f"Labels: {len(bad)} of {len(line.places)} notes not right, {len(flagged & bad)} "
    found += f"flagged; {so_many(len(flagged - bad), 'false flag')}."
    told = [found, f"Called wrong: {len(wrong & bad)} rightly, {len(wrong - bad)} falsely."]
    if bad - flagged:
        passed = ", ".join(str(each) for each in sorted(bad - flagged))
        notes = "note" if len(bad - flagged) == 1 else "notes"
        told.append(f"Passed over: {notes} {passed}.")
    return told


def read_labels(path: Path, count: int) -> dict[int, str]:
    """Number of a note to its label.  Raises UsageError, DataError with file and line."""
    regular(path, LARGEST)
    found: dict[int, str] = {}
    try:
        text = path.read_text("utf-8")
    except UnicodeDecodeError:
        raise DataError(f"{path} is not text") from None
    for at, row in enumerate(text.splitlines(), 1):
        words = row.partition("#")[0].split()
        if not words:
            continue
        number = int(words[0]) if words[0].isdecimal() and len(words[0]) < 9 else 0
        if len(words) != 2 or not 1 <= number <= count or words[1] not in _WORDS:
            raise DataError(
                f"{path}:{at}: expected a note's number, 1 to {count}, and "
                f"one of {', '.join(_WORDS)}"
            )
        found[number] = words[1]
    return found


_WORDS = ("wrong", "missing", "octave")
