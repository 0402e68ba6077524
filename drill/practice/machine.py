"""The course of a practice as a state machine: answer in, new state and effects out.

Headless and deterministic: instants, seeds and row ids are handed in, and two
front ends (lines and screens) carry the effects out through ``course.carried``.  The
log comes before the verdict among the effects, so that nothing shown can be lost, and
nothing is learned here: what comes next is asked for when the answer has been kept.
"""

from __future__ import annotations

import json
import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeAlias

from drill.decks.schema import Deck
from drill.marking.different import altered_notes
from drill.marking.question import Altered, AskedBefore
from drill.marking.verdict import Verdict
from drill.memory.first import first_choice
from drill.memory.introducing import NewLimits
from drill.memory.items import Answer, Item
from drill.memory.kinds import CLOSING, PLAYED, WALK, Kind
from drill.memory.planner import (
    ChosenCell,
    Options,
    Rule,
    block,
    choose,
    closing_round,
    kind_for,
    missed_then,
    run_is_due,
)
from drill.practice import course
from drill.practice.course import Desk, Plan, Standing, marked, whole_hour
from drill.practice.effects import (
    Ask,
    Effect,
    End,
    Judge,
    Log,
    Onward,
    Prompt,
    Reread,
    Sound,
    Summary,
)
from drill.practice.length import Left, closing_most, is_full, is_over, left
from drill.practice.syllabus import Entry, key_name
from drill.practice.walk import WalkStop, stops
from drill.shown import harmless


def plan_for(deck: Deck, now: datetime) -> Plan:
    """The plan that a deck asks for at an instant: its due date is aimed at while it lies ahead."""
    practice = deck.practice
    options = Options(new=NewLimits(practice.new_keys, practice.new_cells))
    if deck.due is not None:
        aim = datetime(deck.due.year, deck.due.month, deck.due.day, 12, tzinfo=now.tzinfo)
        if aim > now:
            options = replace(options, aim=aim)
    return Plan(
        practice.prompts,
        practice.minutes,
        # What has to come right in the end is asked too, whatever else is.
        tuple(dict.fromkeys(ask.value for ask in (*practice.ask, *deck.goal.ask))),
        practice.again,
        practice.missed_again,
        options,
    )


@dataclass(frozen=True, slots=True)
class PromptState(Standing):
    """Where a practice stands."""

    prompt: Prompt | None = None
    """The open prompt; None before the beginning, while it goes on and after the end."""
    number: int = 0
    run_asked: bool = False
    """Whether the practice had its check of a whole run."""
    walk: tuple[WalkStop, ...] = ()
    """The rest of a walk."""
    queue: tuple[Entry, ...] = ()
    """The rest of a run from memory."""
    run_length: int = 0
    closing: tuple[Item, ...] | None = None
    """The rest of the closing round; None while the practice itself goes on."""
    answers: tuple[Answer, ...] = ()
    """The answers that count, for the closing round."""
    made_good: frozenset[str] = frozenset()
    before: AskedBefore | None = None
    """The prompt before, for the marking of a stray answer."""


Step: TypeAlias = course.Step[PromptState, Effect]


def begin(desk: Desk, now: datetime) -> Step:
    """The practice's first prompt."""
    run = [desk.syllabus.entries[item] for item in desk.plan.walk]
    options = desk.plan.options.begun(desk.memory, now)
    state = PromptState(began=now, options=options, walk=stops(run), run_length=len(run))
    return onward(desk, state, now)


def answer(  # the front end's measurements come with the text
    desk: Desk,
    state: PromptState,
    text: str,
    now: datetime,
    seconds: float | None,
    keystrokes: int = 0,
    *,
    played: bool = False,
) -> Step:
    """The player's answer to the open prompt, marked; and what comes next.

    ``seconds`` from the prompt to the answer, None when not measured.  An answer that cannot
    be read is asked for again and leaves no trace.  ``played`` on the horn: ``text`` is what
    was heard, spelled.
    """
    prompt = state.prompt
    if prompt is None or state.over:
        return state, ()
    verdict = desk.marker.mark(prompt.question, text)
    if not verdict.readable:
        return state, (Reread(prompt, verdict), Ask(prompt))
    row = _row(desk, prompt, verdict, text, now, seconds=seconds, keystrokes=keystrokes)
    return _judged(desk, state, prompt, verdict, row, played=played)


def give_up(desk: Desk, state: PromptState, now: datetime, seconds: float | None) -> Step:
    """The player asks to see the open cell: every note of it counts as missing."""
    prompt = state.prompt
    if prompt is None or state.over or prompt.again:  # the copy has it in view
        return state, ()
    verdict = desk.marker.unanswered(prompt.question)
    row = _row(desk, prompt, verdict, "", now, seconds=seconds, keystrokes=0)
    return _judged(desk, state, prompt, verdict, row)


def pass_on(desk: Desk, state: PromptState) -> Step:
    """The player goes on without the copy; at any other prompt nothing happens."""
    del desk
    if state.prompt is None or not state.prompt.again:
        return state, ()
    return replace(state, prompt=None), (Onward(),)


def hear(desk: Desk, state: PromptState) -> Step:
    """An ear prompt is heard once more; each time is counted."""
    prompt = state.prompt
    if prompt is None or not prompt.sounds:
        return state, ()
    prompt = replace(prompt, heard=prompt.heard + 1)
    return replace(state, prompt=prompt), (heard(desk, prompt),)


def _judged(
    desk: Desk,
    state: PromptState,
    prompt: Prompt,
    verdict: Verdict,
    row: Answer,
    *,
    played: bool = False,
) -> Step:
    """A verdict to be logged and shown; then the cell once more, or onward."""
    if played and row.kind not in (CLOSING, WALK):
        row = replace(row, kind=PLAYED)
    effects: list[Effect] = [Log(row, prompt.item), Judge(prompt, verdict)]
    key = prompt.question.run.key
    if not prompt.again:
        state = _counted(state, prompt, row)
        if not prompt.question.back:
            sounds = desk.syllabus.sounding(key, prompt.cell)
            effects.append(Sound(sounds, desk.syllabus.horn.program))
    state = replace(state, before=prompt.question.asked, typed=state.typed + 1)
    if not (verdict.right or prompt.question.back) and desk.plan.again:
        # Held until it is right, or until the player goes on.
        copies = prompt.copies + 1 if prompt.again else 0
        copy = replace(prompt, again=True, copies=copies, given=prompt.cell.notes, sounds=())
        return replace(state, prompt=copy), (*effects, Ask(copy))
    return replace(state, prompt=None), (*effects, Onward())


def end(desk: Desk, state: PromptState) -> Step:
    """The player ends the practice; the open prompt leaves no trace."""
    if state.over:
        return state, ()
    state = replace(state, prompt=None, over=True)
    return state, (End(summary(state)),)


def summary(state: PromptState) -> Summary:
    """How the practice went so far."""
    slips = Counter(row.slip for row in state.answers if row.slip)
    return Summary(
        len(state.answers),
        sum(row.right for row in state.answers),
        tuple(slips.most_common()),
        tuple(item for item in state.missed if item not in state.made_good),
    )


def _counted(state: PromptState, prompt: Prompt, row: Answer) -> PromptState:
    if prompt.closing:
        good = {row.item} if row.right else set()
        return replace(state, made_good=state.made_good | good, closed=state.closed + 1)
    # What the closing round and the summary need, so that a long practice stays small.
    kept = replace(row, uuid="", typed="", outcomes=(), hypotheses=(), details="")
    return replace(
        state,
        asked=state.asked + 1,
        answers=(*state.answers, kept),
        missed=missed_then(state.missed, kept),
    )


def _row(
    desk: Desk,
    prompt: Prompt,
    verdict: Verdict,
    text: str,
    now: datetime,
    *,
    seconds: float | None,
    keystrokes: int,
) -> Answer:
    return replace(
        marked(desk, prompt.item, verdict, now),
        kind=prompt.kind,
        typed=harmless(text.strip()),
        seconds=seconds,
        keystrokes=keystrokes,
        again=prompt.again,
        details=_details(prompt, verdict),
    )


def _details(prompt: Prompt, verdict: Verdict) -> str:
    """What else is kept, as JSON: how often a prompt was heard, which key was spelled instead.

    Empty where there is nothing of it.
    """
    kept: dict[str, object] = {}
    instead = verdict.hypotheses[0].instead if verdict.hypotheses else None
    if instead is not None:
        kept["instead"] = key_name(instead)
    if prompt.kind == Kind.EAR or prompt.question.altered is not None:
        kept["heard"] = prompt.heard
    if prompt.question.altered is not None:
        kept |= {
            "place": prompt.question.altered.place + 1,
            "note": str(prompt.question.altered.note),
        }
    return json.dumps(kept) if kept else ""


def onward(desk: Desk, state: PromptState, now: datetime) -> Step:
    """The next prompt: of a run under way, of the closing round, or the planner's choice."""
    if state.over:
        return state, ()
    if desk.plan.walk:
        return _walked(desk, state)
    if state.closing is None and not is_full(desk.plan, state, now):
        if state.queue:
            return _asked(desk, state, state.queue[0], Kind.RUN, queue=state.queue[1:])
        hour = whole_hour(state, now)
        choice = first_choice(desk.memory, desk.pool, hour, state.options) or choose(
            desk.memory, desk.pool, hour, state.options
        )
        if choice is not None:
            return _chosen(desk, state, choice, hour)
    if state.closing is None:
        waiting = closing_round(state.answers, desk.pool) if desk.plan.missed_again else ()
        state = replace(state, closing=waiting, queue=())
    if state.closing and not is_over(desk.plan, state, now):
        entry = desk.syllabus.entries[state.closing[0].id]
        state = replace(state, closing=state.closing[1:])
        return _asked(desk, state, entry, entry.back or CLOSING, closing=True)
    return end(desk, state)


def _walked(desk: Desk, state: PromptState) -> Step:
    """The next cell of the walk, or its end."""
    if not state.walk:
        return end(desk, state)
    stop, *rest = state.walk
    prompt = Prompt(
        number=state.number + 1,
        item=stop.entry.item,
        question=desk.syllabus.question(stop.entry, state.before),
        kind=WALK,
        given=stop.page.cells[stop.place],
        place=(stop.place + 1, state.run_length),
        page=stop.page,
    )
    return replace(state, prompt=prompt, number=prompt.number, walk=tuple(rest)), (Ask(prompt),)


def what_is_left(desk: Desk, state: PromptState, now: datetime) -> Left:
    """What is left of the practice, the open prompt included."""
    found = left(desk.plan, state, now)
    if state.closing is None or found.prompts is None:
        return found
    rest = min(closing_most(desk.plan, state) - state.closed, len(state.closing) + 1)
    return replace(found, prompts=max(0, rest))


def _chosen(desk: Desk, state: PromptState, choice: ChosenCell, now: datetime) -> Step:
    entry = desk.syllabus.entries[choice.item.id]
    if entry.back:
        return _asked(desk, state, entry, entry.back, rule=choice.rule)
    # Playing in time is a course of its own: see time.course.
    kinds = tuple(kind for kind in desk.plan.kinds if kind != Kind.TIME)
    kind = kind_for(desk.memory, choice.item, now, kinds)
    items = block(desk.syllabus.items, choice.item)
    if kind != Kind.RUN:
        if Kind.RUN not in kinds or not _check_fits(desk, state, items, now):
            return _asked(desk, state, entry, kind, rule=choice.rule)
        state = replace(state, run_asked=True)
    run = [desk.syllabus.entries[item.id] for item in items]
    state = replace(state, run_length=len(run))
    return _asked(desk, state, run[0], Kind.RUN, queue=tuple(run[1:]), rule=choice.rule)


def _check_fits(desk: Desk, state: PromptState, run: Sequence[Item], now: datetime) -> bool:
    """Whether a whole run is to be checked here: once in a practice, where recall is high."""
    if state.run_asked:
        return False
    if desk.plan.prompts is not None:
        room = desk.plan.prompts - state.asked - closing_most(desk.plan, state)
        if len(run) > room:
            return False
    return run_is_due(desk.memory, run, now)


def _asked(
    desk: Desk,
    state: PromptState,
    entry: Entry,
    kind: str,
    *,
    queue: tuple[Entry, ...] = (),
    closing: bool = False,
    rule: Rule | None = None,
) -> Step:
    previous = entry.previous
    if kind == Kind.NEXT and previous is None:
        kind = Kind.DEGREE
    sounds: tuple[int, ...] = ()
    question = desk.syllabus.question(entry, state.before)
    if entry.alterations:
        question = replace(question, altered=_drawn(desk, state, entry))
    if kind == Kind.EAR or question.altered is not None:
        sounds = desk.syllabus.sounding(entry.run.key, entry.cell)
    prompt = Prompt(
        number=state.number + 1,
        item=entry.item,
        question=question,
        kind=kind,
        given=previous.notes if kind == Kind.NEXT and previous else (),
        closing=closing,
        place=((state.run_length - len(queue), state.run_length) if kind == Kind.RUN else None),
        sounds=sounds,
        chosen_by=rule,
    )
    state = replace(state, prompt=prompt, number=prompt.number, queue=queue)
    first: tuple[Effect, ...] = (Ask(prompt),)
    if sounds:
        first = (Ask(prompt), heard(desk, prompt))
    return state, first


def _drawn(desk: Desk, state: PromptState, entry: Entry) -> Altered:
    """Which note is altered, and how: drawn anew for each prompt by the practice's seed."""
    rng = random.Random(f"{desk.pool.seed}:{entry.item.id}:{state.number}")
    return rng.choice(entry.alterations)


def heard(desk: Desk, prompt: Prompt) -> Sound:
    """What an ear prompt lets the player hear, the tonic first; also for each repeat."""
    run = prompt.question.run
    tonic = desk.syllabus.sounding(run.key, replace(prompt.cell, notes=(run.close,)))[0]
    second: tuple[int, ...] = ()
    if prompt.question.altered is not None:
        altered = replace(prompt.cell, notes=altered_notes(prompt.question))
        second = desk.syllabus.sounding(run.key, altered)
    return Sound(prompt.sounds, desk.syllabus.horn.program, tonic, second)
