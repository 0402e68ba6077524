"""A take as one HTML page: its line on staves with each note's mark, time as a strip, level as a
curve.  Like every page it stands alone: no script, no other file, no network."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime

from drill.hearing.line import Line, LinePlace
from drill.hearing.values import Heard, HeardAs, NoteHeard
from drill.reports.html import page, scrolled
from drill.reports.markup import Safe, tag
from drill.reports.report import Column, Picture, Report, Table
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.wording import reports as words
from drill.wording.reports import Head, ReportKind, Title
from drill.wording.take import spelled

PER_STAFF = 16
_STEP = 46.0
_LEFT = 30.0
_GAP = 8.0
"""Between two staff lines."""
_MIDDLE = {"bass": 22, "treble 8va": 41}
"""The staff step of the middle line by clef; 34 (B4) in treble."""
_MARKS = {
    HeardAs.RIGHT: ("✓", words.MARKED_RIGHT),
    HeardAs.WRONG: ("✗", words.MARKED_WRONG),
    HeardAs.UNHEARD: ("–", words.NOT_HEARD),
    HeardAs.UNSURE: ("?", words.UNSURE),
}
_ACCIDENTALS = {-2: "♭♭", -1: "♭", 0: "", 1: "♯", 2: "𝄪"}
_FARTHEST_MS = 60.0
NEVER = datetime(1970, 1, 1, tzinfo=UTC)
"""A take says nothing of days."""


def take_page(line: Line, heard: Heard, told: Sequence[str], language: Language) -> str:
    """The whole page; ``told`` is what is said of the take, a line each."""
    marks = words.marks_how(_MARKS.values(), line.clef.split()[0])
    parts = (
        Picture("line", Title.LINE, marks, tuple(_staves(line, heard, language))),
        Picture("time", Title.TIME, words.EARLY_AND_LATE, (_strip(line, heard),)),
        Picture("level", Title.LEVEL, words.LOUDNESS, _levels(heard)),
        _notes(line, heard, language),
    )
    return page(Report(line.title, ReportKind.TAKE, NEVER, (), parts, tuple(told)))


# The staves.


def _staves(line: Line, heard: Heard, language: Language) -> Iterator[Safe]:
    pairs = list(zip(line.places, heard.notes, strict=True))
    for first in range(0, len(pairs), PER_STAFF):
        some = pairs[first : first + PER_STAFF]
        label = words.notes_label(first + 1, first + len(some))
        yield scrolled(_staff(line, some, language), label)


def _staff(line: Line, pairs: Sequence[tuple[LinePlace, NoteHeard]], language: Language) -> Safe:
    middle = _MIDDLE.get(line.clef, 34)
    heights = [place.note.staff_step - middle for place, _ in pairs]
    top = max(8, *heights) * _GAP / 2 + 26
    bottom = max(8, *(-each for each in heights)) * _GAP / 2 + 44
    width = _LEFT + PER_STAFF * _STEP
    parts = [_line((0.0, width), (top + at * _GAP,) * 2) for at in range(-2, 3)]
    for at, (place, note) in enumerate(pairs):
        x = _LEFT + at * _STEP
        parts.append(
            _note(place, note, x, top=top, bottom=bottom, middle=middle, language=language)
        )
    said = ", ".join(_spoken(place, note, language) for place, note in pairs)
    return _drawing(parts, width, top + bottom, said)


def _drawing(parts: Sequence[Safe], width: float, height: float, said: str) -> Safe:
    """A picture, with what a screen reader says of it."""
    box = f"0 0 {width:.0f} {height:.0f}"
    return tag("svg", *parts, viewBox=box, width=width, height=height, role="img", aria_label=said)


def _line(x: tuple[float, float], y: tuple[float, float], thick: float = 0.7) -> Safe:
    """A line from one point to another."""
    return tag("line", x1=x[0], x2=x[1], y1=y[0], y2=y[1], stroke="currentColor",
               stroke_width=thick)  # fmt: skip


def _note(
    place: LinePlace, note: NoteHeard, x: float, *, top: float, bottom: float, middle: int,
    language: Language,
) -> Safe:  # fmt: skip
    height = place.note.staff_step - middle
    y = top - height * _GAP / 2
    sign, word = _MARKS[note.outcome]
    bold = note.outcome is not HeardAs.RIGHT
    parts = [_line((x - 8, x + 8), (top - at * _GAP / 2,) * 2) for at in _ledgers(height)]
    parts.append(tag("circle", cx=x, cy=y, r=3.8, fill="currentColor"))
    if place.note.alter:
        parts.append(_text(_ACCIDENTALS[place.note.alter], x - 12, y + 4, 13))
    if place.first:
        parts.append(_text(place.cell, x, 11, 11))
    parts.append(_text(sign, x, top + bottom - 18, 15 if bold else 11))
    shown = show_name(place.note.name, language, True)
    parts.append(_text(shown, x, top + bottom - 4, 11))
    return tag("g", tag("title", f"{shown}: {word}"), *parts)


def _ledgers(height: int) -> range:
    """Staff steps from the middle line at which a note needs lines of its own."""
    if height >= 6:
        return range(6, height + 1, 2)
    return range(-6, height - 1, -2)


def _text(text: str, x: float, y: float, size: float) -> Safe:
    return tag("text", text, x=x, y=y, font_size=size, text_anchor="middle", fill="currentColor")


def _spoken(place: LinePlace, note: NoteHeard, language: Language) -> str:
    return f"{show_name(place.note.name, language)} {_MARKS[note.outcome][1]}"


# Time and level.


def _strip(line: Line, heard: Heard) -> Safe:
    if heard.note_s is None:
        return tag("p", words.NOT_TIMED)
    notes = [note for note in heard.notes if note.on_s is not None]
    width, half = max(320.0, 8.0 * len(heard.notes)), 40.0
    parts = [_line((0.0, width), (half, half), 0.8)]
    for before, note, after in zip(notes, notes[1:], notes[2:], strict=False):
        if not before.index + 2 == note.index + 1 == after.index:
            continue
        one, here, then = (each.on_s or 0.0 for each in (before, note, after))
        whole = then - one
        share = 0.5
        if line.beat_notes == 2 and heard.swing is not None:
            long = heard.swing / (1 + heard.swing)
            share = long if note.index % 2 else 1 - long
        late = 1000 * (here - one - share * whole)
        at = min(_FARTHEST_MS, max(-_FARTHEST_MS, late)) / _FARTHEST_MS * (half - 4)
        x = (note.index + 0.5) * width / len(heard.notes)
        parts.append(_line((x, x), (half, half + at), 3.0))
    return scrolled(_drawing(parts, width, 2 * half, words.STRIP), Title.TIME)


def _levels(heard: Heard) -> tuple[Safe, ...]:
    levels = [(note.index, note.db) for note in heard.notes if note.db is not None]
    if len(levels) < 2:
        return (tag("p", words.NOT_LEVELLED),)
    low, high = min(db for _, db in levels), max(db for _, db in levels)
    width, height = max(320.0, 8.0 * len(heard.notes)), 90.0
    points = [
        ((at + 0.5) * width / len(heard.notes),
         6 + (high - db) / max(1e-6, high - low) * (height - 12))
        for at, db in levels
    ]  # fmt: skip
    way = "M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    curve = tag("path", d=way, fill="none", stroke="currentColor", stroke_width=1.5)
    said = words.loudness(high - low)
    return scrolled(_drawing([curve], width, height, said), Title.LEVEL), tag("p", said)


def _notes(line: Line, heard: Heard, language: Language) -> Table:
    own = frozenset(place.note.name for place in line.places)

    def heard_as(row: tuple[LinePlace, NoteHeard]) -> str:
        place, note = row
        if note.outcome is not HeardAs.WRONG or note.heard is None:
            return ""
        return show_name(spelled(note.heard - line.shift, place.note.name, own), language, True)

    return Table(
        "notes",
        Title.NOTES,
        (
            Column("", Head.NOTE, lambda e: show_name(e[0].note.name, language, True)),
            Column("", Head.CELL, lambda e: e[0].cell),
            Column("", Head.MARK, lambda e: " ".join(_MARKS[e[1].outcome])),
            Column("", Head.HEARD_AS, heard_as),
            Column("", Head.AT, lambda e: None if e[1].on_s is None else f"{e[1].on_s:.2f} s"),
            Column("", Head.CENTS, lambda e: None if e[1].cents is None else f"{e[1].cents:+.0f}"),
        ),
        list(zip(line.places, heard.notes, strict=True)),
    )
