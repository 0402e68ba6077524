"""The ways of choosing the next cell that the memory benchmark compares.

``pick`` gives the index of a cell in ``learners.course().items``, ``tell`` hears the
answer.  Only the oracles are handed the learner.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import fsrs
import numpy as np
from learners import KEYS, Learner, Response, course

from drill.memory.introducing import NewLimits
from drill.memory.items import Answer
from drill.memory.model import learn, predict
from drill.memory.planner import Options, next_item
from drill.memory.pool import Pool, chances
from drill.memory.state import Priors, State

START = datetime(2026, 1, 5, tzinfo=UTC)
CELL_GAP, KEY_GAP = 8, 2


def at(day: float) -> datetime:
    return START + timedelta(days=day)


class Policy:
    def __init__(self, learner: Learner, seed: int) -> None:
        self.rng = np.random.default_rng((seed, 23))
        self.cells = len(course().items)
        self.allowed = getattr(learner, "deck_cells", np.arange(self.cells))
        """The cells of the deck."""
        self.turn = 0

    def pick(self, now: float) -> int:
        raise NotImplementedError

    def tell(self, cell: int, response: Response, now: float) -> None:
        self.turn += 1


class InOrder(Policy):
    """A fixed order, over and over."""

    def order(self) -> Any:
        raise NotImplementedError

    def __init__(self, learner: Learner, seed: int) -> None:
        super().__init__(learner, seed)
        self.queue: list[int] = []

    def pick(self, now: float) -> int:
        if not self.queue:
            self.queue = [int(c) for c in self.order()][::-1]
        return self.queue.pop()


class Circle(InOrder):
    """The circle of fourths worked key by key, every cell of a key in order."""

    def order(self) -> Any:
        return self.allowed


class Rotation(InOrder):
    """One cell round all keys, then the next cell."""

    def order(self) -> Any:
        return self.allowed.reshape(KEYS, -1).T.ravel()


class Shuffled(InOrder):
    """Every cell once in random order, shuffled afresh for each pass."""

    def order(self) -> Any:
        return self.rng.permutation(self.allowed)


class Random(Policy):
    def pick(self, now: float) -> int:
        return int(self.rng.choice(self.allowed))


class Rested(Policy):
    """Scores every cell; the gaps of the planner keep cells and keys apart."""

    def __init__(self, learner: Learner, seed: int) -> None:
        super().__init__(learner, seed)
        self.last = self.rng.uniform(-self.cells, 0.0, self.cells)
        self.recent: list[int] = []

    def scores(self, now: float) -> Any:
        raise NotImplementedError

    def pick(self, now: float) -> int:
        scores = np.array(self.scores(now), dtype=float)
        scores[np.setdiff1d(np.arange(self.cells), self.allowed)] = -np.inf
        scores[self.recent[-CELL_GAP:]] = -np.inf
        for cell in self.recent[-KEY_GAP:]:
            scores[course().key == course().key[cell]] = -np.inf
        return int(np.argmax(scores))

    def tell(self, cell: int, response: Response, now: float) -> None:
        self.turn += 1
        self.last[cell] = self.turn
        self.recent.append(cell)

    def age(self) -> Any:
        return self.turn + 1 - self.last


class ErrorRate(Rested):
    """Error rate of the cell, shrunk to one half, times prompts since it was asked."""

    def __init__(self, learner: Learner, seed: int) -> None:
        super().__init__(learner, seed)
        self.asked, self.wrong = np.zeros(self.cells), np.zeros(self.cells)

    def scores(self, now: float) -> Any:
        return (self.wrong + 1.0) / (self.asked + 2.0) * self.age()

    def tell(self, cell: int, response: Response, now: float) -> None:
        super().tell(cell, response, now)
        self.asked[cell] += 1
        self.wrong[cell] += not response.right


class Boxes(Policy):
    """Five boxes asked after 0, 1, 3, 7 and 14 days; a miss goes back to the first."""

    WAIT = np.array([0.0, 0.8, 2.8, 6.8, 13.8])

    def __init__(self, learner: Learner, seed: int) -> None:
        super().__init__(learner, seed)
        self.box = np.full(self.cells, -1)
        self.due = np.full(self.cells, np.inf)
        self.last = np.full(self.cells, -np.inf)
        self.fresh = [int(c) for c in self.rng.permutation(self.cells)]

    def pick(self, now: float) -> int:
        rested = self.last < self.turn - CELL_GAP
        due = np.flatnonzero((self.due <= now) & rested)
        if len(due):
            return int(due[np.lexsort((self.due[due], self.box[due]))[0]])
        if self.fresh:
            return self.fresh[-1]
        return int(np.argmin(np.where(rested, self.due, np.inf)))

    def tell(self, cell: int, response: Response, now: float) -> None:
        super().tell(cell, response, now)
        if self.fresh and self.fresh[-1] == cell:
            self.fresh.pop()
        self.box[cell] = min(self.box[cell] + 1, 4) if response.right else 0
        if self.box[cell] == 0 and response.right:
            self.box[cell] = 1
        self.due[cell] = now + self.WAIT[self.box[cell]]
        self.last[cell] = self.turn


class PerItem(Policy):
    """The ``fsrs`` scheduler, a card a cell: due first, then new, then the soonest due."""

    def __init__(self, learner: Learner, seed: int) -> None:
        super().__init__(learner, seed)
        self.scheduler = fsrs.Scheduler(enable_fuzzing=False)
        self.cards: dict[int, fsrs.Card] = {}
        self.due = np.full(self.cells, np.inf)
        self.last = np.full(self.cells, -np.inf)
        self.fresh = [int(c) for c in self.rng.permutation(self.cells)]
        self.first = [1.0, 2.0]
        """Right first answers and first answers, shrunk to one half."""

    def pick(self, now: float) -> int:
        due = np.where(self.last < self.turn - CELL_GAP, self.due, np.inf)
        soonest = int(np.argmin(due))
        if due[soonest] <= now or not self.fresh:
            return soonest
        return self.fresh[-1]

    def tell(self, cell: int, response: Response, now: float) -> None:
        super().tell(cell, response, now)
        if self.fresh and self.fresh[-1] == cell:
            self.fresh.pop()
        card = self.cards.get(cell)
        if card is None:
            card = fsrs.Card(card_id=cell, due=at(now))
            self.first[0] += response.right
            self.first[1] += 1
        rating = fsrs.Rating.Good if response.right else fsrs.Rating.Again
        card, _ = self.scheduler.review_card(card, rating, at(now))
        self.cards[cell] = card
        self.due[cell] = (card.due - START) / timedelta(days=1)
        self.last[cell] = self.turn

    def predict(self, cell: int, now: float) -> float:
        """Retrievability; for a new cell the share of first answers that were right."""
        card = self.cards.get(cell)
        if card is None or card.last_review is None:
            return self.first[0] / self.first[1]
        # The library counts whole days; the curve itself is continuous.
        away = max(now - (card.last_review - START) / timedelta(days=1), 0.0)
        s = self.scheduler
        return float((1.0 + s._FACTOR * away / card.stability) ** s._DECAY)


class Modelled(Policy):
    """Keeps our model up to date."""

    PRIORS = Priors()
    OPTIONS = Options(new=NewLimits(keys=0))

    def __init__(self, learner: Learner, seed: int) -> None:
        super().__init__(learner, seed)
        self.state = State(self.PRIORS)
        self.pool = Pool(self.state, [course().items[n] for n in self.allowed], seed)
        self.index = {item.id: n for n, item in enumerate(course().items)}

    def tell(self, cell: int, response: Response, now: float) -> None:
        super().tell(cell, response, now)
        item = course().items[cell]
        answer = Answer(
            uuid=str(self.turn),
            at=at(now),
            day=str(int(now)),
            item=item.id,
            right=response.right,
            outcomes=response.outcomes,
            seconds=response.seconds,
        )
        learn(self.state, item, answer)

    def prediction(self, cell: int, now: float) -> float:
        return predict(self.state, course().items[cell], at(now)).p

    def predictions(self, now: float) -> Any:
        return chances(self.state, self.pool, (at(now) - EPOCH) / timedelta(days=1))


EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class Ours(Modelled):
    """The planner of the program itself."""

    began, before = 0.0, -1.0

    def pick(self, now: float) -> int:
        if now - self.before > 0.1:  # a new practice: what was missed before it comes back early
            self.began = now
        self.before = now
        options = replace(self.OPTIONS, since=at(self.began))
        item = next_item(self.state, self.pool, at(now), options)
        assert item is not None
        return self.index[item.id]


class Alone(Ours):
    """The same without sharing: every cell learns alone."""

    PRIORS = Priors(sharing=False)


class Weakest(Modelled, Rested):
    """The lowest predicted recall first, by our model, with the same gaps."""

    def __init__(self, learner: Learner, seed: int) -> None:
        Modelled.__init__(self, learner, seed)
        self.last = self.rng.uniform(-self.cells, 0.0, self.cells)
        self.recent = []

    def scores(self, now: float) -> Any:
        scores = np.zeros(self.cells)
        scores[self.allowed] = 1.0 - self.predictions(now)
        return scores

    def pick(self, now: float) -> int:
        return Rested.pick(self, now)

    def tell(self, cell: int, response: Response, now: float) -> None:
        Modelled.tell(self, cell, response, now)
        self.last[cell] = self.turn
        self.recent.append(cell)


class Oracle(Rested):
    """True chance of error a day ahead times prompts since asked.

    A day ahead, because the truth of the moment is full of what the last prompts warmed up.
    """

    POWER = 1.0

    def __init__(self, learner: Learner, seed: int) -> None:
        super().__init__(learner, seed)
        self.learner = learner

    def scores(self, now: float) -> Any:
        error = 1.0 - self.learner.cell_chances(now + 1.0)
        return np.maximum(error, 0.02) ** self.POWER * self.age()


class SharpOracle(Oracle):
    """The same with the square of the error: the best found of exponents 0.5 to 3."""

    POWER = 2.0


POLICIES: dict[str, type[Policy]] = {
    "circle": Circle,
    "rotation": Rotation,
    "random": Random,
    "shuffled": Shuffled,
    "weakest": Weakest,
    "boxes": Boxes,
    "fsrs": PerItem,
    "error rate": ErrorRate,
    "ours": Ours,
    "unshared": Alone,
    "oracle": Oracle,
    "oracle squared": SharpOracle,
}
