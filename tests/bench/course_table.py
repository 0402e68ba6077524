"""The table of what a player meets: the practice itself beside other ways to ask.

Every way meets the same players (paired) on the same days.  *Typed*: the others get as many
prompts, all blind, as the player of the practice typed answers in it, copies and closing
round included.  *Minutes*: they get as many as fit into the same time.  Recall is the
player's true mean chance over the deck in percent, 7 and 30 days after the last practice;
*gain* is over the same player without any practice.  Intervals are 95 %, over players.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np
from learners import Array
from played import Practising, everything_open
from players import (
    KEPT_BACK,
    MASTER,
    PROMPT_S,
    SETTINGS_SHOWN,
    Player,
    Setting,
    Shown,
    Trait,
    practice_days,
)
from policies import POLICIES

from drill.memory.introducing import may_enter
from drill.practice.course import Plan

OTHERS = ("circle", "rotation", "shuffled", "weakest", "ours", "oracle", "oracle squared")
"""As ``policies`` has them; ``ours`` is the planner alone with blind prompts."""
AFTER = (7.0, 30.0)
FIRST_SEED = 910_000
SHORT = ("shuffled", "oracle", "oracle squared")
"""The others that the aims need."""
Job = tuple[str, str, int, bool]
"""Setting, what shown notes teach, seed, and whether only ``SHORT`` is compared with."""


@dataclass(frozen=True, slots=True)
class Row:
    """One way with one player; shares of 1."""

    recall: tuple[float, ...]
    first_right: float = 0.0
    """Share right of the first practice's prompts."""
    longest: int = 0
    """Longest row of misses in it."""
    shown: int = 0
    """Prompts of the first practice with the previous cell shown."""
    typed: float = 0.0
    """Typed answers a practice."""
    all_open: int = 0
    """Prompts until every key was open; 0 where that was not in the first practice."""


def setting_of(name: str) -> Setting:
    known = (*SETTINGS_SHOWN, KEPT_BACK, MASTER)
    return next(setting for setting in known if setting.name == name)


def recalled(player: Player, setting: Setting, last: float) -> tuple[float, ...]:
    return tuple(
        float(player.cell_chances(last + 0.02 + after)[setting.cells].mean()) for after in AFTER
    )


def practised(
    setting: Setting, shown: Shown, seed: int, plan: Callable[[Plan], Plan] = lambda p: p
) -> tuple[Row, list[int], list[int]]:
    """The practice itself; also typed answers and blind prompts' worth of time by practice."""
    player = Player(setting, shown, seed)
    course = Practising(player, seed, plan)
    days = practice_days(setting, seed)
    opened = 0
    if Trait.MASTER in setting.traits:
        course.practise(days[0], watch=lambda state: _open_keys(course, state))
        opened = course.all_open
    for day in days[1:] if Trait.MASTER in setting.traits else days:
        course.practise(day)
    met = course.met
    row = longest = 0
    for right in met.right[0]:
        row = 0 if right else row + 1
        longest = max(longest, row)
    told = Row(
        recalled(player, setting, days[-1]),
        float(np.mean(met.right[0])),
        longest,
        met.kinds[0].count("next"),
        float(np.mean(met.typed)),
        opened,
    )
    return told, met.typed, [round(seconds / PROMPT_S) for seconds in met.seconds]


def _open_keys(course: Practising, state: Any) -> bool:
    """Whether every key is open."""
    enter = may_enter(course.memory, course.desk.pool, state.options.new)
    return len(np.unique(course.desk.pool.arrays.rank[enter])) == len(
        np.unique(course.desk.pool.arrays.rank)
    )


def asked_by(name: str, setting: Setting, seed: int, counts: list[int]) -> Row:
    """Another way: so many blind prompts in each practice."""
    player = Player(setting, Shown.FULLY, seed)
    policy = POLICIES[name](player, seed)
    days = practice_days(setting, seed)
    for day, count in zip(days, counts, strict=True):
        player.begin()
        for n in range(count):
            now = day + n * PROMPT_S / 86400
            cell = policy.pick(now)
            policy.tell(cell, player.ask(cell, now), now)
    return Row(recalled(player, setting, days[-1]))


def task(job: Job) -> tuple[Job, dict[str, dict[str, Any]]]:
    """All ways for one player."""
    name, taught, seed, short = job
    setting, shown = setting_of(name), Shown(taught)
    own, typed, minutes = practised(setting, shown, seed)
    rows = {"as shipped": own}
    if Trait.MASTER not in setting.traits:
        rows["all keys open"] = practised(setting, shown, seed, everything_open)[0]
        if not short:
            rows["without copies"] = practised(
                setting, shown, seed, lambda plan: replace(plan, again=False)
            )[0]
            rows["ours, minutes"] = asked_by("ours", setting, seed, minutes)
        for other in SHORT if short else OTHERS:
            rows[f"{other}, typed"] = asked_by(other, setting, seed, typed)
        rows["shuffled, minutes"] = asked_by("shuffled", setting, seed, minutes)
        last = practice_days(setting, seed)[-1]
        rows["no practice"] = Row(recalled(Player(setting, shown, seed), setting, last))
    return job, {way: asdict(row) for way, row in rows.items()}


def interval(values: Array) -> str:
    half = 1.96 * values.std(ddof=1) / np.sqrt(len(values)) if len(values) > 1 else np.nan
    return f"{values.mean():+6.2f} ±{half:4.2f}"


class Told:
    """The results of one setting under one assumption."""

    def __init__(self, rows: list[dict[str, dict[str, Any]]]) -> None:
        self.rows = rows

    def recall(self, way: str, after: int = 0) -> Array:
        return np.array([100 * row[way]["recall"][after] for row in self.rows])

    def mean(self, field: str, way: str = "as shipped") -> float:
        return float(np.mean([row[way][field] for row in self.rows]))

    def ahead(self, way: str, after: int = 0) -> Array:
        return self.recall("as shipped", after) - self.recall(way, after)

    def gain_share(self) -> float:
        """Our gain as a share of the better oracle's, as many answers typed."""
        start = self.recall("no practice")
        best = max(self.recall(f"{name}, typed").mean() for name in ("oracle", "oracle squared"))
        return float((self.recall("as shipped").mean() - start.mean()) / (best - start.mean()))

    def lines(self) -> list[str]:
        head = f"    {'way':24} 7 days  30 days   shipped minus it, 7 days       30 days"
        return [
            head,
            *(
                f"    {way:24} {self.recall(way).mean():6.1f}  {self.recall(way, 1).mean():6.1f}"
                f"   {interval(self.ahead(way)):>20}  {interval(self.ahead(way, 1)):>20}"
                for way in self.rows[0]
            ),
        ]


def goals(found: dict[tuple[str, str], Told]) -> list[str]:
    """Each aim with its figure, met or not."""
    out = []

    def say(text: str, value: str, met: bool) -> None:
        out.append(f"  {'met    ' if met else 'NOT met'}  {text}: {value}")

    for shown in Shown:
        worlds = {n: told for (n, s), told in found.items() if s == shown and n != MASTER.name}
        if not worlds:
            continue
        for basis in ("typed", "minutes"):
            ahead = {n: told.ahead(f"shuffled, {basis}").mean() for n, told in worlds.items()}
            mean, worst = float(np.mean(list(ahead.values()))), min(ahead, key=ahead.__getitem__)
            say(
                f"{shown}, equal {basis}: shipped minus shuffled, mean +1.2, none under -0.3",
                f"mean {mean:+.2f}, worst {ahead[worst]:+.2f} ({worst})",
                mean >= 1.2 and ahead[worst] >= -0.3,
            )
        shares = {n: told.gain_share() for n, told in worlds.items()}
        worst = min(shares, key=shares.__getitem__)
        say(
            f"shown teaches {shown}: share of the better oracle's gain, equal typed, 0.90",
            ", ".join(f"{n} {share:.2f}" for n, share in shares.items()),
            shares[worst] >= 0.90,
        )
        novice = worlds.get("novice")
        if novice is not None:
            first, longest = novice.mean("first_right"), novice.mean("longest")
            cost = [-float(novice.ahead("all keys open", n).mean()) for n in (0, 1)]
            say(f"novice ({shown}): first practice right, 0.65", f"{first:.3f}", first >= 0.65)
            say(f"novice ({shown}): longest row of misses, 4", f"{longest:.1f}", longest <= 4)
            say(
                f"novice ({shown}): under all keys open, at most 1.0 and 0.5 points",
                f"{cost[0]:.2f}, {cost[1]:.2f}",
                cost[0] <= 1.0 and cost[1] <= 0.5,
            )
    for (name, taught), told in found.items():
        if name == MASTER.name:
            opened = [row["as shipped"]["all_open"] for row in told.rows]
            most = max(row["as shipped"]["shown"] for row in told.rows)
            say(
                f"knows all keys ({taught}): all open within 25 prompts",
                f"at most {max(opened)}",
                min(opened) > 0 and max(opened) <= 25,
            )
            say(
                f"knows all keys ({taught}): previous cell shown in 5 of the first 40",
                f"at most {most}",
                most <= 5,
            )
    return out
