"""The course of a practice in time, headless: bouts, what came of them, and the next tempo.

A bout is played by the front end (its take by the sound room, its keys by the
player); ``played`` judges it against the audio clock and logs one answer a cell.  What
was kept moves the staircase of tempi, and the same run comes again, at the next tempo,
until it has had its turns; then the planner chooses another.  Nothing here is
obligatory: a practice without the kind ``time`` never comes here.

Line mode and screens share this; instants, chance and row ids are handed in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import TypeAlias

from drill.errors import DataError
from drill.memory.items import Answer, practice_day
from drill.memory.kinds import TAPPED, Kind
from drill.memory.planner import block, next_item
from drill.memory.pool import Pool
from drill.memory.tempo import HIGH, LOW, Estimate, TempoBook, Try
from drill.practice.course import Desk, Plan, Standing, Step, full, marked
from drill.practice.effects import Log, Onward
from drill.practice.introduction import introduction
from drill.practice.room import Room
from drill.practice.syllabus import Entry, Syllabus
from drill.practice.time.bout import Bout, Result, Setting, bout_of, result_of
from drill.practice.time.strokes import Sung
from drill.practice.time.tempi import DEFAULT_BPM, Kept
from drill.practice.time.timing import FINEST_S
from drill.shown import harmless
from drill.sound.metronome import step_tempo
from drill.wording.decks import nothing_in_time

MOST_CELLS = 8
"""Cells in one bout; a longer run is played in parts."""
STUMBLE_S = 0.012
"""A click that comes later than this by itself is no beat to be judged by."""
TURNS = 6
"""Bouts on one run before another is taken."""


@dataclass(frozen=True, slots=True)
class TimePlan(Plan):
    """How a practice in time goes; ``prompts`` are cells to play, over all bouts."""

    bpm: float | None = None
    """The tempo to begin at; None begins a little under what was locked in."""
    setting: Setting = field(default_factory=Setting)
    turns: int = TURNS


@dataclass(frozen=True, slots=True)
class TimeDesk(Desk):
    """What stays the same.  ``memory`` and ``book`` learn as bouts are kept."""

    plan: TimePlan
    book: TempoBook = field(default_factory=TempoBook)
    practice: str = ""
    """Id of this practice: a new one begins new staircases."""


@dataclass(frozen=True, slots=True)
class TimeState(Standing):
    """Where a practice in time stands."""

    bout: Bout | None = None
    """The bout that is to be played; None before the beginning, while the practice goes on and
    after its end."""
    turns: int = 0
    """Bouts played on this run."""
    results: tuple[Result, ...] = ()


@dataclass(frozen=True, slots=True)
class Offer:
    """A bout is ready to be played."""

    bout: Bout
    remembered: float | None
    """The tempo at which this run was locked in last; None: not yet."""
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class Timed:
    """A bout was judged."""

    result: Result
    next_bpm: int
    """Where the staircase goes."""


@dataclass(frozen=True, slots=True)
class Unheard:
    """Nothing that can be read was typed: nothing was marked, and the bout stands."""


@dataclass(frozen=True, slots=True)
class Stumbled:
    """The sound fell behind or broke off while the bout was played: it is not counted."""

    by_s: float
    """How far it fell behind; 0 where it broke off."""


@dataclass(frozen=True, slots=True)
class TimeEnd:
    """The practice is over."""

    bouts: int
    locked_in: int
    tempi: tuple[tuple[str, str, int], ...]
    """Pattern, key and the last tempo locked in, of the runs that were."""


TimeEffect = Log | Onward | Timed | Unheard | Stumbled | Offer | TimeEnd
TimeStep: TypeAlias = Step[TimeState, TimeEffect]


def time_desk(
    room: Room,
    syllabus: Syllabus,
    plan: TimePlan,
    seed: int,
    new_id: Callable[[], str],
) -> TimeDesk:
    """A place to practise in time; the tempi are read from the room's log.

    Raises DataError where the deck has no cells to play.
    """
    entries = {name: entry for name, entry in syllabus.entries.items() if not entry.back}
    if not entries:
        raise DataError(nothing_in_time(syllabus.deck.title))
    syllabus = replace(syllabus, entries=entries)
    pool = Pool(room.memory, syllabus.items, seed, introduction(syllabus))
    return TimeDesk(
        syllabus,
        room.memory,
        pool,
        room.marker,
        plan,
        new_id,
        room.zone,
        # The room's own book, beginning where this deck does: what it learns is seen here.
        replace(room.book, default_bpm=float(syllabus.deck.tempo or DEFAULT_BPM)),
        new_id(),
    )


def begin(desk: TimeDesk, now: datetime) -> TimeStep:
    """The practice's first bout."""
    state = TimeState(began=now, options=desk.plan.options.begun(desk.memory, now))
    return another(desk, state, now)


def onward(desk: TimeDesk, state: TimeState, now: datetime) -> TimeStep:
    """After a bout: the same run until it has had its turns, another one, or the end."""
    if state.over or not state.results:
        return state, ()
    if full(desk.plan, state, now):
        return end(desk, state)
    if state.turns < desk.plan.turns:
        return _offered(desk, state, state.results[-1].bout.entries, None, now)
    return another(desk, state, now)


def another(desk: TimeDesk, state: TimeState, now: datetime) -> TimeStep:
    """Another run, as the planner chooses."""
    if state.over:
        return state, ()
    item = next_item(desk.memory, desk.pool, now, state.options)
    if item is None:
        return end(desk, state)
    run = block(desk.syllabus.items, item)
    at = next(place for place, each in enumerate(run) if each.id == item.id)
    part = run[at // MOST_CELLS * MOST_CELLS :][:MOST_CELLS]
    entries = [desk.syllabus.entries[each.id] for each in part]
    return _offered(desk, replace(state, turns=0), entries, None, now)


def again(desk: TimeDesk, state: TimeState, now: datetime) -> TimeStep:
    """The same run once more, at the staircase's tempo."""
    if state.bout is None or state.over:
        return state, ()
    return _offered(desk, state, state.bout.entries, None, now)


def at_tempo(desk: TimeDesk, state: TimeState, steps: int, now: datetime) -> TimeStep:
    """The open bout, so many steps of a metronome's scale faster (slower where negative)."""
    if state.bout is None or state.over:
        return state, ()
    bpm = min(int(HIGH), max(int(LOW), step_tempo(state.bout.bpm, steps)))
    return _offered(desk, state, state.bout.entries, bpm, now)


def played(  # the front end's measurements come with the notes
    desk: TimeDesk,
    state: TimeState,
    notes: Sequence[Sung],
    began_at: float,
    now: datetime,
    *,
    jitter_s: float = FINEST_S,
    sound: bool = True,
    uncertain_s: float = 0.0,
    slipped_s: float = 0.0,
) -> TimeStep:
    """The open bout was played: judged and logged; then onward.

    ``began_at`` is the instant, on the clock of the strokes, at which the take began
    to be heard, known to ``uncertain_s``.  A bout without a note leaves no trace, nor one
    in which the sound fell behind by ``slipped_s``, if that is more than ``STUMBLE_S``.
    """
    bout = state.bout
    if bout is None or state.over:
        return state, ()
    if slipped_s > STUMBLE_S:
        return state, (Stumbled(slipped_s),)
    result = result_of(
        bout,
        notes,
        began_at,
        desk.marker,
        jitter_s=jitter_s,
        sound=sound,
        uncertain_s=uncertain_s,
    )
    if result is None:
        return state, (Unheard(),)
    rows = _rows(desk, result, now)
    day = date.fromisoformat(practice_day(now, desk.zone))
    one = Try(bout.pattern, bout.key, bout.bpm, result.passed, day, desk.practice)
    state = replace(
        state,
        bout=None,
        turns=state.turns + 1,
        asked=state.asked + len(rows),
        results=(*state.results, result),
    )
    logs = [Log(row, entry.item) for entry, row in rows]
    return state, (*logs, Timed(result, desk.book.after(one).stair.bpm), Onward())


def end(desk: TimeDesk, state: TimeState) -> TimeStep:
    """The practice is ended; a bout that was not played leaves no trace."""
    del desk
    if state.over:
        return state, ()
    locked = {
        (result.bout.pattern, result.bout.key): result.bout.bpm
        for result in state.results
        if result.passed
    }
    told = TimeEnd(
        len(state.results),
        sum(result.passed for result in state.results),
        tuple((pattern, key, bpm) for (pattern, key), bpm in locked.items()),
    )
    return replace(state, bout=None, over=True), (told,)


def time_plan(plan: Plan, setting: Setting, bpm: float | None = None) -> TimePlan:
    """A plan for time from a plan for prompts: a cell counts as a prompt."""
    return TimePlan(plan.prompts, plan.minutes, options=plan.options, bpm=bpm, setting=setting)


def _offered(
    desk: TimeDesk,
    state: TimeState,
    entries: Sequence[Entry],
    bpm: float | None,
    now: datetime,
) -> TimeStep:
    """A bout over these cells; ``bpm`` None takes the staircase's tempo."""
    number = len(state.results) + 1
    day = date.fromisoformat(practice_day(now, desk.zone))
    known = bout_of(desk.syllabus, entries, bpm or DEFAULT_BPM, desk.plan.setting, number)
    held = desk.book.held(known.pattern, known.key)
    if bpm is None:
        practice = day, desk.practice
        bpm = desk.book.next_bpm(known.pattern, known.key, practice, desk.plan.bpm)
        known = bout_of(desk.syllabus, entries, bpm, desk.plan.setting, number)
    offer = Offer(
        known,
        held.locked_bpm if held else None,
        desk.book.estimate(known.pattern, known.key, day),
    )
    return replace(state, bout=known), (offer,)


def _rows(desk: TimeDesk, result: Result, now: datetime) -> list[tuple[Entry, Answer]]:
    """An answer for each cell that was reached, the bout's own figures in the details of each."""
    bout = result.bout
    found = []
    name = desk.new_id()
    for index, (entry, verdict) in enumerate(zip(bout.entries, result.verdicts, strict=True)):
        if verdict is None:
            continue
        row = replace(
            marked(desk, entry.item, verdict, now),
            kind=TAPPED if bout.tapped else Kind.TIME.value,
            typed=harmless(result.typed[index]),
            tempo=float(bout.bpm),
            details=_kept(desk, result, name, index).text(),
        )
        found.append((entry, row))
    return found


def _kept(desk: TimeDesk, result: Result, name: str, cell: int) -> Kept:
    bout, timing = result.bout, result.timing
    off = tuple(
        None if note.off_s is None else _ms(note.off_s)
        for note, its in zip(result.notes, bout.cell_of, strict=True)
        if its == cell
    )
    return Kept(
        bout=name,
        practice=desk.practice,
        pattern=bout.pattern,
        key=bout.key,
        cell=cell,
        cells=len(bout.entries),
        outcome=timing.outcome.value,
        passed=result.passed,
        right=result.right,
        notes=len(result.notes),
        lead_ms=_ms(timing.lead_s),
        spread_ms=_ms(timing.spread_s),
        drift_ms=_ms(timing.drift_s),
        jitter_ms=_ms(timing.jitter_s),
        off_ms=off,
        notes_per_beat=bout.notes_per_beat,
        letters=bout.letters,
        sound=result.sound,
        uncertain_ms=_ms(timing.uncertain_s),
    )


def _ms(seconds: float) -> float:
    return round(seconds * 1000, 1)
