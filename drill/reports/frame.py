"""The frame of a report's page: one HTML file that stands alone, its sections and tables.

No script, no other file, no network; legible without colour, and on paper.
"""

from __future__ import annotations

from collections.abc import Iterable
from importlib import resources

from drill.reports.markup import Child, Safe, inner, tag

LINE = Safe("\n")
POLICY = "default-src 'none'; style-src 'unsafe-inline'"
"""Nothing is fetched and nothing runs, whatever a text says."""


def document(title: str, top: Safe, *sections: Child) -> str:
    """The whole page."""
    style = resources.files("drill.reports").joinpath("page.css").read_text(encoding="utf-8")
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=POLICY),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("title", title),
        tag("style", Safe(style)),
    )
    body = tag("body", top, tag("main", *sections))
    return "<!DOCTYPE html>\n" + tag("html", head, LINE, body, lang="en") + "\n"


def section(title: str, id_: str, *children: Child) -> Safe:
    """A part of the page under its heading."""
    return inner(LINE, tag("section", tag("h2", title), *children, id=id_))


def figures(facts: Iterable[tuple[str, str]]) -> Safe:
    """The large figures at the head of a page, each with its name."""
    return tag(
        "dl",
        *(tag("div", tag("dt", name), tag("dd", value, data_figure=name)) for name, value in facts),
    )


def table(heads: Iterable[Child], rows: Iterable[Safe], class_: str = "") -> Safe:
    """A table that scrolls by itself where the page is narrow."""
    cells = (tag("th", each, scope="col") for each in heads)
    return tag(
        "div",
        tag(
            "table",
            tag("thead", tag("tr", *cells)),
            tag("tbody", *(inner(LINE, row) for row in rows)),
            class_=class_ or None,
        ),
        class_="wide",
    )


def row(name: Child, *cells: Child) -> Safe:
    """A row of a table; a name keeps its own writing direction to itself."""
    head = name if isinstance(name, Safe) else tag("bdi", name)
    return tag("tr", tag("th", head, scope="row"), *(tag("td", each) for each in cells))
