"""The end of a practice as lines: what was asked, the slips, and when the missed cells return."""

from __future__ import annotations

from dataclasses import dataclass

from drill.practice.effects import Summary
from drill.tui.glyphs import Glyphs
from drill.tui.layout import block, footed, hung
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.wording.known import BY_KEY, BY_NOTE, MISSED, NOTHING_MISSED, moved_told, practice_told
from drill.wording.screens import more_told
from drill.wording.slips import slip_label


@dataclass(frozen=True, slots=True)
class Missed:
    """One missed cell."""

    name: str
    """The key, the pattern and the degree."""
    notes: str
    back: str
    """When it comes back, in words."""
    made_good: bool = False
    """Right in the closing round."""


@dataclass(frozen=True, slots=True)
class SummaryView:
    """A practice that is over."""

    title: str
    summary: Summary
    minutes: int
    missed: tuple[Missed, ...]
    keys: tuple[str, ...] = ()
    """Keys with a slip, the most slips first: ``E major 3 of 7``."""
    notes: tuple[str, ...] = ()
    """Notes that were missed, likewise: ``D♯ in E major 3 of 7``."""
    moved: tuple[int, int] = (0, 0)
    """Cells that went up a level, and down."""
    advice: str = ""
    """Whether it is enough for today; empty where there is nothing to say."""
    forecast: str = ""
    """When the deck will be by heart; empty while it is worked out."""
    notice: str = ""


def summary(view: SummaryView, glyphs: Glyphs, width: int, height: int) -> Lines:
    """The screen without its last line."""
    told = view.summary
    score, share = practice_told(told.right, told.asked, view.minutes)
    rows: list[Line] = [
        line(Stretch(f" {glyphs.text(view.title)}", Role.TITLE)),
        *([BLANK] if height >= 22 else []),
        line(
            Stretch(f" {score}", Role.STRONG),
            Stretch(f"   {share}", Role.DIM),
        ),
        BLANK,
    ]
    if view.advice:
        rows += [*_told(view.advice, glyphs, width, Role.STRONG), BLANK]
    rows += _moved(view.moved)
    rows += _listed(BY_KEY, view.keys, glyphs, width)
    rows += _listed(BY_NOTE, view.notes, glyphs, width)
    rows += _slips(told, glyphs, width)
    ahead = _told(view.forecast, glyphs, width, Role.DIM) if view.forecast else []
    notice = _told(view.notice, glyphs, width, Role.NOTICE)
    room = height - len(rows) - 2 - len(notice) - (len(ahead) + 1 if ahead else 0)
    if view.missed and room > 0:
        rows.append(line(Stretch(f" {MISSED}", Role.STRONG)))
        shown = view.missed if len(view.missed) <= room else view.missed[: room - 1]
        rows += [_missed(cell, glyphs, width) for cell in shown]
        if len(shown) < len(view.missed):
            more = more_told(len(view.missed) - len(shown))
            rows.append(line(Stretch(f"   {more}", Role.DIM)))
    elif not view.missed and told.asked:
        rows.append(line(Stretch(f" {glyphs.right} {NOTHING_MISSED}", Role.RIGHT)))
    if ahead:
        rows += [BLANK, *ahead]
    return footed(rows, notice, height) if notice else tuple(rows[:height])


def _told(text: str, glyphs: Glyphs, width: int, role: Role) -> list[Line]:
    return block(glyphs.text(text), width, role)


def _moved(moved: tuple[int, int]) -> list[Line]:
    """What changed its level."""
    told = moved_told(*moved)
    return [line(Stretch(f" {told}", Role.PLAIN)), BLANK] if told else []


_MOST_LISTED = 6
_LISTED_LINES = 2


def _listed(
    title: str, facts: tuple[str, ...], glyphs: Glyphs, width: int, between: str = "; "
) -> list[Line]:
    """A title and what belongs to it, as much of it as two lines hold, and how much more."""
    rows: list[Line] = []
    for count in range(min(len(facts), _MOST_LISTED), 0, -1):
        more = more_told(len(facts) - count)
        text = glyphs.text(between.join((*facts[:count], *([more] if more else []))))
        rows = hung(Stretch(f" {title:<16} ", Role.STRONG), text, width)
        if len(rows) <= _LISTED_LINES:
            break
    return rows[:_LISTED_LINES]


def _slips(told: Summary, glyphs: Glyphs, width: int) -> list[Line]:
    named = tuple(f"{slip_label(slip)} ({count})" for slip, count in told.slips)
    rows = _listed("Slips", named, glyphs, width, ", ")
    return [*rows, BLANK] if rows else []


def _missed(cell: Missed, glyphs: Glyphs, width: int) -> Line:
    sign = glyphs.right if cell.made_good else glyphs.wrong
    role = Role.RIGHT if cell.made_good else Role.WRONG
    left = glyphs.text(f"{cell.name}   {cell.notes}")
    room = width - len(cell.back) - 6
    if len(left) > room:
        left = left[: max(0, room - 1)] + glyphs.ellipsis[:1]
    return line(
        Stretch(f"   {sign} ", role),
        Stretch(left.ljust(room)),
        Stretch(cell.back, Role.DIM),
    )
