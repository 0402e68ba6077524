"""From the values of a TOML file to a ``Deck``, every fault collected first.

The keys of the file, in the order in which a deck is usually written:

* ``title``, ``note`` (the teacher's, may have lines), ``due`` (a date);
* ``instrument`` (an id, or ``own`` for the horn of each player's settings), or a ``[horn]``
  table for one that the program lacks (``ownhorn``);
* ``patterns`` (ids and cells), ``descent`` and ``ending`` for all of them, and
  ``[[pattern]]`` tables: ``id``, or ``cell`` or ``cells`` with ``name``, ``moves_by``,
  ``mode``; each with its own ``descent``, ``ending``, ``roots``;
* ``progression`` (a line of chords by symbol or function, a name, or a list of them), with
  ``voice_leading`` and ``guide_tones``; in a ``[[pattern]]`` table ``in`` names the key in which
  symbols are written;
* ``begin`` and ``finish`` (degrees of a run's ends), ``groups_of`` (notes, across the cells), for
  all patterns or in one's table; there also ``all``: ``rotations`` or ``permutations``;
* ``scales`` (ids, names, or degrees: ``1 2 b3 #4 5 b6 7``), or ``scale`` for one;
* ``keys`` or ``concert_keys``: tonics, a group, or a table of either by scale;
* ``directions``, ``degrees``, ``span``, ``range``, ``joined``;
* ``tempo`` (beats a minute, or ``{ start, goal }``), ``articulation``, ``swing``, ``shape``;
* ``[goal]``: ``right``, ``tempo``, ``days``, ``ask``;
* ``[practice]``: ``prompts``, ``minutes``, ``ask``, ``again``, ``missed_again``, ``new_cells``,
  ``new_keys`` (a number, or ``all``).
* ``[assignment]``: ``id``, ``given`` (a date), ``student``, ``name``, ``group``, ``who``,
  ``horn``, ``line``.

A pattern ``from`` a file of music (MusicXML or MIDI, with ``bars``, ``part`` and ``in``) is read
from the deck's own folder and becomes a cell; nothing else is ever read on a deck's behalf.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from drill.decks.fields import FaultReport, FileTable, type_word
from drill.decks.keychoice import read_keys
from drill.decks.ownhorn import EXAMPLE, note_in, read_horn
from drill.decks.patternchoice import read_patterns
from drill.decks.schema import AskKind, Assignment, Compass, Deck, Goal, Practice, Swing
from drill.decks.whereabouts import NOWHERE, Whereabouts
from drill.errors import TheoryError, UsageError
from drill.shown import quoted
from drill.terms import Contour, Direction, Instrument, Span, Tonguing
from drill.theory.instruments import (
    INSTRUMENTS,
    NO_HORN,
    OWN,
    find_instrument,
    near_instruments,
)
from drill.theory.metre import FOUR, read_click, read_metre

KEYS = (
    "title", "note", "instrument", "horn", "due", "patterns", "progression", "voice_leading",
    "guide_tones", "begin", "finish", "groups_of", "descent", "ending", "pattern", "scale",
    "scales", "keys", "concert_keys", "directions", "degrees", "span", "range", "joined", "tempo",
    "articulation", "swing", "shape", "metre", "click", "count_in", "goal", "practice",
    "assignment",
)  # fmt: skip
"""The keys of a deck file."""

SLOWEST, FASTEST = 20, 400
"""Beats a minute that a deck may ask for."""

MOST_RUNS = 5000
"""Patterns times keys times directions of one deck."""

_MEANT = {
    "bpm": "tempo",
    "chords": 'progression = "Dm7 G7 Cmaj7"',
    "changes": 'progression = "Dm7 G7 Cmaj7"',
    "direction": "directions",
    "key": "keys",
    "octave": "span",
    "octaves": "span",
    "deadline": "due",
    "date": "due",
    "cell": 'patterns = ["1-2-3-5"], or a [[pattern]] table',
    "cells": "a [[pattern]] table",
    "name": "title; commands call a deck by its file name",
    "dynamics": "shape",
    "prompts": "[practice] prompts",
    "minutes": "[practice] minutes",
    "ask": "[practice] ask",
}


def build(
    values: Mapping[str, object],
    file: str,
    places: Whereabouts = NOWHERE,
    path: Path | None = None,
) -> Deck:
    """The deck that a file's values, or options gathered by a command, stand for.

    ``file`` is how faults call the source.  Raises FaultsError with every fault.
    """
    report = FaultReport(file, places, path.parent if path else Path())
    table = FileTable(report, values)
    table.refuse_others(KEYS, _MEANT)
    title = _title(table)
    horn, own = _instrument(table)
    patterns = read_patterns(table)
    scales, keys, concert_keys = read_keys(table, horn)
    directions = _directions(table)
    tempo, goal = _tempo_and_goal(table)
    deck = Deck(
        title=title,
        instrument=horn.id if horn else "",
        own=own,
        made=horn if horn and horn.id not in INSTRUMENTS and not own else None,
        patterns=patterns,
        keys=keys,
        scales=scales,
        concert_keys=concert_keys,
        directions=directions,
        degrees=_degrees(table),
        span=_span(table),
        compass=_compass(table, None if own else horn),
        joined=table.flag("joined", False),
        tempo=tempo,
        due=table.date("due"),
        goal=goal,
        practice=_practice(table),
        articulation=table.word("articulation", Tonguing) or Tonguing.SLURRED,
        swing=_swing(table),
        contour=table.word("shape", Contour) or Contour.RISE_AND_FALL,
        metre=_read(table, "metre", read_metre, FOUR.text),
        click=_read(table, "click", read_click, "all"),
        count_in=table.whole("count_in", 1, 2, "bars") or 1,
        note=table.text("note", longest=2000, lines=True) or "",
        assignment=_assignment(table),
        name=path.stem if path else "",
        path=path,
    )
    _check_size(report, deck)
    report.raise_if_any()
    return deck


def _title(table: FileTable) -> str:
    title = table.text("title")
    if "title" not in table:
        table.report.at_key((), "title is missing", 'such as title = "Returning cells"')
    elif title == "":
        table.wrong("title", "title is empty", 'such as title = "Returning cells"')
    return title or ""


def _instrument(table: FileTable) -> tuple[Instrument | None, bool]:
    """The horn, None where it is wrong, and whether it is each player's own."""
    described = isinstance(table.raw("horn"), dict)
    if isinstance(table.raw("horn"), str):
        table.wrong("horn", "horn: expected a table", "an id goes in instrument")
    elif "horn" in table and not described:
        table.wrong("horn", f"horn: expected a table, found {type_word(table.raw('horn'))}")
    text = table.text("instrument")
    if described:
        if text is not None:
            message = "instrument and [horn]: name one of them"
            table.report.at_key(table.at("instrument"), message, "leave instrument out")
        inner = table.table("horn", EXAMPLE)
        assert inner is not None  # it is a dict
        return read_horn(inner), False
    if "instrument" not in table:
        example = 'such as instrument = "alto_sax", or "own" for each player\'s own horn'
        table.report.at_key((), "instrument is missing", example)
    if text is None:
        return None, False
    if text.casefold() == OWN:
        return NO_HORN, True
    try:
        return find_instrument(text), False
    except TheoryError:
        near = " or ".join(near_instruments(text, 2))
        hint = f"did you mean {near}?" if near else "such as alto_sax or trumpet_bb"
        table.wrong("instrument", f"there is no instrument {quoted(text)}", hint)
        return None, False


def _directions(table: FileTable) -> tuple[Direction, ...]:
    found = table.words("directions", Direction, '["up", "down"]')
    if table.raw("directions") == []:
        table.wrong("directions", "nothing to drill: directions is empty", '["up", "down"]')
    return (Direction.UP, Direction.DOWN) if found is None else found


def _degrees(table: FileTable) -> tuple[int, ...]:
    found: list[int] = []
    for path, each in table.items("degrees", "[4, 7]") or ():
        if isinstance(each, bool) or not isinstance(each, int) or not 1 <= each <= 13:
            plain = isinstance(each, int) and not isinstance(each, bool) and abs(each) < 1000
            said = str(each) if plain else type_word(each)
            message = f"degrees: expected whole numbers, 1 to 13, found {said}"
            table.report.at_value(path, message, "8 is the upper tonic")
        elif each in found:
            table.report.at_value(path, f"degrees: {each} stands here twice")
        else:
            found.append(each)
    if table.raw("degrees") == []:
        table.wrong("degrees", "nothing to drill: degrees is empty", "leave it out for all")
    return tuple(found)


def _span(table: FileTable) -> Span:
    raw = table.raw("span")
    if isinstance(raw, int) and not isinstance(raw, bool):
        if raw in (1, 2):
            return Span(str(raw))
        table.wrong("span", 'span: expected 1, 2, "octaves" or "full"', "in octaves")
        return Span.ONE
    return table.word("span", Span) or Span.ONE


def _compass(table: FileTable, horn: Instrument | None) -> Compass:
    raw = table.raw("range")
    if raw is None or raw == "standard":
        return Compass()
    if raw == "extended":
        return Compass(extended=True)
    if not isinstance(raw, dict):
        found = quoted(raw) if isinstance(raw, str) else type_word(raw)
        table.wrong(
            "range",
            f'range: expected "standard", "extended" or a table, found {found}',
            'such as { low = "D4", high = "C6" }',
        )
        return Compass()
    inner = table.table("range", "")
    assert inner is not None  # it is a dict
    inner.refuse_others(("low", "high", "extended"), {"bottom": "low", "top": "high"})
    compass = Compass(inner.flag("extended", False), note_in(inner, "low"), note_in(inner, "high"))
    if horn:
        _check_compass(inner, compass, horn)
    return compass


def _check_compass(table: FileTable, compass: Compass, horn: Instrument) -> None:
    """Own limits must be notes of the horn; brass has pedal notes, all have altissimo."""
    lowest = horn.low_extended.midi - (12 if horn.family == "brass" else 0)
    if compass.low and compass.low.midi < lowest:
        message = f"low: {compass.low} is below the lowest note of {horn.id}"
        table.wrong("low", message, f"it goes down to {horn.low_extended}")
    if compass.high and compass.high.midi > horn.high_extended.midi + 12:
        message = f"high: {compass.high} is more than an octave above the top of {horn.id}"
        table.wrong("high", message, f"it goes up to {horn.high_extended}")
    limits = compass.limits(horn)
    if limits.low and limits.high and limits.high.midi - limits.low.midi < 12:
        message = f"range: {limits.low} to {limits.high} is less than an octave"
        table.report.at_value(table.path, message, "a run needs an octave")


def _swing(table: FileTable) -> Swing | float:
    raw = table.raw("swing")
    if isinstance(raw, (int, float)) and not isinstance(raw, bool):
        if 1.0 <= raw <= 4.0:
            return float(raw)
        table.wrong("swing", "swing: expected a ratio from 1.0 to 4.0, or a word", "2.0 is triplet")
        return Swing.STRAIGHT
    return table.word("swing", Swing) or Swing.STRAIGHT


def _read(table: FileTable, key: str, read: Callable[[str], object], default: str) -> str:
    """A text that ``read`` understands, as it stands; the default where absent or refused."""
    text = table.text(key)
    if text is None:
        return default
    try:
        read(text)
    except UsageError as error:
        found, _, expected = str(error).partition("; ")
        table.wrong(key, f"{key}: {found}", expected)
        return default
    return text


def _tempo_and_goal(table: FileTable) -> tuple[int | None, Goal]:
    """Tempo to begin at and the goal; the goal's tempo may stand in either place."""
    unit = "beats a minute"
    end_at, end = ("tempo", "goal"), None
    if isinstance(table.raw("tempo"), dict):
        inner = table.table("tempo", "")
        assert inner is not None  # it is a dict
        inner.refuse_others(("start", "goal"), {"end": "goal", "begin": "start"})
        start = inner.whole("start", SLOWEST, FASTEST, unit)
        end = inner.whole("goal", SLOWEST, FASTEST, unit)
        if "start" not in inner:
            table.wrong("tempo", "tempo: start is missing", "tempo = { start = 60, goal = 96 }")
    else:
        start = table.whole("tempo", SLOWEST, FASTEST, unit)
    inner_goal = table.table("goal", "[goal] with right = 0.9")
    goal = _goal(inner_goal) if inner_goal else Goal()
    if end is not None and goal.tempo is not None:
        table.report.at_key(
            ("goal", "tempo"), "the tempo to reach is given twice", "leave out one of them"
        )
    if end is None and goal.tempo is not None:
        end_at, end = ("goal", "tempo"), goal.tempo
    if start is not None and end is not None and end < start:
        message = f"the tempo to reach, {end}, is below the one to begin at, {start}"
        table.report.at_value(end_at, message)
    return start, Goal(goal.right, end, goal.days, goal.ask)


def _goal(table: FileTable) -> Goal:
    table.refuse_others(
        ("right", "tempo", "days", "ask"), {"prompts": "ask", "share": "right", "bpm": "tempo"}
    )
    days = table.whole("days", 1, 30, "days")
    ask = table.words("ask", AskKind, '["degree", "run"]')
    plain = Goal()
    return Goal(
        _right(table, plain.right),
        table.whole("tempo", SLOWEST, FASTEST, "beats a minute"),
        plain.days if days is None else days,
        ask or (),
    )


def _right(table: FileTable, default: float) -> float:
    """A share: whole numbers are percent, decimal ones up to 1 are shares."""
    raw = table.raw("right")
    if raw is None:
        return default
    if isinstance(raw, int) and not isinstance(raw, bool) and 2 <= raw <= 100:
        return raw / 100
    if isinstance(raw, float) and 0.0 < raw <= 1.0:
        return raw
    hint = "1 could be one percent or all: write 1.0 or 100" if raw == 1 else "such as 0.9 or 90"
    table.wrong("right", "right: expected a share above 0 and up to 1.0, or a percentage", hint)
    return default


def _practice(table: FileTable) -> Practice:
    inner = table.table("practice", "[practice] with prompts = 40")
    if inner is None:
        return Practice()
    plain = Practice()
    inner.refuse_others(
        ("prompts", "minutes", "ask", "again", "missed_again", "new_cells", "new_keys"),
        {"retype": "again", "new": "new_cells", "time": "minutes"},
    )
    prompts = inner.whole("prompts", 1, 1000, "prompts")
    minutes = inner.whole("minutes", 1, 240, "minutes")
    ask = inner.words("ask", AskKind, '["next", "degree"]')
    if inner.raw("ask") == []:
        inner.wrong("ask", "nothing to ask: ask is empty", 'such as ["next", "degree"]')
    return Practice(
        plain.prompts if prompts is None and minutes is None else prompts,
        minutes,
        ask or plain.ask,
        inner.flag("again", plain.again),
        inner.flag("missed_again", plain.missed_again),
        inner.whole("new_cells", 0, 1000, "cells"),
        0 if inner.raw("new_keys") == "all" else inner.whole("new_keys", 0, 200, "keys"),
    )


def _assignment(table: FileTable) -> Assignment | None:
    inner = table.table("assignment", '[assignment] with id = "week-3"')
    if inner is None:
        return None
    inner.refuse_others(
        ("id", "given", "student", "name", "group", "who", "horn", "line"),
        {"date": "given", "due": "due, above all tables", "note": "line"},
    )
    texts = {
        name: inner.text(name, longest=longest) or ""
        for name, longest in (
            ("id", 60), ("student", 40), ("name", 60), ("group", 60), ("who", 200), ("line", 300),
        )
    }  # fmt: skip
    horn = inner.text("horn") or ""
    try:
        horn = find_instrument(horn).id if horn else ""
    except TheoryError:
        inner.wrong("horn", f"there is no instrument {quoted(horn)}")
    return Assignment(given=inner.date("given"), horn=horn, **texts)


def _check_size(report: FaultReport, deck: Deck) -> None:
    runs = len(deck.patterns) * len(deck.keys) * len(deck.directions)
    if runs > MOST_RUNS:
        report.at_key(
            ("patterns",),
            f"{runs} runs (patterns x keys x directions); a deck has at most {MOST_RUNS}",
            "make two decks",
        )
