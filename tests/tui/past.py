"""A player with a past: weeks of practice in which F sharp is forgotten in G."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial

from tui_desk import MORNING, Setup

from drill.practice import machine
from drill.practice.course import carried
from drill.practice.effects import Prompt
from drill.practice.room import Room
from drill.tui.practices import ToPractice
from drill.tui.seats import Seats


def forgetful(prompt: Prompt) -> str:
    """The right answer, but for F sharp in G: the signature is forgotten."""
    names = [str(note.name) for note in prompt.cell.notes]
    in_g = str(prompt.question.run.key.tonic) == "G"
    return " ".join("F" if in_g and name == "F#" else name for name in names)


def right(prompt: Prompt) -> str:
    """The right answer."""
    return " ".join(str(note.name) for note in prompt.cell.notes)


def practised(
    setup: Setup,
    days: tuple[int, ...] = (22, 15, 8, 1),
    say: Callable[[Prompt], str] = forgetful,
    deck: str = "two-keys",
) -> Room:
    """The room after a practice on each day, so many days ago."""
    context = setup.context()
    room = setup.open_room()
    for ago in days:
        now = MORNING - timedelta(days=ago)
        seats = Seats(_At(context, now), room)  # type: ignore[arg-type]
        seat = seats.sit(ToPractice(deck), partial(context.plan, setup.wishes), silent=False)
        state, at = seat.state, now
        while not state.over:
            prompt = state.prompt
            assert prompt is not None
            at += timedelta(seconds=8)
            text = right(prompt) if prompt.again else say(prompt)
            step = machine.answer(seat.desk, state, text, at, 4.0, len(text))
            state, _ = carried(machine, room, seat.desk, step, at)
    room.store.close()
    return room


class _At:
    """The context at another instant."""

    def __init__(self, context: object, now: datetime) -> None:
        self._context, self._now = context, now

    def utc_now(self) -> datetime:
        return self._now

    def __getattr__(self, name: str) -> object:
        return getattr(self._context, name)
