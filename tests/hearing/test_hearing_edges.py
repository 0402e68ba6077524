"""The ear's own small steps, each on values that can be counted by hand."""

from __future__ import annotations

import math
from typing import Any, cast

import numpy as np
import pytest

from drill.hearing import figures, onsets, path, sift
from drill.hearing.align import OCTAVE, WRONG, Pairing, paired
from drill.hearing.frames import Array, Ear
from drill.hearing.judge import DUE, NEAR_DUE, due
from drill.hearing.keys import KeyCell
from drill.hearing.live import CHECK_S, ROOM_S, CellEar
from drill.hearing.partials import presence
from drill.hearing.path import CHANGE, STRANGE, HeardSound, Path, Scene, measured
from drill.hearing.path import stretches as sounding
from drill.hearing.values import Known
from drill.terms import hertz

RATE = 44100


def heard(midi: int, on: float, off: float) -> HeardSound:
    return HeardSound(on, off, midi, 1.0, 0.0, -20.0)


def scene(frames: int = 100, low: int = 60, count: int = 13, **more: Any) -> Scene:
    """A frame each hundredth of a second, in the middle of it; a level for each."""
    times = 0.01 * (np.arange(frames) + 0.5)
    fields: dict[str, Any] = {
        "times": times,
        "pitch": np.zeros((frames, count), np.float32),
        "cents": np.zeros((frames, count), np.float32),
        "level": np.zeros(frames),
        "level_times": times,
        "low": low,
        "tune": 0.0,
        "asked": (60,),
        "sound": np.zeros(RATE, np.float32),
        "rate": RATE,
        "a4": 440.0,
        "level_window_s": 0.012,
    }
    return Scene(**(fields | more))


# Pairing.


@pytest.mark.parametrize("asked", [(60, 65), (65, 60)])
def test_a_sound_answers_the_note_within_a_whole_step(asked: tuple[int, int]) -> None:
    """62 is two semitones from 60 and three from 65: a slip is seldom wider than a step."""
    found = paired(asked, [heard(62, 0.0, 0.5)], 0.5)
    assert found == Pairing({asked.index(60): 0}, (), (), ())


@pytest.mark.parametrize("asked", [(60, 68), (68, 60)])
def test_an_octave_that_is_told_costs_less_than_a_wrong_note(asked: tuple[int, int]) -> None:
    assert OCTAVE < WRONG
    found = paired(asked, [heard(72, 0.0, 0.5)], 0.5, OCTAVE)
    assert found.sounds == {asked.index(60): 0}


# The way through the semitones.


def test_a_pitch_that_the_line_does_not_have_costs_more() -> None:
    assert list(Path(60, 3, (61,))._cost) == [
        CHANGE + STRANGE, CHANGE, CHANGE + STRANGE, CHANGE - 2,
    ]  # fmt: skip


def test_sounds_are_stretches_of_one_pitch_and_no_flicker() -> None:
    assert sounding(np.array([], int), 3) == []
    assert sounding(np.array([1] * 9 + [3] * 5 + [2] * 2 + [0] * 9), 3) == [(0, 9, 1), (16, 25, 0)]


def test_a_sound_is_measured_in_its_body() -> None:
    """From 0.2 to 0.8 s these are the frames 20 to 79: pitch from a quarter in to a sixth before
    the end (35 to 69), level from a quarter in to 12 % before it (35 to 72)."""
    ramp = np.arange(100, dtype=float)
    cents, pitch = np.zeros((100, 13)), np.zeros((100, 13))
    cents[:, 5], pitch[:, 5] = ramp, 0.9
    found = measured(scene(cents=cents, pitch=pitch, level=-ramp), 0.2, 0.8, 65)
    assert (found.cents, found.db) == (np.median(ramp[35:70]), -np.median(ramp[35:73]))
    assert found.sure == pytest.approx(0.9)
    short = measured(scene(cents=cents, pitch=pitch, level=-ramp), 0.2, 0.24, 65)
    assert short.cents == np.median(ramp[20:24])  # too short to leave anything out
    nothing = measured(scene(), 0.2, 0.2, 65)
    assert (nothing.sure, math.isnan(nothing.cents), math.isnan(nothing.db)) == (0.0, True, True)


def test_what_is_due_around_a_note_is_it_and_its_neighbours() -> None:
    """Notes at 0.2 and 0.5 s of a line of five: the note itself, the one before, the next."""
    asked = (60, 62, 64, 65, 67)
    sounds = [heard(62, 0.2, 0.5), heard(64, 0.5, 0.8)]
    bonus = due(scene(), asked, sounds, Pairing({1: 0, 2: 1}, (), (), ()))
    at = {midi: float(bonus[35, midi - 60]) for midi in asked}
    near, own = np.float32(NEAR_DUE), np.float32(DUE)
    assert at == {60: near, 62: own, 64: near, 65: near, 67: 0.0}
    later = {midi: float(bonus[70, midi - 60]) for midi in asked}
    assert later == {60: 0.0, 62: near, 64: own, 65: near, 67: 0.0}
    assert not bonus[:16].any()


# Second looks.


class Ears:
    """What the take tells of octaves, as the test wants it."""

    def __init__(self, *, inside: bool = False) -> None:
        self.inside = inside

    def within(self, sound: HeardSound, note: int, times: int) -> bool:
        return self.inside

    def told(self, sound: HeardSound, asked: int) -> bool:
        return True

    def above(self, sound: HeardSound) -> bool:
        return False


@pytest.mark.parametrize(("inside", "midi"), [(False, 79), (True, 60)])
def test_a_twelfth_too_low_is_the_note_unless_it_has_partials_of_its_own(
    inside: bool, midi: int
) -> None:
    answers = {0: heard(60, 0.0, 0.5), 1: heard(70, 0.5, 1.0)}
    sift._but_thirds((79, 72), answers, cast("Any", Ears(inside=inside)))
    assert [answers[0].midi, answers[1].midi] == [midi, 70]


def test_an_octave_is_a_slip_once_and_the_horn_s_sound_twice() -> None:
    once = {0: heard(60, 0.0, 0.5), 1: heard(76, 0.5, 1.0), 2: heard(67, 1.0, 1.5)}
    assert sift._octave_slips((60, 64, 67), once, cast("Any", Ears()), True) == {1}
    assert [once[at].midi for at in range(3)] == [60, 76, 67]
    twice = {0: heard(76, 0.0, 0.5), 1: heard(77, 0.5, 1.0), 2: heard(66, 1.0, 1.5)}
    assert sift._octave_slips((64, 65, 67), twice, cast("Any", Ears()), True) == set()
    assert [twice[at].midi for at in range(3)] == [64, 65, 66]


def test_a_note_that_nothing_answers_is_looked_for_half_way_to_the_next() -> None:
    asked = (60, 62, 64, 65)
    answers = {0: heard(60, 0.0, 0.4), 2: heard(64, 1.0, 1.4), 3: heard(65, 1.5, 1.9)}
    extra = heard(70, 0.5, 0.9)
    assert sift._rescued(scene(200), asked, answers, [(extra, 0)]) == []
    assert answers[1] == extra


def test_partials_of_a_note_stand_out_and_those_of_the_note_below_do_not() -> None:
    t = np.arange(RATE) / RATE
    tone = hertz(69, 440.0)
    partials = [np.sin(2 * np.pi * k * tone * t) / k for k in range(1, 12)]
    sound = np.sum(partials, axis=0).astype(np.float32)
    here = scene(sound=sound)
    own, below = presence(here, 0.1, 0.6, 69), presence(here, 0.1, 0.6, 57)
    assert own == pytest.approx(25.0)
    assert below is not None
    assert below < -9
    assert presence(here, 0.1, 0.1 + 0.02 + 2.9 / tone, 69) is None  # under three periods


def test_partials_beyond_five_thousand_hertz_are_not_asked_for() -> None:
    """A tone at 2,000 Hz with partials at 2,000 and 4,000 alone: the third would be at 6,000."""
    t = np.arange(RATE) / RATE
    midi = 95  # 1975.5 Hz
    tone = hertz(midi, 440.0)
    sound = (np.sin(2 * np.pi * tone * t) + np.sin(4 * np.pi * tone * t)).astype(np.float32)
    noise = np.random.default_rng(1).normal(0, 1e-4, RATE).astype(np.float32)
    assert presence(scene(sound=sound + noise), 0.1, 0.6, midi) == pytest.approx(25.0)


# Instants.


def test_a_level_is_crossed_between_two_readings() -> None:
    times, level = np.array([0.0, 1.0, 2.0]), np.array([0.0, 0.0, 4.0])
    assert onsets._crossing(times, level, 1.0) == 1.25
    tiny = np.array([0.0, 0.0, 1e-7])
    assert onsets._crossing(times, tiny, 5e-8) == pytest.approx(1.05)
    assert onsets._crossing(times, level + 9, 1.0) == 0.0


def test_an_onset_has_its_fall_and_its_rise() -> None:
    """From -20 down to -50 at 0.5 s and up to -10."""
    level = np.full(100, -20.0)
    level[45:50] = np.linspace(-20, -50, 5)
    level[50:55] = np.linspace(-50, -10, 5)
    level[55:] = -10.0
    found = onsets.onset(scene(level=level), 0.5, True, 60, 62)
    assert (found.fall, found.rise, found.struck) == (30.0, 40.0, True)
    silent = onsets.onset(scene(level=level), 0.5, False, None, 62)
    assert silent.fall == 99.0


@pytest.mark.parametrize(("before", "after"), [(60, 67), (67, 60), (48, 50)])
def test_two_pitches_meet_where_one_becomes_the_other(before: int, after: int) -> None:
    t = np.arange(RATE) / RATE
    one, other = (np.sin(2 * np.pi * hertz(midi, 440.0) * t) for midi in (before, after))
    sound = np.where(t < 0.5, one, other).astype(np.float32)
    found = onsets.meeting(scene(sound=sound), 0.49, before, after)
    assert found == pytest.approx(0.5, abs=1.0 / hertz(min(before, after), 440.0))


def test_a_key_that_is_still_down_sounds_at_least_a_millisecond() -> None:
    cell = KeyCell((60,))
    cell.tell(("on", 1.0, 60, 90))
    found = cell.answer(0.0)
    assert found is not None
    assert (found.notes[0].on_s, found.notes[0].off_s) == (1.0, 1.001)


def test_a_cell_is_held_against_what_was_asked_as_soon_as_the_time_is_up() -> None:
    """Every 0.03 s, to the sample: 4,700 of 40,000 a second come first, then 1,200 at a time."""
    assert CHECK_S * 40_000 == 1200
    assert ROOM_S * 40_000 == 4000
    for blocks, then in (((4700, 1199, 1, 1199), [4700, 5900]), ((3999, 1), [4000])):
        ear = CellEar((60, 62), 40_000)
        looked: list[int] = []
        ear._begin = lambda ear=ear, looked=looked: looked.append(ear._ear.samples) is not None  # type: ignore[method-assign,misc]
        for block in blocks:
            ear.feed(np.zeros(block, np.float32))
        assert looked == then


# How time was kept.


def test_notes_on_end_are_one_stretch_to_a_pause_a_gap_or_a_new_start() -> None:
    even = {at: 0.5 * at for at in range(12)}
    assert figures.stretches(even, 0.5) == [list(range(12))]
    gap = {at: 0.5 * at for at in (*range(6), *range(7, 13))}
    assert figures.stretches(gap, 0.5) == [list(range(6)), list(range(7, 13))]
    pause = {at: 0.5 * at + (2.0 if at > 5 else 0.0) for at in range(12)}
    assert figures.stretches(pause, 0.5) == [list(range(6)), list(range(6, 12))]
    again = {at: 0.5 * at - (0.4 if at > 5 else 0.0) for at in range(12)}
    assert figures.stretches(again, 0.5) == [list(range(6)), list(range(6, 12))]


def test_a_drift_is_told_from_the_first_note_to_the_last() -> None:
    """Notes that each last a hundredth longer than the one before, of twenty and of two parts."""
    lengths = [0.5 * 1.01**at for at in range(40)]
    onsets_of = dict(enumerate(np.cumsum([0.0, *lengths])))
    whole = figures._drift([list(range(40))], onsets_of)
    assert whole == pytest.approx(100 * (1.01**39 - 1), rel=1e-6)
    parts = [list(range(3, 15)), list(range(20, 36))]
    assert figures._drift(parts, onsets_of) == pytest.approx(100 * (1.01**32 - 1), rel=1e-6)


def test_a_swing_is_the_first_to_the_second_and_has_an_end() -> None:
    def played(ratio: float) -> float | None:
        first = ratio / (1 + ratio)
        return figures._swing(
            [list(range(12))], {at: at // 2 + (first if at % 2 else 0.0) for at in range(12)}
        )

    assert played(2.0) == pytest.approx(2.0)
    assert played(99.0) == pytest.approx(19.0)  # 0.95 to 0.05
    assert played(1 / 99) == pytest.approx(1 / 19)


# Frames.


def test_frames_are_the_same_however_the_sound_comes() -> None:
    t = np.arange(RATE // 2) / RATE
    sound = np.sin(2 * np.pi * hertz(62, 440.0) * t).astype(np.float32)

    def evidence(block: int) -> tuple[Array, Array, int]:
        ear = Ear((60, 62, 64), RATE, 440.0)
        for at in range(0, len(sound), block):
            ear.feed(sound[at : at + block])
        return *ear.evidence(), ear.low

    pitch, cents, low = evidence(len(sound))
    assert set(pitch[5:-5].argmax(1) + low) == {62}
    assert np.abs(cents[5:-5, 62 - low]).max() < 3
    for block in (441, 1000):
        again, fine, _ = evidence(block)
        assert len(again) == len(pitch)
        assert again == pytest.approx(pitch, abs=1e-3)
        assert fine == pytest.approx(cents, abs=0.5)


@pytest.mark.parametrize(("tune", "again"), [(12.0, 0), (-12.0, 0), (12.5, 1), (-12.5, 1)])
def test_a_player_is_read_anew_from_twelve_cents_off(
    monkeypatch: pytest.MonkeyPatch, tune: float, again: int
) -> None:
    moved: list[float] = []

    def retuned(pitch: Array, cents: Array, tune: float) -> tuple[Array, Array]:
        moved.append(tune)
        return pitch, cents

    monkeypatch.setattr(path, "retuned", retuned)
    path.scene(Ear((60,), RATE), tune)
    assert moved == [tune] * again


def test_an_ear_that_knows_nobody_takes_the_pitch_for_what_it_is() -> None:
    assert CellEar((60, 62), RATE)._tune == 0.0
    known = Known(pitch=69, tune_cents=17.0, level_db=-20.0, own_db=12.0, upper_db=0.0)
    assert CellEar((60, 62), RATE, known=known)._tune == 17.0


def test_partials_are_found_a_little_off_where_they_should_be() -> None:
    """Twenty cents sharp: the eleventh partial is 57 Hz off, within an eighth of the tone."""
    t = np.arange(RATE) / RATE
    tone = hertz(69.2, 440.0)
    partials = [np.sin(2 * np.pi * k * tone * t) / k for k in range(1, 12)]
    here = scene(sound=np.sum(partials, axis=0).astype(np.float32))
    off, on_pitch = presence(here, 0.1, 0.15, 69), presence(here, 0.1, 0.15, 57)
    assert off is not None
    assert on_pitch is not None
    assert off > 15
    assert on_pitch < 0


def test_two_pitches_meet_at_the_edge_of_what_is_looked_at() -> None:
    """Looked for 45 ms either way: here they meet 44 ms before the boundary, and after it."""
    t = np.arange(RATE) / RATE
    one, other = (np.sin(2 * np.pi * hertz(midi, 440.0) * t) for midi in (60, 67))
    here = scene(sound=np.where(t < 0.5, one, other).astype(np.float32))
    for at in (0.544, 0.456):
        assert onsets.meeting(here, at, 60, 67) == pytest.approx(0.5, abs=0.002)


def test_an_octave_above_is_held_against_how_both_usually_are(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The note's own partials as they are at its pitch, and as they seem to be an octave up."""
    usual = {(60, 60): 12.0, (72, 60): 0.0}
    octaves = sift._Octaves(scene(), [heard(60, 1.0, 1.5), heard(60, 2.0, 2.5)])
    monkeypatch.setattr(octaves, "usual", lambda pitch, lower: usual[pitch, lower])
    looked = {1.0: 12.0, 2.0: 11.0, 3.0: -1.0}
    monkeypatch.setattr(sift, "presence", lambda here, on, off, lower, times=2: looked[on])
    assert octaves.above(heard(60, 3.0, 3.5))
    looked[3.0] = 1.0
    assert not octaves.above(heard(60, 3.0, 3.5))  # it has partials of its own
    assert not octaves.above(heard(60, 3.0, 3.06))  # too short to say


@pytest.mark.parametrize("cents", [-8, 8])
def test_partials_are_looked_for_as_wide_as_a_short_sound_smears_them(cents: int) -> None:
    """A quarter of a second shows a line 5 Hz wide; the thirteenth partial is 13 Hz off here."""
    t = np.arange(RATE) / RATE
    tone = hertz(57 + cents / 100, 440.0)
    partials = [np.sin(2 * np.pi * k * tone * t) / k for k in range(1, 14)]
    noise = np.random.default_rng(1).normal(0, 0.02, RATE)
    here = scene(sound=(np.sum(partials, axis=0) + noise).astype(np.float32))
    found = presence(here, 0.1, 0.35, 57)
    assert found is not None
    assert found > 24
