"""Playing in time as lines: the beat from the audio clock, the slots, and how it went.

Early, on the beat and late are three rows, so that place tells them and not colour.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum, auto

from drill.practice.time.bout import Bout, Result
from drill.practice.time.course import Offer, Timed
from drill.practice.time.strokes import Sung
from drill.practice.time.timing import FINEST_S, TimeOutcome
from drill.tui.glyphs import Glyphs
from drill.tui.layout import block, cut, footed, shortened, spread
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.tui.words import Words
from drill.wording.asking import cell_told, on_told, stands_on, way_shown
from drill.wording.bouts import (
    AWAITING_SOUND,
    bar_told,
    four_of_five,
    goal_tempo,
    how_in_time,
    locked_told,
    manner_told,
    next_told,
    remembered_told,
    tempo_told,
)
from drill.wording.screens import OPENING
from drill.wording.timing import OUTCOMES, figures_told
from drill.wording.verdicts import verdict_told

FLASH_LIMIT = 130
"""Beats a minute above which a beat that is only seen cannot be followed: 460 ms apart."""


class Phase(Enum):
    """What is going on."""

    OPENING = auto()
    WAITING = auto()
    """A bout is offered."""
    STARTING = auto()
    """The click was asked for and is not heard yet."""
    PLAYING = auto()


@dataclass(frozen=True, slots=True)
class InTime:
    """What the screen knows."""

    title: str = ""
    phase: Phase = Phase.OPENING
    offer: Offer | None = None
    goal: int | None = None
    """The teacher's tempo; None for none."""
    seconds: float | None = None
    """How far into the take we are, by the audio clock; None while nothing sounds."""
    notes: tuple[Sung, ...] = ()
    """What was typed so far in this bout."""
    last: Timed | None = None
    """The bout before."""
    bouts: int = 0
    locked_in: int = 0
    jitter_s: float = FINEST_S
    measured: bool = False
    muted: bool = False
    notice: str = ""


def in_time(view: InTime, words: Words, width: int, height: int) -> Lines:
    """The screen without its last line."""
    if view.offer is None:
        said = view.notice or OPENING
        head = line(Stretch(f" {words.glyphs.text(view.title)}", Role.TITLE))
        return (BLANK, head, BLANK, *block(words.said(said), width, Role.DIM))[:height]
    airy = height >= 18
    gap = [BLANK] if airy else []
    bout = view.offer.bout
    rows: list[Line] = [*_heading(view, bout, words, width), *gap]
    if view.phase in (Phase.STARTING, Phase.PLAYING):
        rows += [_beat(view, bout, words), *gap, *_slots(view, bout, words, width)]
    else:
        rows += [_tempo(view, words, width), *gap]
        rows += _result(view.last, words, width) if view.last else _first_time(view, words, width)
    notice = block(words.said(view.notice), width, Role.NOTICE)
    notice = shortened(notice, 3, width, words.glyphs.ellipsis)
    return footed(rows, notice, height)


def _heading(view: InTime, bout: Bout, words: Words, width: int) -> list[Line]:
    prompt = bout.prompt(0)
    run = prompt.question.run
    dot = f" {words.glyphs.dot} "
    key = line(
        Stretch(f" {words.key(run.key)}", Role.TITLE),
        Stretch(f"   {words.signature(run.key)}", Role.DIM),
    )
    way = way_shown(prompt, brief=width < 70)
    shape = line(
        Stretch(f" {words.said(cell_told(prompt))}", Role.STRONG),
        Stretch(f"  {dot.join((way, *manner_told(bout)))}"),
    )
    counted = line(Stretch(f"{locked_told(view.locked_in, view.bouts)} ", Role.DIM))
    here = None
    if view.phase is Phase.PLAYING and view.seconds is not None:
        here = bout.open_at(view.seconds)
    return [
        spread(key, counted if view.bouts else (), width, words.glyphs.ellipsis),
        cut(shape, width, words.glyphs.ellipsis),
        cut(_bars(bout, here, words), width, words.glyphs.ellipsis),
    ]


def _bars(bout: Bout, here: int | None, words: Words) -> Line:
    """The cells of the bout, a bar each; the one whose bar it is in brackets."""
    spans = [Stretch(" bars ", Role.DIM)]
    for index, question in enumerate(bout.questions):
        label = words.said(stands_on(question.run.pattern, question.cell))
        marked = index == here
        spans.append(
            Stretch(f"[{label}]" if marked else f" {label} ", Role.STRONG if marked else Role.DIM)
        )
    return tuple(spans)


def _tempo(view: InTime, words: Words, width: int) -> Line:
    """The tempo now, and what is remembered."""
    offer = view.offer
    assert offer is not None
    dot = f" {words.glyphs.dot} "
    told = []
    if offer.remembered is not None:
        told.append(remembered_told(offer.remembered))
    if offer.estimate.enough:
        told.append(four_of_five(offer.estimate))
    if view.goal is not None:
        told.append(goal_tempo(view.goal))
    now = Stretch(f" {tempo_told(offer.bout.bpm)}", Role.STRONG)
    tempo = line(now, Stretch(f"   {dot.join(told)}", Role.DIM))
    return cut(tempo, width, words.glyphs.ellipsis)


def _first_time(view: InTime, words: Words, width: int) -> list[Line]:
    """How it goes, before the first bout."""
    rows: list[Line] = []
    for sentence in how_in_time(view.jitter_s if view.measured else None, words.language):
        rows += block(words.said(sentence), width)
    return rows


# While it is played.


def _beat(view: InTime, bout: Bout, words: Words) -> Line:
    """The bar and the beat, the present one in brackets; from the audio clock alone."""
    if view.phase is Phase.STARTING or view.seconds is None:
        return line(Stretch(f" {words.said(AWAITING_SOUND)}", Role.DIM))
    beat = bout.take.beat_at(view.seconds)
    assert beat is not None  # a bout has a tempo
    bar, at = divmod(math.floor(beat), bout.take.beats_per_bar)
    name = bar_told(min(bar + 1, len(bout.questions)))
    spans = [Stretch(f" {name:<10}", Role.STRONG)]
    for number in range(bout.take.beats_per_bar):
        here = number == at
        spans.append(
            Stretch(
                f" [{number + 1}] " if here else f"  {number + 1}  ",
                Role.TITLE if here else Role.DIM,
            )
        )
    return tuple(spans)


def _slots(view: InTime, bout: Bout, words: Words, width: int) -> list[Line]:
    """The notes typed, in the bars in which they came; the bar that is open has its slots."""
    here = bout.open_at(view.seconds) if view.seconds is not None else 0
    starts = [place for place, cell in enumerate(bout.cell_of) if bout.cell_of[place - 1] != cell]
    starts = starts or [0]
    rows: list[Line] = []
    first = max(0, here - 1)
    for cell in range(first, here + 1):
        count = len(bout.questions[cell].cell.notes)
        typed = _in_cell(view, bout, cell)
        question = bout.questions[cell]
        label = words.said(on_told(stands_on(question.run.pattern, question.cell)))
        role = Role.STRONG if cell == here else Role.DIM
        spans = [Stretch(f"  {label:<7}", role)]
        texts = [words.glyphs.text(_shown(note.text, words.glyphs)) for note in typed]
        spans += [
            Stretch(f" {text:<4}", Role.PLAIN if cell == here else Role.DIM) for text in texts
        ]
        if cell == here:
            spans += [Stretch(" _   ", Role.DIM)] * max(0, count - len(texts))
        rows.append(cut(tuple(spans), width, words.glyphs.ellipsis))
    return rows


def _in_cell(view: InTime, bout: Bout, cell: int) -> list[Sung]:
    """The notes typed while that cell's bar was open."""
    if view.seconds is None:
        return []
    return [note for note in view.notes if bout.open_at(note.at) == cell]


def _shown(text: str, glyphs: Glyphs) -> str:
    """A note as typed, its letter a capital."""
    if not text:
        return ""
    return text[0].upper() + (glyphs.spelled(text)[1:] if len(text) > 1 else "")


# How it went.

_SIGNS = {
    TimeOutcome.LOCKED_IN: ("right", Role.RIGHT),
    TimeOutcome.WRONG_NOTES: ("wrong", Role.WRONG),
}


def _result(timed: Timed, words: Words, width: int) -> list[Line]:
    """The outcome in a sign and words, the strip of marks, and the next tempo."""
    result = timed.result
    sign, role = _SIGNS.get(result.timing.outcome, ("near", Role.NEAR))
    glyph = getattr(words.glyphs, sign)
    outcome, figures = OUTCOMES[result.timing.outcome], figures_told(result.timing)
    rows = [line(Stretch(f" {glyph} {outcome}", role), Stretch(f"   {result.say()[1]}"))]
    rows += block(words.said(figures), width, by=3)
    for question, verdict in zip(result.bout.questions, result.verdicts, strict=False):
        if verdict is not None and not verdict.right:
            told = words.said(verdict_told(verdict, question, words.language) + ".")
            rows += shortened(block(told, width, by=3), 2, width, words.glyphs.ellipsis)
            break
    rows += [BLANK, *strip(result, words.glyphs, width)]
    told = next_told(timed.next_bpm, result.bout.bpm)
    return [*rows, BLANK, line(Stretch(f" {told}", Role.STRONG))]


_ROWS = ((-1, "early"), (0, "on"), (1, "late"))


def strip(result: Result, glyphs: Glyphs, width: int) -> list[Line]:
    """A mark for each note, above for early and below for late; a row under it for the names.

    A note that did not come, and one with a wrong name, has its sign in the last row.
    """
    cells = result.bout.cell_of
    wide = len(cells) * 2 + cells[-1] + 8 <= width
    rows = []
    for side, name in _ROWS:
        marks = [glyphs.head if result.side(n) == side else " " for n in range(len(cells))]
        role = Role.HEAD if side == 0 else Role.NEAR
        rows.append(line(Stretch(f" {name:<6}", Role.DIM), Stretch(_set(marks, cells, wide), role)))
    signs = []
    for note in result.notes:
        if note.off_s is None:
            signs.append(glyphs.missing)
        else:
            signs.append(glyphs.dot if note.right else glyphs.wrong)
    named = Stretch(_set(signs, cells, wide), Role.PLAIN)
    rows.append(line(Stretch(" notes ", Role.DIM), named))
    return [cut(row, width, glyphs.ellipsis) for row in rows]


def _set(marks: list[str], cells: tuple[int, ...], wide: bool) -> str:
    """Marks in a row, a gap between cells."""
    text = ""
    for place, mark in enumerate(marks):
        if place and cells[place] != cells[place - 1]:
            text += " "
        text += mark + (" " if wide else "")
    return text
