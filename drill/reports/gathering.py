"""From results files to what is known of each student, one student in memory at a time.

Files are sorted by the name that they give, each student's are read together, merged by
the answers' ids and studied; then the answers are let go.  So a class and a district need
the same memory, but for the totals.  Large gatherings are shared among processes.

Nothing is trusted: what cannot be read is left out by name with its reason, and what was
handed in twice counts once.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from hashlib import sha256
from multiprocessing import get_context
from pathlib import Path

from drill.errors import DataError, UsageError
from drill.memory.items import Answer, Item
from drill.reports import reading
from drill.reports.results import SUFFIX, Results, name_key
from drill.reports.tally import Study, study
from drill.shown import harmless

MOST_FILES = 50_000
PARALLEL_BYTES = 4 * 1024 * 1024
"""Below this much, starting processes takes longer than they save."""


class Why(StrEnum):
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
class Remark:
    """What is to be said about one file."""

    file: str
    """Harmless to print."""
    why: Why
    reason: str
    """In words, harmless to print."""

    def __str__(self) -> str:
        return f"{self.file}: {self.why}: {self.reason}"


@dataclass(frozen=True, slots=True)
class DeckSeen:
    """A deck of the files."""

    name: str
    title: str
    fingerprint: str
    right: float
    """The share of cells that its goal asks for."""
    due: str
    """ISO date, or empty."""
    text: str


@dataclass(frozen=True, slots=True)
class Found:
    """One student's files, read."""

    study: Study | None
    """None where no file could be read."""
    remarks: tuple[Remark, ...]
    decks: tuple[DeckSeen, ...]
    digests: tuple[tuple[str, str], ...]
    """For each file that counts, a digest of its answers, and its name."""


@dataclass(frozen=True, slots=True)
class Task:
    """One student's files, to be read."""

    files: tuple[Path, ...]
    now: datetime


def files_in(places: Sequence[Path]) -> tuple[tuple[Path, ...], tuple[Remark, ...]]:
    """The results files among files and folders, in order, each once; and what is not there.

    In a folder those with the suffix of results files, or that begin like one, count; hidden
    files and links are passed over.  Raises UsageError where there are too many.
    """
    found: dict[Path, Path] = {}
    remarks: list[Remark] = []
    for place in places:
        try:
            inside = sorted(_walk(place)) if place.is_dir() else [place]
        except OSError as error:
            remarks.append(_unreadable(place, f"cannot be read: {error.strerror}"))
            continue
        if place.is_dir() and not inside:
            remarks.append(_unreadable(place, "this folder holds no results file"))
        for path in inside:
            found.setdefault(_real(path), path)
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
            if not name.startswith(".") and not path.is_symlink() and _looks_right(path):
                yield path


def _looks_right(path: Path) -> bool:
    if path.suffix == SUFFIX:
        return True
    try:
        return reading.is_results(reading.read_bytes(path)[:20])
    except DataError:
        return False


def _unreadable(path: Path, reason: str) -> Remark:
    return Remark(harmless(str(path)), Why.UNREADABLE, harmless(reason))


def tasks(files: Iterable[Path], now: datetime) -> tuple[Task, ...]:
    """The files of each student together, by the name they give; those that give none alone."""
    groups: dict[str, list[Path]] = {}
    for path in files:
        name = reading.peek_name(path)
        groups.setdefault(name_key(name) if name else f"\0{path}", []).append(path)
    return tuple(Task(tuple(group), now) for _, group in sorted(groups.items()))


def gather(work: Sequence[Task], processes: int | None = None) -> Iterator[Found]:
    """Each task's student, in order.

    ``processes`` None decides by the size of the files and the processors of the machine;
    1 stays in this process.
    """
    if processes is None:
        processes = min(os.cpu_count() or 1, 8) if _bytes(work) >= PARALLEL_BYTES else 1
    if processes < 2 or len(work) < 2:
        yield from map(read_student, work)
        return
    done = 0
    try:
        pool = ProcessPoolExecutor(processes, get_context("spawn"), initializer=_leave_ctrl_c)
        size = max(1, min(16, len(work) // (4 * processes)))
        try:
            for found in pool.map(read_student, work, chunksize=size):
                done += 1
                yield found
        finally:
            pool.shutdown(cancel_futures=True)  # at ctrl+c: not the rest of a district first
    except (BrokenProcessPool, OSError, ImportError):  # no processes here: do it alone
        yield from map(read_student, work[done:])


def _leave_ctrl_c() -> None:
    """Leaves ctrl+c to the program: its helpers end with it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _bytes(work: Iterable[Task]) -> int:
    total = 0
    for task in work:
        for path in task.files:
            try:
                total += path.stat().st_size
            except OSError:
                continue
    return total


def read_student(task: Task) -> Found:
    """One student's files, read, merged and studied."""
    good: list[tuple[Path, Results]] = []
    remarks: list[Remark] = []
    for path in task.files:
        try:
            good.append((path, reading.load(path, task.now)))
        except DataError as error:
            remarks.append(_unreadable(path, str(error)))
    # The newest first: where two files differ in an answer, its word counts.
    good.sort(key=lambda each: (each[1].made, len(each[1].answers), str(each[0])), reverse=True)
    kept, more = _without_repeats(good)
    remarks += more
    if not kept:
        return Found(None, tuple(remarks), (), ())
    made = _study(kept, task.now)
    decks = {each.deck.fingerprint: _deck(each) for _, each in kept}
    digests = tuple((_digest(each), harmless(str(path))) for path, each in kept if each.answers)
    return Found(made, tuple(remarks), tuple(decks.values()), digests)


def _deck(results: Results) -> DeckSeen:
    deck = reading.deck_of(results.deck.text)
    due = deck.due.isoformat() if deck.due else ""
    mark = results.deck.fingerprint
    return DeckSeen(results.deck.name, deck.title, mark, deck.goal.right, due, results.deck.text)


def _digest(results: Results) -> str:
    """A digest of which answers they are, whoever handed them in."""
    return sha256("\n".join(answer.uuid for answer in results.answers).encode()).hexdigest()


def _without_repeats(
    good: Sequence[tuple[Path, Results]],
) -> tuple[list[tuple[Path, Results]], list[Remark]]:
    """The files that say something new, the newest first, and what is said of the others."""
    kept: list[tuple[Path, Results]] = []
    remarks: list[Remark] = []
    for path, results in good:
        ids = {answer.uuid for answer in results.answers}
        file = harmless(str(path))
        same_deck = [
            (other, more) for other, more in kept
            if more.deck.fingerprint == results.deck.fingerprint
        ]  # fmt: skip
        fuller = [
            (other, more) for other, more in same_deck
            if ids <= {answer.uuid for answer in more.answers}
        ]  # fmt: skip
        if fuller:
            other, more = fuller[0]
            name = harmless(str(other))
            if len(more.answers) == len(ids):
                remarks.append(Remark(file, Why.DUPLICATE, f"the same answers as {name}"))
            else:
                remarks.append(Remark(file, Why.OLDER, f"every answer is in the newer {name}"))
            continue
        if (
            same_deck
            and ids
            and all(ids.isdisjoint(answer.uuid for answer in more.answers) for _, more in same_deck)
        ):
            remarks.append(
                Remark(
                    file,
                    Why.NOTE,
                    f"no answer in common with {harmless(str(same_deck[0][0]))}, which gives the "
                    "same name: if these are two people, have one choose another name",
                )
            )
        kept.append((path, results))
    return kept, remarks


def _study(kept: Sequence[tuple[Path, Results]], now: datetime) -> Study:
    """The student of some files, the newest first."""
    newest = kept[0][1]
    answers: dict[str, Answer] = {}
    items: dict[str, Item] = {}
    decks: dict[str, Results] = {}
    asked: set[str] = set()
    for _, results in kept:
        decks.setdefault(results.deck.fingerprint, results)
        for item in results.items:
            items.setdefault(item.id, item)
        asked |= results.asked
        for answer in results.answers:
            answers.setdefault(answer.uuid, answer)
    return study(
        newest.student,
        sorted(answers.values(), key=lambda answer: answer.order),
        items,
        now,
        asked=frozenset(asked),
        deck_cells=sum(each.deck.cells for each in decks.values()),
        goal=max(reading.deck_of(each.deck.text).goal.right for each in decks.values()),
        files=tuple(harmless(str(path)) for path, _ in kept),
    )


class Copies:
    """Notices the same answers handed in under two names."""

    def __init__(self) -> None:
        self._first: dict[str, tuple[str, str]] = {}

    def check(self, found: Found) -> Found:
        """The student as found, or without a study where all the answers are another's."""
        if found.study is None:
            return found
        copies = []
        for digest, file in found.digests:
            first = self._first.setdefault(digest, (file, found.study.name))
            if first[0] != file:
                copies.append((file, first))
        if not copies:
            return found
        whole = len(copies) == len(found.digests)
        why = Why.COPY if whole else Why.NOTE
        remarks = tuple(
            Remark(file, why, f"the same answers as {first}, handed in by {name}")
            for file, (first, name) in copies
        )
        study_left = None if whole else found.study
        return replace(found, study=study_left, remarks=(*found.remarks, *remarks))
