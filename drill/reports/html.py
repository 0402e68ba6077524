"""A report as one HTML page that stands alone: no script, no other file, no network.

Every mark of a map is a black square on paper: the larger, the less is recalled; a small
ring was not asked.  The figure stands beside it, so that nothing rests on colour, and a
print in black and white says the same.  Headings, captions and the heads of rows and
columns say to a screen reader what stands where; wide tables can be scrolled by keyboard.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib import resources

from drill.reports.markup import Child, Safe, inner, tag
from drill.reports.report import (
    NUMBERS,
    Column,
    Figure,
    Form,
    Mark,
    Paragraph,
    Picture,
    Report,
    Table,
    TableStyle,
    Value,
)
from drill.reports.text import said
from drill.wording import reports as words
from drill.wording.squares import key_text

LINE = Safe("\n")
POLICY = "default-src 'none'; style-src 'unsafe-inline'"
"""Nothing is fetched and nothing runs, whatever a text says."""
MOST_BESIDE = 4
"""Columns of a map that have room on paper for what stands beside the figure."""
_SQUARE = 20.0
_STACK = {"table": "table", "tr": "row", "td": "cell", "tbody": "rowgroup", "thead": "rowgroup"}
"""Roles that tell a table's parts where the style lays them out in another way."""


def page(report: Report) -> str:
    """The whole page."""
    style = resources.files("drill.reports").joinpath("page.css").read_text(encoding="utf-8")
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=POLICY),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("title", f"{report.kind}, {report.title}" if report.kind else report.title),
        tag("style", Safe(style)),
    )
    sheets = [inner(LINE, tag("article", *_sheet(each, ""), class_="sheet"))
              for each in report.inner]  # fmt: skip
    main = tag("main", *_sheet(report, "1"), *sheets)
    return "<!DOCTYPE html>\n" + tag("html", head, LINE, tag("body", main), lang="en") + "\n"


def _sheet(report: Report, first: str) -> Iterator[Safe]:
    """The head of a report and its sections; ``first`` is empty where it follows another."""
    top = "h1" if first else "h2"
    figures = [each for each in report.figures if each.head]
    yield tag(
        "header",
        tag("p", report.kind, class_="kicker") if report.kind else None,
        tag(top, tag("bdi", report.title)),
        tag("dl", *(_figure(each, report) for each in figures)) if figures else None,
        *(tag("p", line) for line in report.lead),
    )
    for part in report.parts:
        if isinstance(part, Paragraph):
            yield _section(part.title, part.name if first else "",
                           *(tag("p", line) for line in part.lines))  # fmt: skip
        elif isinstance(part, Picture):
            how = tag("p", part.how, class_="how") if part.how else None
            yield _section(part.title, part.name, how, *part.drawings)
        elif part.style is not TableStyle.DATA and (part.items or part.empty):
            yield _section(part.title, part.name if first else "", *_table(part, report))


def _figure(figure: Figure, report: Report) -> Safe:
    value = said(figure.value, figure.form, report)
    return tag("div", tag("dt", figure.head), tag("dd", value, data_figure=figure.head))


def _section(title: str, name: str, *children: Child) -> Safe:
    """A part of the page under its heading."""
    head = tag("h2", title) if title else None
    return inner(LINE, tag("section", head, *children, id=name.replace(".", "-") or None))


# -- tables


def _table(table: Table, report: Report) -> Iterator[Safe]:
    if table.how:
        yield tag("p", table.how, class_="how")
    if not table.items:
        yield tag("p", table.empty)
        return
    stacked = table.style is TableStyle.STACKED
    role = _STACK.get if stacked else _no_role
    heads = [
        tag("th", _signs(each.head), scope="col", role="columnheader" if stacked else None,
            class_="number" if each.form in NUMBERS else None)
        for each in table.shown
    ]  # fmt: skip
    most = {each: _most(table, each) for each in table.shown if each.form is Form.LENGTH}
    rows = (inner(LINE, _row(table, item, report, most)) for item in table.rows)
    body = tag(
        "table",
        tag("caption", table.title),
        tag("thead", tag("tr", *heads, role=role("tr")), role=role("thead")),
        tag("tbody", *rows, role=role("tbody")),
        class_=f"{table.style} many" if len(heads) > MOST_BESIDE + 1 else str(table.style),
        role=role("table"),
    )
    if stacked:
        yield tag("div", body, class_="wide")
    else:  # where it is wider than the page, the keyboard scrolls it
        yield scrolled(body, f"{report.title}: {table.title}")
    more = len(table.items) - len(table.rows)
    if more > 0:
        yield tag("p", words.and_more(more, table.left_out), class_="how")
    for command in table.after or ():
        yield tag("p", tag("code", command))


def scrolled(child: Child, label: str) -> Safe:
    """Something wide under its label, which the keyboard scrolls where it does not fit."""
    return tag("div", child, class_="wide", tabindex="0", role="region", aria_label=label)


def _no_role(_: str) -> None:
    return None


def _most(table: Table, column: Column) -> float:
    """The largest value of a column, for the length of its bars."""
    return max([0.01, *(float(column.value(item) or 0.0) for item in table.rows)])


def _row(table: Table, item: object, report: Report, most: dict[Column, float]) -> Safe:
    stacked = table.style is TableStyle.STACKED
    name, *others = table.shown
    cells: list[Child] = [
        tag("th", _value(name.value(item), name, report, 1.0), scope="row",
            role="rowheader" if stacked else None, class_=str(name.form))
    ]  # fmt: skip
    cells += [
        tag(
            "td",
            _value(each.value(item), each, report, most.get(each, 1.0)),
            class_="number" if each.form in NUMBERS else str(each.form),
            role="cell" if stacked else None,
            data_head=_signs(each.head) if stacked else None,
        )
        for each in others
    ]
    return tag("tr", *cells, role="row" if stacked else None)


def _value(value: Value, column: Column, report: Report, most: float) -> Safe:
    form = column.form
    if isinstance(value, Mark):
        rest = tag("small", " · ".join(value.rest)) if value.rest else None
        return inner(_square(value.recall), tag("b", value.main), rest)
    if form is Form.MARK:
        return inner(_square(None), tag("span", words.NOT_ASKED, class_="spoken"))
    if form is Form.KEY and value is not None:
        return inner(key_signs(value))
    if form in (Form.BAR, Form.LENGTH) and value is not None:
        return inner(_bar(value / most), " ", tag("b", said(value, form, report)))
    if form is Form.COMMAND and value is not None:
        return tag("code", str(value))
    if form is Form.NAME:
        return tag("bdi", said(value, form, report))
    return inner(said(value, form, report))


# -- pictures and signs


def _signs(head: str) -> str:
    """A head that is a tonic with the signs of print."""
    return signs(head) if head[:1] in "ABCDEFG" and set(head[1:]) <= {"b", "#"} else head


def signs(tonic: str) -> str:
    """A tonic with the signs of print: ``B♭``."""
    return tonic[:1] + tonic[1:].replace("b", "♭").replace("#", "♯")


def key_signs(key: str) -> str:
    """A key with the signs of print: ``B♭ major``."""
    tonic, _, scale = key_text(key).partition(" ")
    return f"{signs(tonic)} {scale}"


def _bar(share: float) -> Safe:
    """A bar of that share of its length; the figure beside it says the same."""
    filled = tag("rect", x=0, y=1, width=max(90 * share, 1), height=8, class_="mark")
    return _svg(90, 10, filled, class_="bar")


def _square(recall: float | None) -> Safe:
    """A square whose area is what is not recalled; a small ring where nothing was asked."""
    middle = _SQUARE / 2
    if recall is None:
        ring = tag("circle", cx=middle, cy=middle, r=_SQUARE / 11, class_="none")
        return _svg(_SQUARE, _SQUARE, ring, class_="sq")
    side = max((1.0 - recall) ** 0.5 * _SQUARE, _SQUARE / 12)
    corner = middle - side / 2
    mark = tag("rect", x=corner, y=corner, width=side, height=side, class_="mark")
    return _svg(_SQUARE, _SQUARE, mark, class_="sq")


def _svg(size_x: float, size_y: float, *children: Child, class_: str) -> Safe:
    return tag(
        "svg", *children, viewBox=f"0 0 {size_x:g} {size_y:g}", width=size_x, height=size_y,
        aria_hidden="true", class_=class_,
    )  # fmt: skip
