"""Walking a run: the teacher's way of taking the page away.

The run is shown whole and spelled once in order; then with every other cell covered; then
with all of them covered.  Everything in it was read minutes before, so what is typed is kept
in the log and does not teach the model.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

from drill.errors import UsageError
from drill.memory.introducing import IntroPlace
from drill.memory.items import Item
from drill.memory.state import State as Memory
from drill.practice.course import Plan
from drill.practice.syllabus import Entry, Syllabus
from drill.terms import Direction, Note
from drill.wording.decks import no_run_told


class Stage(IntEnum):
    """How much of the run is covered."""

    WHOLE = 1
    """Nothing."""
    HALF = 2
    """Every other cell."""
    COVERED = 3
    """All of it."""


@dataclass(frozen=True, slots=True)
class ReadPage:
    """The run as it lies on the stand."""

    stage: Stage
    cells: tuple[tuple[Note, ...], ...]
    """The notes of each cell in order; an empty one is covered."""


@dataclass(frozen=True, slots=True)
class WalkStop:
    """One cell of a walk."""

    entry: Entry
    place: int
    """Its place in the run, from 0."""
    page: ReadPage


def stops(run: Sequence[Entry]) -> tuple[WalkStop, ...]:
    """The whole walk: the run three times in order."""
    return tuple(
        WalkStop(entry, place, page(run, stage))
        for stage in Stage
        for place, entry in enumerate(run)
    )


def page(run: Sequence[Entry], stage: Stage) -> ReadPage:
    """What can be read of the run; with half of it covered, its first cell can be."""
    every = {Stage.WHOLE: 1, Stage.HALF: 2, Stage.COVERED: 0}[stage]
    shown = [bool(every) and place % every == 0 for place in range(len(run))]
    notes = (entry.cell.notes if each else () for entry, each in zip(run, shown, strict=True))
    return ReadPage(stage, tuple(notes))


def walk_plan(plan: Plan, run: Sequence[Entry]) -> Plan:
    """A plan that walks a run, and nothing else."""
    return replace(
        plan,
        walk=tuple(entry.item.id for entry in run),
        prompts=len(Stage) * len(run),
        minutes=None,
        missed_again=False,
    )


def runs_of(syllabus: Syllabus, order: Mapping[str, IntroPlace]) -> tuple[tuple[Entry, ...], ...]:
    """The runs that can be walked, in the order in which they are introduced."""
    found: dict[str, list[Entry]] = {}
    for entry in syllabus.entries.values():
        if not entry.back and entry.item.run:
            found.setdefault(entry.item.run, []).append(entry)
    runs = [tuple(sorted(run, key=lambda entry: entry.item.place)) for run in found.values()]
    return tuple(sorted(runs, key=lambda run: _stand(order[run[0].item.id])))


def _stand(place: IntroPlace) -> tuple[int, bool]:
    return place.key, place.later


@dataclass(frozen=True, slots=True)
class WantedRun:
    """Which run is to be walked: the first, in order of introduction, that is all this."""

    item: str = ""
    """Id of one of its cells; empty for any."""
    key: str | None = None
    """Its written tonic, as ``Bb``; None for any."""
    pattern: str | None = None
    """Its pattern's id, or its cell; None for any."""
    direction: Direction | None = None

    def fits(self, run: Sequence[Entry]) -> bool:
        """Whether a run is meant."""
        own = run[0].run
        return (
            (not self.item or any(entry.item.id == self.item for entry in run))
            and self.key in (None, str(own.key.tonic))
            and self.pattern in (None, own.pattern.id, own.pattern.text)
            and self.direction in (None, own.direction)
        )


def wanted_run(
    syllabus: Syllabus, order: Mapping[str, IntroPlace], wanted: WantedRun
) -> tuple[Entry, ...]:
    """The run that is meant.  Raises UsageError where the deck has none such."""
    for run in runs_of(syllabus, order):
        if wanted.fits(run):
            return run
    way = wanted.direction.value if wanted.direction else None
    raise UsageError(no_run_told(syllabus.deck.title, (wanted.key, wanted.pattern, way)))


def is_first_meeting(memory: Memory, item: Item) -> bool:
    """Whether no cell of this pattern in this direction was ever asked."""
    place = memory.shapes.index.get(item.shape)
    return place is None or memory.shapes.last[place] != memory.shapes.last[place]  # NaN: never
