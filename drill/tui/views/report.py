"""A report as lines: one table at a time, sorted by a column, and one row opened."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from drill.reports.report import NUMBERS, Column, Form, Report, Table, TableStyle
from drill.reports.text import said
from drill.tui.glyphs import Glyphs
from drill.tui.layout import block, cut, hung, shortened, top, window
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.wording.screens import NOTHING_TO_SHOW, WORKING, place_told

_NAME = 24
"""Cells that a row's name has at least where it needs them; more where the columns leave room."""
_BESIDE = 3
"""Up to this column a long name leaves room for the others."""
_LEAD = 3
"""Lines of the figures, and of what stands under them."""
_MOST = 18
"""Cells of another column."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What stands on the screen."""

    title: str
    report: Report | None = None
    """None while it is being made."""
    table: int = 0
    chosen: int = 0
    """The row stood on."""
    sort: int | None = None
    """The column by which the rows are sorted; None leaves them in their order."""
    opened: bool = False
    notice: str = ""

    @property
    def tables(self) -> tuple[Table, ...]:
        """The tables that a person reads."""
        if self.report is None:
            return ()
        return tuple(
            table
            for table in self.report.tables
            if table.style is not TableStyle.DATA and table.items and table.shown
        )

    @property
    def here(self) -> Table | None:
        """The table in view."""
        return self.tables[self.table] if self.tables else None

    @property
    def items(self) -> tuple[Any, ...]:
        """Its rows, sorted."""
        table = self.here
        if table is None:
            return ()
        if self.sort is None:
            return tuple(table.items)
        column = columns_of(table)[self.sort]
        return tuple(sorted(table.items, key=_order(column), reverse=column.form in NUMBERS))

    @property
    def item(self) -> Any:
        """The row stood on; None where there is none."""
        items = self.items
        return items[min(self.chosen, len(items) - 1)] if items else None


def columns_of(table: Table) -> tuple[Column, ...]:
    """The columns that are shown: commands are for a shell."""
    return tuple(each for each in table.shown if each.form is not Form.COMMAND)


def _order(column: Column) -> Callable[[Any], tuple[bool, Any]]:
    """What a column sorts by: numbers as they are, the rest by its text; what is not known last."""

    def key(item: Any) -> tuple[bool, Any]:
        value = column.value(item)
        if column.form in NUMBERS:
            plain = value if isinstance(value, (int, float)) else getattr(value, "recall", None)
            return (plain is not None, plain or 0.0)
        return (value is None, str(value).casefold())

    return key


def report_lines(view: Shown, glyphs: Glyphs, width: int, height: int) -> Lines:
    """The screen without its last line."""
    title, table = glyphs.text(view.title), view.here
    if view.report is None or table is None:
        told = view.notice or (NOTHING_TO_SHOW if view.report else WORKING)
        head = top(title, "", width, glyphs.ellipsis)
        return (head, BLANK, *block(glyphs.text(told), width, Role.NOTICE))[:height]
    place = place_told("table", view.table + 1, len(view.tables))
    rows: list[Line] = [top(title, place, width, glyphs.ellipsis)]
    if view.opened:
        rows += [BLANK, *_opened(view, table, view.report, glyphs, width)]
        return tuple(shortened(rows, height, width, glyphs.ellipsis))
    figures = block(glyphs.text(_figures(view.report)), width)
    lead = block(glyphs.text("\n".join(view.report.lead)), width, Role.NOTICE)
    for part in (figures, lead):
        rows += shortened(part, _LEAD, width, glyphs.ellipsis)
    rows += [BLANK, line(Stretch(f" {glyphs.text(table.title)}", Role.STRONG))]
    return (*rows, *_table(view, table, view.report, glyphs, width, height - len(rows)))[:height]


def _figures(report: Report) -> str:
    facts = [f"{each.head} {said(each.value, each.form, report)}" for each in report.figures
             if each.head]  # fmt: skip
    return "; ".join(facts)


def _table(
    view: Shown, table: Table, report: Report, glyphs: Glyphs, width: int, height: int
) -> list[Line]:
    columns, items = columns_of(table), view.items
    words = [[_word(each, item, report, glyphs) for each in columns] for item in items]
    sizes = [
        min(
            _NAME if place == 0 else _MOST, max(len(each.head), *(len(row[place]) for row in words))
        )
        for place, each in enumerate(columns)
    ]
    room, used, fits = width - 4, 0, 0
    wanted = max(len(row[0]) for row in words)
    if wanted > sizes[0]:  # names that end alike are told apart before the last columns are shown
        sizes[0] = min(wanted, room - sum(size + 2 for size in sizes[1:_BESIDE]))
        sizes[0] = max(sizes[0], _NAME)
    for size in sizes:
        if used + size > room:
            break
        used, fits = used + size + 2, fits + 1
    shown = range(max(1, fits))
    heads = [glyphs.text(columns[at].head) for at in shown]
    if view.sort is not None and view.sort in shown:
        heads[view.sort] += glyphs.down
        sizes[view.sort] = max(sizes[view.sort], len(heads[view.sort]))
    rows = [line("   ", Stretch(_set(heads, columns, sizes, glyphs.ellipsis), Role.DIM))]
    space = max(1, height - 1)
    for index in window(view.chosen, len(items), space):
        here = index == min(view.chosen, len(items) - 1)
        role = Role.CHOSEN if here else Role.PLAIN
        mark = Stretch(f" {glyphs.pointer} " if here else "   ", Role.KEY)
        text = _set([words[index][at] for at in shown], columns, sizes, glyphs.ellipsis)
        rows.append(cut((mark, Stretch(text, role)), width, glyphs.ellipsis))
    return rows


def _set(words: list[str], columns: tuple[Column, ...], sizes: list[int], ellipsis: str) -> str:
    cells = []
    for at, word in enumerate(words):
        size = sizes[at]
        text = word if len(word) <= size else word[: size - len(ellipsis)] + ellipsis
        cells.append(
            text.rjust(sizes[at]) if columns[at].form in NUMBERS else text.ljust(sizes[at])
        )
    return "  ".join(cells)


def _word(column: Column, item: Any, report: Report, glyphs: Glyphs) -> str:
    return glyphs.text(said(column.value(item), column.form, report))


def _opened(view: Shown, table: Table, report: Report, glyphs: Glyphs, width: int) -> list[Line]:
    """All that is known of the row stood on, and its rows in the other tables."""
    columns, item = columns_of(table), view.item
    name = _word(columns[0], item, report, glyphs)
    rows: list[Line] = [line(Stretch(f" {name}", Role.STRONG))]
    size = max(len(each.head) for each in columns)
    for each in columns[1:]:
        head = Stretch(f"   {glyphs.text(each.head):<{size}}  ", Role.DIM)
        rows += hung(head, _word(each, item, report, glyphs), width)
    for other in view.tables:
        if other is table:
            continue
        others = columns_of(other)
        mine = [each for each in other.items if _word(others[0], each, report, glyphs) == name]
        for each in mine:
            facts = (
                f"{column.head} {_word(column, each, report, glyphs)}" for column in others[1:]
            )
            rows += [BLANK, line(Stretch(f" {glyphs.text(other.title)}", Role.STRONG))]
            rows += hung(Stretch("   "), ", ".join(facts), width - 1)
    return rows
