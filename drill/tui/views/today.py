"""Today as lines: what is due, in which decks, and about how many minutes it takes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from drill.tui.glyphs import Glyphs
from drill.tui.layout import block, cut, footed, shortened, top, window
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.wording.assigned import FROM_TEACHER, due_brief, due_words
from drill.wording.screens import NO_DECKS, READING
from drill.wording.today import COLUMNS, HELLO, UNUSABLE, deck_told

if TYPE_CHECKING:
    from drill.tui.tally import Tally

_NOTE = 2
"""Lines of a teacher's note; more of it stands on Decks."""
WIDE = 76
"""Columns from which all the numbers are shown."""


@dataclass(frozen=True, slots=True)
class Today:
    """What Today knows."""

    decks: tuple[Tally, ...] = ()
    chosen: int = 0
    date: str = ""
    ready: bool = False
    """False until the decks are listed."""
    fresh: bool = False
    """True for a player who has answered nothing yet."""
    notice: str = ""
    past: str = ""
    """On how many days anything was practised, and when last."""
    today: dt.date | None = None
    forecasts: tuple[tuple[Path, str], ...] = ()
    """When decks will be by heart, as far as that was worked out."""


def today(view: Today, glyphs: Glyphs, width: int, height: int) -> Lines:
    """The screen without its last line."""
    rows: list[Line] = [top("Today", view.date, width, glyphs.ellipsis), BLANK]
    if not view.decks:
        said = NO_DECKS if view.ready else READING
        return (*rows, *block(glyphs.text(view.notice or said), width, Role.NOTICE))
    rows += _suggestion(view, glyphs, width)
    rows += [BLANK] if height > 14 else []
    wide = width >= WIDE
    rows.append(_heads(wide, width))
    notice = block(glyphs.text(view.notice), width, Role.NOTICE)
    notice = shortened(notice, 4 if height > 14 else 2, width, glyphs.ellipsis)
    room = max(1, height - len(rows) - len(notice) - (1 if notice else 0))
    for index in window(view.chosen, len(view.decks), room):
        deck, due = view.decks[index], ""
        if view.today is not None and (deck.assigned or deck.known_by is not None):
            due = due_brief(deck.known_by, view.today, met=deck.met)
        rows.append(_row(deck, due, index == view.chosen, glyphs, wide, width))
    return footed(rows, notice, height if notice else min(height, len(rows)))


def _suggestion(view: Today, glyphs: Glyphs, width: int) -> list[Line]:
    """The practice that Enter begins."""
    deck = view.decks[view.chosen]
    title = cut(line(Stretch(f" {glyphs.text(deck.title)}", Role.STRONG)), width, glyphs.ellipsis)
    rows = [title, *block(glyphs.text(deck_told(deck)), width)]
    if deck.known_by is not None and view.today is not None:
        told = due_words(deck.known_by, view.today, met=deck.met)
        rows += block(told, width)
    if deck.note:
        said = f"{FROM_TEACHER}: {glyphs.text(deck.note)}"
        note = block(" ".join(said.split()), width)
        rows += shortened(note, _NOTE, width, glyphs.ellipsis)
    ahead = dict(view.forecasts).get(deck.path, "")
    for told in (view.past, ahead):
        rows += block(glyphs.text(told), width, Role.DIM)
    if view.fresh:
        rows += block(HELLO, width, Role.DIM)
    return rows


def _heads(wide: bool, width: int) -> Line:
    names = COLUMNS if wide else COLUMNS[:2]
    numbers = "".join(f"{name:>{_size(name)}}" for name in names)
    return line(Stretch(" " * (width - len(numbers) - 1)), Stretch(numbers, Role.DIM))


def _size(name: str) -> int:
    return max(len(name), 4) + 2


def _row(deck: Tally, due: str, here: bool, glyphs: Glyphs, wide: bool, width: int) -> Line:
    """A deck with its numbers; ``due`` by when a teacher wants it."""
    names = COLUMNS if wide else COLUMNS[:2]
    if deck.problem:
        numbers = UNUSABLE
    elif deck.cells is None:
        numbers = glyphs.ellipsis
    else:
        counts = (deck.due, deck.untried, deck.shaky, deck.holding, deck.by_heart)
        numbers = "".join(
            f"{number or glyphs.dot:>{_size(name)}}"
            for name, number in zip(names, counts, strict=False)
        )
    role = Role.CHOSEN if here else Role.PLAIN
    mark = Stretch(f" {glyphs.pointer} " if here else "   ", Role.KEY)
    room = width - len(numbers) - 6 - (len(due) + 2 if due else 0)
    title = cut(line(Stretch(glyphs.text(deck.title), role)), room, glyphs.ellipsis)
    if due:
        title = (*title, Stretch(f"  {due}", Role.STRONG))
    gap = width - 3 - sum(len(s.text) for s in title) - len(numbers) - 1
    return (mark, *title, Stretch(" " * max(1, gap)), Stretch(numbers, role if here else Role.DIM))


def suggested(decks: Sequence[Tally], last: Path | None, first_deck: str) -> int:
    """The deck to stand on: the one practised last, else the first deck, else any."""
    paths = [deck.path for deck in decks]
    if last in paths:
        return paths.index(last)
    names = [deck.name for deck in decks]
    return names.index(first_deck) if first_deck in names else 0
