"""The practice room of one player: the log, what it taught, and desks to sit down at.

Both front ends work through it.  Nothing here reads a clock: instants are handed in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING

from drill.decks.schema import Deck
from drill.errors import UsageError
from drill.memory.checkpoint import opened
from drill.memory.dates import clock_fault
from drill.memory.items import Answer, Item
from drill.memory.model import learn, replay
from drill.memory.pool import Pool
from drill.memory.state import State as Memory
from drill.memory.store import Store
from drill.practice.course import Desk, Plan
from drill.practice.effects import Log
from drill.practice.introduction import introduction
from drill.practice.syllabus import Syllabus, build
from drill.theory.language import Language
from drill.wording.decks import no_horn_told
from drill.wording.logs import restored_words
from drill.wording.machine import clock_words
from drill.wording.slips import marker

if TYPE_CHECKING:
    from drill.memory.tempo import TempoBook


class Room:
    """The log and the model of one player, open for as long as the program runs."""

    def __init__(
        self,
        store: Store,
        language: Language = Language.ENGLISH,
        zone: tzinfo | None = None,
        learned: Path | None = None,
        now: datetime | None = None,
    ) -> None:
        """The room of an open log; ``learned`` is the file in which what it taught is kept from
        start to start, None for none.  Answers dated after ``now`` count as given by now.

        Raises StoreError where the log cannot be read.
        """
        self.store = store
        self.marker = marker(language)
        self._zone = zone
        log = opened(store, learned, now)
        self._seen, self._own = log.seq, set[int]()
        self._generation = store.generation
        self._news: list[str] = []
        self._stale = False
        self._now = now
        self._newest = log.newest
        self._book: TempoBook | None = None
        self._bouts: set[str] = set()
        self.memory: Memory = log.state

    @property
    def zone(self) -> tzinfo | None:
        """Where the player's day begins; None takes the zone of the instants handed in."""
        return self._zone

    @property
    def notices(self) -> tuple[str, ...]:
        """What happened on opening the log that the player should read."""
        return self.store.notices

    def clock(self, now: datetime) -> str:
        """One line on a clock that cannot be right at ``now``; empty where nothing is wrong."""
        fault = clock_fault(now, self._newest)
        return clock_words(fault, self._zone) if fault else ""

    def syllabus(self, deck: Deck, kinds: Iterable[str] = ()) -> Syllabus:
        """Everything the deck asks; see ``syllabus.build`` for kinds and errors.

        Raises UsageError where the deck is for the player's own horn and none is named.
        """
        if deck.unplayed:
            raise UsageError(no_horn_told(deck.title))
        return build(deck, kinds)

    def desk(self, syllabus: Syllabus, plan: Plan, seed: int, new_id: Callable[[], str]) -> Desk:
        """A place to practise; ``seed`` decides among cells that are equally due."""
        pool = Pool(self.memory, syllabus.items, seed, introduction(syllabus))
        return Desk(syllabus, self.memory, pool, self.marker, plan, new_id, self._zone)

    @property
    def book(self) -> TempoBook:
        """The tempi of the log, read when first asked for; from then on it learns what is kept."""
        if self._book is None:
            from drill.memory.tempo import TempoBook
            from drill.practice.time.tempi import DEFAULT_BPM

            self._book = TempoBook(DEFAULT_BPM)
            for answer in self.store.answers():
                self._try(answer)
        return self._book

    def keep(self, log: Log) -> None:
        """Write an answer to the log and learn from it; it is safe when this returns.

        Raises StoreError where it was not kept; then nothing was learned.
        """
        # Not simply the newest: another program's row may stand between this and the last.
        self._own.add(self.store.append(log.answer, log.item).seq)
        while self._seen + 1 in self._own:
            self._seen += 1
            self._own.discard(self._seen)
        self._learn(log.answer, log.item)
        if self.store.generation != self._generation:
            self._restored(self.store.generation)

    def news(self) -> str:
        """What happened to the log since last asked that the player should read; empty: nothing."""
        told, self._news = " ".join(self._news), []
        return told

    def _restored(self, generation: int) -> None:
        """Another program changed the log for another one, and the count of what was seen with it.

        The practice under way goes on with what it knows; the next one learns the log anew.
        """
        self._generation = generation
        self._seen, self._own = self.store.last_seq(), set()
        self._news.append(restored_words(self.store.count()))
        self._stale = True

    def catch_up(self) -> int:
        """Learn what another program wrote to the same log meanwhile; how many answers."""
        if (generation := self.store.look_again()) != self._generation:
            self._restored(generation)
        if self._stale:
            self._stale, self._book = False, None
            self.memory = replay(self.store.answers(), self.store.items(), now=self._now)
            self._bouts.clear()
            self._seen = self.store.last_seq()
            self._own.clear()
        fresh = self.store.since(self._seen)
        if not fresh:
            return 0
        items = self.store.items()
        others = [logged.answer for logged in fresh if logged.seq not in self._own]
        for answer in others:
            self._learn(answer, items.get(answer.item))
        self._seen = fresh[-1].seq
        self._own.clear()
        return len(others)

    def _learn(self, answer: Answer, item: Item | None) -> None:
        """The one place where what is in the log teaches."""
        self._newest = max(self._newest, answer.at) if self._newest else answer.at
        if item is not None:
            learn(self.memory, item, answer)
        if self._book is not None:
            self._try(answer)

    def _try(self, answer: Answer) -> None:
        """A bout's first answer tells its tempo; the others are of the same bout."""
        from drill.practice.time.tempi import try_of

        found = try_of(answer)
        if self._book is not None and found is not None and found[0].bout not in self._bouts:
            self._bouts.add(found[0].bout)
            self._book.tell(found[1])

    def answers(self) -> Iterable[Answer]:
        """Every answer of the log, oldest first."""
        return self.store.answers()
