"""Patterns of a deck that come from outside the catalogue: lines of chords, and of music."""

from __future__ import annotations

import re
from pathlib import PurePath

from drill.decks.fields import FaultReport, FileTable, checked_text, nearest
from drill.decks.locate import Path
from drill.errors import TheoryError
from drill.shown import quoted
from drill.terms import Mode, Name, Pattern
from drill.theory.progressions import LONGEST, PROGRESSIONS, read_progression
from drill.theory.spelling import parse_name


def read_chords(
    report: FaultReport,
    path: Path,
    text: str,
    *,
    home: Name | None = None,
    led: bool = False,
    guide: bool = False,
    name: str = "",
) -> Pattern | None:
    """The pattern of a line of chords; None and a fault where it cannot be read."""
    checked = checked_text(report, path, "progression", text, LONGEST)
    if checked is None:
        return None
    try:
        return read_progression(checked, home=home, led=led, guide=guide, name=name).pattern
    except TheoryError as error:
        hint = nearest(checked, PROGRESSIONS) or 'such as "Dm7 G7 Cmaj7" or "ii7 V7 Imaj7"'
        report.at_value(path, str(error), hint)
        return None


def read_home(table: FileTable) -> Name | None:
    """The tonic that a table names with ``in``; None where it names none."""
    return table.parsed("in", parse_name, "a tonic", 'such as in = "C"')


_BARS = re.compile(r"([0-9]{1,4})(?:\s*-\s*([0-9]{1,4}))?")


def read_excerpt(table: FileTable) -> Pattern | None:
    """A line out of a file of music that lies beside the deck."""
    table.refuse(("moves_by", "roots"), "does not belong to a file of music")
    name = table.text("from")
    bars = _bars(table)
    part = table.whole("part", 1, 99, "a part") or 1
    mode = table.word("mode", Mode) or Mode.ROOT
    called = table.text("name", longest=60) or ""
    home = read_home(table)
    if name is None or bars is None:
        return None
    if PurePath(name).name != name:
        message = "from: expected the name of a file beside the deck, not a way to another folder"
        table.wrong("from", message)
        return None
    from drill.theory.excerpts import excerpt  # its reader loads music21

    path = table.report.folder / name
    try:
        return excerpt(path, bars, part=part, tonic=home, mode=mode, name=called)
    except TheoryError as error:
        table.wrong("from", f"from: {error}")
        return None


def _bars(table: FileTable) -> tuple[int, int] | None:
    """The first and last bar that a table names."""
    raw = table.raw("bars")
    text = str(raw) if isinstance(raw, int) and not isinstance(raw, bool) else table.text("bars")
    match = _BARS.fullmatch(text.strip()) if text is not None else None
    if "bars" not in table:
        table.report.at_key(table.path, "bars is missing", 'such as bars = "5-6"')
    elif text is not None and match is None:
        table.wrong("bars", f"bars: {quoted(text)} is not a bar or bars", 'such as "5-6"')
    if match is None:
        return None
    first, last = int(match[1]), int(match[2] or match[1])
    if last < first:
        table.wrong("bars", f"bars: {last} is before {first}")
        return None
    return first, last
