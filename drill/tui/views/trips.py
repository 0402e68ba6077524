"""What trips me as lines: pictures in text, a word and a number beside each."""

from __future__ import annotations

from dataclasses import dataclass

from drill.tui.glyphs import Glyphs
from drill.tui.layout import block, cut, footed, shortened, window
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.tui.tripping import WEEKS, Trip, TripSection
from drill.wording.known import trips_heading
from drill.wording.screens import COUNTING

_BAR = 16
"""Cells of a bar and of a curve."""
_LABEL = 22


@dataclass(frozen=True, slots=True)
class TripsView:
    """What stands on the screen."""

    title: str = ""
    sections: tuple[TripSection, ...] | None = None
    """None while it is being worked out."""
    figures: str = ""
    """How much is known, in a sentence."""
    forecast: str = ""
    """When the deck will be by heart; empty while that is worked out."""
    chosen: int = 0
    """The row stood on, counted over all sections."""
    notice: str = ""

    @property
    def trips(self) -> tuple[Trip, ...]:
        """Every row."""
        return tuple(trip for section in self.sections or () for trip in section.trips)

    @property
    def here(self) -> Trip | None:
        """The row stood on; None where there is none."""
        rows = self.trips
        return rows[min(self.chosen, len(rows) - 1)] if rows else None


def trips_lines(view: TripsView, glyphs: Glyphs, width: int, height: int) -> Lines:
    """The screen without its last line."""
    title = line(Stretch(f" {trips_heading(glyphs.text(view.title))}", Role.TITLE))
    rows: list[Line] = [cut(title, width, glyphs.ellipsis)]
    if view.sections is None:
        said = view.notice or COUNTING
        return (*rows, BLANK, *block(glyphs.text(said), width))
    for told in (view.figures, view.forecast):
        rows += shortened(block(glyphs.text(told), width, Role.DIM), 3, width, glyphs.ellipsis)
    notice = block(glyphs.text(view.notice), width, Role.NOTICE)
    notice = shortened(notice, max(2, height // 3), width, glyphs.ellipsis)
    body, at = _body(view, glyphs, width)
    room = max(1, height - len(rows) - 1 - len(notice))
    rows += [BLANK, *(body[row] for row in window(at, len(body), room))]
    return footed(rows, notice, height)


def _body(view: TripsView, glyphs: Glyphs, width: int) -> tuple[list[Line], int]:
    """The sections, and the line of the row stood on."""
    rows: list[Line] = []
    at, number = 0, 0
    for section in view.sections or ():
        if rows:
            rows.append(BLANK)
        head = line(Stretch(f" {section.title}", Role.STRONG))
        if not section.trips:
            head = (*head, Stretch(f"   {section.empty}", Role.DIM))
        rows.append(head)
        for trip in section.trips:
            here = trip is view.here
            if here:
                at = len(rows)
            rows.append(_row(trip, here, glyphs, width))
            number += 1
    return rows, at


def _row(trip: Trip, here: bool, glyphs: Glyphs, width: int) -> Line:
    size = min(_LABEL, width // 3)
    label = cut(line(Stretch(glyphs.text(trip.label))), size, glyphs.ellipsis)
    text = "".join(span.text for span in label).ljust(size)
    picture = bar(trip.share, glyphs) if trip.share is not None else spark(trip.curve, glyphs)
    mark = Stretch(f" {glyphs.pointer} " if here else "   ", Role.KEY)
    left = line(mark, Stretch(f"{text} ", Role.CHOSEN if here else Role.PLAIN), Stretch(picture))
    return cut((*left, Stretch(f"  {glyphs.text(trip.told)}", Role.DIM)), width, glyphs.ellipsis)


def bar(share: float, glyphs: Glyphs) -> str:
    """A bar of that share, at least one cell where it is not nothing."""
    cells = min(_BAR, max(1 if share > 0 else 0, round(share * _BAR)))
    return (glyphs.block * cells).ljust(_BAR)


def spark(curve: tuple[float | None, ...], glyphs: Glyphs) -> str:
    """A curve, a cell a week and as high as the share; a week without answers is a gap."""
    steps = glyphs.spark
    cells = (
        " " if share is None else steps[min(len(steps) - 1, int(share * len(steps)))]
        for share in curve[-_BAR:]
    )
    return "".join(cells).ljust(_BAR)


assert WEEKS <= _BAR  # a curve is as wide as a bar
