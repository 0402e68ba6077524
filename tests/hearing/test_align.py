"""Which sound answers which note: cases worked out by hand."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from drill.hearing.align import paired
from drill.hearing.path import HeardSound

LINE = (60, 62, 64, 60, 62, 64, 65, 62)


def played(*pitches: int, length: float = 0.25) -> list[HeardSound]:
    return [
        HeardSound(at * 0.3, at * 0.3 + length, pitch, 0.9, 0.0, -20.0)
        for at, pitch in enumerate(pitches)
    ]


def test_what_is_played_as_asked_is_paired_in_order() -> None:
    found = paired(LINE, played(*LINE), 0.3)
    assert found.sounds == {at: at for at in range(8)}
    assert not found.extras
    assert not found.restarts


@given(st.integers(0, 7), st.sampled_from([-2, -1, 1, 2]))
def test_one_wrong_note_is_paired_with_its_place(at: int, off: int) -> None:
    notes = list(LINE)
    notes[at] += off
    found = paired(LINE, played(*notes), 0.3)
    assert found.sounds == {each: each for each in range(8)}


def test_a_note_left_out_is_answered_by_nothing() -> None:
    found = paired(LINE, played(60, 62, 64, 62, 64, 65, 62), 0.3)
    assert set(range(8)) - set(found.sounds) == {3}


def test_a_sound_too_many_stands_after_its_note() -> None:
    found = paired(LINE, played(60, 62, 64, 60, 71, 62, 64, 65, 62), 0.3)
    assert found.extras == ((4, 3),)
    assert len(found.sounds) == 8


def test_a_new_start_is_the_one_that_counts() -> None:
    found = paired(LINE, played(60, 62, 64, 60, 62, 60, 62, 64, 65, 62), 0.3)
    assert found.restarts == (3,)
    assert found.sounds[3] == 5
    assert [at for at, _ in found.earlier] == [3, 4]


def test_silence_answers_nothing() -> None:
    found = paired(LINE, [], 0.3)
    assert not found.sounds
