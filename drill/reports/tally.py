"""One student's answers, counted and replayed in one pass.

Conventions: *asked* and *right* count the answers that teach (not retyped, not broken
off, not of the closing round); *time* counts every answer, a single one up to
``LONGEST`` seconds, so that a prompt left open over lunch is no practice.  Recall and
levels are what the model says at an instant, from these answers alone.  A cell is *by
heart* as the player's own program says it: see ``memory.levels``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime

from drill.memory.items import Answer, Item, microseconds
from drill.memory.levels import Level, known_by_heart, level_at
from drill.memory.model import learn, predict
from drill.memory.state import State, listed
from drill.memory.tempo import THREE_UP_ONE_DOWN, Held, Try, stair_at
from drill.reports.naming import KeyPlace, degree_of
from drill.reports.results import in_time
from drill.reports.study import CellCount, SlipCount, Study, StudySquare, Task, TaskDone, newest
from drill.reports.takes import TakeResult, TakeSquare

LONGEST = 120.0
"""Seconds of one answer that count as time spent."""
KNOWN = frozenset({Level.BY_HEART, Level.FADING})
"""What counts as known by heart: what is fading is not lost yet."""
FEWEST_OF_KEY = 4
"""Answers in a key before it is named as weak."""


_NEVER = datetime(1, 1, 1, tzinfo=UTC)


@dataclass(slots=True)
class _CellTally:
    """What was answered to one item of one task."""

    item: Item
    task: int
    asked: int
    right: int
    seconds: float
    first: datetime
    last: datetime


def _cell(item: Item, task: int, answers: Sequence[Answer]) -> _CellTally:
    taught = [answer.right for answer in answers if answer.teaches]
    times = [answer.at for answer in answers]
    seconds = sum(min(took, LONGEST) for each in answers if (took := each.seconds) is not None)
    return _CellTally(item, task, len(taught), sum(taught), seconds, min(times), max(times))


@dataclass(slots=True)
class _Watch:
    """Waits for the day on which a task's goal is met."""

    task: Task
    ready: set[str] = field(default_factory=set)
    """Items that were right on as many days as it takes."""
    met_on: str = ""

    def day_over(
        self, state: State, items: Mapping[str, Item], taught: Set[str], day: str, at: datetime
    ) -> None:
        """Look at the state at a day's last answer; only what was asked that day can be new."""
        days = self.task.goal.days
        for name in (taught & self.task.asked) - self.ready:
            if len(state.good_days[state.place(items[name])]) >= days:
                self.ready.add(name)
        if not self.met_on and self.task.cells and self._reaches(state, items, at):
            self.met_on = day

    def _reaches(self, state: State, items: Mapping[str, Item], at: datetime) -> bool:
        """Whether the goal is met; it stops looking once too many are not by heart."""
        spare = len(self.ready) - self.task.needed
        for name in self.ready:
            if spare < 0:
                break
            spare -= not self._known(state, items[name], at)
        return spare >= 0

    def _known(self, state: State, item: Item, at: datetime) -> bool:
        return known_by_heart(state, item, at, self.task.goal)

    def by_heart(self, state: State, items: Mapping[str, Item], at: datetime) -> int:
        return sum(self._known(state, items[name], at) for name in self.ready)


@dataclass(slots=True)
class _Growing:
    """All that is known of one student while the answers come."""

    tasks: Sequence[Task]
    items: Mapping[str, Item]
    since: date | None
    since_at: datetime | None
    state: State = field(default_factory=lambda: State(column=listed))
    cells: list[_CellTally] = field(default_factory=list)
    """In the order in which they were first asked."""
    slips: Counter[tuple[str, int, str, str]] = field(default_factory=Counter)
    days: set[str] = field(default_factory=set)
    held: dict[tuple[str, str], Held] = field(default_factory=dict)
    bouts: set[str] = field(default_factory=set)
    retyped: int = 0
    undated: int = 0
    watches: list[_Watch] = field(default_factory=list)
    then: list[int] | None = None
    """By heart in each task at the earlier day."""

    def take(self, answers: Iterable[tuple[Answer, int]]) -> None:
        """Learn from each answer, with the number of its task, day by day; then count."""
        self.watches = [_Watch(task) for task in self.tasks]
        given: dict[tuple[int, str], list[Answer]] = {}
        taught: set[str] = set()
        today, at, learned, items = "", _NEVER, self.state, self.items
        for each, task in answers:
            answer, item = each, items.get(each.item)
            if item is None:
                continue
            if not answer.day:  # a wrong clock: it belongs to no day
                self.undated += 1
                answer = replace(answer, day=today)
            elif answer.day != today:
                self._day_over(taught, today, at)
                today = answer.day
                self._look_back(today)
            at = answer.at
            where = task, answer.item
            if (mine := given.get(where)) is None:
                mine = given[where] = []
            mine.append(answer)
            if answer.teaches:
                learn(learned, item, answer)
                taught.add(answer.item)
                if answer.slip and not answer.right:
                    self.slips[answer.slip, task, item.key, item.shape] += 1
                if answer.tempo is not None:
                    self._in_time(item, answer, answer.tempo)
            else:
                self.retyped += 1
        self._day_over(taught, today, at)
        self._look_back("9999-12-31")
        self.cells = [_cell(items[name], task, some) for (task, name), some in given.items()]

    def _day_over(self, taught: set[str], day: str, at: datetime) -> None:
        if day:
            self.days.add(day)
            for watch in self.watches:
                watch.day_over(self.state, self.items, taught, day, at)
        taught.clear()

    def _look_back(self, day: str) -> None:
        """Once the earlier day is over, what was by heart at its end."""
        if self.then is None and self.since_at and self.since and day > self.since.isoformat():
            self.then = [
                watch.by_heart(self.state, self.items, self.since_at) for watch in self.watches
            ]

    def _in_time(self, item: Item, answer: Answer, tempo: float) -> None:
        """Remember the tempo at which a pattern is locked in, as the tempo drill does.

        A bout is one try, told by the first of its cells.
        """
        timed = in_time(answer)
        if timed is None or timed.bout in self.bouts or not answer.day:
            return
        self.bouts.add(timed.bout)
        where, day = (item.key, item.shape), date.fromisoformat(answer.day)
        one = Try(item.shape, item.key, tempo, timed.passed, day, timed.practice)
        before = self.held.get(where) or Held(stair_at(tempo), (day, timed.practice))
        self.held[where] = before.told(one, THREE_UP_ONE_DOWN)


def study(
    name: str,
    answers: Iterable[tuple[Answer, int]],
    items: Mapping[str, Item],
    tasks: Sequence[Task],
    now: datetime,
    *,
    day: str = "",
    since: tuple[date, datetime] | None = None,
    files: tuple[str, ...] = (),
    takes: Sequence[tuple[TakeResult, int]] = (),
) -> Study:
    """What a student's answers say at ``now``; they must come in the log's order, each with the
    number of its task.

    ``day`` is the practice day of ``now`` (ISO).  ``since`` is an earlier practice day with the
    instant of its end, to be compared.  ``takes`` are what was heard, oldest first, each with the
    number of its task.  Answers to items that are not in ``items`` are passed
    over.
    """
    growing = _Growing(tasks, items, *(since or (None, None)))
    growing.take(answers)
    counted = [cell for cell in growing.cells if cell.asked]
    recalls = {each.item.id: predict(growing.state, each.item, now).p for each in counted}
    squares = _squares(growing, recalls, takes)
    ends = [at for cell in growing.cells for at in (cell.first, cell.last)]
    slips = Counter[str]()
    for (slip, *_), times in growing.slips.items():
        slips[slip] += times
    return Study(
        name=name,
        asked=sum(cell.asked for cell in counted),
        right=sum(cell.right for cell in counted),
        retyped=growing.retyped,
        recall=sum(recalls.values()) / len(recalls) if recalls else None,
        seconds=sum(cell.seconds for cell in growing.cells),
        days=len(growing.days),
        undated=growing.undated,
        first=microseconds(min(ends)) if ends else None,
        last=microseconds(max(ends)) if ends else None,
        tasks=_done(growing, now),
        squares=squares,
        counts=_counts(counted, tasks),
        slips=tuple(
            SlipCount(slip, tasks[task].place(key), shape, times)
            for (slip, task, key, shape), times in sorted(growing.slips.items())
        ),
        day=day,
        files=files,
        weakest=_weakest(squares),
        worst_slips=tuple(sorted(slips.items(), key=lambda each: (-each[1], each[0]))[:3]),
        takes=tuple(take for take, _ in takes),
    )


def _squares(
    growing: _Growing, recalls: Mapping[str, float], takes: Sequence[tuple[TakeResult, int]]
) -> tuple[StudySquare, ...]:
    """Every key and shape that was answered, or heard in the newest take of a run."""
    cells: dict[tuple[KeyPlace, str], list[_CellTally]] = {}
    for cell in growing.cells:
        place = growing.tasks[cell.task].place(cell.item.key)
        cells.setdefault((place, cell.item.shape), []).append(cell)
    heard: dict[tuple[KeyPlace, str], list[tuple[TakeSquare, datetime]]] = {}
    number = dict(takes)
    for take in newest(number):
        for one in take.squares:
            place = growing.tasks[number[take]].place(one.key)
            heard.setdefault((place, one.shape), []).append((one, take.made))
    return tuple(
        _square(growing, *where, recalls, cells.get(where, []), heard.get(where, []))
        for where in sorted(cells.keys() | heard.keys())
    )


def _square(
    growing: _Growing, place: KeyPlace, shape: str, recalls: Mapping[str, float],
    cells: Sequence[_CellTally], heard: Sequence[tuple[TakeSquare, datetime]],
) -> StudySquare:  # fmt: skip
    asked = {cell.item.id: cell for cell in cells if cell.asked}
    state, tasks = growing.state, growing.tasks
    held = growing.held.get((place.written, shape))
    return StudySquare(
        place=place,
        shape=shape,
        cells=len(asked),
        asked=sum(cell.asked for cell in cells),
        right=sum(cell.right for cell in cells),
        by_heart=sum(
            level_at(state.record(cell.item), recalls[name], tasks[cell.task].goal) in KNOWN
            for name, cell in asked.items()
        ),
        recall=sum(recalls[name] for name in asked) / len(asked) if asked else 0.0,
        seconds=sum(cell.seconds for cell in cells),
        last=microseconds(max([cell.last for cell in cells] or [made for _, made in heard])),
        tempo=held.locked_bpm if held else None,
        notes=sum(one.notes for one, _ in heard),
        heard=sum(one.right for one, _ in heard),
    )


def _weakest(squares: Iterable[StudySquare]) -> tuple[KeyPlace, ...]:
    """The keys of the lowest recall, of those that were asked enough."""
    known: dict[KeyPlace, list[StudySquare]] = {}
    for each in squares:
        if each.cells:
            known.setdefault(each.place, []).append(each)
    means = {
        place: sum(each.recall * each.cells for each in some) / sum(each.cells for each in some)
        for place, some in known.items()
        if sum(each.asked for each in some) >= FEWEST_OF_KEY
    }
    return tuple(sorted(means, key=lambda place: (means[place], place))[:3])


def _done(growing: _Growing, now: datetime) -> tuple[TaskDone, ...]:
    done = []
    for number, watch in enumerate(growing.watches):
        task = watch.task
        mine = [cell for cell in growing.cells if cell.task == number and cell.asked]
        answered = {
            cell.item.id for cell in growing.cells if cell.asked and cell.item.id in task.asked
        }
        done.append(
            TaskDone(
                replace(task, asked=frozenset(), text=""),  # thousands need not carry them
                sum(cell.asked for cell in mine),
                sum(cell.right for cell in mine),
                len(answered),
                watch.by_heart(growing.state, growing.items, now),
                growing.then[number] if growing.then else 0,
                watch.met_on,
            )
        )
    return tuple(done)


def _counts(cells: Iterable[_CellTally], tasks: Sequence[Task]) -> tuple[CellCount, ...]:
    """Asked and right by key, shape and degree."""
    found: dict[tuple[KeyPlace, str, str], tuple[int, int]] = {}
    for cell in cells:
        where = (tasks[cell.task].place(cell.item.key), cell.item.shape, degree_of(cell.item))
        asked, right = found.get(where, (0, 0))
        found[where] = (asked + cell.asked, right + cell.right)
    return tuple(CellCount(*where, asked, right) for where, (asked, right) in sorted(found.items()))
