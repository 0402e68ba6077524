"""A player's progress as one HTML page that stands alone, with the figures of the text.

A square on the page is black for what is not recalled, a ring where nothing was asked;
level, sign and figures stand beside it in words, so nothing rests on colour.
"""

from __future__ import annotations

from collections.abc import Sequence

from drill.memory.levels import Level
from drill.memory.progress import Week
from drill.reports.figures import percent, tempo
from drill.reports.frame import document, figures, row, section, table
from drill.reports.markup import Child, Safe, inner, tag
from drill.reports.naming import shape_name
from drill.reports.pictures import bar, key_signs, signs, square, svg
from drill.reports.progress import KeyRow, Progress, SquareRow, Standing
from drill.reports.progresstrips import Tripping
from drill.reports.progresswords import (
    Signs,
    due_words,
    errors_words,
    level_words,
    too_few_note,
)

MOST_DRAWN = 52
"""Weeks in the picture; the table has all."""
_STEP, _HIGH = 19, 70
"""Pixels from week to week in the picture, and the height of a whole bar."""


def page(made: Progress, level_signs: Signs) -> str:
    """The whole page; the signs stand beside the words of the levels."""
    return document(
        f"{made.deck.title}, {made.today}",
        _top(made, level_signs),
        _map(made, level_signs),
        _weeks(made.weeks),
        _slips(made.trips),
        _accidentals(made.trips),
        _mixed(made.trips),
        _degrees(made.trips),
        _slowest(made.trips),
    )


def _top(made: Progress, level_signs: Signs) -> Safe:
    whole = made.whole
    facts = [
        ("cells", f"{whole.cells:,}"),
        ("answers", f"{whole.asked:,}"),
        ("errors", errors_words(whole.error_rate)),
        ("recall now", f"{percent(whole.recall)} %"),
    ]
    facts += [
        (level_words(each, level_signs), f"{made.levels[each]:,}") for each in reversed(Level)
    ]
    return tag(
        "header",
        tag("p", f"Progress with {made.deck.name}, {made.today}", class_="kicker"),
        tag("h1", made.deck.title),
        figures(facts),
        tag("p", due_words(made)),
    )


def _map(made: Progress, level_signs: Signs) -> Safe:
    heads: list[Child] = ["", "all patterns"]
    heads += [str(shape_name(shape)) for shape in made.shapes]
    rows = []
    for key in made.keys:
        found = {each.shape: each for each in key.squares}
        cells = [_square(found.get(shape), key, level_signs) for shape in made.shapes]
        rows.append(row(key_signs(key.key), _whole_key(key, level_signs), *cells))
    return section(
        "Keys around the circle of fifths, by pattern",
        "map",
        tag(
            "p",
            "The larger the square, the less is recalled. Bold: predicted recall now, in percent, "
            "untried cells too; below it errors, answers, level, and the tempo locked in. "
            f"{too_few_note()}.",
            class_="how",
        ),
        table(heads, rows, "map"),
    )


def _whole_key(key: KeyRow, level_signs: Signs) -> Safe:
    rate = key.standing.error_rate
    said = errors_words(rate, enough=key.enough or not key.standing.asked)
    return _figures(key.standing, said, None, level_signs)


def _square(here: SquareRow | None, key: KeyRow, level_signs: Signs) -> Safe:
    if here is None:
        return inner("")
    said = errors_words(here.standing.error_rate if key.enough else None)
    return _figures(here.standing, said, here.tempo, level_signs)


def _figures(known: Standing, errors: str, bpm: float | None, level_signs: Signs) -> Safe:
    return inner(
        square(known.recall if known.asked else None, 24),
        tag("b", percent(known.recall)),
        tag("br"),
        tag("small", f"{errors} of {known.asked:,}"),
        tag("br"),
        tag("small", level_words(known.level, level_signs)),
        inner(tag("br"), tag("small", f"tempo {tempo(bpm)}")) if bpm is not None else None,
    )


def _weeks(weeks: Sequence[Week]) -> Safe | None:
    if not weeks:
        return None
    rows = [
        row(
            week.begins,
            f"{week.asked:,}",
            f"{percent(week.error_rate)} %",
            f"{week.practice_days}",
            f"{week.by_heart:,}",
            f"{percent(week.recall)} %",
            _seconds(week),
        )
        for week in weeks
    ]
    heads = ("Week of", "Answers", "Errors", "Days", "By heart", "Recall", "Seconds")
    return section(
        "Week by week",
        "weeks",
        tag(
            "p",
            "Recall: predicted for the whole deck at the week's last answer. Seconds: median of "
            "right answers.",
            class_="how",
        ),
        tag("p", _drawn(weeks[-MOST_DRAWN:])),
        table(heads, rows, "students"),
    )


def _seconds(week: Week) -> str:
    return "-" if week.seconds is None else f"{week.seconds:.1f}"


def _drawn(weeks: Sequence[Week]) -> Safe:
    """Two rows of bars over the weeks: recall in percent, then seconds."""
    longest = max((week.seconds or 0.0 for week in weeks), default=0.0) or 1.0
    children: list[Child] = []
    for top, name, shares, said in (
        (14, "recall, %", [w.recall for w in weeks], [percent(w.recall) for w in weeks]),
        (
            2 * 14 + _HIGH + 14,
            "seconds",
            [(w.seconds or 0.0) / longest for w in weeks],
            [_seconds(w) for w in weeks],
        ),
    ):
        children.append(tag("text", name, x=0, y=top + _HIGH, class_="side"))
        for at, (share, figure) in enumerate(zip(shares, said, strict=True)):
            x, tall = 50 + at * _STEP, max(share * _HIGH, 1)
            children += [
                tag("rect", x=x, y=top + _HIGH - tall, width=_STEP - 6, height=tall, class_="mark"),
                tag(
                    "text",
                    figure,
                    x=x + (_STEP - 6) / 2,
                    y=top + _HIGH - tall - 3,
                    class_="foot",
                ),
            ]
    below = 2 * (14 + _HIGH) + 14 + 10
    for at, week in enumerate(weeks):
        # Not every date has room: the first of each four weeks.
        if at % 4 == 0:
            children.append(tag("text", week.begins, x=50 + at * _STEP, y=below, class_="scale"))
    label = f"Recall and speed over {len(weeks)} weeks, see the table"
    wide = max(50 + len(weeks) * _STEP, 110)
    return svg(wide, below + 4, *children, label=label, class_="mini")


def _commands(commands: Sequence[str]) -> Safe:
    """Commands to copy."""
    return inner(*(tag("p", tag("code", command)) for command in commands))


def _slips(trips: Tripping) -> Safe | None:
    if not trips.slips:
        return None
    rows = [
        row(
            each.slip,
            inner(bar(each.share, ""), " ", tag("b", f"{percent(each.share)} %")),
            f"{each.count:,}",
            tag("code", each.drill),
        )
        for each in trips.slips
    ]
    heads = ("Slip", "Share", "Times", "The practice that answers it")
    return section("What trips you", "slips", table(heads, rows, "slips"))


def _rates(
    title: str, id_: str, head: str, rows: Sequence[Safe], commands: Sequence[str]
) -> Safe | None:
    if not rows:
        return None
    heads = (head, "Share", "Missed")
    return section(title, id_, table(heads, rows, "slips"), _commands(commands))


def _rate(name: str, missed: int, asked: int, share: float) -> Safe:
    share_cell = inner(bar(share, ""), " ", tag("b", f"{percent(share)} %"))
    return row(name, share_cell, f"{missed:,} of {asked:,}")


def _accidentals(trips: Tripping) -> Safe | None:
    rows = [
        _rate(f"{signs(each.note)} in {key_signs(each.key)}", each.missed, each.asked, each.share)
        for each in trips.accidentals
    ]
    return _rates("Accidentals you miss", "accidentals", "Note", rows, trips.accidentals_drill)


def _for_others(others: Sequence[tuple[str, int]]) -> str:
    said = ", ".join(f"{key_signs(key)} ({count})" for key, count in others)
    return f", for {said}" if said else ""


def _mixed(trips: Tripping) -> Safe | None:
    rows = [
        _rate(f"{key_signs(e.key)}{_for_others(e.others)}", e.mixed, e.asked, e.share)
        for e in trips.mixed
    ]
    return _rates("Keys you take for another", "mixed", "Key", rows, trips.mixed_drill)


def _degrees(trips: Tripping) -> Safe | None:
    if not any(each.missed for each in trips.degrees):
        return None
    rows = [
        row(
            f"{each.direction.value} on {each.label}",
            inner(
                bar(each.missed / each.asked, ""),
                " ",
                tag("b", f"{percent(each.missed / each.asked)} %"),
            ),
            f"{each.missed:,} of {each.asked:,}",
            f"{each.broken:,} of {each.runs:,}" if each.runs else "-",
        )
        for each in trips.degrees
    ]
    heads = ("Degree", "Share", "Missed", "Whole runs that broke here")
    return section(
        "Where runs break", "degrees", table(heads, rows, "slips"), _commands(trips.degrees_drill)
    )


def _slowest(trips: Tripping) -> Safe | None:
    if not trips.slowest:
        return None
    rows = [
        row(
            f"{key_signs(each.key)}, {shape_name(each.shape)} on {each.label}",
            f"{each.seconds:.1f}",
            f"{each.times:,}",
        )
        for each in trips.slowest
    ]
    heads = ("Cell", "Seconds", "Times")
    return section(
        "Slowest cells, right answers only",
        "slowest",
        table(heads, rows, "slips"),
        _commands(trips.slowest_drill),
    )
