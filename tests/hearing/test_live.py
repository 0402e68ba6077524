"""A cell that is played is judged while it sounds."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterable, Iterator

import numpy as np
import pytest
from kept_takes import kept, one, read_recording

from drill.hearing.live import CellEar, HeardCell, WhyEnded, learned
from drill.hearing.values import HeardAs
from drill.sound.capture import RATE

BLOCK = RATE // 100


def answered(samples: np.ndarray, pitches: tuple[int, ...]) -> HeardCell | None:
    ear = CellEar(pitches, RATE)
    for at in range(0, len(samples), BLOCK):
        found = ear.feed(samples[at : at + BLOCK])
        if found is not None:
            return found
    return None


def outcomes(answer: HeardCell) -> list[HeardAs]:
    return [note.outcome for note in answer.heard.notes]


def test_a_right_cell_is_judged_while_its_last_note_sounds() -> None:
    take = one("alto-cell")
    answer = answered(read_recording(take.path), take.asked)
    assert answer is not None
    assert answer.ended is WhyEnded.WHOLE
    assert outcomes(answer) == [HeardAs.RIGHT] * 4
    last = take.notes[-1]
    assert last["onset"] < answer.at_s < last["onset"] + 0.25


def test_a_wrong_note_is_named() -> None:
    take = one("alto-cell")
    asked = (take.asked[0], take.asked[1] + 1, *take.asked[2:])
    answer = answered(read_recording(take.path), asked)
    assert answer is not None
    assert outcomes(answer) == [HeardAs.RIGHT, HeardAs.WRONG, HeardAs.RIGHT, HeardAs.RIGHT]
    assert answer.heard.notes[1].heard == take.asked[1]


def test_who_stops_is_judged_on_the_silence() -> None:
    take = one("alto-cell")
    samples = read_recording(take.path)
    cut = int((take.notes[2]["onset"] - 0.03) * RATE)
    room = np.random.default_rng(1).normal(0, 1e-4, 2 * RATE).astype(np.float32)
    answer = answered(np.concatenate([samples[:cut], room]), take.asked)
    assert answer is not None
    assert answer.ended is WhyEnded.QUIET
    assert outcomes(answer) == [HeardAs.RIGHT] * 2 + [HeardAs.UNHEARD] * 2
    assert answer.at_s > cut / RATE + 1.0


def test_silence_is_no_answer() -> None:
    room = np.random.default_rng(1).normal(0, 1e-3, 3 * RATE).astype(np.float32)
    assert answered(room, (60, 62, 64, 60)) is None


def memory_after(ear: CellEar, sounds: Iterable[np.ndarray]) -> int:
    """Bytes that an ear holds more after it heard them."""
    tracemalloc.start()
    for sound in sounds:
        assert ear.feed(sound) is None
    held = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    return held


@pytest.mark.parametrize("level", [1e-4, 0.03])
def test_an_ear_that_waits_keeps_little_and_hears_what_comes_then(level: float) -> None:
    """A prompt may stand for an hour, in a quiet room or beside a fan."""
    take = one("alto-cell")
    ear = CellEar(take.asked, RATE)
    rng = np.random.default_rng(1)

    def room(seconds: int, level: float) -> Iterator[np.ndarray]:
        return (rng.normal(0, level, RATE).astype(np.float32) for _ in range(seconds))

    quiet = list(room(2, 1e-4))
    assert memory_after(ear, [*quiet, *room(48, level), *room(25, 1e-4)]) < 15e6
    samples = read_recording(take.path)
    answers = (ear.feed(samples[at : at + BLOCK]) for at in range(0, len(samples), BLOCK))
    answer = next(each for each in answers if each is not None)
    assert outcomes(answer) == [HeardAs.RIGHT] * 4
    assert answer.at_s > 75


def test_a_long_note_tells_pitch_and_tuning() -> None:
    time = np.arange(RATE) / RATE
    hertz = 440 * 2 ** ((58 - 69) / 12 + 15 / 1200)
    note = sum(np.sin(2 * np.pi * k * hertz * time) / k for k in range(1, 9)) * 0.1
    samples = np.concatenate([np.zeros(RATE // 3), note, np.zeros(RATE // 3)])
    noise = np.random.default_rng(1).normal(0, 1e-4, len(samples))
    known = learned((samples + noise).astype(np.float32), RATE, 50, 75)
    assert known is not None
    assert known.pitch == 58
    assert abs(known.tune_cents - 15) < 3
    assert known.own_db > 10 > known.upper_db


def cells() -> list[tuple[str, int]]:
    """Five notes of the kept takes, from where all of them were played as asked."""
    found = []
    for take in kept():
        starts = range(0, len(take.asked) - 5, 9)
        whole = [at for at in starts if set(take.truth[at : at + 6]) == {"right"}]
        plain = [at for at in whole if not set(range(at - 2, at + 6)) & set(take.errors)]
        found += [(take.name, at) for at in plain[:2]]
    return found


def played(
    name: str, first: int, pause_s: float
) -> tuple[np.ndarray, tuple[int, ...], float, float]:
    """The cell at a place, with a pause before its last note; when that begins and is over."""
    take = one(name)
    onset = {note["asked"]: note["onset"] for note in take.notes if note["asked"] is not None}
    begin, last, end = (onset[first + at] - 0.03 for at in (0, 4, 5))
    sound = read_recording(take.path)
    ramp = np.linspace(0, 1, RATE // 50, dtype=np.float32)

    def faded(one_s: float, other_s: float) -> np.ndarray:
        part = sound[int(one_s * RATE) : int(other_s * RATE)].copy()
        part[: len(ramp)] *= ramp
        part[-len(ramp) :] *= ramp[::-1]
        return part

    pause = np.zeros(int(pause_s * RATE), np.float32)
    parts = [pause[:0], faded(begin, last), pause, faded(last, end)]
    samples = np.concatenate([np.zeros(RATE // 2, np.float32), *parts, np.zeros(2 * RATE)])
    room = np.random.default_rng(first).normal(0, 1e-4, len(samples))
    whole = (samples + room).astype(np.float32)
    begun = 0.5 + pause_s + last - begin + 0.03
    return whole, take.asked[first : first + 5], begun, begun - 0.03 + end - last


@pytest.mark.parametrize(("name", "first"), cells())
@pytest.mark.parametrize("pause_s", [0.0, 0.8])
def test_no_answer_is_judged_early(name: str, first: int, pause_s: float) -> None:
    samples, asked, begun, over = played(name, first, pause_s)
    right = answered(samples, asked)
    assert right is not None
    # A whole answer is told while its last note sounds, any other after it.
    assert right.at_s > (begun if right.ended is WhyEnded.WHOLE else over)
    assert outcomes(right) == [HeardAs.RIGHT] * 5
    wrong = answered(samples, (*asked[:-1], asked[-1] + 1))
    assert wrong is not None
    assert wrong.ended is WhyEnded.QUIET
    assert wrong.at_s > over - 0.02
    assert outcomes(wrong)[-1] is not HeardAs.RIGHT
