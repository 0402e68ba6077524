"""What can be practised, as a list to choose from: patterns, chords, progressions, typed cells."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from drill.errors import TheoryError
from drill.terms import Direction, Instrument, Key, Mode, Run
from drill.theory.chords import CHORDS, PREFIX
from drill.theory.keys import concert_key, sounding_shift
from drill.theory.patterns import PATTERNS, find_pattern, free_pattern
from drill.theory.runs import build_run
from drill.theory.scales import signature
from drill.theory.spelling import moved_note
from drill.tui.layout import indent
from drill.tui.staff import Staff, draw, given, rows_for
from drill.tui.text import Lines, Role, Stretch, line
from drill.tui.views.pick import Choice
from drill.tui.words import Words
from drill.wording.forms import AS_TYPED, MOVING, ON_EACH_ROOT, arpeggio_told, in_key


def _table(name: str, roots: str, *cells: str) -> Mapping[str, Any]:
    shapes = {"cells": list(cells)} if cells[1:] else {"cell": cells[0]}
    return {"name": name, **shapes, "mode": "root", "roots": roots}


PROGRESSIONS: Mapping[str, Mapping[str, Any]] = {
    "ii-V-I": _table("ii-V-I", "ii-V-I", "1-b3-5-b7", "1-3-5-b7", "1-3-5-7"),
    "ii-V": _table("ii-V", "ii-V", "1-b3-5-b7", "1-3-5-b7"),
    "dominant": _table(MOVING["dominant"][1], "fourths", "1-3-5-b7"),
    "major": _table(MOVING["major"][1], "fourths", "1-3-5-7"),
    "minor": _table(MOVING["minor"][1], "chromatic", "1-b3-5-b7"),
}
"""Chords over moving roots, as the ``[[pattern]]`` tables of a deck."""
_AT = "progression: "
_MOST_ROWS = 12
"""Rows of the staff that shows a choice."""


def progression(choice: str) -> Mapping[str, Any] | None:
    """The ``[[pattern]]`` table that an id of ``pattern_choices`` stands for; None for others."""
    return PROGRESSIONS.get(choice.removeprefix(_AT)) if choice.startswith(_AT) else None


def progression_id(table: Mapping[str, Any]) -> str | None:
    """The id of a progression by its table; None where it is another one."""
    found = (name for name, each in PROGRESSIONS.items() if dict(table) == dict(each))
    name = next(found, None)
    return None if name is None else _AT + name


def pattern_choices(search: str = "") -> tuple[Choice, ...]:
    """Patterns, chords and progressions; a cell that is typed comes first."""
    own: list[Choice] = []
    if any(sign.isdecimal() for sign in search):
        try:
            made = find_pattern(search.strip())
        except TheoryError:
            pass
        else:
            if made.id not in PATTERNS:
                own.append(Choice(made.text, made.text, AS_TYPED))
            else:
                own.append(Choice(made.id, made.text, made.name))
    rows = [Choice(each.id, each.text, each.name) for each in PATTERNS.values()]
    chords = [
        Choice(f"{PREFIX}{name}", f"{PREFIX}{name}", arpeggio_told(kind.name))
        for name, kind in CHORDS.items()
    ]
    moving = [Choice(_AT + name, MOVING[name][0], ON_EACH_ROOT) for name in PROGRESSIONS]
    known = {each.id for each in own}
    return (*own, *(each for each in (*rows, *moving, *chords) if each.id not in known))


def run_of(choice: str, key: Key, horn: Instrument | None) -> Run:
    """The run going up that an id stands for.  Raises TheoryError."""
    table = progression(choice)
    if table is None:
        pattern = find_pattern(choice)
    else:
        from drill.theory.patterns import ROOT_ORDERS

        cells = tuple(table["cells"]) if "cells" in table else (table["cell"],)
        pattern = free_pattern(
            cells, name=table["name"], mode=Mode.ROOT, roots=ROOT_ORDERS[table["roots"]]
        )
    return build_run(key, pattern, Direction.UP, horn=horn)


def sounding(choice: str, key: Key, horn: Instrument | None) -> tuple[int, ...]:
    """MIDI numbers of the first cells of a choice, as the horn sounds them."""
    run = run_of(choice, key, horn)
    shift = sounding_shift(key, concert_key(key, horn), horn)
    notes = [note for cell in run.cells[:4] for note in cell.notes]
    return tuple(moved_note(note, *shift).midi for note in notes)


def preview(choice: str, key: Key, horn: Instrument | None, words: Words, width: int) -> Lines:
    """The first cells of a choice on the staff in a key; a sentence where there are none."""
    try:
        run = run_of(choice, key, horn)
    except TheoryError as error:
        return (line(Stretch(f" {words.said(str(error))}", Role.DIM)),)
    fifths = signature(key)
    cells = run.cells
    for count in (3, 2, 1):
        groups = tuple(given(cell.notes, key, fifths, words) for cell in cells[:count])
        staff = Staff(horn.clef if horn else "treble", fifths, groups)
        drawn = draw(staff, width - 2, min(_MOST_ROWS, rows_for(staff)), words.glyphs)
        if drawn:
            head = line(Stretch(f" {in_key(words.key(key))}", Role.DIM))
            return (head, *(indent(row, 1) for row in drawn))
    return ()
