"""A player's progress as a report."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from drill.memory.levels import ENOUGH, Level
from drill.memory.progress import LEAST_DAYS, Forecast
from drill.reports.figures import count, percent
from drill.reports.naming import key_text, shape_name
from drill.reports.progress import KeyRow, Progress, SquareRow, Standing
from drill.reports.progresstrips import DegreeRow, Tripping
from drill.reports.report import (
    Column,
    Figure,
    Form,
    Mark,
    Report,
    Style,
    Table,
    Value,
    shape_columns,
)

TOO_FEW = "not enough answers yet"
FARTHEST_DAYS = 3650.0
"""A day farther away than this is not named."""
MOST_WEEKS = 52

Signs = tuple[str, str, str, str, str]
"""A sign beside each level's word: untried, shaky, holding, fading, by heart."""


def progress_report(made: Progress, signs: Signs) -> Report:
    """The report of a player's progress with a deck."""
    return Report(
        title=f"{made.deck.title} ({made.deck.name}), {made.today}",
        kind="Progress",
        made=made.made,
        figures=_figures(made),
        parts=(
            _keys(made),
            _patterns(made),
            _weeks(made),
            *_trips(made.trips),
        ),
        lead=(due_words(made),),
        signs=signs,
    )


def _figures(made: Progress) -> tuple[Figure, ...]:
    deck, whole, ahead = made.deck, made.whole, made.forecast
    due = deck.due.isoformat() if deck.due else None
    return (
        Figure("deck", "", deck.name),
        Figure("title", "", deck.title),
        Figure("fingerprint", "", deck.fingerprint),
        Figure("day", "", made.today),
        Figure("goal.recall", "", made.goal.recall),
        Figure("goal.days", "", made.goal.days),
        Figure("due", "", due),
        Figure("cells", "cells", whole.cells, Form.COUNT),
        Figure("answers", "answers", whole.asked, Form.COUNT),
        Figure("slips", "", whole.slips),
        Figure("error_rate", "errors", whole.error_rate, Form.SHARE),
        Figure("recall", "recall now", whole.recall, Form.SHARE),
        Figure("cells_asked", "", whole.tried),
        Figure("level", "", whole.level, Form.LEVEL),
        *(
            Figure(f"levels.{each}", str(each), made.levels[each], Form.COUNT)
            for each in reversed(Level)
        ),
        Figure("forecast.by_heart", "", ahead.by_heart),
        Figure("forecast.steps_left", "", ahead.steps_left),
        Figure("forecast.steps_a_day", "", ahead.steps_a_day),
        Figure("forecast.practice_days", "", ahead.practice_days),
        Figure("forecast.enough_days", "", ahead.enough),
        Figure("forecast.days", "", ahead.days),
        Figure("forecast.soonest", "", ahead.soonest),
        Figure("forecast.latest", "", ahead.latest),
        Figure("trips.answers", "", made.trips.answers),
    )


# -- keys and patterns


_RECALL_HOW = (
    "Recall: predicted now, in percent, untried cells too; the larger the square on a page, the "
    f"less. Errors: {TOO_FEW} to say where there is none (under {ENOUGH} in the key)."
)


_Row = KeyRow | tuple[KeyRow, SquareRow]


def _mark(known: Standing) -> Mark:
    return Mark(known.recall, percent(known.recall) + " %")


def _standing_columns(of: str) -> tuple[Column, ...]:
    """Columns of the standing at the end of a path of attributes."""

    def known(item: _Row) -> Standing:
        return item.standing if isinstance(item, KeyRow) else item[1].standing

    def rate(item: _Row) -> float | None:
        key = item if isinstance(item, KeyRow) else item[0]
        return known(item).error_rate if key.enough else None

    return (
        Column("cells", "", lambda e: known(e).cells),
        Column("cells_asked", "", lambda e: known(e).tried),
        Column("", "Asked", lambda e: f"{known(e).tried} of {known(e).cells}"),
        Column("answers", of, lambda e: known(e).asked, Form.COUNT),
        Column("slips", "", lambda e: known(e).slips),
        Column("error_rate", "Errors", rate, Form.SHARE),
        Column("recall", "Recall", lambda e: _mark(known(e)), Form.MARK),
        Column("level", "Level", lambda e: known(e).level, Form.LEVEL),
    )


def _keys(made: Progress) -> Table:
    return Table(
        "keys",
        "Keys around the circle of fifths",
        (
            Column("key", "Key", lambda e: e.key, Form.KEY),
            *_standing_columns("Answers"),
            Column("enough_answers", "", lambda e: e.enough),
        ),
        made.keys,
        how=_RECALL_HOW,
    )


def _patterns(made: Progress) -> Table:
    def words(item: tuple[KeyRow, SquareRow]) -> str:
        return f"{key_text(item[0].key)}, {shape_name(item[1].shape)}"

    return Table(
        "patterns",
        "Keys by pattern",
        (
            Column("", "Key and pattern", words),
            Column("key", "", lambda e: e[0].key, Form.KEY),
            *shape_columns(lambda e: e[1].shape),
            *_standing_columns("Answers"),
            Column("locked_in_tempo", "Tempo", lambda e: e[1].tempo, Form.COUNT),
        ),
        tuple((key, each) for key in made.keys for each in key.squares),
        how="Tempo: locked in last, beats a minute.",
    )


def _weeks(made: Progress) -> Table:
    return Table(
        "weeks",
        "Week by week",
        (
            Column("begins", "Week of", lambda e: e.begins, Form.DAY),
            Column("answers", "Answers", lambda e: e.asked, Form.COUNT),
            Column("right", "", lambda e: e.right),
            Column("error_rate", "Errors", lambda e: e.error_rate, Form.SHARE),
            Column("practice_days", "Days", lambda e: e.practice_days, Form.COUNT),
            Column("by_heart", "By heart", lambda e: e.by_heart, Form.COUNT),
            Column("recall", "Recall", lambda e: e.recall, Form.BAR),
            Column("seconds", "Seconds", lambda e: e.seconds, Form.NUMBER),
        ),
        made.weeks,
        how="Recall: predicted for the whole deck at the week's last answer. Seconds: median of "
        "right answers.",
    )


# -- what trips


def _trips(trips: Tripping) -> tuple[Table, ...]:
    share = Column("share", "Share", lambda e: e.share, Form.BAR)
    nothing = "What trips you: nothing so far has a name." if trips.answers else ""
    return (
        Table(
            "trips.slips",
            "What trips you: slips by kind, and the practice that answers each",
            (
                Column("slip", "Slip", lambda e: e.slip, Form.SLIP),
                Column("count", "Times", lambda e: e.count, Form.COUNT),
                share,
                Column("drill", "The practice that answers it", lambda e: e.drill, Form.COMMAND),
            ),
            trips.slips,
            empty=nothing,
        ),
        Table(
            "trips.accidentals",
            "Accidentals you miss",
            (
                Column("", "Note", lambda e: f"{e.note} in {key_text(e.key)}"),
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
            "Keys you take for another",
            (
                Column("key", "Key", lambda e: e.key, Form.KEY),
                *_missed("mixed"),
                share,
                Column("", "For", lambda e: _others(e.others), Form.LIST),
                Column("instead", "", lambda e: _instead(e.others)),
            ),
            trips.mixed,
            after=trips.mixed_drill,
        ),
        _degrees(trips),
        Table(
            "trips.slowest",
            "Slowest cells, right answers only",
            (
                Column("", "Cell", lambda e: f"{key_text(e.key)} on {e.label}"),
                Column("key", "", lambda e: e.key, Form.KEY),
                *shape_columns(lambda e: e.shape, "Pattern"),
                Column("degree", "", lambda e: e.label),
                Column("seconds", "Seconds", lambda e: e.seconds, Form.NUMBER),
                Column("times", "Times", lambda e: e.times, Form.COUNT),
            ),
            trips.slowest,
            after=trips.slowest_drill,
        ),
    )


def _missed(name: str) -> tuple[Column, ...]:
    return (
        Column("asked", "", lambda e: e.asked),
        Column(name, "", lambda e: getattr(e, name)),
        Column("", "Missed", lambda e: f"{getattr(e, name):,} of {e.asked:,}"),
    )


def _others(others: Sequence[tuple[str, int]]) -> tuple[str, ...]:
    return tuple(f"{key_text(key)} ({times})" for key, times in others)


def _instead(others: Sequence[tuple[str, int]]) -> Value:
    return [{"key": key_text(key), "count": times} for key, times in others]


def _degrees(trips: Tripping) -> Table:
    def broke(row: DegreeRow) -> str:
        return f"{row.broken:,} of {row.runs:,} runs" if row.runs else "-"

    missed = any(each.missed for each in trips.degrees)
    return Table(
        "trips.degrees",
        "Where runs break: cells missed on each degree",
        (
            Column("", "Degree", lambda e: f"{e.direction.value} on {e.label}"),
            Column("direction", "", lambda e: e.direction.value),
            Column("degree", "", lambda e: e.label),
            *_missed("missed"),
            Column("", "Share", lambda e: e.missed / e.asked if e.asked else None, Form.BAR),
            Column("whole_runs", "", lambda e: e.runs),
            Column("broke", "", lambda e: e.broken),
            Column("", "Whole runs broke here", broke),
        ),
        trips.degrees,
        how="Of the whole runs that came so far without a slip.",
        style=Style.PLAIN if missed else Style.DATA,
        after=trips.degrees_drill,
    )


# -- the forecast in words


def due_words(made: Progress) -> str:
    """When the deck will be by heart, with how sure that is, and the day it is due."""
    said = forecast_words(made.forecast, date.fromisoformat(made.today))
    return f"{said} It is due on {made.deck.due.isoformat()}." if made.deck.due else said


def forecast_words(ahead: Forecast, today: date) -> str:
    """The forecast in a sentence or two; the interval holds 80 % of what may come."""
    if not ahead.steps_left:
        return f"All {count(ahead.cells, 'cell')} are by heart."
    done = f"{ahead.by_heart} of {count(ahead.cells, 'cell')} by heart"
    if not ahead.enough:
        return (
            f"{done}; it takes {LEAST_DAYS} practice days with progress to tell a pace "
            f"({ahead.practice_days} so far)."
        )
    pace = f"{done}; {ahead.steps_left} good days of cells to go, {ahead.steps_a_day:.1f} a day"
    if ahead.days is None or ahead.days > FARTHEST_DAYS:
        return f"{pace}: at this pace it is by heart in more than ten years."
    soonest = _day(ahead.soonest, today) or "no soonest day can be told"
    latest = _day(ahead.latest, today)
    range_ = f"{soonest} to {latest}" if latest else f"{soonest} or later, no latest day is sure"
    return f"{pace}: at this pace by heart about {_day(ahead.days, today)} (80 % sure: {range_})."


def _day(days: float | None, today: date) -> str:
    """The date so many days ahead; empty where there is none or it is too far."""
    if days is None or days > FARTHEST_DAYS:
        return ""
    return (today + timedelta(days=round(days))).isoformat()
