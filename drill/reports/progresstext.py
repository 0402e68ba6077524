"""A player's progress for the terminal: plain text, 80 columns, nothing told by colour."""

from __future__ import annotations

import shlex
import textwrap
from collections.abc import Sequence

from drill.decks.shown import harmless
from drill.memory.levels import Level
from drill.reports.figures import count, fitted, percent, tempo, width
from drill.reports.naming import key_text, shape_name
from drill.reports.progress import KeyRow, Progress, SquareRow, Standing
from drill.reports.progresstrips import Tripping
from drill.reports.progresswords import Signs, due_words, errors_words, level_words

COLUMNS = 80
MOST_WEEKS = 26
_BAR = 20


def text(made: Progress, signs: Signs) -> str:
    """The whole report, each line ended; ``signs`` stand beside the words of the levels."""
    parts = [
        _head(made, signs),
        _keys(made, signs),
        _weeks(made),
        _slips(made.trips),
        _accidentals(made.trips),
        _mixed(made.trips),
        _degrees(made.trips),
        _slowest(made.trips),
    ]
    return "\n".join("\n".join(part) + "\n" for part in parts if part)


def _wrapped(line: str, hang: int = 2) -> list[str]:
    return textwrap.wrap(
        harmless(line), COLUMNS - 1, subsequent_indent=" " * hang, break_on_hyphens=False
    ) or [""]


def _head(made: Progress, signs: Signs) -> list[str]:
    whole = made.whole
    levels = ", ".join(
        f"{made.levels[each]} {level_words(each, signs)[2:]}" for each in reversed(Level)
    )
    lines = _wrapped(
        f"{made.deck.title} ({made.deck.name}), {made.today}: {count(whole.cells, 'cell')}, "
        f"{count(whole.asked, 'answer')}, errors {errors_words(whole.error_rate)}, predicted "
        f"recall now {percent(whole.recall)} %."
    )
    lines += _wrapped(f"Cells: {levels}.")
    lines += _wrapped(f"Forecast: {due_words(made)}")
    return lines


def _keys(made: Progress, signs: Signs) -> list[str]:
    lines = [
        "Keys around the circle of fifths, by pattern",
        f"{'':<30} answers  errors  recall  tempo  level",
    ]
    for key in made.keys:
        lines.append(_key_line(key, signs))
        if not key.enough and key.standing.asked:
            lines.append(f"    errors: {errors_words(None, enough=False)}")
        lines += [_square_line(each, key, signs) for each in key.squares]
    lines += _wrapped(
        "recall: predicted now, in percent, untried cells too. tempo: locked in last, beats a "
        "minute. Under 5 answers in a key say too little for an error rate."
    )
    return lines


def _key_line(key: KeyRow, signs: Signs) -> str:
    rate = key.standing.error_rate if key.enough else None
    return _line(key_text(key.key), key.standing, rate, None, signs)


def _square_line(square: SquareRow, key: KeyRow, signs: Signs) -> str:
    rate = square.standing.error_rate if key.enough else None
    return _line(f"  {_shape(square.shape, 28)}", square.standing, rate, square.tempo, signs)


def _shape(shape: str, columns: int) -> str:
    """A pattern in so many columns; a long one is cut before its direction, which tells."""
    name = shape_name(shape)
    way = f" {name.direction}" if name.direction else ""
    rest = f" {name.more}" if name.more else ""
    whole = f"{name.cell}{way}{rest}"
    if width(whole) <= columns:
        return whole
    return f"{fitted(f'{name.cell}{rest}', columns - len(way))}{way}"


def _line(name: str, known: Standing, rate: float | None, bpm: float | None, signs: Signs) -> str:
    return (
        f"{fitted(name, 30)} {known.asked:>7} {errors_words(rate):>7} "
        f"{f'{percent(known.recall)} %':>7} {tempo(bpm):>6}  {level_words(known.level, signs)}"
    )


def bar(share: float, columns: int = _BAR) -> str:
    """A bar of that share of so many columns."""
    filled = round(max(0.0, min(share, 1.0)) * columns)
    return "#" * filled + "." * (columns - filled)


def _weeks(made: Progress) -> list[str]:
    if not made.weeks:
        return []
    shown = made.weeks[-MOST_WEEKS:]
    longest = max((week.seconds or 0.0 for week in shown), default=0.0) or 1.0
    lines = [
        "Week by week: recall of the deck at the week's end, seconds of a right answer",
        f"week of     answers errors days by heart  recall{'':<19}seconds",
    ]
    for week in shown:
        seconds = "-" if week.seconds is None else f"{week.seconds:.1f}"
        slow = bar((week.seconds or 0.0) / longest, 8)
        lines.append(
            f"{week.begins}  {week.asked:>7} {f'{percent(week.error_rate)} %':>6} "
            f"{week.practice_days:>4} {week.by_heart:>8}  {percent(week.recall):>3} % "
            f"{bar(week.recall, 16)}  {seconds:>5} {slow}"
        )
    if len(made.weeks) > len(shown):
        lines.append(f"({len(made.weeks) - len(shown)} weeks before: --json has all)")
    return lines


def command_lines(command: str) -> list[str]:
    """A command to copy, within the width; broken where a shell lets it be."""
    lines, line = [], "     "
    for word in map(shlex.quote, shlex.split(command)):
        if width(line) + width(word) + 1 > COLUMNS - 4 and line.strip():
            lines.append(f"{line} \\")
            line = "        "
        line += f" {word}"
    return [*lines, line]


def _drills(commands: Sequence[str]) -> list[str]:
    return [line for command in commands for line in command_lines(command)]


def _slips(trips: Tripping) -> list[str]:
    if not trips.slips:
        return ["What trips you: nothing so far has a name."] if trips.answers else []
    lines = ["What trips you: slips by kind, and the practice that answers each"]
    for each in trips.slips:
        name = fitted(harmless(each.slip), 28)
        lines.append(f"  {name} {each.count:>5} {percent(each.share):>4} %")
        lines += command_lines(each.drill)
    return lines


def _accidentals(trips: Tripping) -> list[str]:
    if not trips.accidentals:
        return []
    lines = ["Accidentals you miss"]
    for each in trips.accidentals:
        name = f"{each.note} in {key_text(each.key)}"
        lines.append(_rate_line(name, each.missed, each.asked, each.share))
    return lines + _drills(trips.accidentals_drill)


def _mixed(trips: Tripping) -> list[str]:
    if not trips.mixed:
        return []
    lines = ["Keys you take for another"]
    for each in trips.mixed:
        lines.append(_rate_line(key_text(each.key), each.mixed, each.asked, each.share))
        if each.others:
            others = ", ".join(f"{key_text(key)} ({count})" for key, count in each.others)
            lines += _wrapped(f"    for {others}", hang=6)
    return lines + _drills(trips.mixed_drill)


def _rate_line(name: str, missed: int, asked: int, share: float) -> str:
    return f"  {fitted(harmless(name), 28)} {missed:>5} of {asked:<5} {percent(share):>3} %"


def _degrees(trips: Tripping) -> list[str]:
    if not any(each.missed for each in trips.degrees):
        return []
    lines = [
        "Where runs break: cells missed on each degree; whole runs that broke there,",
        "of those that came so far without a slip",
    ]
    for each in trips.degrees:
        runs = f"  {each.broken:>3} of {each.runs} runs" if each.runs else ""
        name = f"{each.direction.value:<4} on {each.label}"
        rate = each.missed / each.asked
        lines.append(f"{_rate_line(name, each.missed, each.asked, rate)}{runs}")
    return lines + _drills(trips.degrees_drill)


def _slowest(trips: Tripping) -> list[str]:
    if not trips.slowest:
        return []
    lines = ["Slowest cells, right answers only (median seconds)"]
    for each in trips.slowest:
        key, on = f"{key_text(each.key)}, ", f" on {each.label}"
        name = f"{key}{_shape(each.shape, max(12, 48 - width(key) - width(on)))}{on}"
        lines.append(f"  {fitted(name, 48)} {each.seconds:>6.1f} s  {count(each.times, 'time')}")
    return lines + _drills(trips.slowest_drill)
