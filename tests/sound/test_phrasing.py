"""Swing, articulation, shape and metronome, measured in the audio and against the tables."""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.ndimage import uniform_filter1d
from sound_probe import cents, envelope, equal_tempered, pitch, rms, stretches

from drill.errors import UsageError
from drill.sound.metronome import STEPS, click_take, click_track, step_tempo
from drill.sound.phrasing import (
    BY_TEMPO,
    LOUD,
    SOFT,
    STRAIGHT,
    TRIPLET,
    Manner,
    Phrase,
    SwingRatio,
    note_times,
    phrase_take,
    read_swing,
    soloist_ratio,
)
from drill.sound.render import render_float
from drill.sound.take import MF, TAIL_S, Click
from drill.sound.tone import RATE
from drill.sound.tonguing import EVERY, REPEATED, SLURRED, TONGUED
from drill.terms import Contour, Direction, Tonguing
from drill.theory.metre import Metronome

REFERENCE = Path(__file__).parents[1] / "reference"
G_UP = Phrase(((58, 60, 62, 58), (60, 62, 63, 60), (62, 63, 65, 62), (63, 65, 67, 63)), close=70)
"""1-2-3-1 in written G on alto, as it sounds: concert B flat (common practice)."""


def table(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


# The tables.


def test_articulations_are_the_table_s() -> None:
    """Source: reference/articulation.csv (common practice and measured playing)."""
    marks = {each.value: mark for each, mark in EVERY.items()} | {
        "none": TONGUED, "slur/legato": SLURRED, "repeated": REPEATED,
    }  # fmt: skip
    seen = set()
    for row in table("articulation.csv"):
        word = row["articulation"]
        mark = marks[word.split()[0]]
        seen.add(word.split()[0])
        assert mark.fraction == float(row["sounding_fraction"].split()[0]), word
        assert mark.velocity == int(row["velocity_change"].split(";")[0].strip("-") or 0), word
    assert seen == set(marks)


def test_dynamics_are_the_table_s() -> None:
    """Source: reference/dynamics.csv (steps of 16, common practice)."""
    rows = {row["mark"]: row["velocity"] for row in table("dynamics.csv") if row["velocity"]}
    assert {mark: rows[mark] for mark in ("p", "mf", "f")} == {
        "p": str(SOFT), "mf": str(MF), "f": str(LOUD),
    }  # fmt: skip


def test_the_soloist_line_is_the_published_one() -> None:
    """Source: the regression line after Friberg & Sundström (2002), rounded to two places."""
    for row in table("swing_by_tempo.csv"):
        published = float(row["soloist_ratio_2.0483-0.0031bpm"])
        assert soloist_ratio(float(row["bpm"])) == pytest.approx(published, abs=0.0101)


def test_metronome_steps_are_the_table_s() -> None:
    """Source: reference/metronome_marks.csv (39 traditional marks, common practice)."""
    assert [str(step) for step in STEPS] == [row["bpm"] for row in table("metronome_marks.csv")]


@pytest.mark.parametrize(
    ("bpm", "steps", "expected"),
    [(60, 1, 63), (60, -1, 58), (61, 1, 63), (61, -1, 60), (208, 1, 208), (40, -2, 40),
     (230, 1, 230), (230, -1, 208), (30, -1, 30), (116, 3, 132), (100, 0, 100)],
)  # fmt: skip
def test_stepping_the_tempo(bpm: int, steps: int, expected: int) -> None:
    assert step_tempo(bpm, steps) == expected


# Measured in the audio.


CELL = (60, 64, 67, 64)
ONE_PITCH = (60, 60, 60, 60)
"""So that nothing but time tells the notes apart."""


def played(
    bpm: float,
    tonguing: Tonguing,
    swing: SwingRatio = STRAIGHT,
    beats: int = 2,
    cell: tuple[int, ...] = CELL,
) -> np.ndarray:
    manner = Manner(
        bpm=bpm, tonguing=tonguing, swing=swing, notes_per_beat=beats, volume=1.0, room=False
    )
    phrase = Phrase((cell,) * 4)
    return render_float(phrase_take((phrase,), manner))


def swung(bpm: float, swing: SwingRatio) -> np.ndarray:
    return played(bpm, Tonguing.STACCATO, swing, cell=ONE_PITCH)


def test_staccato_sounds_half() -> None:
    parts = stretches(played(60, Tonguing.STACCATO, beats=1), RATE)
    assert len(parts) == 16
    assert [end - begin for begin, end in parts] == pytest.approx([0.5] * 16, abs=0.015)


@pytest.mark.parametrize(
    ("tonguing", "fraction"),
    [(Tonguing.TONGUED, 0.88), (Tonguing.PORTATO, 0.7), (Tonguing.STACCATISSIMO, 0.3)],
)
def test_other_articulations_sound_their_share(tonguing: Tonguing, fraction: float) -> None:
    parts = stretches(played(60, tonguing, beats=1), RATE)
    assert [end - begin for begin, end in parts] == pytest.approx([fraction] * 16, abs=0.015)


def test_a_slur_has_no_gap_and_no_new_attack() -> None:
    wave = played(120, Tonguing.SLURRED)
    power = uniform_filter1d(wave.astype(float) ** 2, round(0.012 * RATE))
    level = np.sqrt(np.maximum(power, 0.0))  # running sums round to less than nothing in silence
    inside = level[round(0.15 * RATE) : round(3.9 * RATE)]
    assert inside.min() > 0.6 * np.median(inside)
    assert inside.max() < 1.35 * np.median(inside)  # no attack: a tongued note begins higher
    tongued = envelope(played(120, Tonguing.TONGUED), RATE, 0.012)
    assert tongued[round(0.15 * RATE) : round(3.9 * RATE)].min() < 0.05 * np.median(tongued)


def test_two_slurred_two_tongued_by_ear() -> None:
    """Of the four notes of each cell the first pair has no gap between, the others have."""
    wave = played(120, Tonguing.TWO_AND_TWO)
    parts = stretches(wave, RATE, 0.25)
    lengths = [end - begin for begin, end in parts]
    assert lengths == pytest.approx([0.25 + 0.22, 0.22, 0.22] * 4, abs=0.02)


@pytest.mark.parametrize("bpm", [60, 120, 160, 200, 240, 280])
def test_the_swing_ratio_in_the_audio_is_the_published_line(bpm: int) -> None:
    """Source: the regression line after Friberg & Sundström (2002), 2.0483 - 0.0031 bpm."""
    onsets = [begin for begin, _ in stretches(swung(bpm, BY_TEMPO), RATE, 0.3)]
    assert len(onsets) == 16
    gaps = np.diff(onsets)
    ratio = gaps[0::2][:7].mean() / gaps[1::2].mean()
    assert ratio == pytest.approx(2.0483 - 0.0031 * bpm, rel=0.02)
    assert onsets[14] - onsets[0] == pytest.approx(7 * 60 / bpm, abs=0.004)  # the beat is kept


@pytest.mark.parametrize(
    ("swing", "ratio"), [(STRAIGHT, 1.0), (TRIPLET, 2.0), (SwingRatio(1.5), 1.5)]
)
def test_other_swings_in_the_audio(swing: SwingRatio, ratio: float) -> None:
    onsets = [begin for begin, _ in stretches(swung(100, swing), RATE, 0.3)]
    gaps = np.diff(onsets)
    assert gaps[0::2][:7].mean() / gaps[1::2].mean() == pytest.approx(ratio, rel=0.02)


def test_a_crescendo_is_monotone_in_rms_going_up_and_falls_going_down() -> None:
    manner = Manner(bpm=120, contour=Contour.RISE_AND_FALL, tonguing=Tonguing.TONGUED, volume=1.0)
    cells = tuple((p, p + 2, p + 4, p) for p in (58, 60, 62, 63, 65, 67, 69))
    for direction, sign in ((Direction.UP, 1), (Direction.DOWN, -1)):
        take = phrase_take((Phrase(cells[::sign], direction),), manner)
        wave = render_float(take)
        second = RATE  # a cell of four eighths at 120
        levels = [rms(wave[n * second : (n + 1) * second]) for n in range(7)]
        assert all(sign * (b - a) > 0 for a, b in pairwise(levels)), levels
        assert max(levels) / min(levels) == pytest.approx((96 / 48) ** 2, rel=0.25)


def test_the_cells_sound_at_concert_pitch_in_order() -> None:
    wave = render_float(phrase_take((G_UP,), Manner(bpm=60, tonguing=Tonguing.TONGUED, room=False)))
    notes = [midi for cell in G_UP.cells for midi in cell]
    half = RATE // 2
    for index, midi in enumerate(notes):
        heard = pitch(wave[index * half : (index + 1) * half], RATE)
        assert abs(cents(heard, equal_tempered(midi))) < 2, index
    close = wave[16 * half + 1000 : 16 * half + 15000]  # before its vibrato
    assert abs(cents(pitch(close, RATE), equal_tempered(70))) < 2


def test_a_click_falls_on_its_sample() -> None:
    wave = render_float(click_take(Metronome(), 117.0, 20, volume=1.0))
    level = np.abs(wave)
    for beat in range(84):
        at = round(beat * 60 / 117 * RATE)
        assert level[at - 5 if at else 0 : at].sum() == 0  # nothing before it
        assert level[at : at + 40].max() > 0.1


# The plan.


def test_the_events_of_mixed_patterns() -> None:
    def slurs(tonguing: Tonguing, cell: tuple[int, ...] = (60, 62, 64, 60)) -> str:
        take = phrase_take((Phrase((cell, tuple(p + 2 for p in cell))),), Manner(tonguing=tonguing))
        return "".join("s" if event.slur_in_s else "t" for event in take.events)

    assert slurs(Tonguing.SLURRED) == "tsss" + "ssss"
    assert slurs(Tonguing.TONGUED) == "tttt" * 2
    assert slurs(Tonguing.TWO_AND_TWO) == "tstt" * 2
    assert slurs(Tonguing.ONE_AND_THREE) == "ttss" * 2
    assert slurs(Tonguing.THREE_AND_ONE) == "tsst" * 2
    assert slurs(Tonguing.TWO_AND_TWO, (60, 62, 64)) == "tst" * 2
    assert slurs(Tonguing.THREE_AND_ONE, (60, 62, 64, 65, 67)) == "tssst" * 2


def test_random_slurs_follow_the_seed() -> None:
    def events(seed: int) -> list[bool]:
        manner = Manner(tonguing=Tonguing.RANDOM, seed=seed)
        return [event.slur_in_s > 0 for event in phrase_take((G_UP,), manner).events]

    assert events(1) == events(1)
    assert len({tuple(events(seed)) for seed in range(10)}) > 5
    assert not events(3)[4]  # a cell always begins with the tongue


def test_a_repeated_pitch_is_tongued_even_in_a_slur() -> None:
    take = phrase_take((Phrase(((60, 62), (62, 64))),), Manner(bpm=60, tonguing=Tonguing.SLURRED))
    assert [event.slur_in_s > 0 for event in take.events] == [False, True, False, True]
    assert take.events[1].sounding_s == pytest.approx(0.85 * 0.5)


def test_accents_change_the_velocity() -> None:
    def velocities(tonguing: Tonguing) -> list[int]:
        phrase = Phrase(((60, 62, 64, 60),))
        return [e.velocity for e in phrase_take((phrase,), Manner(tonguing=tonguing)).events]

    assert velocities(Tonguing.ACCENT) == [100] * 4
    assert velocities(Tonguing.FIRST_ACCENTED) == [100, 80, 80, 80]
    assert velocities(Tonguing.MARCATO) == [110] * 4
    loudest = Manner(tonguing=Tonguing.MARCATO, contour=Contour.RISE_AND_FALL)
    assert phrase_take((Phrase(((60, 62),)),), loudest).events[-1].velocity == 126


def test_the_take_of_a_run_knows_its_beats() -> None:
    manner = Manner(bpm=120, count_in_bars=1, beats_per_bar=4)
    take = phrase_take((G_UP,), manner)
    assert take.first_beat_s == 2.0
    assert take.events[0].onset_s == 2.0
    assert take.events[-1].onset_s == 2.0 + 16 * 0.25
    assert take.events[-1].sounding_s == 1.0  # two beats, held
    assert take.beat_at(0.0) == -4
    assert take.beat_at(3.0) == 2
    assert [click.click for click in take.clicks] == [Click.ACCENT] + [Click.BEAT] * 3
    assert take.length_s == pytest.approx(2.0 + 12 * 0.5 + TAIL_S)  # bars are filled


def test_a_cell_per_bar_leaves_the_rest_of_the_bar() -> None:
    manner = Manner(bpm=60, count_in_bars=1, cell_per_bar=True, swing=TRIPLET)
    times = note_times(G_UP, manner)
    assert times[:5] == pytest.approx((4, 4 + 2 / 3, 5, 5 + 2 / 3, 8))
    assert times[-1] == 4 + 16
    assert tuple(e.onset_s for e in phrase_take((G_UP,), manner).events) == pytest.approx(times)


def test_phrases_follow_on_bar_lines() -> None:
    take = phrase_take((Phrase(((60, 62, 64),)), Phrase(((72,),))), Manner(bpm=60))
    assert take.events[3].onset_s == 4.0


def test_the_metronome_s_options() -> None:
    def beats(metronome: Metronome | None, bars: int = 1, count_in: int = 0) -> list[float]:
        return [click.onset_s for click in click_track(metronome, 60, bars, count_in)]

    assert beats(Metronome()) == [0, 1, 2, 3]
    assert beats(Metronome(beats=(2, 4)), 2) == [1, 3, 5, 7]
    assert beats(Metronome(division=2)) == [n / 2 for n in range(8)]
    assert beats(Metronome(division=3, beats=(1,))) == pytest.approx([0, 1 / 3, 2 / 3])
    assert beats(Metronome(sounding_bars=1, silent_bars=2), 4) == [0, 1, 2, 3, 12, 13, 14, 15]
    assert beats(Metronome(beats=(2, 4)), 1, 1) == [0, 1, 2, 3, 5, 7]
    assert beats(None, 2, 1) == [0, 1, 2, 3]
    kinds = [click.click for click in click_track(Metronome(accent=False, division=2), 60, 1)]
    assert kinds == [Click.BEAT, Click.DIVISION] * 4


@pytest.mark.parametrize(
    ("text", "swing"),
    [("straight", STRAIGHT), ("by-tempo", BY_TEMPO), (" Triplet ", TRIPLET),
     ("1.6", SwingRatio(1.6)), ("3:2", SwingRatio(1.5)), ("2:1", TRIPLET)],
)  # fmt: skip
def test_reading_swing(text: str, swing: SwingRatio) -> None:
    assert read_swing(text) == swing


@pytest.mark.parametrize("text", ["", "nan", "0.5", "9", "1:0", "swingy", "inf"])
def test_a_swing_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(UsageError, match="expected straight, by-tempo, triplet"):
        read_swing(text)


@pytest.mark.parametrize(
    ("fields", "message"),
    [({"bpm": 10.0}, "tempo is 10"), ({"bpm": 401.0}, "expected 20 to 400"),
     ({"notes_per_beat": 5}, "notes in a beat"), ({"count_in_bars": -1}, "count-in")],
)  # fmt: skip
def test_a_manner_that_cannot_be_is_refused(fields: dict[str, float], message: str) -> None:
    with pytest.raises(UsageError, match=message):
        Manner(**fields)  # type: ignore[arg-type]


@given(
    bpm=st.floats(20, 400),
    swing=st.sampled_from([STRAIGHT, BY_TEMPO, TRIPLET, SwingRatio(3.5)]),
    tonguing=st.sampled_from(list(Tonguing)),
    sizes=st.lists(st.integers(1, 6), min_size=1, max_size=5),
    notes=st.integers(1, 4),
)
def test_notes_never_run_back_and_only_slurs_overlap(
    bpm: float, swing: SwingRatio, tonguing: Tonguing, sizes: list[int], notes: int
) -> None:
    cells = tuple(tuple(60 + n % 3 for n in range(size)) for size in sizes)
    manner = Manner(bpm=bpm, swing=swing, tonguing=tonguing, notes_per_beat=notes)
    take = phrase_take((Phrase(cells, close=60),), manner)
    assert len(take.events) == sum(sizes) + 1
    for event, after in pairwise(take.events):
        assert after.onset_s > event.onset_s
        overlap = event.onset_s + event.sounding_s - after.onset_s
        assert overlap <= event.slur_out_s + 1e-9
        assert after.slur_in_s == event.slur_out_s
        if after.slur_in_s:
            assert 0 < overlap <= 0.03
    last = take.events[-1]
    assert last.onset_s + last.sounding_s <= take.length_s
