"""From results files to what is known of each student, one student in memory at a time.

Files are sorted by the name that they give, each student's are read together, merged by
the answers' ids and studied; then the answers are let go.  So a class and a district need
the same memory, but for the totals.  Large gatherings are shared among processes.

Nothing is trusted: what cannot be read is left out by name with its reason.
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
from multiprocessing import get_context

from drill.decks.schema import Deck
from drill.errors import DataError
from drill.memory.items import Answer, Item
from drill.memory.levels import goal_of
from drill.reports import reading
from drill.reports.finding import FileRemark, WhyNot, remark
from drill.reports.naming import concert_keys
from drill.reports.people import Person, whose
from drill.reports.reading import Peek, ResultsSource
from drill.reports.repeats import digest, without_repeats
from drill.reports.results import Results, name_key
from drill.reports.study import Study, Task
from drill.reports.takes import TakeResult
from drill.reports.tally import study
from drill.shown import harmless
from drill.wording import handing as words

PARALLEL_BYTES = 4 * 1024 * 1024
"""Below this much, starting processes takes longer than they save."""


@dataclass(frozen=True, slots=True)
class Found:
    """One student's files, read."""

    study: Study | None
    """None where no file could be read."""
    remarks: tuple[FileRemark, ...]
    decks: tuple[Task, ...]
    """Their decks, each once, whatever the horn; ``asked`` is empty."""
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
        """The instant for which recall is predicted."""
        return self.at or self.now


@dataclass(frozen=True, slots=True)
class Work:
    """One student's files, to be read."""

    files: tuple[ResultsSource, ...]
    when: When
    person: Person | None = None
    """Who it is by the roster; None where the roster has nobody, or there is none."""
    deck: str = ""
    """Only the deck of this name or title counts; empty for all."""
    remarks: tuple[FileRemark, ...] = ()


# -- whose files they are


def tasks(
    files: Iterable[ResultsSource], when: When, roster: Sequence[Person] = (), deck: str = ""
) -> tuple[Work, ...]:
    """The files of each student together; those that say no name alone.

    Who they are is told by the id in the file; else by the name, and where two people of the
    roster have it, by the horn.
    """
    known = _Roster(roster)
    groups: dict[tuple[str, str], list[_Told]] = {}
    for source in files:
        seen = reading.peek(source)
        person, remarked = known.who(seen, str(source))
        where = _where(seen, person, source)
        groups.setdefault(where, []).append((source, seen.horn, person, remarked))
    made = []
    for where, group in sorted(groups.items(), key=lambda each: each[0]):
        sources, horns, people, said = zip(*group, strict=True)
        remarks = tuple(filter(None, said))
        if len(set(horns)) > 1 and not where[0] and people[0] is None:
            reason = words.several_horns(dict.fromkeys(horns))
            remarks = (*remarks, remark(sources[0], WhyNot.NOTE, reason))
        made.append(Work(sources, when, people[0], deck, remarks))
    return tuple(made)


_Told = tuple[ResultsSource, str, Person | None, FileRemark | None]
"""A file, its horn, whose it is, and what is to be said of that."""


def _where(seen: Peek, person: Person | None, source: ResultsSource) -> tuple[str, str]:
    """What the files of one student have in common: an id, or a name (within its folder, for two
    schools may have people of one name)."""
    if person:
        return whose(person)
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

    def who(self, seen: Peek, file: str) -> tuple[Person | None, FileRemark | None]:
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
        reason = words.several_people(len(ids), seen.name)
        return None, remark(file, WhyNot.NOTE, reason)


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
    good: list[tuple[ResultsSource, Results]] = []
    remarks = list(work.remarks)
    for source in work.files:
        try:
            good.append((source, reading.load(source, work.when.now)))
        except DataError as error:
            remarks.append(remark(source, WhyNot.UNREADABLE, str(error)))
    if work.deck:
        good = [each for each in good if _is_called(each[1], work.deck)]
    # The newest first: where two files differ in an answer, its word counts.
    good.sort(key=lambda each: (each[1].made, len(each[1].answers), str(each[0])), reverse=True)
    kept, more = without_repeats(good)
    remarks += more
    if not kept:
        return Found(None, tuple(remarks), (), ())
    seen = [_task(each) for _, each in kept]
    made = _study(kept, seen, work)
    if made.undated:
        remarks.append(remark(kept[0][0], WhyNot.NOTE, words.undated(made.undated)))
    decks = {each.key: replace(each, asked=frozenset()) for each in seen}
    digests = tuple((digest(each), harmless(str(path))) for path, each in kept if each.answers)
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


def _task(results: Results) -> Task:
    handed, deck = results.deck, reading.deck_of(results.deck.text)
    given = deck.assignment.id if deck.assignment else ""  # the file of each is called after them
    return Task(
        task_key(results), given or handed.name, deck.title, results.horn or deck.instrument,
        dict(results.concert) or concert_keys(deck), bool(deck.concert_keys), results.asked,
        handed.cells, goal_of(deck.goal.right, deck.goal.days, deck.goal.ask), deck.goal.right,
        deck.due.isoformat() if deck.due else "", handed.text,
    )  # fmt: skip


def _study(
    kept: Sequence[tuple[ResultsSource, Results]], seen: Sequence[Task], work: Work
) -> Study:
    """The student of some files, the newest first."""
    newest, when = kept[0][1], work.when
    last = when.day.isoformat() if when.day else "9999"
    tasks: dict[tuple[str, str], Task] = {}
    answers: dict[str, tuple[Answer, tuple[str, str]]] = {}
    items: dict[str, Item] = {}
    takes: dict[TakeResult, tuple[str, str]] = {}
    for (_, results), task in zip(kept, seen, strict=True):
        where = (task.key, task.horn)
        first = tasks.get(where, task)  # another is of another machine, or an earlier time
        tasks[where] = replace(first, asked=first.asked | task.asked)
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
