"""The slow work on the practice room, done in the backroom: decks read, spelled and counted.

Loaded after the first frame: with it come the practice room, the decks and the memory.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from drill.decks.load import find, listing, load
from drill.decks.schema import Deck
from drill.errors import DataError, DrillError
from drill.memory.items import day_begins, practice_day
from drill.memory.levels import Level, by_heart, cells_wanted, outlook
from drill.memory.pool import Pool
from drill.memory.state import State as Memory
from drill.practice.course import Plan
from drill.practice.introduction import introduction
from drill.practice.looking import advice_for, forecast_for, goal_of
from drill.practice.machine import begin
from drill.practice.room import Room
from drill.practice.sounding import heard_kinds
from drill.practice.syllabus import Syllabus
from drill.practice.walk import walk_plan, wanted_run
from drill.shown import harmless
from drill.theory.language import Language
from drill.tui.context import Context
from drill.tui.practices import Seat, ToPractice
from drill.tui.tally import Tally
from drill.wording.assigned import teacher_words
from drill.wording.slips import marker

if TYPE_CHECKING:
    from drill.memory.forecast import Forecast

PlanOf = Callable[[Deck, datetime], Plan]
"""How a practice with a deck goes at an instant."""

_SECONDS = 12.0
"""A prompt with its verdict, before the player's own pace is known."""
_LOOKED_BACK = 50
"""Answers among which the deck practised last is looked for."""
_READING = 4.0
"""Seconds between one answer and the next prompt's first key, on top of the time measured."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What is known before any deck is counted."""

    paths: tuple[Path, ...]
    last: Path | None
    """The deck that was practised last."""
    given: Path | None
    """An assignment that came after it."""
    glances: dict[Path, Glance]
    days: tuple[date, ...]
    """The days on which anything was practised, the earliest first."""
    today: date


_TITLE = re.compile(r"""^title\s*=\s*(["'])(.+?)\1""", re.MULTILINE)
_DUE = re.compile(r"""^due\s*=\s*["']?(\d{4}-\d\d-\d\d)""", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Glance:
    """What the head of a deck's file tells without its being read as a deck."""

    title: str = ""
    due: date | None = None


def glance(path: Path) -> Glance:
    """The head of a deck's file; nothing of one that cannot be read."""
    try:
        with path.open(encoding="utf-8", errors="replace") as file:
            head = file.read(2000)
    except OSError:
        return Glance()
    title, due = _TITLE.search(head), _DUE.search(head)
    day = None
    with suppress(ValueError):  # the deck itself will say what is wrong with its day
        day = date.fromisoformat(due[1]) if due else None
    return Glance(harmless(title[2]) if title else "", day)


class Seats:
    """Sits players down; keeps the syllabi it has spelled."""

    def __init__(self, context: Context, room: Room) -> None:
        self.room = room
        self._context = context
        self._decks: dict[Path, tuple[int, Deck]] = {}
        self._syllabi: dict[tuple[str, str, str, tuple[str, ...]], Syllabus] = {}

    def paths(self) -> tuple[Path, ...]:
        """Every deck file by name, the player's own first."""
        return tuple(sorted(listing(self._context.folders), key=lambda path: not self._own(path)))

    def find(self, name: str) -> Path:
        """A deck's file by its name or path.  Raises UsageError."""
        return find(name, self._context.folders)

    def deck(self, path: Path) -> Deck:
        """A deck on the player's own horn where it asks for that; read again only when its file
        has changed.  Raises FaultsError."""
        try:
            changed = path.stat().st_mtime_ns
        except OSError:
            changed = -1
        known = self._decks.get(path)
        if known is None or known[0] != changed:
            found = load(path)
            # The day in a deck that ships is an example, and nobody's.
            found = found if self._own(path) else replace(found, due=None)
            known = self._decks[path] = (changed, found)
        return self._context.opened(known[1])

    def syllabus(self, deck: Deck, kinds: tuple[str, ...] = ()) -> Syllabus:
        """What a deck asks, spelled once.  Raises DataError."""
        key = (deck.name, deck.fingerprint, deck.instrument, kinds)
        known = self._syllabi.get(key)
        if known is None:
            known = self._syllabi[key] = self.room.syllabus(deck, kinds)
        return replace(known, deck=deck)

    def speak(self, language: Language) -> None:
        """Have names read and shown in another language from now on."""
        self.room.marker = marker(language)

    def sit(self, wanted: ToPractice, plan_of: PlanOf, *, silent: bool) -> Seat:
        """A practice, begun; ``silent`` leaves out what is asked by ear, where there is more.

        Raises DrillError.
        """
        deck, now = self.opened(wanted.deck), self._context.utc_now()
        self.room.catch_up()
        plan = plan_of(deck, now)
        plan = replace(plan, kinds=heard_kinds(wanted.kinds or plan.kinds, silent=silent))
        syllabus = self.syllabus(deck, plan.kinds)
        if wanted.only:  # no longer than it takes to ask each of them twice
            plan = replace(plan, prompts=min(plan.prompts or 10**6, 2 * len(wanted.only)))
            entries = {i: entry for i, entry in syllabus.entries.items() if i in wanted.only}
            syllabus = replace(syllabus, entries=entries or syllabus.entries)
        if wanted.walk is not None:
            plan = walk_plan(plan, wanted_run(syllabus, introduction(syllabus), wanted.walk))
        desk = self.room.desk(syllabus, plan, self._context.seed, self._context.new_id)
        state, effects = begin(desk, now)
        if state.over:
            from drill.wording.why import NOTHING_NEW

            raise DataError(NOTHING_NEW)
        return Seat(self.room, desk, state, effects, wanted)

    def opened(self, deck: Path | str | Deck) -> Deck:
        """A deck by its file or name, or as it is.  Raises DrillError."""
        if isinstance(deck, Deck):
            return deck
        return self.deck(self.find(deck) if isinstance(deck, str) else deck)

    def seen(self) -> Seen:
        """What Today shows before anything is counted."""
        room, now = self.room, self._context.utc_now()
        room.catch_up()  # a backup brought back, or another program's answers
        days = tuple(date.fromordinal(day) for day in sorted(set(room.memory.turn_day)))
        paths = self.paths()
        glances = {path: self._glance(path) for path in paths}
        # What has a day comes first, the earliest before the others; then it stays where it is.
        paths = tuple(sorted(paths, key=lambda path: glances[path].due or date.max))
        today = date.fromisoformat(practice_day(now, room.zone))
        return Seen(paths, self.last(), self.given(), glances, days, today)

    def _own(self, path: Path) -> bool:
        return path.parent == self._context.folders[0]

    def _glance(self, path: Path) -> Glance:
        """The head of a deck's file; the day of one that is the player's own."""
        seen = glance(path)
        return seen if self._own(path) else replace(seen, due=None)

    def branch(self, path: Path, plan_of: PlanOf) -> Callable[[], Forecast] | None:
        """The forecast of a deck as a job that may run beside this thread; None where the deck
        cannot be used."""
        try:
            deck, now = self.deck(path), self._context.utc_now()
            plan = plan_of(deck, now)
            syllabus = self.syllabus(deck, plan.kinds)
        except DrillError:
            return None
        memory = self.room.memory.branch()
        pool = Pool(memory, syllabus.items, self._context.seed, introduction(syllabus))
        return lambda: forecast_for(memory, pool, deck, plan, now, self.room.zone)

    def given(self) -> Path | None:
        """The assignment that was taken in since the last answer, the newest; None for none."""
        store = self.room.store
        logged = store.since(store.last_seq() - 1)
        since = logged[-1].answer.at.timestamp() if logged else 0.0
        came: list[tuple[float, Path]] = []
        for path in filter(self._own, self.paths()):
            with suppress(OSError):
                changed = path.stat().st_mtime
                came += [(changed, path)] if changed > since else []
        for _, path in sorted(came, reverse=True):
            with suppress(DrillError):  # one that cannot be read is told on its row
                if self.deck(path).assignment is not None:
                    return path
        return None

    def last(self) -> Path | None:
        """The file of the deck that was practised last; None for none, or where it is gone."""
        store = self.room.store
        for logged in reversed(store.since(max(0, store.last_seq() - _LOOKED_BACK))):
            found = {path.stem: path for path in self.paths()}.get(logged.answer.deck_name)
            if found is not None:
                return found
        return None

    def tally(self, path: Path, plan_of: PlanOf) -> Tally:
        """A deck's numbers now; a deck that cannot be used says why."""
        try:
            deck, now = self.deck(path), self._context.utc_now()
            plan = plan_of(deck, now)
            syllabus = self.syllabus(deck, plan.kinds)
        except DrillError as error:
            seen, problem = self._glance(path), str(error).splitlines()[0]
            return Tally(path, seen.title or path.stem, known_by=seen.due, problem=problem)
        pool = Pool(self.room.memory, syllabus.items, self._context.seed, introduction(syllabus))
        tally = counted(path, syllabus, pool, self.room, plan, now)
        return tally if self._own(path) else replace(tally, assigned=False, note="")


def counted(
    path: Path, syllabus: Syllabus, pool: Pool, room: Room, plan: Plan, now: datetime
) -> Tally:
    """The numbers of a deck, cell by cell, and whether it is enough for today."""
    deck, memory = syllabus.deck, room.memory
    seen = outlook(memory, syllabus.items, now, goal_of(deck), day_begins(now, room.zone))
    levels = seen.levels
    from drill.wording.ahead import advice_words  # what looks ahead comes after the first prompt

    told = advice_for(memory, pool, deck, plan, now, room.zone)
    prompts = plan.prompts or 0
    minutes = plan.minutes or prompts * pace(memory) / 60
    return Tally(
        path,
        deck.title,
        len(syllabus.entries),
        levels[Level.UNTRIED],
        levels[Level.SHAKY],
        levels[Level.HOLDING],
        by_heart(levels),
        seen.due,
        prompts,
        max(1, round(minutes)) if minutes else 0,
        advice_words(told) if told and told.enough else "",
        known_by=deck.due,
        assigned=deck.assignment is not None or deck.due is not None,
        note=teacher_words(deck),
        met=by_heart(levels) >= cells_wanted(deck.goal.right, len(syllabus.entries)),
    )


def pace(memory: Memory) -> float:
    """Seconds that a prompt takes this player, verdict and all."""
    if memory.seconds_count < 5:
        return _SECONDS
    return memory.seconds_total / memory.seconds_count + _READING
