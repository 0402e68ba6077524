"""A cell that is played is judged while it sounds."""

from __future__ import annotations

import numpy as np
from kept_takes import one

from drill.hearing.live import Answer, CellEar, Ended, learned
from drill.hearing.values import Outcome
from drill.sound.capture import RATE, read_recording

BLOCK = RATE // 100


def answered(samples: np.ndarray, pitches: tuple[int, ...]) -> Answer | None:
    ear = CellEar(pitches, RATE)
    for at in range(0, len(samples), BLOCK):
        found = ear.feed(samples[at : at + BLOCK])
        if found is not None:
            return found
    return None


def outcomes(answer: Answer) -> list[Outcome]:
    return [note.outcome for note in answer.heard.notes]


def test_a_right_cell_is_judged_while_its_last_note_sounds() -> None:
    take = one("alto-cell")
    answer = answered(read_recording(take.path), take.asked)
    assert answer is not None
    assert answer.ended is Ended.WHOLE
    assert outcomes(answer) == [Outcome.RIGHT] * 4
    last = take.notes[-1]
    assert last["onset"] < answer.at_s < last["onset"] + 0.25


def test_a_wrong_note_is_named() -> None:
    take = one("alto-cell")
    asked = (take.asked[0], take.asked[1] + 1, *take.asked[2:])
    answer = answered(read_recording(take.path), asked)
    assert answer is not None
    assert outcomes(answer) == [Outcome.RIGHT, Outcome.WRONG, Outcome.RIGHT, Outcome.RIGHT]
    assert answer.heard.notes[1].heard == take.asked[1]


def test_who_stops_is_judged_on_the_silence() -> None:
    take = one("alto-cell")
    samples = read_recording(take.path)
    cut = int((take.notes[2]["onset"] - 0.03) * RATE)
    room = np.random.default_rng(1).normal(0, 1e-4, 2 * RATE).astype(np.float32)
    answer = answered(np.concatenate([samples[:cut], room]), take.asked)
    assert answer is not None
    assert answer.ended is Ended.QUIET
    assert outcomes(answer) == [Outcome.RIGHT] * 2 + [Outcome.UNHEARD] * 2
    assert answer.at_s > cut / RATE + 1.0


def test_silence_is_no_answer() -> None:
    room = np.random.default_rng(1).normal(0, 1e-3, 3 * RATE).astype(np.float32)
    assert answered(room, (60, 62, 64, 60)) is None


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
