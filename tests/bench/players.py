"""Simulated players in front of the whole practice, in worlds beside those of ``learners``.

What is assumed, and nowhere measured on people:

* A prompt asked blind is answered and learned from as in ``learners``.  With the previous cell
  shown, the notes that it holds need no recall: they can be read.
* Notes that could be read (those of a shown cell, and all of a copy) teach *fully*, as if they
  had been recalled, or *half* as much: the table is given for both (``Shown``).
* A blind prompt takes 15 seconds, a copy 7: what is read is typed at once.

Each ``Setting`` is a world with a player in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from learners import (
    ACCIDENTALS,
    CHUNK,
    FACT,
    KEYS,
    PARTS,
    PROCEDURE,
    SETTINGS,
    SIGNATURE,
    Array,
    Integrator,
    Interference,
    Learner,
    Response,
    course,
)

PROMPT_S, COPY_S = 15.0, 7.0
"""Seconds of a blind prompt and of a copy, reading included."""
MONTH = 30
TIRED_AFTER = 60.0
"""Typed answers over which a tired player's learning falls to a third."""


class Shown(StrEnum):
    """What notes that can be read teach."""

    FULLY = "fully"
    HALF = "half"

    @property
    def share(self) -> float:
        return 1.0 if self is Shown.FULLY else 0.5


class Trait(StrEnum):
    """What a player has beside his world."""

    NOVICE = "novice"
    """Knows the letters and C; composes no note with an accidental before its key was seen once."""
    NEIGHBOURS = "neighbours"
    """What is practised in a key disturbs the one note by which a neighbouring key differs."""
    TIRED = "tired"
    """Within a practice less and less is learned and more slips happen."""
    GAPS = "gaps"
    """2 to 20 days between practices."""
    MASTER = "knows all keys"


@dataclass(frozen=True, slots=True)
class Setting:
    """A world with its player."""

    name: str
    world: str
    structure: str
    traits: tuple[Trait, ...] = ()
    patterns: int = 3
    """Of the deck: 3 are 630 cells, 1 is the 210 of the first deck."""

    @property
    def cells(self) -> Array:
        """Which cells the deck has."""
        shape = course().shape // 2
        return np.flatnonzero(shape < self.patterns)


SETTINGS_SHOWN = (
    Setting("integrator, medium", "integrator", "medium"),
    Setting("activation, structured", "activation", "structured"),
    Setting("interference, medium", "interference", "medium"),
    Setting("novice", "integrator", "medium", (Trait.NOVICE,), 1),
    Setting("neighbours, tired", "activation", "medium", (Trait.NEIGHBOURS, Trait.TIRED)),
    Setting("gaps", "integrator", "structured", (Trait.GAPS,)),
)
"""The rules were set in these."""
KEPT_BACK = Setting(
    "kept back",
    "interference",
    "structured",
    (Trait.NOVICE, Trait.NEIGHBOURS, Trait.TIRED, Trait.GAPS),
    1,
)
"""Nothing was set by it; run once at the end."""
MASTER = Setting("knows all keys", "integrator", "medium", (Trait.MASTER,), 1)


def _altered(key: int) -> Array:
    """Which degrees of a key have an accidental, from its signature."""
    # Flats enter on B E A D G C F, sharps on F C G D A E B; degrees count from the tonic.
    flats, count = key <= 7, ACCIDENTALS[key]
    order = "BEADGCF" if flats else "FCGDAEB"
    tonic = "CFBEADGC"[key] if flats else "CFBEADG"[key - 8]
    letters = "CDEFGAB"
    first = letters.index(tonic)
    names = [letters[(first + n) % 7] for n in range(7)]
    return np.array([name in order[:count] for name in names])


ALTERED = np.array([_altered(key) for key in range(KEYS)])
"""By key and degree."""


def _neighbour_facts() -> list[list[int]]:
    """For each key the facts of its neighbours on the circle that differ from it."""
    spelled = []
    letters = "CDEFGAB"
    for key in range(KEYS):
        flats = key <= 7
        tonic = "CFBEADGC"[key] if flats else "CFBEADG"[key - 8]
        first = letters.index(tonic)
        sign = -1 if flats else 1
        spelled.append({letters[(first + n) % 7]: sign * int(ALTERED[key][n]) for n in range(7)})
    found: list[list[int]] = []
    for key in range(KEYS):
        own: list[int] = []
        for other in ((key - 1) % KEYS, (key + 1) % KEYS):
            flats = other <= 7
            tonic = "CFBEADGC"[other] if flats else "CFBEADG"[other - 8]
            first = letters.index(tonic)
            different = [
                FACT + 7 * other + n
                for n in range(7)
                if spelled[other][letters[(first + n) % 7]]
                != spelled[key][letters[(first + n) % 7]]
            ]
            if len(different) <= 2:  # C flat and C sharp are no neighbours
                own += different
        found.append(own)
    return found


NEIGHBOURS = _neighbour_facts()


class Player(Learner):
    """A learner in one of the worlds, who can also read what is shown."""

    def __init__(self, setting: Setting, shown: Shown, seed: int) -> None:
        self.setting, self.shown = setting, shown
        super().__init__(setting.world, setting.structure, seed)
        if Trait.MASTER in setting.traits and isinstance(self.world, Integrator):
            self.world.x[:] = 1.0  # nothing is recalled better than what all time scales hold
        self.deck_cells = setting.cells
        self.seen = {0}  # keys of which a cell was seen: C from the beginning
        self.typed = 0
        """Typed answers in this practice."""

    def _known(self, who: np.random.Generator) -> Array:
        if Trait.MASTER in self.setting.traits:
            return np.full(PARTS, 0.97)
        known = super()._known(who)
        if Trait.NOVICE in self.setting.traits:
            easy = np.array([max(0.05, 0.97 - 0.13 * a) for a in ACCIDENTALS])
            known[SIGNATURE : SIGNATURE + KEYS] = easy
            known[PROCEDURE:FACT] = 0.93
            for key in range(KEYS):
                here = slice(FACT + 7 * key, FACT + 7 * key + 7)
                known[here] = np.where(ALTERED[key], 0.5, 0.93)
            known[FACT : FACT + 7] = 0.97
            known[SIGNATURE] = 0.97
            known[CHUNK:] = 0.02
        return known.clip(0.0, 0.97)

    def begin(self) -> None:
        """A practice begins: rested."""
        self.typed = 0

    def _tiredness(self) -> float:
        return min(self.typed / TIRED_AFTER, 1.0) if Trait.TIRED in self.setting.traits else 0.0

    def _blocked(self, cell: int) -> bool:
        """Whether a novice cannot compose the cell: an accidental of a key never seen."""
        key = int(self.course.key[cell])
        if Trait.NOVICE not in self.setting.traits or key in self.seen:
            return False
        own = [fact - FACT - 7 * key for fact in self.course.notes[cell]]
        return bool(ALTERED[key][own].any())

    def cell_chances(self, now: float) -> Array:
        chances = super().cell_chances(now)
        if Trait.NOVICE in self.setting.traits:
            for cell in range(len(chances)):
                if self._blocked(cell):
                    chances[cell] = 0.0
        return chances

    def ask(self, cell: int, now: float, given: tuple[int, ...] = ()) -> Response:
        """An answer; ``given`` are the facts that can be read in the cell shown before it."""
        rng, parts = self.rng, self.course.parts[cell]
        p = self.world.chance(parts, now)
        read = np.isin(parts, given)
        blocked = self._blocked(cell)
        truth = 0.0 if blocked else self._compose(np.where(read, 1.0, p))
        draws = rng.random(len(parts) + 2)
        success = (draws[: len(parts)] < p) | read
        slip = draws[-1] < 0.02 + 0.08 * self._tiredness()
        whole = bool(success[-1])
        composed = self.settings.composes and bool(success[:-1].all()) and not blocked
        right = ((whole and not blocked) or composed) and not slip
        rates = self.rates[parts] * self.daily[int(now) % len(self.daily)]
        rates = rates * (1.0 - 0.67 * self._tiredness())
        rates = np.where(read, rates * self.shown.share, rates)
        if whole and not composed:
            rates = rates * np.where(np.arange(len(parts)) < len(parts) - 1, 0.5, 1.0)
            success = success | True
        self.world.practise(parts, success, rates, now)
        self._disturb(cell)
        self.seen.add(int(self.course.key[cell]))
        self.typed += 1
        outcomes = self._outcomes(cell, right, success, slip or blocked)
        return Response(right, outcomes, float(np.exp(rng.normal(1.2 + 0.8 * (1 - truth), 0.3))))

    def copy(self, cell: int, now: float) -> None:
        """The cell typed once more with it in view."""
        parts = self.course.parts[cell]
        rates = self.rates[parts] * self.daily[int(now) % len(self.daily)]
        rates = rates * (1.0 - 0.67 * self._tiredness()) * self.shown.share
        self.world.practise(parts, np.ones(len(parts), dtype=bool), rates, now)
        self._disturb(cell)
        self.typed += 1

    def answer(self, cell: int, now: float) -> tuple[Response, float]:
        return self.ask(cell, now), 0.0

    def _disturb(self, cell: int) -> None:
        """What is practised in one key weakens what its neighbours do otherwise."""
        if Trait.NEIGHBOURS not in self.setting.traits:
            return
        facts = np.array(NEIGHBOURS[int(self.course.key[cell])], dtype=np.int64)
        world = self.world
        if isinstance(world, Integrator):
            world.x[facts] *= 0.98
        elif isinstance(world, Interference):
            world.level[facts] *= 0.98
        else:
            for fact in facts:
                world.own[fact][2] *= 0.98  # type: ignore[attr-defined]


def practice_days(setting: Setting, seed: int) -> list[int]:
    """The days with a practice: three a week, or with gaps of 2 to 20 days."""
    if Trait.GAPS not in setting.traits:
        return [day for day in range(MONTH) if day % 7 in (0, 2, 4)]
    rng = np.random.default_rng((seed, 41))
    days = [0]
    while len(days) < 13:
        days.append(days[-1] + int(np.exp(rng.uniform(np.log(2.0), np.log(20.99)))))
    return days


__all__ = ["COPY_S", "KEPT_BACK", "MASTER", "PROMPT_S", "SETTINGS", "Player", "Setting", "Shown"]
assert len(course().items) == 630
