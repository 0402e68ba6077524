"""Decks as lines: the deck in view, its note and goal, and its runs cell by cell."""

from __future__ import annotations

from dataclasses import dataclass

from drill.decks.schema import Deck
from drill.shown import counted
from drill.terms import Instrument, Run
from drill.tui.layout import block, cut, shortened, spread, top
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.tui.words import Words
from drill.wording.asking import on_told, stands_on
from drill.wording.decks import goal_told, patterns_told
from drill.wording.remarks import remarks_told
from drill.wording.screens import NO_RUNS, READING, place_told
from drill.wording.sentence import Sentence, figures, sentence


@dataclass(frozen=True, slots=True)
class Decks:
    """What stands on Decks."""

    names: tuple[str, ...] = ()
    chosen: int = 0
    deck: Deck | None = None
    """None while it is read, or where it cannot be."""
    horn: Instrument | None = None
    runs: tuple[Run, ...] = ()
    """The runs of the direction in view."""
    run: int = 0
    remarks: tuple[Sentence, ...] = ()
    problem: str = ""


def decks(view: Decks, words: Words, width: int, height: int) -> Lines:
    """The screen without its last line."""
    glyphs = words.glyphs
    place = place_told("deck", view.chosen + 1, len(view.names)) if view.names else ""
    name = view.names[view.chosen] if view.names else ""
    title = view.deck.title if view.deck else name
    head = top(glyphs.text(title), place, width, glyphs.ellipsis)
    if view.deck is None:
        said = view.problem or READING
        faults = block(glyphs.text(said), width, Role.NOTICE)
        return (head, BLANK, *shortened(faults, height - 2, width, glyphs.ellipsis))
    rows: list[Line] = [head]
    for about in _about(view, view.deck, words):
        rows += shortened(block(about, width, Role.DIM), 2, width, glyphs.ellipsis)
    if view.deck.note:
        note = glyphs.text(" ".join(view.deck.note.split()))
        rows += shortened(block(note, width), max(3, height // 3), width, glyphs.ellipsis)
    rows.append(BLANK)
    return (*rows, *_run(view, words, width, height - len(rows)))[:height]


def _about(view: Decks, deck: Deck, words: Words) -> list[str]:
    """What the deck asks, in two sentences or three."""
    dot = f" {words.glyphs.dot} "
    horn = words.horn(view.horn) if view.horn else deck.instrument
    patterns = words.said(patterns_told([pattern.text for pattern in deck.patterns]))
    return [dot.join((horn, patterns, counted(len(deck.keys), "key"))), goal_told(deck)]


def _run(view: Decks, words: Words, width: int, height: int) -> list[Line]:
    """One run, a line for each cell, and where it stands among the others."""
    if not view.runs:
        return [line(Stretch(f" {NO_RUNS}", Role.DIM))]
    run = view.runs[view.run]
    way = run.direction.value
    where = place_told("run", view.run + 1, len(view.runs)) + " "
    head = spread(
        line(
            Stretch(f" {words.key(run.key)}", Role.STRONG),
            Stretch(
                f"   {words.said(sentence(figures(run.pattern.text)))} "
                f"{words.said(run.pattern.name)}, {way}"
            ),
        ),
        line(Stretch(where, Role.DIM)),
        width,
        words.glyphs.ellipsis,
    )
    rows = [head, line(Stretch(f" {words.signature(run.key)}", Role.DIM))]
    cells = [
        line(
            Stretch(f"   {words.said(on_told(stands_on(run.pattern, cell))):<7}", Role.DIM),
            Stretch(words.names(cell.notes, run.key)),
        )
        for cell in run.cells
    ]
    cells.append(
        line(Stretch("   held   ", Role.DIM), Stretch(words.name(run.close.name, run.key)))
    )
    room = max(1, height - len(rows) - (1 if view.remarks else 0))
    if len(cells) > room:
        cells = _folded(cells, room, width, words.glyphs.ellipsis)
    rows += cells[:room]
    if view.remarks:
        remark = words.said(remarks_told(view.remarks))
        rows.append(cut(line(Stretch(f" {remark}", Role.NOTICE)), width, words.glyphs.ellipsis))
    return rows


def _folded(cells: list[Line], room: int, width: int, ellipsis: str) -> list[Line]:
    """The cells in as many columns as they need."""
    columns = -(-len(cells) // room)
    size = width // columns
    rows: list[Line] = []
    for index in range(room):
        spans: list[Stretch] = []
        for column in range(columns):
            place = column * room + index
            if place < len(cells):
                cell = cut(cells[place], size - 1, ellipsis)
                gap = size - sum(len(span.text) for span in cell)
                spans += [*cell, Stretch(" " * gap)]
        rows.append(tuple(spans))
    return rows
