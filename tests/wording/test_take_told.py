"""What is said of a take, from figures that were written down: word for word."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from drill.hearing.line import Line, LinePlace
from drill.hearing.values import Doubt, DoubtKind, Heard, HeardAs, NoteHeard
from drill.theory.scales import parse_key
from drill.theory.spelling import parse_name, parse_note
from drill.wording.take import spelled, take_told
from drill.wording.voice import Voice

LINE = Line(
    "G major",
    tuple(
        LinePlace(pitch, parse_note(name), cell, first=n % 4 == 0, down=False)
        for n, (pitch, name, cell) in enumerate([
            (67, "G4", "1"), (69, "A4", "1"), (71, "B4", "1"), (67, "G4", "1"),
            (69, "A4", "2"), (71, "B4", "2"), (72, "C5", "2"), (69, "A4", "2"),
            (71, "B4", "3"), (72, "C5", "3"), (74, "D5", "3"), (71, "B4", "3"), (67, "G4", ""),
        ])
    ),
    shift=0,
    key=parse_key("G"),
    note_s=0.25,
)  # fmt: skip


def note(index: int, outcome: HeardAs = HeardAs.RIGHT, heard: int | None = None) -> NoteHeard:
    return NoteHeard(index, outcome, heard, 0.25 * index, 0.25 * index + 0.2, 0.0, -20.0, False)


RIGHT = tuple(note(n, heard=place.pitch) for n, place in enumerate(LINE.places))
HEARD = Heard(RIGHT)


def told(heard: Heard, line: Line = LINE, tempo: float | None = None) -> list[str]:
    return [Voice().text(each) for each in take_told(line, heard, tempo)]


def changed(*notes: NoteHeard) -> Heard:
    at = {each.index: each for each in notes}
    return replace(HEARD, notes=tuple(at.get(each.index, each) for each in RIGHT))


@pytest.mark.parametrize(
    ("figures", "tempo", "said"),
    [
        ({"spread_ms": 21.0}, 120.0, "Steady within 25 ms, at the tempo asked, 120."),
        ({"spread_ms": 25.9}, 120.0, "Steady within 25 ms, at the tempo asked, 120."),
        ({"spread_ms": 3.0}, None, "Steady within 15 ms, tempo 120."),
        ({"note_s": 0.24}, 120.0, "Steady within 15 ms, tempo 125; asked 120."),
        ({"note_s": 0.246}, 120.0, "Steady within 15 ms, at the tempo asked, 120."),
        ({"drift_percent": 4.4}, None, "Steady within 15 ms, slowed by 4 %, tempo 120."),
        ({"drift_percent": -2.0}, None, "Steady within 15 ms, hurried by 2 %, tempo 120."),
        ({"drift_percent": 1.9}, None, "Steady within 15 ms, tempo 120."),
        ({"lead_ms": 22.0}, None, "Steady within 15 ms, tempo 120, 20 ms before the beat."),
        ({"lead_ms": -16.0}, None, "Steady within 15 ms, tempo 120, 15 ms after the beat."),
        ({"lead_ms": 12.0}, None, "Steady within 15 ms, tempo 120, on the beat."),
    ],
)  # fmt: skip
def test_time(figures: dict[str, Any], tempo: float | None, said: str) -> None:
    heard = replace(HEARD, **{"spread_ms": 10.0, "note_s": 0.25, **figures})
    assert told(heard, tempo=tempo) == ["All 13 notes heard as asked.", said]


def test_nothing_is_said_of_time_below_six_notes() -> None:
    assert told(HEARD) == ["All 13 notes heard as asked."]


@pytest.mark.parametrize(
    ("swing", "asked", "said"),
    [
        (1.0, 1.0, "Straight eighths."),
        (1.14, 1.0, "Straight eighths."),
        (1.15, 1.0, "Swing 1.1 to 1; asked straight."),
        (2.0, 2.0, "Swing 2.0 to 1; asked 2.0."),
        (1.0, 2.0, "Straight eighths; asked 2.0."),
        (0.88, 1.0, "Straight eighths."),
        (0.6, 1.0, "The second of two is the longer: 0.6 to 1."),
        (0.6, 1.5, "The second of two is the longer: 0.6 to 1; asked 1.5."),
    ],
)
def test_swing(swing: float, asked: float, said: str) -> None:
    heard = replace(HEARD, swing=swing)
    assert told(heard, replace(LINE, swing=asked))[1:] == [said]
    assert told(heard, replace(LINE, swing=asked, beat_notes=3))[1:] == []


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ({"shape_r": 0.6}, "Rises and falls with the line."),
        ({"shape_r": -0.6}, "Softer going up."),
        ({"shape_r": 0.5}, "Level along the line."),
        ({"shape_r": -0.5, "slurred_share": 0.95}, "Level along the line; slurred."),
        ({"slurred_share": 0.9}, "90 % slurred."),
        ({"slurred_share": 0.05}, "Tongued."),
        ({"slurred_share": 0.1}, "10 % slurred."),
        ({"tune_cents": 4.4}, "In tune as a whole."),
        ({"tune_cents": 5.4}, "5 cents sharp as a whole."),
        ({"tune_cents": -12.0}, "12 cents flat as a whole."),
    ],
)
def test_manner(figures: dict[str, Any], said: str) -> None:
    assert told(replace(HEARD, **figures))[1:] == [said]


ON_2 = "the cell on 2"


@pytest.mark.parametrize(
    ("restarts", "said"),
    [
        ((4,), "Went back once: at the cell on 2."),
        ((4, 8), "Went back twice: at the cell on 2 and the cell on 3."),
        ((12,), "Went back once: at the last note."),
        (
            (4,) * 8,
            f"Went back 8 times: at {', '.join([ON_2] * 5)} and {ON_2}; and 2 more.",
        ),
    ],
)
def test_new_starts(restarts: tuple[int, ...], said: str) -> None:
    assert told(replace(HEARD, restarts=restarts))[1:] == [said]


def test_a_new_start_in_a_line_counted_by_bars() -> None:
    bars = replace(LINE, bars=True)
    assert told(replace(HEARD, restarts=(8,)), bars)[1:] == ["Went back once: at bar 3."]


def test_wrong_and_unheard_notes_by_cell() -> None:
    wrong = (note(2, HeardAs.WRONG, 70), note(6, HeardAs.WRONG, 73))
    assert told(changed(*wrong)) == [
        "11 of 13 notes heard as asked. Cell on 1: B flat for B; cell on 2: C sharp for C."
    ]
    gone = (note(1, HeardAs.UNHEARD), note(12, HeardAs.UNHEARD))
    assert told(changed(*gone)) == [
        "11 of 13 notes heard as asked. Not heard: cell on 1: A; the last note: G."
    ]


def test_more_wrong_notes_than_are_named_are_counted() -> None:
    wrong = [note(n, HeardAs.WRONG, LINE.places[n].pitch + 1) for n in range(8)]
    (said,) = told(changed(*wrong))
    assert said.startswith("5 of 13 notes heard as asked. Cell on 1: ")
    assert said.endswith("; and 2 more.")


def test_places_to_listen_again() -> None:
    doubts = tuple(Doubt(59.0 + n, n, DoubtKind.EXTRA) for n in range(2))
    heard = replace(HEARD, doubts=(*doubts, Doubt(125.4, 2, DoubtKind.OCTAVE)))
    assert told(heard)[1:] == [
        "Listen again at 0:59 (a sound more?), 1:00 (a sound more?) and 2:05 (its octave?)."
    ]
    many = replace(HEARD, doubts=tuple(Doubt(1.0 + n, n, DoubtKind.OCTAVE) for n in range(8)))
    assert told(many)[1].endswith("0:06 (its octave?) and 2 more.")


def test_what_may_be_another_line_is_not_called_wrong() -> None:
    """Right notes less sounds too many, below a third of the line."""
    wrong = [note(n, HeardAs.WRONG, 50) for n in range(9)]
    (said,) = told(changed(*wrong))
    assert said == (
        "Little of the line was heard in it (4 of 13 notes): this may be another line than "
        "G major, or no horn."
    )
    assert told(changed(*wrong[:8]))[0].startswith("5 of 13 notes heard as asked.")


def test_clipping_and_silence() -> None:
    assert told(replace(HEARD, clipped=0.001)) == ["All 13 notes heard as asked."]
    assert told(replace(HEARD, clipped=0.012))[1] == (
        "1.2 % of the recording is clipped: put the microphone further away, loud notes may be "
        "misheard."
    )
    nothing = changed(*(note(n, HeardAs.UNHEARD) for n in range(13)))
    assert told(nothing) == [
        "No note of the line was heard: is this the recording, and is it loud?"
    ]


@pytest.mark.parametrize(
    ("midi", "asked", "own", "name"),
    [
        (61, "D", (), "Db"),  # the asked letter
        (61, "D", ("C#", "A"), "C#"),  # the line's own
        (63, "G", ("Bb", "F"), "Eb"),  # the side of the line
        (63, "G", ("F#", "C"), "D#"),
        (63, "Ab", ("C", "F"), "Eb"),  # the side of what was asked
        (64, "A", ("Bb", "Eb"), "E"),  # never F flat for a plain note
    ],
)
def test_a_note_heard_is_named_as_a_reader_of_the_line_would(
    midi: int, asked: str, own: tuple[str, ...], name: str
) -> None:
    named = spelled(midi, parse_name(asked), frozenset(map(parse_name, own)))
    assert str(named) == name
