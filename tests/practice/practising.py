"""A practice without a terminal: decks as text, a log in a temporary folder, counted row ids."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from drill.decks.load import loads
from drill.decks.schema import Deck
from drill.memory.store import Store
from drill.practice import machine
from drill.practice.course import Desk, Plan, carried
from drill.practice.effects import Ask, Effect, End, Judge, Log, Prompt, Reread
from drill.practice.machine import PromptState
from drill.practice.room import Room
from drill.theory.language import Language
from drill.theory.names import show_name

START = datetime(2026, 3, 2, 17, 0, tzinfo=UTC)
"""One for all: spellings are worked out once."""


def deck(**fields: str) -> Deck:
    """A deck of a few keys; each field is TOML text and replaces the one here."""
    plain = {
        "title": '"Few keys"',
        "instrument": '"alto_sax"',
        "patterns": '["return3"]',
        "keys": '["G", "F", "D", "Bb"]',
        "directions": '["up", "down"]',
    }
    text = "\n".join(f"{name} = {value}" for name, value in (plain | fields).items())
    return loads(text, "few-keys.toml")


def right(prompt: Prompt, language: Language = Language.ENGLISH) -> str:
    """The answer expected."""
    return " ".join(show_name(note.name, language) for note in prompt.cell.notes)


def wrong(prompt: Prompt) -> str:
    """An answer with one note too few."""
    return right(prompt).rpartition(" ")[0]


@dataclass
class Player:
    """Someone who answers, and what came of it."""

    room: Room
    desk: Desk
    state: PromptState = field(default_factory=PromptState)
    effects: list[Effect] = field(default_factory=list)
    prompts: list[Prompt] = field(default_factory=list)
    now: datetime = START
    seconds: float = 12.0

    @property
    def prompt(self) -> Prompt:
        assert self.state.prompt is not None
        return self.state.prompt

    @property
    def over(self) -> bool:
        return self.state.over

    def begin(self) -> Player:
        return self.take(machine.begin(self.desk, self.now))

    def answer(self, text: str) -> Player:
        self.now += timedelta(seconds=self.seconds)
        return self.take(
            machine.answer(self.desk, self.state, text, self.now, self.seconds, len(text))
        )

    def give_up(self) -> Player:
        self.now += timedelta(seconds=self.seconds)
        return self.take(machine.give_up(self.desk, self.state, self.now, self.seconds))

    def pass_on(self) -> Player:
        return self.take(machine.pass_on(self.desk, self.state))

    def hear(self) -> Player:
        return self.take(machine.hear(self.desk, self.state))

    def end(self) -> Player:
        return self.take(machine.end(self.desk, self.state))

    def take(self, step: machine.Step) -> Player:
        self.effects.extend(effect for effect in step[1] if isinstance(effect, Log))
        self.state, effects = carried(machine, self.room, self.desk, step, self.now)
        self.effects.extend(effects)
        self.prompts.extend(effect.prompt for effect in effects if isinstance(effect, Ask))
        return self

    def play(self, answers: Callable[[Prompt], str], most: int = 1000) -> Player:
        """Answer until the end."""
        for _ in range(most):
            if self.over:
                return self
            self.answer(answers(self.prompt))
        raise AssertionError("the practice does not end")

    def of(self, kind: type[Effect]) -> list[Effect]:
        return [effect for effect in self.effects if isinstance(effect, kind)]

    @property
    def logs(self) -> list[Log]:
        return [effect for effect in self.effects if isinstance(effect, Log)]

    @property
    def verdicts(self) -> list[Judge]:
        return [effect for effect in self.effects if isinstance(effect, Judge)]

    @property
    def rereads(self) -> list[Reread]:
        return [effect for effect in self.effects if isinstance(effect, Reread)]

    @property
    def summary(self) -> End:
        return next(effect for effect in self.effects if isinstance(effect, End))


def sit_down(
    folder: Path,
    of: Deck | None = None,
    *,
    seed: int = 1,
    kinds: Sequence[str] = (),
    now: datetime = START,
    ids: str = "row",
    **wishes: object,
) -> Player:
    """A player at a desk, before the first prompt; ``wishes`` change the deck's plan."""
    of = of or deck()
    room = Room(Store.open(folder / "answers.db"), zone=UTC)
    plan: Plan = replace(machine.plan_for(of, now), **wishes)  # type: ignore[arg-type]
    if kinds:
        plan = replace(plan, kinds=tuple(kinds))
    numbers = count(room.store.count())
    table = room.syllabus(of, plan.kinds)
    desk = room.desk(table, plan, seed, lambda: f"{ids}-{next(numbers):06}")
    return Player(room, desk, now=now)
