"""Choosing from a list as lines: what is typed narrows it, what is marked is kept."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from drill.tui.glyphs import Glyphs
from drill.tui.layout import block, cut, footed, shortened, tail, top, window
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.wording.screens import NOTHING_FOUND, TYPE_TO_SEARCH, chosen_told

_SHORT = 6
"""So many choices need no search."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to choose."""

    id: str
    label: str
    more: str = ""
    """A few words beside the label; they are searched too."""


@dataclass(frozen=True, slots=True)
class Pick:
    """What is chosen from, and where the player stands."""

    title: str
    choices: tuple[Choice, ...]
    about: str = ""
    """One or two sentences above the list."""
    several: bool = False
    """True marks as many as are wanted; False takes one."""
    marked: tuple[str, ...] = ()
    """Ids in the order in which they were marked."""
    chosen: int = 0
    """The row stood on, among those found."""
    search: str = ""
    pointed: bool = False
    """True while the row stood on was searched for and nothing was marked since."""
    notice: str = ""
    aside: Lines = field(default=())
    """What is drawn under the list about the row stood on."""

    @property
    def found(self) -> tuple[Choice, ...]:
        """The choices that have every word of the search, those that begin with it first."""
        words = self.search.casefold().split()
        if not words:
            return self.choices
        rows = [row for row in self.choices if all(word in _searched(row) for word in words)]
        return tuple(sorted(rows, key=lambda row: not row.label.casefold().startswith(words[0])))

    @property
    def here(self) -> Choice | None:
        """The row stood on; None where nothing is found."""
        found = self.found
        return found[min(self.chosen, len(found) - 1)] if found else None

    def searched(self, text: str) -> Pick:
        """The same with another search, on its first row."""
        return replace(self, search=text, pointed=bool(text), chosen=0, notice="")

    def marking(self) -> Pick:
        """The row stood on marked, or no longer."""
        here = self.here
        if here is None or not self.several:
            return self
        rest = tuple(each for each in self.marked if each != here.id)
        marked = rest if here.id in self.marked else (*rest, here.id)
        return replace(self, marked=marked, pointed=False)

    @property
    def adds(self) -> bool:
        """Whether Enter adds the row that was searched for to what is marked."""
        here = self.here
        return bool(here and self.pointed and self.marked and here.id not in self.marked)

    @property
    def taken(self) -> tuple[str, ...]:
        """What Enter takes: what is marked, with a row that was searched for; else the row
        stood on."""
        here = (self.here.id,) if self.here else ()
        if self.several and self.marked:
            return (*self.marked, *here) if self.adds else self.marked
        return here


def _searched(row: Choice) -> str:
    return f"{row.label} {row.more} {row.id}".casefold().replace("♭", "b").replace("♯", "#")


def pick_lines(view: Pick, glyphs: Glyphs, width: int, height: int) -> Lines:
    """The screen without its last line."""
    count = chosen_told(len(view.marked)) if view.several else ""
    rows: list[Line] = [top(glyphs.text(view.title), count, width, glyphs.ellipsis)]
    about = block(glyphs.text(view.about), width, Role.DIM)
    rows += shortened(about, 3, width, glyphs.ellipsis)
    short = len(view.choices) <= _SHORT and not view.search
    search = line(
        Stretch(f" {glyphs.pointer} ", Role.KEY),
        Stretch(tail(glyphs.text(view.search), width - 4, glyphs.ellipsis)),
        Stretch(" ", Role.CARET),
    )
    hint = () if view.search else line(Stretch(f" {TYPE_TO_SEARCH} ", Role.DIM))
    rows += [BLANK] if short else [BLANK, (*search, *hint), BLANK]
    foot = block(glyphs.text(view.notice), width, Role.NOTICE)
    foot = shortened(foot, max(2, height // 3), width, glyphs.ellipsis)  # a path may be long
    aside = view.aside if height - len(rows) - len(foot) - len(view.aside) >= 3 else ()
    room = max(1, height - len(rows) - len(foot) - len(aside) - (1 if aside else 0))
    found = view.found
    if not found:
        rows.append(line(Stretch(f" {NOTHING_FOUND}", Role.NOTICE)))
    for index in window(view.chosen, len(found), room):
        rows.append(_row(view, found[index], index == view.chosen, glyphs, width))
    return footed(rows, [*aside, *foot], height)


def _row(view: Pick, row: Choice, here: bool, glyphs: Glyphs, width: int) -> Line:
    mark = ""
    if view.several:
        mark = f"{glyphs.right} " if row.id in view.marked else "  "
    return cut(
        line(
            Stretch(f" {glyphs.pointer} " if here else "   ", Role.KEY),
            Stretch(mark, Role.RIGHT),
            Stretch(glyphs.text(row.label), Role.CHOSEN if here else Role.PLAIN),
            Stretch(f"   {glyphs.text(row.more)}" if row.more else "", Role.DIM),
        ),
        width,
        glyphs.ellipsis,
    )
