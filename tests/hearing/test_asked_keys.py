"""A cell on a MIDI instrument (note numbers and velocities: MIDI 1.0)."""

from __future__ import annotations

from drill.hearing.keys import ENDED_S, STOPPED_S, KeyCell
from drill.hearing.values import Heard, HeardAs


def played(cell: KeyCell, *pitches: int, hold: bool = False) -> None:
    for at, pitch in enumerate(pitches):
        cell.tell(("on", at * 0.3, pitch, 80))
        if not (hold and at == len(pitches) - 1):
            cell.tell(("off", at * 0.3 + 0.25, pitch, 0))


def outcomes(heard: Heard | None) -> list[HeardAs]:
    assert heard is not None
    return [note.outcome for note in heard.notes]


def test_a_right_cell_is_judged_while_its_last_key_is_down() -> None:
    cell = KeyCell((60, 62, 64, 60))
    assert cell.answer(9.0) is None
    played(cell, 60, 62, 64, hold=True)
    assert cell.answer(0.0) is None
    cell = KeyCell((60, 62, 64, 60))
    played(cell, 60, 62, 64, 60, hold=True)
    assert outcomes(cell.answer(0.0)) == [HeardAs.RIGHT] * 4


def test_a_wrong_key_and_its_octave_are_named() -> None:
    for wrong in (63, 74):
        cell = KeyCell((60, 62, 64, 60))
        played(cell, 60, wrong, 64, 60)
        assert cell.answer(0.0) is None
        found = outcomes(cell.answer(ENDED_S + 0.1))
        assert found == [HeardAs.RIGHT, HeardAs.WRONG, HeardAs.RIGHT, HeardAs.RIGHT]


def test_who_stops_is_waited_for() -> None:
    cell = KeyCell((60, 62, 64, 60))
    played(cell, 60, 62)
    assert cell.answer(ENDED_S + 0.1) is None
    assert outcomes(cell.answer(STOPPED_S + 0.1))[2:] == [HeardAs.UNHEARD] * 2


def test_a_new_start_counts() -> None:
    cell = KeyCell((60, 62, 64, 60))
    played(cell, 60, 62, 60, 62, 64, 60)
    assert outcomes(cell.answer(0.0)) == [HeardAs.RIGHT] * 4


def test_who_lacks_the_last_note_alone_is_waited_for_as_well() -> None:
    cell = KeyCell((60, 62, 64, 60))
    played(cell, 60, 62, 64)
    assert cell.answer(ENDED_S + 0.1) is None
    assert outcomes(cell.answer(STOPPED_S + 0.1))[3] == HeardAs.UNHEARD
