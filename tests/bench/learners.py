"""Simulated learners for the memory benchmark: three memory worlds, four structures.

The scheduler never sees inside a learner.  None of the worlds has the form of the
model under test, and all figures are of simulated learners, not of people.

A learner holds 756 memory parts: 15 signatures, 105 facts (a degree in a key), 6
procedures (a cell with its direction) and 630 chunks (a cell as a whole).  A cell is
recalled as a chunk, or composed from its signature, its procedure and all its facts;
one answer in fifty is a mere slip.

World 1, *integrator*: each part is a cascade of leaky integrators at many time scales,
and learns what they do not predict already (after Mozer et al. 2009, from memory).

World 2, *activation*: each presentation leaves a trace that decays as a power of time,
the faster the more active the part was (after Pavlik & Anderson 2005; parameters from
memory), and time between sessions counts for a fortieth.

World 3, *interference*, was designed before the model was written: storage strength
only grows, retrieval strength fades at a rate set by storage, a harder retrieval
stores more (after the new theory of disuse, Bjork & Bjork 1992, from memory), a
recently practised neighbour key competes for the same letter, and a wrong answer
leaves a habit that right ones wear down.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from drill.memory.items import Item

Array = np.ndarray[Any, Any]

KEYS = 15
CELLS = ((0, 1, 2, 0), (0, 2, 4, 2), (0, 1, 2, 4))
"""Steps from the cell's own start: 1-2-3-1, 1-3-5-3, 1-2-3-5."""
ACCIDENTALS = (0, 1, 2, 3, 4, 5, 6, 7, 7, 6, 5, 4, 3, 2, 1)
"""In the order of the circle of fourths from C: flats up to seven, then sharps down."""
SIGNATURE, PROCEDURE, FACT, CHUNK = 0, KEYS, KEYS + 6, KEYS + 6 + 7 * KEYS
PARTS = CHUNK + 630
NONE = PARTS
"""A part that is always known: fills the table of facts."""
SLIP = 0.02
PROMPT_SECONDS = 15.0
STRUCTURES = ("structured", "medium", "independent", "advanced")
WORLDS = ("integrator", "activation", "interference")


@dataclass(frozen=True, slots=True)
class Course:
    """The set of cells that is drilled, in the order of the circle of fourths."""

    items: tuple[Item, ...]
    key: Array
    shape: Array
    facts: Array
    """Four parts a cell, filled with ``NONE``; each different fact once."""
    notes: tuple[tuple[int, ...], ...]
    """The fact of each note."""
    parts: tuple[Array, ...]
    """Signature, procedure, facts and chunk of each cell."""


@cache
def course() -> Course:
    items: list[Item] = []
    key: list[int] = []
    shape: list[int] = []
    facts: list[tuple[int, ...]] = []
    notes: list[tuple[int, ...]] = []
    parts: list[Array] = []
    for k in range(KEYS):
        for c, cell in enumerate(CELLS):
            for down in (0, 1):
                for degree in range(7):
                    n = len(items)
                    steps = [(degree + (-s if down else s)) % 7 for s in cell]
                    own = tuple(FACT + 7 * k + s for s in steps)
                    different = tuple(dict.fromkeys(own))
                    procedure = PROCEDURE + 2 * c + down
                    items.append(
                        Item(
                            id=f"{k}.{c}.{down}.{degree}",
                            key=f"key {k}",
                            shape=f"shape {c} {down}",
                            facts=tuple(f"{k}:{s}" for s in steps),
                            accidentals=ACCIDENTALS[k],
                            run=f"{k}.{c}.{down}",
                            place=degree,
                        )
                    )
                    key.append(k)
                    shape.append(2 * c + down)
                    facts.append(different + (NONE,) * (4 - len(different)))
                    notes.append(own)
                    parts.append(np.array((SIGNATURE + k, procedure, *different, CHUNK + n)))
    return Course(
        tuple(items), np.array(key), np.array(shape), np.array(facts), tuple(notes), tuple(parts)
    )


@dataclass(frozen=True, slots=True)
class Structure:
    """How fast the parts are learned and what is known at the start."""

    part_rate: float
    chunk_rate: float
    composes: bool
    """False: a cell is its chunk alone and nothing is shared."""
    known: float
    """Knowledge of the easiest key at the start, 0 to 1; it falls with each accidental."""
    known_keys: int = -1
    """Keys with up to this many accidentals are known well; -1: none."""


SETTINGS = {
    "structured": Structure(part_rate=1.0, chunk_rate=0.25, composes=True, known=0.6),
    "medium": Structure(part_rate=0.6, chunk_rate=0.7, composes=True, known=0.55),
    "independent": Structure(part_rate=0.0, chunk_rate=1.6, composes=False, known=0.3),
    "advanced": Structure(part_rate=0.6, chunk_rate=0.7, composes=True, known=0.5, known_keys=3),
}


class World:
    """Memory parts of one kind; subclasses say how they are kept."""

    def __init__(self, known: Array, rng: np.random.Generator) -> None:
        raise NotImplementedError

    def chance(self, parts: Array, now: float) -> Array:
        """Chance that each part is recalled at ``now`` (days)."""
        raise NotImplementedError

    def all_chances(self, now: float) -> Array:
        return self.chance(np.arange(PARTS), now)

    def practise(self, parts: Array, success: Array, rates: Array, now: float) -> None:
        """One presentation of each part."""
        raise NotImplementedError


class Integrator(World):
    TAU = np.array([0.02, 0.1, 0.5, 2.5, 12.0, 60.0, 300.0])
    SHARE = np.array([1.0, 0.95, 0.9, 0.86, 0.82, 0.78, 0.74])

    def __init__(self, known: Array, rng: np.random.Generator) -> None:
        self.x = np.zeros((PARTS, len(self.TAU)))
        self.x[:, 3:] = known[:, None]
        self.last = np.zeros(PARTS)
        self.gamma = self.SHARE / self.SHARE.sum()
        self.cumulative = np.cumsum(self.SHARE)

    def _levels(self, parts: Array, now: float) -> Array:
        levels: Array = self.x[parts] * np.exp(-(now - self.last[parts])[:, None] / self.TAU)
        return levels

    def chance(self, parts: Array, now: float) -> Array:
        chances: Array = np.minimum(1.6 * (self._levels(parts, now) @ self.gamma), 0.995)
        return chances

    def practise(self, parts: Array, success: Array, rates: Array, now: float) -> None:
        x = self._levels(parts, now)
        predicted = np.cumsum(x * self.SHARE, axis=1) / self.cumulative
        step = rates * np.where(success, 0.32, 0.19)
        x += np.minimum(step, 1.0)[:, None] * np.maximum(1.0 - predicted, 0.0)
        self.x[parts] = x
        self.last[parts] = now


class Activation(World):
    DECAY, SCALE, THRESHOLD, NOISE = 0.177, 0.217, -0.704, 0.255
    BETWEEN = 0.025
    SESSION_GAP = 0.02
    """Days: a longer gap is time between sessions."""

    def __init__(self, known: Array, rng: np.random.Generator) -> None:
        self.now = 0.0
        self.clock = 60 * 86400.0 * self.BETWEEN
        n = 4096
        self.part = np.zeros(n, dtype=np.int64)
        self.when, self.decay, self.weight = np.zeros(n), np.zeros(n), np.zeros(n)
        self.size = 0
        self.own = [np.zeros((3, 8)) for _ in range(PARTS)]
        """Instants, decays and weights of each part's traces, again, for single parts."""
        self.count = [0] * PARTS
        # What is known at the start is one old trace of the weight that gives that chance.
        logit = np.log(known.clip(1e-4, 0.99) / (1 - known.clip(1e-4, 0.99)))
        weight = np.exp(self.THRESHOLD + self.NOISE * logit) * self.clock**self.DECAY
        for part in range(PARTS):
            self._add(part, 0.0, self.DECAY, float(weight[part]))

    def _add(self, part: int, when: float, decay: float, weight: float) -> None:
        if self.size == len(self.part):
            for name in ("part", "when", "decay", "weight"):
                old = getattr(self, name)
                setattr(self, name, np.concatenate([old, np.zeros_like(old)]))
        n = self.size
        self.part[n], self.when[n], self.decay[n], self.weight[n] = part, when, decay, weight
        self.size += 1
        m = self.count[part]
        if m == self.own[part].shape[1]:
            self.own[part] = np.concatenate([self.own[part], np.zeros((3, m))], axis=1)
        self.own[part][:, m] = when, decay, weight
        self.count[part] = m + 1

    def _time(self, now: float) -> float:
        away = now - self.now
        return self.clock + away * 86400.0 * (self.BETWEEN if away > self.SESSION_GAP else 1.0)

    def _sums(self, parts: Array, now: float) -> Array:
        time = self._time(now)
        out = np.empty(len(parts))
        for n, part in enumerate(parts):
            when, decay, weight = self.own[part][:, : self.count[part]]
            out[n] = weight @ np.maximum(time - when, 1.0) ** -decay
        return out

    def _chance(self, sums: Array) -> Array:
        x = (np.log(sums) - self.THRESHOLD) / self.NOISE
        return 0.995 / (1.0 + np.exp(-x))

    def chance(self, parts: Array, now: float) -> Array:
        return self._chance(self._sums(parts, now))

    def all_chances(self, now: float) -> Array:
        n = self.size
        ages = np.maximum(self._time(now) - self.when[:n], 1.0)
        sums = np.bincount(
            self.part[:n], self.weight[:n] * ages ** -self.decay[:n], minlength=PARTS
        )
        return self._chance(sums)

    def practise(self, parts: Array, success: Array, rates: Array, now: float) -> None:
        sums = self._sums(parts, now)
        self.clock, self.now = self._time(now), now
        for part, total, ok, rate in zip(parts, sums, success, rates, strict=True):
            decay = self.DECAY + self.SCALE * min(float(total), 4.0)
            self._add(int(part), self.clock, decay, float(rate) * (1.0 if ok else 0.7))


class Interference(World):
    FIRST_DAYS = 0.8
    SHAPE = 0.7
    COMPETITION = 0.12

    def __init__(self, known: Array, rng: np.random.Generator) -> None:
        self.storage = 3.5 * known
        self.level = np.where(known > 0, 0.35 + 0.65 * known, 0.0)
        self.last = np.full(PARTS, -10.0)
        self.habit = np.zeros(PARTS)
        self.prompts = 0
        self.key_prompt = np.full(KEYS, -1000)
        self.key_of = np.full(PARTS, -1)
        self.key_of[SIGNATURE : SIGNATURE + KEYS] = np.arange(KEYS)
        self.key_of[FACT:CHUNK] = np.repeat(np.arange(KEYS), 7)

    def _level(self, parts: Array, now: float) -> Array:
        tau = self.FIRST_DAYS * np.exp(self.storage[parts])
        return self.level[parts] * (1.0 + (now - self.last[parts]) / tau) ** -self.SHAPE

    def chance(self, parts: Array, now: float) -> Array:
        key = self.key_of[parts]
        recent = np.exp((self.key_prompt - self.prompts) / 6.0)
        rival = np.maximum(np.roll(recent, 1), np.roll(recent, -1)) * np.exp(
            -np.maximum(now - self.last.max(), 0.0) * 20.0
        )
        held_back = np.where(key >= 0, self.COMPETITION * rival[key], 0.0)
        return 0.995 * self._level(parts, now) * (1.0 - held_back) / (1.0 + self.habit[parts])

    def practise(self, parts: Array, success: Array, rates: Array, now: float) -> None:
        level = self._level(parts, now)
        gain = np.where(success, 0.75, 0.4) * (1.05 - level)
        self.storage[parts] = np.minimum(self.storage[parts] + rates * gain, 6.0)
        after = np.where(success, 0.98, 0.85)
        mix = np.minimum(rates, 1.0)
        self.level[parts] = np.maximum(level, mix * after + (1.0 - mix) * level)
        self.last[parts] = now
        self.habit[parts] = np.where(
            success, self.habit[parts] * 0.6, np.minimum(self.habit[parts] + 0.12, 0.6)
        )
        self.prompts += 1
        keys = self.key_of[parts]
        self.key_prompt[keys[keys >= 0]] = self.prompts


WORLD_TYPES: dict[str, type[World]] = {
    "integrator": Integrator,
    "activation": Activation,
    "interference": Interference,
}


@dataclass(frozen=True, slots=True)
class Response:
    right: bool
    outcomes: tuple[str, ...]
    seconds: float


class Learner:
    """One simulated player; the seed decides who it is and how it answers."""

    def __init__(self, world: str, structure: str, seed: int) -> None:
        self.rng = np.random.default_rng((seed, 7))
        who = np.random.default_rng((seed, 11))
        self.course = course()
        self.settings = SETTINGS[structure]
        self.efficacy = float(np.exp(who.normal(0.0, 0.3)))
        self.daily = np.exp(who.normal(0.0, 0.15, 400))
        part_factor = np.exp(who.normal(0.0, 0.35, PARTS))
        rate = np.full(PARTS, self.settings.part_rate)
        rate[CHUNK:] = self.settings.chunk_rate
        self.rates = rate * part_factor * self.efficacy
        self.world = WORLD_TYPES[world](self._known(who), who)

    def _known(self, who: np.random.Generator) -> Array:
        settings = self.settings
        ease = np.array([1.0 - a / 8.0 for a in ACCIDENTALS])
        if settings.known_keys >= 0:
            easy = np.array(ACCIDENTALS) <= settings.known_keys
            ease = np.where(easy, 2.0, ease)
        known = np.zeros(PARTS)
        known[SIGNATURE : SIGNATURE + KEYS] = 1.4 * settings.known * ease
        known[PROCEDURE:FACT] = 0.85 if settings.known_keys >= 0 else settings.known
        known[FACT:CHUNK] = np.repeat(1.2 * settings.known * ease, 7)
        known[CHUNK:] = settings.known * ease[self.course.key] * (0.3 if settings.composes else 1.0)
        return (known * np.exp(who.normal(0.0, 0.4, PARTS))).clip(0.0, 0.97)

    def cell_chances(self, now: float) -> Array:
        """The truth: chance of a right answer for every cell."""
        p = np.append(self.world.all_chances(now), 1.0)
        c = self.course
        chunk = p[CHUNK : CHUNK + len(c.items)]
        if not self.settings.composes:
            return (1.0 - SLIP) * chunk
        composed = p[SIGNATURE + c.key] * p[PROCEDURE + c.shape] * p[c.facts].prod(axis=1)
        chances: Array = (1.0 - SLIP) * (1.0 - (1.0 - chunk) * (1.0 - composed))
        return chances

    def cell_chance(self, cell: int, now: float) -> float:
        """The truth for one cell."""
        p = self.world.chance(self.course.parts[cell], now)
        return self._compose(p)

    def _compose(self, p: Array) -> float:
        composed = float(p[:-1].prod()) if self.settings.composes else 0.0
        return (1.0 - SLIP) * (1.0 - (1.0 - float(p[-1])) * (1.0 - composed))

    def answer(self, cell: int, now: float) -> tuple[Response, float]:
        """An answer with its true chance; the learner sees the right one and learns."""
        rng, parts = self.rng, self.course.parts[cell]
        p = self.world.chance(parts, now)
        truth = self._compose(p)
        draws = rng.random(len(parts) + 2)
        success = draws[: len(parts)] < p
        whole = bool(success[-1])
        composed = self.settings.composes and bool(success[:-1].all())
        slip = draws[-1] < SLIP
        right = (whole or composed) and not slip
        rates = self.rates[parts] * self.daily[int(now)]
        if whole and not composed:  # the parts were hardly used
            rates = rates * np.where(np.arange(len(parts)) < len(parts) - 1, 0.5, 1.0)
            success = success | True
        self.world.practise(parts, success, rates, now)
        outcomes = self._outcomes(cell, right, success, slip)
        seconds = float(np.exp(rng.normal(1.2 + 0.8 * (1.0 - truth), 0.3)))
        return Response(right, outcomes, seconds), truth

    def _outcomes(self, cell: int, right: bool, success: Array, slip: bool) -> tuple[str, ...]:
        notes = self.course.notes[cell]
        if right:
            return ("right",) * len(notes)
        parts = self.course.parts[cell]
        ok = np.ones(len(notes), dtype=bool)
        if self.settings.composes and not slip:
            failed = {int(x) for x, good in zip(parts[:-1], success[:-1], strict=True) if not good}
            ok = np.array([note not in failed for note in notes])
            if not success[0] or not success[1]:
                ok &= self.rng.random(len(notes)) < 0.5
        if ok.all():
            ok[self.rng.integers(len(notes))] = False
        return tuple("right" if good else "wrong" for good in ok)
