"""What one practice came to, key by key and note by note, gathered as its verdicts come in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from drill.marking.verdict import Outcome
from drill.memory.items import Item
from drill.memory.levels import Level
from drill.practice.effects import Judge, Prompt
from drill.terms import Key, Name
from drill.theory.spelling import parse_note

_ORDER = list(Level)
_SHAKY = _ORDER.index(Level.SHAKY)


@dataclass(frozen=True, slots=True)
class Tried:
    """How often something was asked, and missed."""

    key: Key
    note: Name | None
    """None for the key as a whole, whose answers are counted."""
    asked: int
    missed: int


class Digest:
    """The counts of one practice; copies and the closing round are no part of it."""

    def __init__(self) -> None:
        self._asked: Counter[tuple[Key, Name | None]] = Counter()
        self._missed: Counter[tuple[Key, Name | None]] = Counter()
        self._before: dict[str, tuple[Item, Level]] = {}

    def asked(self, prompt: Prompt, level_of: Callable[[Item], Level]) -> None:
        """A prompt is open: where its cell stands before the answer."""
        if prompt.item.id not in self._before:
            self._before[prompt.item.id] = (prompt.item, level_of(prompt.item))

    def judged(self, judge: Judge) -> None:
        """An answer was marked."""
        prompt, verdict = judge.prompt, judge.verdict
        if prompt.again or prompt.closing:
            return
        key = prompt.question.run.key
        self._asked[key, None] += 1
        self._missed[key, None] += not verdict.right
        if prompt.question.back:
            return
        for mark in verdict.notes:
            if mark.expected is not None:
                name = parse_note(mark.expected).name
                self._asked[key, name] += 1
                self._missed[key, name] += mark.outcome is not Outcome.RIGHT

    def missed(self, *, notes: bool) -> tuple[Tried, ...]:
        """The notes, else the keys, that were missed, the most often first."""
        found = [
            Tried(key, note, self._asked[key, note], times)
            for (key, note), times in self._missed.items()
            if times and (note is not None) is notes
        ]
        return tuple(sorted(found, key=lambda tried: (-tried.missed, tried.asked)))

    def moved(self, level_of: Callable[[Item], Level]) -> tuple[int, int]:
        """How many cells stand at a higher level than before, and how many at a lower.

        A cell that was asked for the first time and missed has gone neither way.
        """
        steps = [
            max(_ORDER.index(level_of(item)), _SHAKY) - max(_ORDER.index(before), _SHAKY)
            for item, before in self._before.values()
        ]
        return sum(step > 0 for step in steps), sum(step < 0 for step in steps)
