"""Which files there are to be read, and what is said of those that do not count.

Nothing is trusted: what cannot be read is left out by name with its reason.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from drill.errors import DataError, UsageError
from drill.reports import reading
from drill.reports.reading import ResultsSource
from drill.reports.results import SUFFIX
from drill.shown import harmless

MOST_FILES = 50_000


class WhyNot(StrEnum):
    """Why a file does not count, or not wholly."""

    UNREADABLE = "left out"
    """Damaged, foreign, of another layout or hostile: its reason says which."""
    DUPLICATE = "counted once"
    OLDER = "superseded"
    """Everything in it is in a newer file of the same student."""
    COPY = "left out as a copy"
    """The same answers under another student's name."""
    NOTE = "counted; please look"


@dataclass(frozen=True, slots=True)
class FileRemark:
    """What is to be said about one file."""

    file: str
    """Harmless to print."""
    why: WhyNot
    reason: str
    """In words, harmless to print."""

    def __str__(self) -> str:
        return f"{self.file}: {self.why}: {self.reason}"


def remark(file: object, why: WhyNot, reason: str) -> FileRemark:
    """What is said about a file, harmless to print."""
    return FileRemark(harmless(str(file)), why, harmless(reason))


def files_in(
    places: Sequence[Path], *, by_folder: bool = False
) -> tuple[tuple[ResultsSource, ...], tuple[FileRemark, ...]]:
    """The results files among files and folders, in order, each once; and what is not there.

    In a folder those with the suffix of results files, or that begin like one, count, and zip
    files that hold some; hidden files and links are passed over.  ``by_folder`` makes a group
    of each folder below the one that is named, a school or a class.  Raises UsageError where
    there are too many.
    """
    found: dict[tuple[Path, str], ResultsSource] = {}
    remarks: list[FileRemark] = []
    for place in places:
        try:
            folder = place.is_dir()
            inside = sorted(_walk(place)) if folder else [place]
        except OSError as error:
            remarks.append(remark(place, WhyNot.UNREADABLE, f"cannot be read: {error.strerror}"))
            continue
        if folder and not inside:
            remarks.append(remark(place, WhyNot.UNREADABLE, "this folder holds no results file"))
        for path in inside:
            below = path.relative_to(place).parts[:-1] if folder and by_folder else ()
            try:
                for source in reading.sources(path, below[0] if below else ""):
                    found.setdefault((_real(path), source.member), source)
            except DataError as error:
                remarks.append(remark(path, WhyNot.UNREADABLE, str(error)))
        if len(found) > MOST_FILES:
            raise UsageError(f"more than {MOST_FILES} results files: name fewer folders")
    return tuple(found.values()), tuple(remarks)


def _real(path: Path) -> Path:
    try:
        return path.resolve()
    except (OSError, RuntimeError):  # RuntimeError: links in a circle
        return path


def _walk(folder: Path) -> Iterator[Path]:
    """Results files below a folder; links are not followed."""
    for place, folders, names in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in names:
            path = Path(place, name)
            if name.startswith(".") or path.is_symlink():
                continue
            if path.suffix == SUFFIX or reading.looks_right(path):
                yield path
