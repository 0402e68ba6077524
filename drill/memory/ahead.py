"""Practice that is still to come: the planner run ahead, day after day, on a branch of the state.

One course of days is drawn like this.  A player is drawn from what the model believes: every
weight and every mean from its own mean and variance.  The planner then asks, the player drawn
answers by that player's chances, and the branch learns as it always does.  So the spread of
many courses holds both what is not known of the player and the chance of the answers.
"""

from __future__ import annotations

import math
import random
from array import array
from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from datetime import datetime, timedelta

from drill.memory.items import Answer, NoteResult, days, practice_day
from drill.memory.levels import ByHeart
from drill.memory.model import EVIDENCE, FREE, learn, log_odds
from drill.memory.planner import Options, kind_for, next_item
from drill.memory.pool import Pool, chances
from drill.memory.state import Factors, State

_LIMIT = 30.0
NOTES_MISSED = 0.4
"""Share of a missed cell's notes that are wrong, about; at least one is."""
PROMPT = timedelta(seconds=15)


@dataclass(frozen=True, slots=True)
class Day:
    """A day to come."""

    after: int
    """Days from the present instant."""
    prompts: int
    """Prompts of this pool on that day; 0 for a day without practice."""


def known(state: State, pool: Pool, now: datetime, goal: ByHeart) -> int:
    """How many cells of a pool are by heart at an instant, the fading ones with them."""
    import numpy as np

    at = pool.arrays.place
    chance = chances(state, pool, days(now))
    held = np.frombuffer(state.held)[at] >= goal.recall
    right = np.frombuffer(state.cell_missed, dtype=np.int8)[at] == 0
    places = at.tolist()
    good = np.array([len(state.good_days[place]) >= goal.days for place in places], dtype=bool)
    if goal.kinds:
        good &= np.array([goal.kinds <= state.right_kinds(place) for place in places], dtype=bool)
    return int((held & right & good & (chance >= goal.kept_from)).sum())


class Drawn:
    """One player who could be the one that the model knows, and a branch that learns of him."""

    def __init__(
        self,
        state: State,
        pool: Pool,
        chance: random.Random,
        kinds: Sequence[str],
        *,
        believed: bool = False,
    ) -> None:
        """``chance`` draws the player and his answers; ``kinds`` are those that may be asked.

        ``believed`` takes the player to be just as the model believes him.
        """
        self.state = state.branch()
        self._pool, self._chance, self._kinds = pool, chance, tuple(kinds)
        self.player = copy(self.state)
        """The player: his counts and instants are those of the branch, the very same arrays; what
        he is like stays as it was drawn, whatever the branch comes to believe."""
        spread = 0.0 if believed else 1.0
        self.player.w = [
            _bounded(chance.gauss(value, spread * math.sqrt(variance)), place)
            for place, (value, variance) in enumerate(zip(state.w, state.w_variance, strict=True))
        ]
        self.player.w_variance = list(state.w_variance)
        for name in ("keys", "shapes", "facts", "cells"):
            factors: Factors = copy(getattr(self.state, name))
            known = zip(factors.mean, factors.variance, strict=True)
            factors.mean = array("d", (chance.gauss(m, spread * math.sqrt(v)) for m, v in known))
            factors.variance = copy(factors.variance)
            setattr(self.player, name, factors)

    def practise(self, begun: datetime, prompts: int, options: Options) -> None:
        """One practice of so many prompts."""
        options, day = options.begun(self.state, begun), practice_day(begun)
        for n in range(prompts):
            item = next_item(self.state, self._pool, begun, options)
            if item is None:
                return
            at = begun + n * PROMPT
            kind = kind_for(self.state, item, begun, self._kinds)
            z = log_odds(self.player, item, at) + EVIDENCE[kind].ease
            right = self._chance.random() < 1.0 / (1.0 + math.exp(-min(max(z, -_LIMIT), _LIMIT)))
            outcomes = () if right else self._slip(len(item.facts))
            row = Answer("", at, day, item.id, right, kind=kind.value, outcomes=outcomes)
            learn(self.state, item, row)

    def _slip(self, notes: int) -> tuple[str, ...]:
        wrong = [self._chance.random() < NOTES_MISSED for _ in range(notes)]
        if notes and not any(wrong):
            wrong[self._chance.randrange(notes)] = True
        return tuple(NoteResult.WRONG.value if each else NoteResult.RIGHT.value for each in wrong)


def _bounded(weight: float, place: int) -> float:
    """As the model keeps its weights: most of them not below 0."""
    return weight if place in FREE else max(weight, 0.0)


def course(
    drawn: Drawn, pool: Pool, plan: Sequence[Day], now: datetime, goal: ByHeart, options: Options
) -> Iterator[tuple[Day, int]]:
    """How many cells are by heart at the end of each day to come, for one player drawn."""
    for day in plan:
        begun = now + timedelta(days=day.after)
        drawn.practise(begun, day.prompts, options)
        yield day, known(drawn.state, pool, begun + day.prompts * PROMPT, goal)
