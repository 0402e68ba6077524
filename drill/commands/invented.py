"""An invented class that practises by itself, for the tour and for trying reports out.

Nobody in it exists.  Each student has an aptitude and habits of their own, keys with more
accidentals come harder, what came right comes easier, and wrong answers are the slips of
real ones.  Everything else is the program's own: prompts, marking, log.  The same seed
and instant give the same class, to the last answer.
"""

from __future__ import annotations

import contextlib
import math
import uuid
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from drill.decks.schema import Deck
from drill.memory.store import Store
from drill.opening.house import House
from drill.places import places
from drill.practice import machine
from drill.practice.course import Desk, Plan, carried
from drill.practice.effects import Judge, Prompt
from drill.practice.room import Room
from drill.terms import Direction, Name


@dataclass(frozen=True, slots=True)
class Invented:
    """A student who does not exist."""

    name: str
    aptitude: float
    """0 to 1."""
    practices: int
    """How many days this student practised; 0 for not at all."""
    habit: str
    """The slip made most often: ``natural``, ``extra``, ``swap``, ``degree`` or ``short``."""
    id: str = ""
    group: str = ""
    horn: str = "alto_sax"


STUDENTS = (
    Invented("Bo Barline", 0.75, 7, "natural", "01", "winds", "alto_sax"),
    Invented("Cy Codetta", 0.35, 8, "natural", "02", "brass", "trumpet_bb"),
    Invented("Fay Fermata", 0.9, 8, "swap", "03", "winds", "flute"),
    Invented("Kit Crotchet", 0.2, 6, "natural", "04", "brass", "tuba"),
    Invented("Nia Natural", 0.55, 7, "extra", "05", "winds", "clarinet_bb"),
    Invented("Otto Ottava", 0.5, 0, "natural", "06", "brass", "horn_f"),
    Invented("Pip Pickup", 0.65, 3, "degree", "07", "winds", "alto_sax"),
    Invented("Sal Segno", 0.45, 8, "short", "08", "brass", "horn_f"),
    Invented("Tess Tenuto", 0.8, 5, "natural", "09", "winds", "clarinet_bb"),
)
"""Clearly invented names: terms of music, all of them."""


def roster() -> str:
    """The class as a roster file."""
    rows = (f"{each.id},{each.name},{each.group},{each.horn}" for each in STUDENTS)
    return "\n".join(("id,name,group,horn", *rows, ""))


def house_of(folder: Path) -> House:
    """The home of an invented student: everything lies in that folder, days begin in UTC."""
    return House(places({"DRILL_HOME": str(folder)}), UTC)


def practise(
    student: Invented,
    deck: Deck,
    folder: Path,
    now: datetime,
    seed: int,
    *,
    days: Sequence[int] | None = None,
) -> int:
    """Let an invented student practise before ``now``; how many answers the log has then.

    ``days`` says how many days before, the longest ago first; None is every day up to the day
    before.  The log is the one in ``folder``, which is made.
    """
    backs = range(student.practices, 0, -1) if days is None else days
    chance = Random(f"{seed}:{student.name}{student.id}:{deck.name}")
    ids = Random(f"{seed}:{student.name}{student.id}:{deck.name}:ids")
    known: Counter[str] = Counter()
    with contextlib.closing(Store.open(house_of(folder).log)) as store:
        room = Room(store, zone=UTC)
        plan = Plan(deck.practice.prompts, deck.practice.minutes, tuple(deck.practice.ask))
        syllabus = room.syllabus(deck, plan.kinds)
        for back in backs:
            desk = room.desk(syllabus, plan, chance.randrange(2**32), _ids(ids))
            evening = now.astimezone(UTC).replace(hour=17, minute=0, second=0, microsecond=0)
            began = evening - timedelta(days=back, minutes=chance.randrange(90))
            _practise_once(room, desk, student, chance, known, began)
        return store.count()


def _ids(chance: Random) -> Callable[[], str]:
    return lambda: str(uuid.UUID(int=chance.getrandbits(128), version=4))


def _practise_once(
    room: Room, desk: Desk, student: Invented, chance: Random, known: Counter[str], now: datetime
) -> None:
    """One practice, kept in the room's log."""
    state, _ = machine.begin(desk, now)
    while state.prompt is not None and not state.over:
        prompt = state.prompt
        text, seconds = _answer(prompt, student, chance, known)
        now += timedelta(seconds=seconds + 2)
        step = machine.answer(desk, state, text, now, round(seconds, 2), len(text))
        state, effects = carried(machine, room, desk, step, now)
        for effect in effects:
            if isinstance(effect, Judge) and effect.verdict.right:
                known[effect.prompt.item.id] += 1
                known[effect.prompt.item.key] += 1


def _answer(
    prompt: Prompt, student: Invented, chance: Random, known: Counter[str]
) -> tuple[str, float]:
    """What is typed, and after how many seconds."""
    names = [note.name for note in prompt.cell.notes]
    item = prompt.item
    odds = 2.2 * student.aptitude + 0.7 - 0.45 * item.accidentals * (1.25 - student.aptitude)
    odds += 0.9 * math.log1p(known[item.id]) + 0.12 * math.log1p(known[item.key])
    odds -= 0.5 * (prompt.cell.direction is Direction.DOWN)
    right = prompt.again or chance.random() < 1.0 / (1.0 + math.exp(-odds))
    seconds = chance.lognormvariate(1.6 - 0.25 * student.aptitude, 0.35) + 1.2 * (not right)
    if not right:
        names = _slip(names, student.habit, chance)
    return " ".join(map(str, names)), seconds


def _slip(names: list[Name], habit: str, chance: Random) -> list[Name]:
    """A wrong cell, as a student with that habit types it."""
    kind = habit if chance.random() < 0.6 else chance.choice(["natural", "extra", "swap", "degree"])
    altered = [name for name in names if name.alter]
    if kind == "natural" and altered:
        lost = chance.choice(altered)
        return [Name(name.letter) if name == lost else name for name in names]
    if kind == "short" and len(names) > 2:
        return names[:-1]
    plain = [name for name in names if not name.alter]
    if kind == "extra" and plain:
        changed = chance.choice(plain)
        alter = -1 if any(name.alter < 0 for name in names) else 1
        return [Name(name.letter, alter) if name == changed else name for name in names]
    if kind == "degree":
        return [*names[1:], names[0]] if names[1:] + names[:1] != names else [*names, names[0]]
    swapped = [names[1], names[0], *names[2:]]
    return swapped if swapped != names else names[::-1]
