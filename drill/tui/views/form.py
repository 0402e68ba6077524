"""A form as lines: a row for each thing that can be set or done, the one stood on explained."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto

from drill.tui.glyphs import Glyphs
from drill.tui.layout import block, cut, footed, shortened, tail, window
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line


class RowKind(Enum):
    """What Enter does on a row."""

    TURN = auto()
    """Takes the next of a few values; left and right do so too."""
    TEXT = auto()
    """Lets a value be typed."""
    OPEN = auto()
    """Opens a list to choose from."""
    ACT = auto()
    """Does something."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row."""

    name: str
    """What the form calls it."""
    label: str
    value: str = ""
    """As a player reads it."""
    kind: RowKind = RowKind.TEXT
    help: str = ""
    """A sentence or two."""
    text: str = ""
    """What typing begins with."""
    fault: str = ""
    """What is wrong with the value; empty where nothing is."""


@dataclass(frozen=True, slots=True)
class FormView:
    """What stands on a form."""

    title: str
    rows: tuple[Row, ...]
    chosen: int = 0
    editing: str | None = None
    """A value being typed; None while none is."""
    notice: str = ""

    @property
    def here(self) -> Row | None:
        """The row stood on."""
        return self.rows[min(self.chosen, len(self.rows) - 1)] if self.rows else None


def form_lines(view: FormView, glyphs: Glyphs, width: int, height: int) -> Lines:
    """The screen without its last line."""
    rows: list[Line] = [line(Stretch(f" {glyphs.text(view.title)}", Role.TITLE)), BLANK]
    told = _told(view, glyphs, width, height)
    size = min(max((len(row.label) for row in view.rows), default=0), max(16, width // 2 - 2))
    room = max(1, height - len(rows) - len(told) - 1)
    shown = _with_gaps(view.rows)
    at = next((i for i, row in enumerate(shown) if row is view.here), 0)
    inside = (shown[place] for place in window(at, len(shown), room))
    rows += [_row(view, row, size, glyphs, width) if row else BLANK for row in inside]
    return footed(rows, told, height)


def _with_gaps(rows: tuple[Row, ...]) -> list[Row | None]:
    """The rows, with a gap before those at the end that do something."""
    last = len(rows)
    while last and rows[last - 1].kind is RowKind.ACT:
        last -= 1
    return [*rows[:last], *([None] if 0 < last < len(rows) else []), *rows[last:]]


def _row(view: FormView, row: Row, size: int, glyphs: Glyphs, width: int) -> Line:
    here = row is view.here
    role = Role.CHOSEN if here else Role.PLAIN
    parts = [
        Stretch(f" {glyphs.pointer} " if here else "   ", Role.KEY),
        Stretch(f"{glyphs.text(row.label):<{size}}  ", role),
    ]
    if here and view.editing is not None:
        typed = tail(glyphs.text(view.editing), width - size - 6, glyphs.ellipsis)
        parts += [Stretch(typed), Stretch(" ", Role.CARET)]
    elif row.kind is not RowKind.ACT:
        parts.append(Stretch(glyphs.text(row.value) or glyphs.dash, role))
    if row.fault:
        parts.append(Stretch(f"  {glyphs.wrong} {glyphs.text(row.fault)}", Role.NOTICE))
    return cut(parts, width, glyphs.ellipsis)


def _told(view: FormView, glyphs: Glyphs, width: int, height: int) -> list[Line]:
    """What became of a change, else what the row stood on is for."""
    row = view.here
    if view.notice:
        said, role = view.notice, Role.NOTICE
    elif row is not None and row.fault:
        said, role = row.fault, Role.NOTICE
    else:
        said, role = (row.help if row else ""), Role.DIM
    # A fault may begin with a long path.
    most = 3 if role is Role.DIM else max(3, height // 3)
    return shortened(block(glyphs.text(said), width, role), most, width, glyphs.ellipsis)
