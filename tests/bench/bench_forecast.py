"""Whether forecasts come true, by heart stays, and enough for today is enough; simulated learners.

    python tests/bench/bench_forecast.py                   every condition, some ten minutes
    python tests/bench/bench_forecast.py --only activation
    python tests/bench/bench_forecast.py --enough          the advice alone

A deck of 84 cells (six keys, one pattern, up and down) goes through the practice itself:
planner, kinds of prompt, marking, copies, closing round and limits.  From day 4 on the program's
own forecast is taken every few days, and held against the day on which the deck's goal was
reached by the program's own levels; a date ten days ahead is forecast too.  A prompt with the
previous cell in view is answered as if it were blind.  The learners do not share the model; the
multipliers of the interval were set on other learners, and no learner of the structure
*advanced* was looked at for that.  Simulated learners are not people.
"""

from __future__ import annotations

import argparse
import math
import multiprocessing
import sys
from collections.abc import Iterable
from copy import deepcopy
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from time import perf_counter

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from learners import PROMPT_SECONDS, WORLDS, Learner

from drill.decks.load import loads
from drill.memory import forecast as looking
from drill.memory.advice import PROMPTS
from drill.memory.ahead import known
from drill.memory.items import practice_day
from drill.memory.levels import Level, level
from drill.memory.model import learn
from drill.memory.pool import Pool
from drill.memory.state import State as Memory
from drill.practice import machine
from drill.practice.course import Desk, carried
from drill.practice.effects import Log, Prompt
from drill.practice.introduction import introduction
from drill.practice.looking import advice_for, forecast_for, goal_of
from drill.practice.syllabus import build
from drill.terms import Direction, Name
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.wording.slips import marker

START = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)
TONICS = ("C", "F", "Bb", "Eb", "Ab", "Db")
"""The first keys of ``learners``, in its order."""
DECK = loads(
    'title = "Bench"\ninstrument = "alto_sax"\npatterns = ["1-2-3-1"]\ndescent = "mirror"\n'
    'keys = ["C", "F", "Bb", "Eb", "Ab", "Db"]\n',
    "bench.toml",
)
LONGEST, EVERY, FIRST, DUE = 60, 6, 3, 10
"""Days of a run; days from one forecast to the next; the day of the first; days to the date."""
SCHEDULES = {"daily": (30, range(7)), "three a week": (40, (0, 2, 4))}
CONDITIONS = tuple(
    (world, structure, schedule)
    for structure in ("medium", "structured", "advanced")
    for world in WORLDS
    for schedule in SCHEDULES
)
FIRST_SEED = 7_300


class Player:
    """A simulated learner who practises the deck by the program's own course."""

    def __init__(self, world: str, structure: str, seed: int, prompts: int) -> None:
        syllabus = build(DECK)
        self.learner, self.memory = Learner(world, structure, seed), Memory()
        pool = Pool(self.memory, syllabus.items, seed, introduction(syllabus))
        plan = replace(machine.plan_for(DECK, START), prompts=prompts)
        marks = marker(Language.ENGLISH)
        self.desk = Desk(syllabus, self.memory, pool, marks, plan, self._id, UTC)
        self.cell = {}
        for item, entry in syllabus.entries.items():
            key, down = TONICS.index(str(entry.run.key.tonic)), entry.cell.direction
            self.cell[item] = (key * 6 + (down is Direction.DOWN)) * 7 + (entry.cell.degree - 1) % 7
        self.rows = 0
        self.missed: set[str] = set()

    def _id(self) -> str:
        self.rows += 1
        return f"{self.rows:08}"

    def keep(self, log: Log) -> None:
        learn(self.memory, log.item, log.answer)
        if log.answer.teaches and not log.answer.right:
            self.missed.add(log.item.id)

    def practise(self, begun: datetime, most: int | None = None) -> datetime:
        """One practice; ``most`` ends it after so many prompts.  When it ended."""
        now, asked = begun, 0
        self.missed.clear()
        state, _ = machine.begin(self.desk, now)
        while (prompt := state.prompt) is not None and (most is None or asked < most):
            now += timedelta(seconds=PROMPT_SECONDS)
            text, seconds = self._typed(prompt, now)
            step = machine.answer(self.desk, state, text, now, seconds, len(text))
            state, _ = carried(machine, self, self.desk, step, now)
            asked += not prompt.again
        return now

    def _typed(self, prompt: Prompt, now: datetime) -> tuple[str, float]:
        names = [note.name for note in prompt.cell.notes]
        if prompt.again:
            return " ".join(show_name(name, Language.ENGLISH) for name in names), 5.0
        day = (now - START) / timedelta(days=1)
        response, _ = self.learner.answer(self.cell[prompt.item.id], day)
        given = [
            name if good == "right" else Name(name.letter, name.alter - 1 if name.alter else 1)
            for name, good in zip(names, response.outcomes, strict=True)
        ]
        return " ".join(show_name(name, Language.ENGLISH) for name in given), response.seconds

    def by_heart(self, now: datetime) -> set[str]:
        goal = goal_of(DECK)
        items = self.desk.pool.items
        kept = (Level.FADING, Level.BY_HEART)
        return {item.id for item in items if level(self.memory, item, now, goal) in kept}

    def recall(self, now: datetime) -> float:
        """The truth: mean chance over the deck's cells."""
        chances = self.learner.cell_chances((now - START) / timedelta(days=1))
        return float(np.mean([chances[cell] for cell in self.cell.values()]))


@dataclass(frozen=True, slots=True)
class Made:
    """One forecast."""

    day: int
    days: float | None
    soonest: float | None
    latest: float | None
    due: tuple[int, int, int] | None
    """By heart on the date: least, middle, most."""
    seconds: float


@dataclass(frozen=True, slots=True)
class Run:
    """What became of one learner."""

    condition: tuple[str, str, str]
    seed: int
    counts: tuple[int, ...]
    """Cells by heart at the end of each day."""
    wanted: int
    made: tuple[Made, ...]
    kept: int
    """Cells by heart on a day with no slip on them since the day before."""
    lost: int
    """How many of them were not any more."""

    @property
    def reached(self) -> int | None:
        return next((n for n, count in enumerate(self.counts) if count >= self.wanted), None)


def run(job: tuple[tuple[str, str, str], int]) -> Run:
    (world, structure, schedule), seed = job
    prompts, weekdays = SCHEDULES[schedule]
    looking.PACES = ()  # the pace towards a date is not looked at here
    player = Player(world, structure, seed, prompts)
    wanted = math.ceil(DECK.goal.right * len(player.cell))
    counts, made, kept, lost, before, after = [], list[Made](), 0, 0, set[str](), 0
    for day in range(LONGEST + DUE):
        now = START + timedelta(days=day)
        player.missed.clear()
        if day % 7 in weekdays:
            now = player.practise(now)
        heart = player.by_heart(now)
        kept += len(before - player.missed)
        lost += len(before - player.missed - heart)
        before = heart
        counts.append(known(player.memory, player.desk.pool, now, goal_of(DECK)))
        after += max(counts) >= wanted
        if after > DUE:
            break
        ask = day >= FIRST and (day - FIRST) % EVERY == 0
        if ask and max(counts) < wanted and day < LONGEST:
            made.append(_forecast(player, day, now))
    return Run(job[0], seed, tuple(counts), wanted, tuple(made), kept, lost)


def _forecast(player: Player, day: int, now: datetime) -> Made:
    desk = player.desk
    due = datetime.fromisoformat(practice_day(now + timedelta(days=DUE), UTC)).date()
    begun = perf_counter()
    told = forecast_for(player.memory, desk.pool, replace(DECK, due=due), desk.plan, now, UTC)
    spent = perf_counter() - begun
    date = told.due
    found = None
    if date and date.least is not None and date.by_heart is not None and date.most is not None:
        found = (date.least, date.by_heart, date.most)
    return Made(day, told.days, told.soonest, told.latest, found, spent)


def share(hits: Iterable[bool]) -> str:
    found = list(hits)
    return f"{100 * sum(found) / len(found):.0f} % of {len(found)}" if found else "none"


def told_of(runs: list[Run]) -> tuple[str, list[float], list[bool], list[bool]]:
    """A line on some runs; the ratios, and whether days and dates were inside."""
    ratios, inside, dates = list[float](), list[bool](), list[bool]()
    for each in runs:
        end = each.reached
        for made in each.made:
            if made.due and made.day + DUE < len(each.counts):
                dates.append(made.due[0] <= each.counts[made.day + DUE] <= made.due[2])
            if made.days is not None and end is not None:
                ratios.append((end - made.day) / made.days)
            if end is not None and made.soonest is not None:
                late = math.inf if made.latest is None else made.latest
                inside.append(round(made.soonest) <= end - made.day <= round_up(late))
            elif end is None and made.soonest is not None:
                inside.append(made.latest is None or made.latest > LONGEST + DUE - made.day)
    middle = f"{median(ratios):.2f}" if ratios else "-"
    line = f"inside {share(inside)}; actual / forecast {middle}; by a date inside {share(dates)}"
    return line, ratios, inside, dates


def round_up(days: float) -> float:
    return days if days == math.inf else round(days)


def forecasts(options: argparse.Namespace) -> None:
    chosen = [c for c in CONDITIONS if any(part in "/".join(c) for part in options.only)]
    jobs = [(c, options.seed + n) for c in chosen for n in range(options.learners)]
    with multiprocessing.get_context("spawn").Pool(options.processes) as pool:
        runs = []
        for done in pool.imap_unordered(run, jobs):
            runs.append(done)
            print(f"{'/'.join(done.condition)} {done.seed}, goal on day {done.reached}", flush=True)
            for each in done.made:
                days = [each.soonest, each.days, each.latest]
                told = ", ".join("-" if n is None else f"{n:.1f}" for n in days)
                there = done.counts[min(each.day + DUE, len(done.counts) - 1)]
                print(f"    day {each.day}: {told} days; by a date {each.due}: {there}", flush=True)
    print(f"{options.learners} learners a condition, seeds from {options.seed}, 84 cells")
    for condition in chosen:
        some = [each for each in runs if each.condition == condition]
        ends = ", ".join("never" if e.reached is None else str(e.reached) for e in some)
        print(f"{'/'.join(condition):34} goal on day {ends}; {told_of(some)[0]}")
    line, ratios, inside, _ = told_of(runs)
    print(f"all: {line}")
    held = sum(inside) / max(len(inside), 1)
    print(f"  80 % interval holds 70 to 90 %: {'met' if 0.7 <= held <= 0.9 else 'NOT met'}")
    middle = median(ratios) if ratios else math.nan
    print(f"  actual / forecast 0.8 to 1.25: {'met' if 0.8 <= middle <= 1.25 else 'NOT met'}")
    kept, lost = sum(e.kept for e in runs), sum(e.lost for e in runs)
    verdict = "met" if lost <= 0.03 * kept else "NOT met"
    print(
        f"  by heart lost without a slip, at most 3 %: {100 * lost / max(kept, 1):.2f} %, {verdict}"
    )
    seconds = [made.seconds for each in runs for made in each.made]
    print(f"  a forecast took {median(seconds):.1f} s in the middle, {max(seconds):.1f} s at most")


def enough(options: argparse.Namespace) -> None:
    """True gain of twenty more prompts now beside the same tomorrow, by what was advised."""
    found: dict[bool, list[float]] = {False: [], True: []}
    for world in WORLDS:
        for first in (5, 20, 40, 80):
            gains, said = [], []
            for seed in range(options.seed, options.seed + options.learners):
                player = Player(world, "medium", seed, 40)
                for day in range(4):
                    player.practise(START + timedelta(days=day))
                player.desk = replace(player.desk, plan=replace(player.desk.plan, prompts=None))
                now = player.practise(START + timedelta(days=4), first)
                desk = player.desk
                told = advice_for(player.memory, desk.pool, DECK, desk.plan, now, UTC)
                said.append(told is not None and told.enough)
                later = START + timedelta(days=5)
                gains.append((_gain(player, now), _gain(player, later)))
            ratio = sum(a for a, _ in gains) / sum(b for _, b in gains)
            for each in said:
                found[each].append(ratio)
            print(
                f"{world:12} after {first:2} prompts today: 20 more bring {ratio:.2f} of what they "
                f"bring tomorrow; enough said to {sum(said)} of {len(said)}"
            )
    for each, ratios in found.items():
        if ratios:
            advised, ends = (
                "enough" if each else "go on ",
                f"{min(ratios):.2f} to {max(ratios):.2f}",
            )
            print(f"where it was {advised}: {median(ratios):.2f} ({ends})")


def _gain(player: Player, at: datetime) -> float:
    """What twenty prompts at an instant add to the true recall a week later."""
    twin = deepcopy(player)
    week = timedelta(days=7)
    without = twin.recall(at + week)
    return twin.recall(twin.practise(at, PROMPTS) + week) - without


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--learners", type=int, default=2)
    parser.add_argument("--seed", type=int, default=FIRST_SEED)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--only", nargs="*", default=[""], help="conditions that contain these")
    parser.add_argument("--enough", action="store_true", help="the advice alone")
    options = parser.parse_args()
    if not options.enough:
        forecasts(options)
    enough(options)


if __name__ == "__main__":
    main()
