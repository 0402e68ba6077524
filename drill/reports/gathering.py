"""From results files to what is known of each student, one student in memory at a time.

Files are sorted by the name that they give, each student's are read together, merged by
the answers' ids and studied; then the answers are let go.  So a class and a district need
the same memory, but for the totals.  Large gatherings are shared among processes.

Nothing is trusted: what cannot be read is left out by name with its reason, and what was
handed in twice counts once.
"""

from __future__ import annotations

import gc
import os
import signal
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from hashlib import sha256
from multiprocessing import get_context
from pathlib import Path

from drill.decks.schema import Deck
from drill.errors import DataError, UsageError
from drill.memory.items import Answer, Item
from drill.memory.levels import Goal
from drill.reports import reading
from drill.reports.naming import concert_keys
from drill.reports.people import Person
from drill.reports.reading import Peek, Source
from drill.reports.results import SUFFIX, Results, name_key
from drill.reports.study import Study, Task
from drill.reports.takes import TakeResult
from drill.reports.tally import study
from drill.shown import harmless
from drill.wording.squares import horn_text

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

    key: str
    """The same for every horn on which it was given: see ``task_key``."""
    name: str
    title: str
    right: float
    """The share of cells that its goal asks for."""
    due: str
    """ISO date, or empty."""
    text: str
    horn: str
    """Instrument id of one who handed it in."""


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
class When:
    """The instants of a report."""

    now: datetime
    """Now: no file may be newer."""
    day: date | None = None
    """The last practice day that counts; None for all."""
    at: datetime | None = None
    """The instant for which recall is predicted; None is now."""
    since: tuple[date, datetime] | None = None
    """An earlier day with its end, to be compared."""

    @property
    def instant(self) -> datetime:
        return self.at or self.now


@dataclass(frozen=True, slots=True)
class Work:
    """One student's files, to be read."""

    files: tuple[Source, ...]
    when: When
    person: Person | None = None
    """Who it is by the roster; None where the roster has nobody, or there is none."""
    deck: str = ""
    """Only the deck of this name or title counts; empty for all."""
    remarks: tuple[Remark, ...] = ()


def files_in(
    places: Sequence[Path], *, by_folder: bool = False
) -> tuple[tuple[Source, ...], tuple[Remark, ...]]:
    """The results files among files and folders, in order, each once; and what is not there.

    In a folder those with the suffix of results files, or that begin like one, count, and zip
    files that hold some; hidden files and links are passed over.  ``by_folder`` makes a group
    of each folder below the one that is named, a school or a class.  Raises UsageError where
    there are too many.
    """
    found: dict[tuple[Path, str], Source] = {}
    remarks: list[Remark] = []
    for place in places:
        try:
            folder = place.is_dir()
            inside = sorted(_walk(place)) if folder else [place]
        except OSError as error:
            remarks.append(_unreadable(place, f"cannot be read: {error.strerror}"))
            continue
        if folder and not inside:
            remarks.append(_unreadable(place, "this folder holds no results file"))
        for path in inside:
            below = path.relative_to(place).parts[:-1] if folder and by_folder else ()
            try:
                for source in reading.sources(path, below[0] if below else ""):
                    found.setdefault((_real(path), source.member), source)
            except DataError as error:
                remarks.append(_unreadable(path, str(error)))
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


def _unreadable(file: object, reason: str) -> Remark:
    return Remark(harmless(str(file)), Why.UNREADABLE, harmless(reason))


# -- whose files they are


def tasks(
    files: Iterable[Source], when: When, roster: Sequence[Person] = (), deck: str = ""
) -> tuple[Work, ...]:
    """The files of each student together; those that say no name alone.

    Who they are is told by the id in the file; else by the name, and where two people of the
    roster have it, by the horn.
    """
    known = _Roster(roster)
    groups: dict[tuple[str, str], list[Source]] = {}
    horns: dict[tuple[str, str], dict[str, None]] = {}
    people: dict[tuple[str, str], Person] = {}
    said: dict[tuple[str, str], list[Remark]] = {}
    for source in files:
        seen = reading.peek(source)
        person, remark = known.who(seen, str(source))
        where = _where(seen, person, source)
        groups.setdefault(where, []).append(source)
        horns.setdefault(where, {})[seen.horn] = None
        if person:
            people[where] = person
        if remark:
            said.setdefault(where, []).append(remark)
    made = []
    for where, group in sorted(groups.items()):
        remarks = said.get(where, [])
        if len(horns[where]) > 1 and not where[0] and where not in people:
            names = ", ".join(map(horn_text, horns[where]))
            reason = (
                f"files under this name are for several horns ({names}) and are counted as one "
                "person: ids in a roster tell people apart"
            )
            remarks = [*remarks, Remark(harmless(str(group[0])), Why.NOTE, harmless(reason))]
        made.append(Work(tuple(group), when, people.get(where), deck, tuple(remarks)))
    return tuple(made)


def _where(seen: Peek, person: Person | None, source: Source) -> tuple[str, str]:
    """What the files of one student have in common: an id, or a name (within its folder, for two
    schools may have people of one name)."""
    if person:
        return (person.id.casefold(), "") if person.id else ("", name_key(person.name))
    if seen.id:
        return seen.id.casefold(), ""
    return "", f"{name_key(seen.name)}\0{source.group}" if seen.name else f"\0{source}"


class _Roster:
    """Finds people by what their files say."""

    def __init__(self, people: Sequence[Person]) -> None:
        self.by_id: dict[str, list[Person]] = {}
        self.by_name: dict[str, list[Person]] = {}
        for person in people:
            if person.id:
                self.by_id.setdefault(person.id.casefold(), []).append(person)
            self.by_name.setdefault(name_key(person.name), []).append(person)

    def who(self, seen: Peek, file: str) -> tuple[Person | None, Remark | None]:
        """The person, None for nobody or where it cannot be told; and what is to be said."""
        if seen.id:
            return next(iter(self.by_id.get(seen.id.casefold(), ())), None), None
        same = self.by_name.get(name_key(seen.name), [])
        ids = {person.id for person in same}
        if len(ids) < 2:
            return next(iter(same), None), None
        on_horn = [person for person in same if person.horn == seen.horn]
        if len({person.id for person in on_horn}) == 1:
            return on_horn[0], None
        reason = (
            f"{len(ids)} people on the roster are called {seen.name}, and the file has no id: "
            "counted for none of them"
        )
        return None, Remark(harmless(file), Why.NOTE, harmless(reason))


# -- reading


def gather(work: Sequence[Work], processes: int | None = None) -> Iterator[Found]:
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
        size = max(1, min(16, len(work) // (16 * processes)))  # small, so that all end together
        try:
            for found in pool.map(read_student, work, chunksize=size):
                done += 1
                yield found
        finally:
            pool.shutdown(cancel_futures=True)  # at ctrl+c: not the rest of a district first
    except (BrokenProcessPool, OSError, ImportError):  # no processes here: do it alone
        yield from map(read_student, work[done:])


def _leave_ctrl_c() -> None:
    """Leaves ctrl+c to the program: its helpers end with it.  And what was imported is no garbage:
    a helper need not look through it again and again."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.freeze()


def _bytes(work: Iterable[Work]) -> int:
    total = 0
    for task in work:
        for source in task.files:
            try:
                total += source.path.stat().st_size
            except OSError:
                continue
    return total


def read_student(work: Work) -> Found:
    """One student's files, read, merged and studied."""
    good: list[tuple[Source, Results]] = []
    remarks = list(work.remarks)
    for source in work.files:
        try:
            good.append((source, reading.load(source, work.when.now)))
        except DataError as error:
            remarks.append(_unreadable(source, str(error)))
    if work.deck:
        good = [each for each in good if _is_called(each[1], work.deck)]
    # The newest first: where two files differ in an answer, its word counts.
    good.sort(key=lambda each: (each[1].made, len(each[1].answers), str(each[0])), reverse=True)
    kept, more = _without_repeats(good)
    remarks += more
    if not kept:
        return Found(None, tuple(remarks), (), ())
    seen = [_seen(each) for _, each in kept]
    made = _study(kept, seen, work)
    if made.undated:
        one = made.undated == 1
        reason = (
            f"{made.undated} answer{'' if one else 's'} {'was' if one else 'were'} given with a "
            "wrong clock, and count without a date"
        )
        remarks.append(Remark(harmless(str(kept[0][0])), Why.NOTE, reason))
    decks = {each.key: each for each in seen}
    digests = tuple((_digest(each), harmless(str(path))) for path, each in kept if each.answers)
    return Found(made, tuple(remarks), tuple(decks.values()), digests)


def _is_called(results: Results, wanted: str) -> bool:
    """Whether the deck of the file has that name or title."""
    title = reading.deck_of(results.deck.text).title
    names = {name_key(results.deck.name), name_key(title), task_key(results)}
    return name_key(wanted) in names or wanted in names


def task_key(results: Results) -> str:
    """``deck_key`` of the deck in a file."""
    return deck_key(reading.deck_of(results.deck.text))


def deck_key(deck: Deck) -> str:
    """What a deck has in common on whatever horn: its fingerprint, but for horn and written keys
    where it names concert keys."""
    if not deck.concert_keys or deck.own:
        return deck.fingerprint
    return replace(deck, own=True).fingerprint


def _seen(results: Results) -> DeckSeen:
    deck = reading.deck_of(results.deck.text)
    due = deck.due.isoformat() if deck.due else ""
    horn = results.horn or deck.instrument
    return DeckSeen(
        task_key(results), results.deck.name, deck.title, deck.goal.right, due,
        results.deck.text, horn,
    )  # fmt: skip


def _task(results: Results, seen: DeckSeen) -> Task:
    deck = reading.deck_of(results.deck.text)
    concert = dict(results.concert) or concert_keys(deck)
    return Task(
        seen.key, seen.name, seen.title, seen.horn, concert, bool(deck.concert_keys),
        results.asked, results.deck.cells, Goal(deck.goal.right, deck.goal.days),
        deck.goal.right, seen.due,
    )  # fmt: skip


def _digest(results: Results) -> str:
    """A digest of which answers they are, whoever handed them in."""
    return sha256("\n".join(answer.uuid for answer in results.answers).encode()).hexdigest()


def _without_repeats(
    good: Sequence[tuple[Source, Results]],
) -> tuple[list[tuple[Source, Results]], list[Remark]]:
    """The files that say something new, the newest first, and what is said of the others."""
    kept: list[tuple[Source, Results]] = []
    remarks: list[Remark] = []
    for path, results in good:
        ids = {answer.uuid for answer in results.answers}
        file = harmless(str(path))
        same_deck = [
            (other, more) for other, more in kept
            if (more.deck.fingerprint, more.horn) == (results.deck.fingerprint, results.horn)
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


def _study(kept: Sequence[tuple[Source, Results]], seen: Sequence[DeckSeen], work: Work) -> Study:
    """The student of some files, the newest first."""
    newest, when = kept[0][1], work.when
    last = when.day.isoformat() if when.day else "9999"
    tasks: dict[tuple[str, str], Task] = {}
    answers: dict[str, tuple[Answer, tuple[str, str]]] = {}
    items: dict[str, Item] = {}
    takes: dict[TakeResult, tuple[str, str]] = {}
    for (_, results), deck in zip(kept, seen, strict=True):
        where = (deck.key, deck.horn)
        task = _task(results, deck)
        if where in tasks:  # of another machine, or an earlier time
            task = replace(tasks[where], asked=tasks[where].asked | task.asked)
        tasks[where] = task
        for item in results.items:
            items.setdefault(item.id, item)
        for answer in results.answers:
            if answer.day <= last:
                answers.setdefault(answer.uuid, (answer, where))
        takes |= {take: where for take in results.takes if take.made <= when.instant}
    numbers = {where: number for number, where in enumerate(tasks)}
    ordered = sorted(answers.values(), key=lambda each: each[0].order)
    person, source = work.person, kept[0][0]
    made = study(
        person.name if person else newest.student,
        ((answer, numbers[where]) for answer, where in ordered),
        items,
        tuple(tasks.values()),
        when.instant,
        day=last if when.day else when.instant.date().isoformat(),
        since=when.since,
        files=tuple(harmless(str(path)) for path, _ in kept),
        takes=[(take, numbers[takes[take]]) for take in sorted(takes, key=lambda each: each.made)],
    )
    return replace(
        made,
        id=person.id if person else newest.id,
        group=(person.group if person else "") or source.group,
        line=newest.line,
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
