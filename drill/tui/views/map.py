"""The Map as lines: signatures in the order of the circle of fifths, patterns down.

A square has a sign for its level and a number; the sign and its word stand in the
legend, so that nothing is told by colour.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from drill.memory.levels import Level
from drill.terms import Direction
from drill.theory.scales import SCALES, name_of_fifths
from drill.tui.charts import CellChart, Chart, ChartRow, MapSquare
from drill.tui.glyphs import Glyphs
from drill.tui.layout import block, cut, shortened, top, window
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.tui.words import Words
from drill.wording.asking import on_told
from drill.wording.figures import out_of
from drill.wording.known import MEASURES, NOT_ASKED, map_heading, square_told
from drill.wording.levels import level_label
from drill.wording.screens import COUNTING
from drill.wording.sentence import figures, sentence
from drill.wording.slips import slip_label

_SQUARE = 4
"""Cells of a square: its sign, two figures and a gap."""
_LABEL = 18
"""Cells of a row's name."""


class Measure(StrEnum):
    """The figure that the squares show."""

    RECALL = "recall"
    """Predicted share right now, in per cent."""
    ERRORS = "errors"
    """Slips in the answers so far, in per cent."""
    ANSWERS = "answers"
    TEMPO = "tempo"
    """The tempo at which the run was locked in last."""
    HORN = "horn"
    """Cells right when last played on the horn, of those played, in per cent."""


@dataclass(frozen=True, slots=True)
class Map:
    """What stands on the Map."""

    chart: Chart | None = None
    row: int = 0
    column: int = 0
    measure: Measure = Measure.RECALL
    cells: tuple[CellChart, ...] = ()
    """The cells of the square that is open; empty while none is."""
    notice: str = ""

    @property
    def square(self) -> MapSquare | None:
        """The chosen square; None where the deck does not ask that key."""
        return self.chart.squares.get((self.row, self.column)) if self.chart else None


def map_lines(view: Map, words: Words, width: int, height: int) -> Lines:
    """The screen without its last line."""
    glyphs = words.glyphs
    if view.chart is None:
        said = view.notice or COUNTING
        return (BLANK, line(Stretch(f" {words.said(said)}", Role.DIM)))
    title = map_heading(glyphs.text(view.chart.title))
    head = top(title, MEASURES[view.measure.value], width, glyphs.ellipsis)
    if view.cells:
        return _open(view, words, head, width, height)
    rows: list[Line] = [head, _legend(glyphs, width), BLANK]
    told = _told(view, words, width)
    room = height - len(rows) - len(told) - 2
    columns = window(view.column, len(view.chart.columns), (width - _LABEL - 2) // _SQUARE)
    rows.append(_keys(view, words, columns))
    shown = window(view.row, len(view.chart.rows), max(1, room))
    rows += [_row(view, words, index, columns) for index in shown]
    return (*rows, BLANK, *told)[:height]


def _legend(glyphs: Glyphs, width: int) -> Line:
    spans = [Stretch(" ")]
    for sign, level in zip(glyphs.levels, Level, strict=True):
        spans += [Stretch(sign, Role.STRONG), Stretch(f" {level_label(level)}   ", Role.DIM)]
    return cut(spans, width, glyphs.ellipsis)


def _keys(view: Map, words: Words, columns: range) -> Line:
    """The columns' names: the tonics of the chosen row's scale."""
    assert view.chart is not None
    shift = SCALES[view.chart.rows[view.row].scale].shift
    spans = [Stretch(" " * (_LABEL + 2))]
    for index in columns:
        tonic = name_of_fifths(view.chart.columns[index] - shift)
        role = Role.STRONG if index == view.column else Role.DIM
        spans.append(Stretch(words.name(tonic)[: _SQUARE - 1].center(_SQUARE - 1) + " ", role))
    return tuple(spans)


def _row(view: Map, words: Words, index: int, columns: range) -> Line:
    assert view.chart is not None
    glyphs, row = words.glyphs, view.chart.rows[index]
    here = index == view.row
    mark = glyphs.pointer if here else " "
    way = glyphs.up if row.direction is Direction.UP else glyphs.down
    told = f"{way} {_cell(row, words)}{_scale(row, view.chart)}"
    label = cut(line(told), _LABEL - 2, glyphs.ellipsis)
    text = "".join(span.text for span in label).ljust(_LABEL - 1)
    spans = [
        Stretch(f" {mark}", Role.KEY),
        Stretch(text, Role.CHOSEN if here else Role.PLAIN),
        Stretch(" "),
    ]
    for column in columns:
        square = view.chart.squares.get((index, column))
        body = _figure(square, view.measure, glyphs) if square else "   "
        if here and column == view.column:
            # Brackets take the place of the gaps beside the square.
            spans[-1] = Stretch(spans[-1].text[:-1] + "[", spans[-1].role)
            spans.append(Stretch(f"{body}]", Role.CHOSEN))
        else:
            spans.append(Stretch(f"{body} ", Role.PLAIN if square and square.asked else Role.DIM))
    return tuple(spans)


def _cell(row: ChartRow, words: Words) -> str:
    return words.said(sentence(figures(row.cell)))


def _scale(row: ChartRow, chart: Chart) -> str:
    """The row's scale, where the deck has more than one."""
    if len({each.scale for each in chart.rows}) < 2:
        return ""
    return f" {SCALES[row.scale].label}"


def _figure(square: MapSquare, measure: Measure, glyphs: Glyphs) -> str:
    sign = glyphs.levels[list(Level).index(square.level)]
    if measure is Measure.TEMPO:
        return f"{sign} -" if square.tempo is None else f"{round(square.tempo):3d}"
    if measure is Measure.HORN:
        right, played = square.played
        return _percent(sign, right / played) if played else f"{sign} -"
    if not square.asked:
        return f"{sign}  "
    if measure is Measure.RECALL:
        return _percent(sign, square.recall)
    if measure is Measure.ERRORS:
        return _percent(sign, square.slips / square.asked)
    return f"{sign}{square.asked:2d}" if square.asked < 100 else f"{sign}++"


def _percent(sign: str, share: float) -> str:
    """A share in three cells: a whole hundred takes the place of the sign, which is told below."""
    percent = round(100 * share)
    return f"{sign}{percent:2d}" if percent < 100 else f"{percent:3d}"


def _told(view: Map, words: Words, width: int) -> list[Line]:
    """The chosen square in words."""
    square, dot = view.square, f" {words.glyphs.dot} "
    if view.notice:
        return [line(Stretch(f" {words.said(view.notice)}", Role.NOTICE)), BLANK]
    if square is None:
        return [line(Stretch(f" {NOT_ASKED}", Role.DIM)), BLANK]
    way = "up" if square.row.direction is Direction.UP else "down"
    cell = f"{_cell(square.row, words)} {words.said(square.row.name)}"
    name = f" {words.key(square.key)}{dot}{cell}, {way}"
    told = dot.join(square_told(square))
    ellipsis = words.glyphs.ellipsis
    return [
        cut(line(Stretch(name, Role.STRONG)), width, ellipsis),
        *shortened(block(told, width), 2, width, ellipsis),
    ]


def _open(view: Map, words: Words, head: Line, width: int, height: int) -> Lines:
    """The cells of the chosen square, one a line, with the slips made in them."""
    square = view.square
    rows: list[Line] = [head, BLANK, *_told(view, words, width), BLANK]
    key = square.key if square else None
    for cell in view.cells[: max(0, height - len(rows))]:
        sign = words.glyphs.levels[list(Level).index(cell.level)]
        slips = ", ".join(f"{slip_label(slip)} ({count})" for slip, count in cell.named)
        told = out_of(cell.slips, cell.asked) if cell.asked else ""
        label = words.said(on_told(figures(cell.label)))
        notes = words.names(cell.notes, key)
        rows.append(
            cut(
                line(
                    Stretch(f"   {label:<6}", Role.STRONG),
                    Stretch(f"{notes:<22} "),
                    Stretch(f"{sign} {level_label(cell.level):<9}"),
                    Stretch(f"{told:>9}   ", Role.DIM),
                    Stretch(slips),
                ),
                width,
                words.glyphs.ellipsis,
            )
        )
    return tuple(rows[:height])
