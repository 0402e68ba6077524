"""What one player reads of his memory of a deck: how well, since when, how soon, what trips.

One value, ``Progress``, is shown as text, JSON and a page; every figure is worked out
here, from the model and the log.  Shares and chances are 0 to 1.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from drill.decks.schema import Deck
from drill.memory.advice import Advice
from drill.memory.forecast import Forecast
from drill.memory.items import Answer, Item
from drill.memory.levels import ByHeart, Level, enough, goal_of, level, together
from drill.memory.model import predict
from drill.memory.progress import Week, weeks
from drill.memory.state import State
from drill.reports.naming import key_order, shape_order
from drill.reports.progresstrips import Spot, Tripping, tripping


@dataclass(frozen=True, slots=True)
class CellsStanding:
    """How well some cells are known together."""

    cells: int
    asked: int
    slips: int
    recall: float
    """Mean predicted chance of a right answer now, over all the cells, untried ones too."""
    level: Level
    """That of the cells that were asked."""
    levels: Counter[Level]
    """How many cells stand at each level."""

    @property
    def tried(self) -> int:
        """How many cells were asked."""
        return self.cells - self.levels[Level.UNTRIED]

    @property
    def error_rate(self) -> float | None:
        """Share of answers that were not right; None where nothing was asked."""
        return self.slips / self.asked if self.asked else None


@dataclass(frozen=True, slots=True)
class SquareRow:
    """A pattern with its direction, in one key."""

    shape: str
    standing: CellsStanding
    tempo: float | None
    """Beats a minute at which it was locked in last; None: not yet."""
    horn_tempo: float | None = None
    """The same on the horn."""


@dataclass(frozen=True, slots=True)
class KeyRow:
    """A key, over all the patterns and by each."""

    key: str
    standing: CellsStanding
    enough: bool
    """False: fewer answers in this key than it takes to speak of an error rate."""
    squares: tuple[SquareRow, ...]


@dataclass(frozen=True, slots=True)
class Progress:
    """Everything that is shown."""

    source: ProgressSource
    made: datetime
    today: str
    """The present practice day, as an ISO date."""
    goal: ByHeart
    whole: CellsStanding
    keys: tuple[KeyRow, ...]
    """Scale by scale around the circle of fifths, from flats to sharps."""
    weeks: tuple[Week, ...]
    """Oldest first; weeks without practice are left out."""
    trips: Tripping


def standing(state: State, items: Sequence[Item], now: datetime, goal: ByHeart) -> CellsStanding:
    """How well the items are known together; there is at least one."""
    records = [state.record(item) for item in items]
    levels = Counter(level(state, item, now, goal) for item in items)
    return CellsStanding(
        len(items),
        sum(record.asked for record in records),
        sum(record.slips for record in records),
        sum(predict(state, item, now).p for item in items) / len(items),
        together(levels, goal.recall),
        levels,
    )


@dataclass(frozen=True, slots=True)
class ProgressSource:
    """What a report is made from."""

    deck: Deck
    spots: tuple[Spot, ...]
    """The deck's cells, at least one."""
    state: State
    answers: tuple[Answer, ...]
    """The whole log in its order."""
    items: Mapping[str, Item]
    """Every item of the log, by id."""
    tempos: Mapping[tuple[str, str], float]
    """Locked-in tempo by key and shape."""
    forecast: Forecast | None = None
    """When it will be by heart; None where it was not worked out."""
    advice: Advice | None = None
    """Whether it is enough for today; None where nothing of the deck was asked today."""
    horn_tempos: Mapping[tuple[str, str], float] = field(default_factory=dict)
    """Those of takes, on the horn."""


def progress(source: ProgressSource, now: datetime, today: str) -> Progress:
    """The report at an instant; ``today`` is its practice day (ISO)."""
    asked = source.deck.goal
    goal = goal_of(asked.right, asked.days, asked.ask)
    items = [spot.item for spot in source.spots]
    grouped: dict[str, dict[str, list[Item]]] = defaultdict(lambda: defaultdict(list))
    for item in items:
        grouped[item.key][item.shape].append(item)
    return Progress(
        source=source,
        made=now,
        today=today,
        goal=goal,
        whole=standing(source.state, items, now, goal),
        keys=tuple(
            _key_row(source, key, grouped[key], now, goal) for key in sorted(grouped, key=key_order)
        ),
        weeks=weeks(source.answers, source.items, items, goal),
        trips=tripping(source.deck, source.spots, source.answers),
    )


def _key_row(
    source: ProgressSource, key: str, shapes: Mapping[str, list[Item]], now: datetime, goal: ByHeart
) -> KeyRow:
    squares = tuple(
        SquareRow(
            shape,
            standing(source.state, shapes[shape], now, goal),
            source.tempos.get((key, shape)),
            source.horn_tempos.get((key, shape)),
        )
        for shape in sorted(shapes, key=shape_order)
    )
    items = [item for shape in shapes.values() for item in shape]
    return KeyRow(key, standing(source.state, items, now, goal), enough(source.state, key), squares)
