"""What every course of a practice shares: its plan, its desk, where it stands, how it goes on.

A course is a module of pure functions (``Course``): prompts (``machine``) and time
(``time.course``).  What a player does gives a *step*: the new state, and effects in the
order in which they are carried out.  A step judges and logs, and learns nothing.
``carried`` keeps what was logged, which is then learned from in one place (``Room.keep``),
and only then asks the course what comes next: so what could not be kept was never learned,
shown or counted, and the state before still holds.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta, tzinfo
from typing import Protocol, TypeAlias, TypeVar

from drill.marking.mark import Marker
from drill.marking.verdict import Verdict
from drill.memory.items import Answer, Item, NoteResult, practice_day
from drill.memory.kinds import Kind
from drill.memory.planner import Options
from drill.memory.pool import Pool
from drill.memory.state import State as Memory
from drill.practice.effects import Log, Onward
from drill.practice.syllabus import Syllabus


@dataclass(frozen=True, slots=True)
class Plan:
    """How this practice goes: the deck's wishes with the player's own in their place."""

    prompts: int | None = 40
    """Prompts to ask, the closing round among them; None asks until the player ends it."""
    minutes: float | None = None
    """Minutes to the end of everything; None for no limit."""
    kinds: tuple[str, ...] = (Kind.NEXT, Kind.DEGREE, Kind.RUN)
    again: bool = True
    """Whether a missed cell is copied before going on."""
    missed_again: bool = True
    """Whether missed cells are asked once more at the end, in at most a tenth of the practice."""
    options: Options = field(default_factory=Options)
    walk: tuple[str, ...] = ()
    """Item ids of a run that is walked, in order, instead of all that; empty for none."""


@dataclass(frozen=True, slots=True)
class Desk:
    """What stays the same through a practice.  ``memory`` learns as answers are kept."""

    syllabus: Syllabus
    memory: Memory
    pool: Pool
    marker: Marker
    plan: Plan
    new_id: Callable[[], str]
    """Gives each answer its row id."""
    zone: tzinfo | None = None
    """Where the player's day begins; None takes the zone of the instants handed in."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a practice stands, whatever its course."""

    began: datetime | None = None
    """None before the beginning."""
    asked: int = 0
    """Prompts answered that count, without the closing round; in time, cells played."""
    missed: tuple[str, ...] = ()
    """Cells that are to be asked once more."""
    typed: int = 0
    """Answers that were marked, copies too."""
    closed: int = 0
    """Prompts of the closing round that were answered."""
    over: bool = False
    options: Options = field(default_factory=Options)
    """How the planner chooses in this practice, since it began."""

    def seconds(self, now: datetime) -> float:
        """Seconds since it began; a clock set back cannot make it longer than it was."""
        return abs((now - self.began).total_seconds()) if self.began else 0.0


Desk_contra = TypeVar("Desk_contra", bound=Desk, contravariant=True)
StateT = TypeVar("StateT", bound=Standing)
Effect_co = TypeVar("Effect_co", covariant=True)
Step: TypeAlias = tuple[StateT, tuple[Effect_co, ...]]
"""Where a practice stands, and what the front end has to carry out."""


class Course(Protocol[Desk_contra, StateT, Effect_co]):
    """The course of a practice, as a module has it."""

    def begin(self, desk: Desk_contra, now: datetime) -> Step[StateT, Effect_co]:
        """The first step."""

    def onward(self, desk: Desk_contra, state: StateT, now: datetime) -> Step[StateT, Effect_co]:
        """What comes next, once what was logged has been kept and learned from."""

    def end(self, desk: Desk_contra, state: StateT) -> Step[StateT, Effect_co]:
        """The player ends it; what is open leaves no trace."""


class Keeper(Protocol):
    """Keeps answers for good and learns from what was kept."""

    def keep(self, log: Log) -> None:
        """Raises StoreError where it cannot be kept; nothing is learned then."""


def carried(
    course: Course[Desk_contra, StateT, Effect_co],
    room: Keeper,
    desk: Desk_contra,
    step: Step[StateT, Effect_co],
    now: datetime,
) -> Step[StateT, Effect_co]:
    """A step with its log kept and learned from, and with what comes next: what is left to show.

    Raises StoreError where an answer cannot be kept; the state before then still holds.
    """
    state, effects = step
    shown: list[Effect_co] = []
    for effect in effects:
        if isinstance(effect, Log):
            room.keep(effect)
        elif isinstance(effect, Onward):
            state, more = carried(course, room, desk, course.onward(desk, state, now), now)
            shown += more
        else:
            shown.append(effect)
    return state, tuple(shown)


def full(plan: Plan, state: Standing, now: datetime) -> bool:
    """Whether a practice has had its prompts or its minutes."""
    if plan.prompts is not None and state.asked >= plan.prompts:
        return True
    return plan.minutes is not None and state.seconds(now) >= 60 * plan.minutes


def whole_hour(state: Standing, now: datetime) -> datetime:
    """The practice's beginning, plus its whole hours: so that what is asked next depends on the
    answers and not on the seconds between them."""
    began = state.began or now
    hours = max(0, int((now - began).total_seconds() // 3600))
    return began + timedelta(hours=hours)


def marked(desk: Desk, item: Item, verdict: Verdict, now: datetime) -> Answer:
    """The row of a verdict, with a new id; what its course adds is not in it yet."""
    return Answer(
        uuid=desk.new_id(),
        at=now,
        day=practice_day(now, desk.zone),
        item=item.id,
        right=verdict.right,
        deck=desk.syllabus.deck.fingerprint,
        deck_name=desk.syllabus.deck.name,
        outcomes=tuple(NoteResult[mark.outcome.name].value for mark in verdict.notes),
        slip=verdict.slip.value if verdict.slip else None,
        hypotheses=tuple(each.slip.value for each in verdict.hypotheses),
    )
