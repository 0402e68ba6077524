"""Clicks, metres, tapping, and what is said when the sound cannot be trusted."""

from __future__ import annotations

import random
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from beat_players import BEGAN, NOON, deck_of, desk_at, keep, room_at

from drill.memory.kinds import TAPPED
from drill.practice.time.bout import Setting
from drill.practice.time.course import Stumbled, Timed, TimePlan, begin, played
from drill.practice.time.strokes import TAP, Gatherer, Stroke, Sung
from drill.practice.time.tempi import book_of, tries_of
from drill.practice.time.timing import TimeOutcome, judge
from drill.sound.take import Click
from drill.theory.language import Language
from drill.wording.bouts import manner_told
from drill.wording.timing import timing_told


def offered(folder: Path, setting: Setting, bpm: float = 60.0, **deck: object):  # type: ignore[no-untyped-def]
    room = room_at(folder)
    made = replace(deck_of("C"), **deck)  # type: ignore[arg-type]
    desk = desk_at(room, made, TimePlan(turns=1000, bpm=bpm, setting=setting))
    state = begin(desk, NOON)[0]
    assert state.bout is not None
    return room, desk, state


def test_the_deck_says_which_beats_click_and_the_player_may_say_otherwise(tmp_path: Path) -> None:
    room, _, state = offered(tmp_path, Setting(), metre="3/4", click="gaps:1:1", count_in=2)
    with closing(room.store):
        take = state.bout.take
        assert take.beats_per_bar == 3
        assert take.first_beat_s == pytest.approx(6.0), "two bars of three at 60"
        bars = {int(click.onset_s // 3) for click in take.clicks}
        assert bars >= {0, 1, 2, 4}
        assert 3 not in bars, "the second bar of the music is silent"
    setting = Setting(click="all", metre="4/4", count_in_bars=1)
    room, _, state = offered(tmp_path / "b", setting, metre="3/4", click="gaps:1:1", count_in=2)
    with closing(room.store):
        take = state.bout.take
        assert (take.beats_per_bar, take.first_beat_s) == (4, pytest.approx(4.0))
        assert len([c for c in take.clicks if c.click is Click.ACCENT]) == round(take.length_s // 4)


def test_compound_metres_take_three_notes_to_a_beat(tmp_path: Path) -> None:
    room, _, state = offered(tmp_path, Setting(metre="6/8"))
    with closing(room.store):
        bout = state.bout
        assert bout.notes_per_beat == 3
        assert bout.due[1] - bout.due[0] == pytest.approx(1 / 3)
        assert manner_told(bout) == ["three notes a beat"]


@pytest.mark.parametrize("bpm", [40, 132, 200])
def test_time_alone_can_be_tapped_at_any_tempo(tmp_path: Path, bpm: int) -> None:
    """Eighths at 200 come 150 ms apart: too near for letters, not for one key."""
    room, desk, state = offered(tmp_path, Setting(notes_per_beat=2, tapped=True), bpm)
    rng = random.Random(5)
    with closing(room.store):
        bout = state.bout
        gatherer = Gatherer(Language.ENGLISH, bout.interval_s, tapped=True)
        for due in bout.due:
            gatherer.take(Stroke(" ", BEGAN + due + rng.gauss(-0.012, 0.008)))
        assert {note.text for note in gatherer.notes} == {TAP}
        step = played(desk, state, gatherer.notes, BEGAN, NOON)
        effects = step[1]
        timed = next(effect for effect in effects if isinstance(effect, Timed))
        assert timed.result.timing.outcome is TimeOutcome.LOCKED_IN
        assert timed.result.timing.lead_s == pytest.approx(-0.012, abs=0.006)
        assert timed.result.say()[1] == f"{len(bout.due)} of {len(bout.due)} notes tapped"
        before = room.memory
        keep(room, desk, step)
        answers = list(room.answers())
        assert {answer.kind for answer in answers} == {TAPPED}
        assert not any(answer.teaches for answer in answers), "nothing was recalled"
        assert len(list(tries_of(answers))) == 1, "but its tempo counts"
        held = book_of(answers).held(bout.pattern, bout.key)
        assert held is not None
        assert held.stair.streak == 1
        assert room.memory is before


def test_a_tap_left_out_is_told(tmp_path: Path) -> None:
    room, desk, state = offered(tmp_path, Setting(tapped=True))
    with closing(room.store):
        bout = state.bout
        taps = [Sung(TAP, BEGAN + due) for n, due in enumerate(bout.due) if n != 3]
        _, effects = played(desk, state, taps, BEGAN, NOON)
        timed = next(effect for effect in effects if isinstance(effect, Timed))
        assert not timed.result.passed
        assert timed.result.notes[3].off_s is None


def test_a_bout_in_which_the_click_fell_behind_is_not_counted(tmp_path: Path) -> None:
    room, desk, state = offered(tmp_path, Setting(tapped=True))
    with closing(room.store):
        taps = [Sung(TAP, BEGAN + due) for due in state.bout.due]
        after, effects = played(desk, state, taps, BEGAN, NOON, slipped_s=0.05)
        assert effects == (Stumbled(0.05),)
        assert after == state
        after, effects = played(desk, state, taps, BEGAN, NOON, slipped_s=0.004)
        assert any(isinstance(effect, Timed) for effect in effects)


BEATS = [0.25 * n for n in range(12)]


def test_a_lead_that_is_not_known_decides_nothing() -> None:
    """A quarter of a beat late at 240: late where the sound is calibrated, else locked in."""
    late = [beat + 0.07 for beat in BEATS]
    assert judge(late, BEATS, 0.25).outcome is TimeOutcome.LATE
    doubted = judge(late, BEATS, 0.25, uncertain_s=0.07)
    assert doubted.outcome is TimeOutcome.LOCKED_IN
    assert doubted.lead_s == pytest.approx(0.07)
    assert "give or take 70" in timing_told(doubted)
    assert "give or take" not in timing_told(judge(late, BEATS, 0.25, uncertain_s=0.005))


def test_what_a_note_left_out_or_unsteady_means_is_not_touched_by_the_doubt() -> None:
    rng = random.Random(2)
    wild = [beat + rng.uniform(-0.05, 0.05) for beat in BEATS]
    for uncertain in (0.0, 0.07):
        assert judge(wild, BEATS, 0.25, uncertain_s=uncertain).outcome is TimeOutcome.UNSTEADY
        gone = [None if n == 5 else beat for n, beat in enumerate(BEATS)]
        assert judge(gone, BEATS, 0.25, uncertain_s=uncertain).outcome is TimeOutcome.LATE
