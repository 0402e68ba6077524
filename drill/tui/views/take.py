"""A take as lines: how it is begun, the level while it is recorded, then what was heard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from drill.hearing import line as hearing
from drill.hearing.values import HeardAs, NoteHeard
from drill.practice.recording import QUIET_S, RecordingStage
from drill.terms import Run
from drill.theory.scales import signature
from drill.tui.layout import block, footed, indent, spread
from drill.tui.outside import Taken
from drill.tui.staff import LEAST_ROWS, Group, Staff, draw, marked, rows_for
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.tui.words import Words
from drill.wording.sentence import figures, sentence
from drill.wording.taking import (
    HOW,
    LISTENING_TO_IT,
    MEASURED,
    OPEN,
    TEMPI_KEPT,
    WAITING,
    counted_in,
    ends_told,
    next_told,
    place_in,
    recorded_told,
    tempo_line,
)

_METER = 24
"""Cells of the level meter, over 60 decibels."""
_MOST_CELLS = 6
_MOST_ROWS = 17


@dataclass(frozen=True, slots=True)
class TakeView:
    """What stands on the screen."""

    run: Run
    tempo: float
    logged: bool = False
    """Whether the tempi of takes are kept in the log, and the next follows from them."""
    clicks: bool = False
    """Whether the click goes on after the count-in."""
    stage: RecordingStage | None = None
    """Where the recording stands; None while none is made."""
    beat: int = 0
    seconds: float = 0.0
    level: float = -120.0
    hearing: bool = False
    """True while the take is heard, note by note."""
    taken: Taken | None = None
    cell: int = 0
    """The first cell on the staff."""
    staff: bool = False
    """Whether the staff is shown where there is no room for the words too."""
    notice: str = ""

    @property
    def open(self) -> bool:
        """Whether the microphone is open."""
        return self.stage not in (None, RecordingStage.OVER)

    @property
    def cells(self) -> int:
        """How many cells the take has, the held notes with them."""
        return len(_starts(self.taken.line)) if self.taken else 0


def take_lines(view: TakeView, words: Words, width: int, height: int) -> Lines:
    """The screen without its last line."""
    told = block(words.glyphs.text(view.notice), width, Role.NOTICE)
    rows = [_head(view, words, width), _run(view, words), BLANK]
    rows += _body(view, words, width, height - len(told) - len(rows))
    return footed(rows, told, height)


def _head(view: TakeView, words: Words, width: int) -> Line:
    """The key, and whether the microphone is open."""
    key = line(Stretch(f" {words.key(view.run.key)}", Role.TITLE),
               Stretch(f"   {words.signature(view.run.key)}", Role.DIM))  # fmt: skip
    told = line(Stretch(f"{words.glyphs.head} {OPEN} ", Role.NOTICE)) if view.open else ()
    return spread(key, told, width, words.glyphs.ellipsis)


def _run(view: TakeView, words: Words) -> Line:
    pattern = words.said(sentence(figures(view.run.pattern.text)))
    name = words.said(view.run.pattern.name)
    return line(
        Stretch(f" {pattern}", Role.STRONG), Stretch(f" {name}, {view.run.direction.value}")
    )


def _body(view: TakeView, words: Words, width: int, height: int) -> list[Line]:
    ellipsis = words.glyphs.ellipsis
    match view.stage:
        case RecordingStage.WAITING:
            return [line(Stretch(f" {WAITING} {ellipsis}", Role.DIM))]
        case RecordingStage.COUNT_IN:
            return [line(Stretch(f" {counted_in(view.beat)}", Role.STRONG))]
        case RecordingStage.PLAYING:
            return [
                line(Stretch(f" {recorded_told(view.seconds)}", Role.STRONG)),
                BLANK,
                _meter(view.level, words),
                BLANK,
                *_said(ends_told(QUIET_S), words, width, Role.DIM),
            ]
        case _:
            pass
    if view.hearing:
        return [line(Stretch(f" {LISTENING_TO_IT} {ellipsis}", Role.DIM))]
    if view.taken is not None:
        return _heard(view, view.taken, words, width, height)
    return [
        *_said(HOW, words, width),
        BLANK,
        *_said(tempo_line(view.tempo, view.clicks), words, width, Role.STRONG),
        *(_said(TEMPI_KEPT, words, width, Role.STRONG) if view.logged else ()),
        *_said(ends_told(QUIET_S), words, width),
        BLANK,
        *_said(MEASURED, words, width, Role.DIM),
    ]


def _said(text: str, words: Words, width: int, role: Role = Role.PLAIN) -> list[Line]:
    return block(words.glyphs.text(text), width, role)


def _meter(level: float, words: Words) -> Line:
    """The level from -60 dB to full scale, as a bar and in figures."""
    filled = round(_METER * min(1.0, max(0.0, (level + 60) / 60)))
    mark = "█" if words.glyphs.unicode else "#"
    return line(Stretch(f" [{mark * filled:<{_METER}}]", Role.STRONG), Stretch(f" {level:4.0f} dB"))


# What was heard.


def _heard(view: TakeView, taken: Taken, words: Words, width: int, height: int) -> list[Line]:
    """The words and the staff where both have room, else the one that is turned to."""
    told = [row for each in taken.told for row in _said(each, words, width)]
    told += _said(next_told(view.tempo), words, width, Role.STRONG)
    staff = _staff(view, taken, words, width, height)
    if len(told) + 1 + len(staff) <= height:
        return [*told, BLANK, *staff]
    return list(staff) if view.staff else told


def _staff(view: TakeView, taken: Taken, words: Words, width: int, height: int) -> list[Line]:
    """As many cells as fit, each note with its mark, and where they stand in the line."""
    starts, count = _starts(taken.line), len(taken.line.places)
    ends = [*starts[1:], count]
    pairs = list(zip(taken.line.places, taken.heard.notes, strict=True))
    fifths = signature(taken.line.key) if taken.line.key else 0
    first = min(view.cell, len(starts) - 1)
    for cells in range(min(_MOST_CELLS, len(starts) - first), 0, -1):
        last = first + cells - 1
        groups = tuple(
            _group(pairs[starts[at] : ends[at]], fifths, words) for at in range(first, last + 1)
        )
        staff = Staff(taken.line.clef, fifths, groups)
        rows = max(LEAST_ROWS, min(rows_for(staff), _MOST_ROWS, height - 2))
        drawn = draw(staff, width - 1, rows, words.glyphs)
        if drawn:
            place = place_in(starts[first] + 1, ends[last], count)
            return [line(Stretch(f" {place}", Role.DIM)), *(indent(row, 1) for row in drawn)]
    return []


_MARKS = {
    HeardAs.RIGHT: ("right", Role.RIGHT),
    HeardAs.WRONG: ("wrong", Role.WRONG),
    HeardAs.UNHEARD: ("missing", Role.NEAR),
    HeardAs.UNSURE: ("", Role.NEAR),
}


def _group(
    pairs: Sequence[tuple[hearing.LinePlace, NoteHeard]], fifths: int, words: Words
) -> Group:
    """A cell with a mark beneath each note: right, wrong, not heard, or not sure."""
    marks = [_MARKS[heard.outcome] for _, heard in pairs]
    notes = [place.note for place, _ in pairs]
    signs = [(getattr(words.glyphs, sign, "?"), role) for sign, role in marks]
    return marked(notes, None, fifths, words, signs)


def _starts(asked: hearing.Line) -> list[int]:
    """Where the cells begin; all of it is one where none is marked."""
    return [at for at, place in enumerate(asked.places) if place.first] or [0]


def first_marked(taken: Taken) -> int:
    """The cell of the first note that was not right; the first where all were."""
    bad = [note.index for note in taken.heard.notes if note.outcome is not HeardAs.RIGHT]
    starts = _starts(taken.line)
    return max((at for at, start in enumerate(starts) if bad and start <= bad[0]), default=0)
