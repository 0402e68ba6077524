"""The practice itself, driven by a simulated player: what is measured is what a player meets.

A real deck of the same 630 cells goes through syllabus, planner, kinds of prompt, marking,
copies, closing round and limits; the player's slips are typed as notes and marked.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import cache

from learners import KEYS, course
from players import COPY_S, PROMPT_S, Player

from drill.decks.load import loads
from drill.marking.mark import Marker
from drill.memory.kinds import CLOSING, Kind
from drill.memory.model import learn
from drill.memory.pool import Pool
from drill.memory.state import State as Memory
from drill.practice import machine
from drill.practice.course import Desk, Plan, carried
from drill.practice.effects import Log, Prompt
from drill.practice.introduction import introduction
from drill.practice.syllabus import Entry, Syllabus, build
from drill.terms import Direction, Name
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.wording.slips import marker

START = datetime(2026, 1, 5, 7, 12, tzinfo=UTC)
TONICS = ("C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb", "C#", "F#", "B", "E", "A", "D", "G")
"""As ``learners`` has the keys."""
PATTERNS = ("1-2-3-1", "1-3-5-3", "1-2-3-5")


def deck_text(patterns: int) -> str:
    """A deck of the first so many patterns in all keys, up and down."""
    named = ", ".join(f'"{text}"' for text in PATTERNS[:patterns])
    return (
        f'title = "Bench"\ninstrument = "alto_sax"\npatterns = [{named}]\n'
        'descent = "mirror"\nkeys = "all"\n'
    )


@cache
def material(patterns: int = 3) -> tuple[Syllabus, Marker, dict[str, int]]:
    """The deck, its marker, and which cell of ``learners`` each of its items is."""
    syllabus = build(loads(deck_text(patterns), "bench.toml"))
    places = {tonic: n for n, tonic in enumerate(TONICS)}
    index = {}
    for item_id, entry in syllabus.entries.items():
        key = places[str(entry.run.key.tonic)]
        pattern = PATTERNS.index(entry.run.pattern.text.replace(" ", "-"))
        down = int(entry.cell.direction is Direction.DOWN)
        degree = (entry.cell.degree - 1) % 7
        index[item_id] = ((key * 3 + pattern) * 2 + down) * 7 + degree
    assert len(places) == KEYS
    return syllabus, marker(Language.ENGLISH), index


@dataclass
class Met:
    """What a player met, practice by practice."""

    typed: list[int] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    right: list[list[bool]] = field(default_factory=list)
    """Of the prompts that count."""
    kinds: list[list[str]] = field(default_factory=list)
    keys: list[list[str]] = field(default_factory=list)


class Practising:
    """One player with one log in memory."""

    def __init__(self, player: Player, seed: int, plan: Callable[[Plan], Plan] = lambda p: p):
        syllabus, marking, self.index = material(player.setting.patterns)
        self.player, self.memory, self.met = player, Memory(), Met()
        pool = Pool(self.memory, syllabus.items, seed, introduction(syllabus))
        made = plan(machine.plan_for(syllabus.deck, START))
        self.rows = 0
        self.desk = Desk(syllabus, self.memory, pool, marking, made, self._id, UTC)
        self.all_open = 0
        """Prompts after which ``watch`` was first true; 0 for never."""

    def _id(self) -> str:
        self.rows += 1
        return f"{self.rows:08}"

    def keep(self, log: Log) -> None:
        learn(self.memory, log.item, log.answer)

    def practise(
        self, day: float, watch: Callable[[machine.PromptState], bool] = lambda state: False
    ) -> None:
        """One practice from its first prompt to its end."""
        begun = now = START + timedelta(days=day)
        self.player.begin()
        met = self.met
        met.right.append([])
        met.kinds.append([])
        met.keys.append([])
        typed = 0
        state, _ = machine.begin(self.desk, now)
        while (prompt := state.prompt) is not None:
            if not self.all_open and watch(state):
                self.all_open = state.asked
            text, seconds = self._answer(prompt, _day(now))
            now += timedelta(seconds=COPY_S if prompt.again else PROMPT_S)
            typed += 1
            step = machine.answer(self.desk, state, text, now, seconds, len(text))
            log = next(effect for effect in step[1] if isinstance(effect, Log))
            if not prompt.again and not prompt.closing:
                met.right[-1].append(log.answer.right)
                met.kinds[-1].append(prompt.kind)
                met.keys[-1].append(prompt.item.key)
            state, _ = carried(machine, self, self.desk, step, now)
        met.typed.append(typed)
        met.seconds.append((now - begun).total_seconds())

    def _answer(self, prompt: Prompt, now: float) -> tuple[str, float]:
        cell = self.index[prompt.item.id]
        names = [note.name for note in prompt.cell.notes]
        if prompt.again:
            self.player.copy(cell, now)
            return " ".join(show_name(name, Language.ENGLISH) for name in names), 5.0
        given: tuple[int, ...] = ()
        if prompt.kind == Kind.NEXT and prompt.given:
            entry = self.desk.syllabus.entries[prompt.item.id]
            given = course().notes[self._before(entry)]
        response = self.player.ask(cell, now, given)
        names = [
            name
            if outcome == "right"
            else Name(name.letter, name.alter + (1 if name.alter < 1 else -1))
            for name, outcome in zip(names, response.outcomes, strict=True)
        ]
        return " ".join(show_name(name, Language.ENGLISH) for name in names), response.seconds

    def _before(self, entry: Entry) -> int:
        from drill.practice.syllabus import item_of

        return self.index[item_of(entry.run, entry.index - 1).id]


def _slipped(name: Name) -> Name:
    """The note a half step off."""
    return Name(name.letter, name.alter + (1 if name.alter < 1 else -1))


def _day(now: datetime) -> float:
    return (now - START) / timedelta(days=1)


def everything_open(plan: Plan) -> Plan:
    """The plan without an order of introduction."""
    new = replace(plan.options.new, keys=0)
    return replace(plan, options=replace(plan.options, new=new))


__all__ = ["CLOSING", "Met", "Practising", "everything_open", "material"]
