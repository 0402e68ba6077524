"""A player's progress as a report."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from drill.memory.forecast import Forecast
from drill.memory.levels import ENOUGH, Level
from drill.reports.progress import CellsStanding, KeyRow, Progress, SquareRow
from drill.reports.progresstrips import DegreeRow, Tripping
from drill.reports.report import (
    Column,
    Figure,
    Form,
    Mark,
    Report,
    Table,
    TableStyle,
    Value,
    fields,
    shape_columns,
)
from drill.wording import reports as words
from drill.wording.ahead import advice_words, forecast_words
from drill.wording.figures import out_of, percent
from drill.wording.levels import level_label
from drill.wording.reports import FigureHead, Head, ReportKind, Title
from drill.wording.squares import key_text, shape_name

Signs = tuple[str, str, str, str, str]
"""A sign beside each level's word: untried, shaky, holding, fading, by heart."""


def progress_report(made: Progress, signs: Signs) -> Report:
    """The report of a player's progress with a deck."""
    deck = made.source.deck
    return Report(
        title=f"{deck.title} ({deck.name}), {made.today}",
        kind=ReportKind.PROGRESS,
        made=made.made,
        figures=_figures(made),
        parts=(_keys(made), _patterns(made), _weeks(made), *_trips(made.trips)),
        lead=_lead(made),
        signs=signs,
    )


def _figures(made: Progress) -> tuple[Figure, ...]:
    deck, whole, advice = made.source.deck, made.whole, made.source.advice
    due = deck.due.isoformat() if deck.due else None
    return (
        Figure("deck", "", deck.name),
        Figure("title", "", deck.title),
        Figure("fingerprint", "", deck.fingerprint),
        Figure("day", "", made.today),
        Figure("goal.recall", "", made.goal.recall),
        Figure("goal.days", "", made.goal.days),
        Figure("due", "", due),
        Figure("cells", FigureHead.CELLS, whole.cells, Form.COUNT),
        Figure("answers", FigureHead.ANSWERS, whole.asked, Form.COUNT),
        Figure("slips", "", whole.slips),
        Figure("error_rate", FigureHead.ERRORS, whole.error_rate, Form.SHARE),
        Figure("recall", FigureHead.RECALL_NOW, whole.recall, Form.SHARE),
        Figure("cells_asked", "", whole.tried),
        Figure("level", "", whole.level, Form.LEVEL),
        *(
            Figure(f"levels.{each}", level_label(each), whole.levels[each], Form.COUNT)
            for each in reversed(Level)
        ),
        Figure("enough_for_today", "", advice.enough if advice else False),
        Figure("due_tomorrow", "", advice.tomorrow if advice else None),
        *_forecast_figures(made.source.forecast),
        Figure("trips.answers", "", made.trips.answers),
    )


_AHEAD = {
    "by_heart": "by_heart", "wanted": "wanted", "prompts_a_day": "prompts_a_day",
    "practice_days": "practice_days", "enough_days": "enough", "days": "days",
    "soonest": "soonest", "latest": "latest",
}  # fmt: skip
_BY_DATE = ("day", "by_heart", "least", "most", "pace")


def _forecast_figures(ahead: Forecast | None) -> tuple[Figure, ...]:
    """The forecast, and what the due date will find; None for what is not told."""
    due = ahead.due if ahead else None
    return (
        *(
            Figure(f"forecast.{name}", "", getattr(ahead, key, None))
            for name, key in _AHEAD.items()
        ),
        *(Figure(f"forecast.due.{name}", "", getattr(due, name, None)) for name in _BY_DATE),
    )


def _lead(made: Progress) -> tuple[str, ...]:
    """What is to be said before all figures."""
    source, told = made.source, [advice_words(made.source.advice)]
    if source.forecast is not None:
        today = date.fromisoformat(made.today)
        told.append(forecast_words(source.forecast, today, source.deck.due))
    return tuple(filter(None, told))


# -- keys and patterns


_Row = KeyRow | tuple[KeyRow, SquareRow]


def _mark(known: CellsStanding) -> Mark:
    return Mark(known.recall, percent(known.recall) + " %")


def _standing_columns() -> tuple[Column, ...]:
    """How well a key is known, or a pattern in it."""

    def known(item: _Row) -> CellsStanding:
        return item.standing if isinstance(item, KeyRow) else item[1].standing

    def rate(item: _Row) -> float | None:
        key = item if isinstance(item, KeyRow) else item[0]
        return known(item).error_rate if key.enough else None

    return (
        Column("cells", "", lambda e: known(e).cells),
        Column("cells_asked", "", lambda e: known(e).tried),
        Column("", Head.ASKED, lambda e: out_of(known(e).tried, known(e).cells), Form.OF),
        Column("answers", Head.ANSWERS, lambda e: known(e).asked, Form.COUNT),
        Column("slips", "", lambda e: known(e).slips),
        Column("error_rate", Head.ERRORS, rate, Form.SHARE),
        Column("recall", Head.RECALL, lambda e: _mark(known(e)), Form.MARK),
        Column("level", Head.LEVEL, lambda e: known(e).level, Form.LEVEL),
    )


def _keys(made: Progress) -> Table:
    return Table(
        "keys",
        Title.KEYS_AROUND,
        (
            Column("key", Head.KEY, lambda e: e.key, Form.KEY),
            *_standing_columns(),
            Column("enough_answers", "", lambda e: e.enough),
        ),
        made.keys,
        how=words.recall_how(ENOUGH),
    )


def _patterns(made: Progress) -> Table:
    def name(item: tuple[KeyRow, SquareRow]) -> str:
        return f"{key_text(item[0].key)}, {shape_name(item[1].shape)}"

    rows = tuple((key, each) for key in made.keys for each in key.squares)
    played = any(each.horn_tempo is not None for _, each in rows)
    return Table(
        "patterns",
        Title.KEYS_BY_PATTERN,
        (
            Column("", Head.KEY_AND_PATTERN, name),
            Column("key", "", lambda e: e[0].key, Form.KEY),
            *shape_columns(lambda e: e[1].shape),
            *_standing_columns(),
            Column("locked_in_tempo", Head.TEMPO, lambda e: e[1].tempo, Form.COUNT),
            Column(
                "locked_in_tempo_on_the_horn",
                Head.ON_THE_HORN if played else "",
                lambda e: e[1].horn_tempo,
                Form.COUNT,
            ),
        ),
        rows,
        how=words.HORN_TEMPO if played else words.TEMPO,
    )


def _weeks(made: Progress) -> Table:
    return Table(
        "weeks",
        Title.WEEKS,
        (
            Column("begins", Head.WEEK_OF, lambda e: e.begins, Form.DAY),
            Column("answers", Head.ANSWERS, lambda e: e.asked, Form.COUNT),
            Column("right", "", lambda e: e.right),
            Column("error_rate", Head.ERRORS, lambda e: e.error_rate, Form.SHARE),
            Column("practice_days", Head.DAYS, lambda e: e.practice_days, Form.COUNT),
            Column("by_heart", Head.BY_HEART, lambda e: e.by_heart, Form.COUNT),
            Column("recall", Head.RECALL, lambda e: e.recall, Form.BAR),
            Column("seconds", Head.SECONDS, lambda e: e.seconds, Form.NUMBER),
        ),
        made.weeks,
        how=words.WEEKS,
    )


# -- what trips


def _trips(trips: Tripping) -> tuple[Table, ...]:
    share = Column("share", Head.SHARE, lambda e: e.share, Form.BAR)
    return (
        Table(
            "trips.slips",
            Title.TRIPS,
            (
                Column("slip", Head.SLIP, lambda e: e.slip, Form.SLIP),
                Column("count", Head.TIMES, lambda e: e.count, Form.COUNT),
                share,
                Column("drill", Head.DRILL, lambda e: e.drill, Form.COMMAND),
            ),
            trips.slips,
            empty=words.NOTHING_TRIPS if trips.answers else "",
        ),
        Table(
            "trips.accidentals",
            Title.ACCIDENTALS,
            (
                Column("", Head.NOTE, lambda e: f"{e.note} in {key_text(e.key)}"),
                Column("note", "", lambda e: e.note),
                Column("key", "", lambda e: e.key, Form.KEY),
                *_missed("missed"),
                share,
            ),
            trips.accidentals,
            after=trips.accidentals_drill,
        ),
        Table(
            "trips.mixed_keys",
            Title.MIXED,
            (
                Column("key", Head.KEY, lambda e: e.key, Form.KEY),
                *_missed("mixed"),
                share,
                Column("", Head.INSTEAD, lambda e: _others(e.others), Form.LIST),
                Column("instead", "", lambda e: _instead(e.others)),
            ),
            trips.mixed,
            after=trips.mixed_drill,
        ),
        _degrees(trips),
        Table(
            "trips.slowest",
            Title.SLOWEST,
            (
                Column("", Head.CELL, lambda e: f"{key_text(e.key)} on {e.label}"),
                Column("key", "", lambda e: e.key, Form.KEY),
                *shape_columns(lambda e: e.shape, Head.PATTERN),
                Column("degree", "", lambda e: e.label),
                Column("seconds", Head.SECONDS, lambda e: e.seconds, Form.NUMBER),
                Column("times", Head.TIMES, lambda e: e.times, Form.COUNT),
            ),
            trips.slowest,
            after=trips.slowest_drill,
        ),
    )


def _missed(name: str) -> tuple[Column, ...]:
    return (
        *fields("asked", **{name: "missed"}),
        Column("", Head.MISSED, lambda e: out_of(e.missed, e.asked), Form.OF),
    )


def _others(others: Sequence[tuple[str, int]]) -> tuple[str, ...]:
    return tuple(words.times(key_text(key), times) for key, times in others)


def _instead(others: Sequence[tuple[str, int]]) -> Value:
    return [{"key": key_text(key), "count": times} for key, times in others]


def _degrees(trips: Tripping) -> Table:
    def broke(row: DegreeRow) -> str:
        return out_of(row.broken, row.runs, "runs") if row.runs else "-"

    missed = any(each.missed for each in trips.degrees)
    return Table(
        "trips.degrees",
        Title.DEGREES,
        (
            Column("", Head.DEGREE, lambda e: f"{e.direction.value} on {e.label}"),
            Column("direction", "", lambda e: e.direction.value),
            Column("degree", "", lambda e: e.label),
            *_missed("missed"),
            Column("", Head.SHARE, lambda e: e.missed / e.asked if e.asked else None, Form.BAR),
            Column("whole_runs", "", lambda e: e.runs),
            Column("broke", "", lambda e: e.broken),
            Column("", Head.BROKE, broke, Form.OF),
        ),
        trips.degrees,
        how=words.BREAKS,
        style=TableStyle.PLAIN if missed else TableStyle.DATA,
        after=trips.degrees_drill,
    )
