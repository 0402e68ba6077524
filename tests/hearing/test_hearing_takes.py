"""Takes of sampled winds whose every note is known (see kept_takes): none is drill's own sound.

Pitches are MIDI 1.0 numbers in equal temperament at A4 = 440 (ISO 16).
"""

from __future__ import annotations

import numpy as np
import pytest
from kept_takes import FIVE, Kept, kept, one, read_recording

from drill.hearing.hear import hear
from drill.hearing.horns import octaves_told
from drill.hearing.values import Asked, DoubtKind, Heard, HeardAs
from drill.sound.capture import RATE

BAD = (HeardAs.WRONG, HeardAs.UNHEARD, HeardAs.UNSURE)


def asked_of(take: Kept) -> Asked:
    return Asked(
        take.asked, take.note_s, take.swing, group=take.group, octaves_told=octaves_told(take.horn)
    )


def heard(take: Kept) -> Heard:
    return hear(read_recording(take.path), RATE, asked_of(take))


@pytest.mark.parametrize("take", kept(), ids=lambda take: take.name)
def test_every_note_is_judged_as_it_was_played(take: Kept) -> None:
    said = heard(take)
    assert len(said.notes) == len(take.asked)
    for truth, note in zip(take.truth, said.notes, strict=True):
        assert (note.outcome in BAD) == (truth != "right"), (note.index, truth, note.outcome)
        if truth == "missing":
            assert note.outcome is HeardAs.UNHEARD
        if truth == "octave":
            assert note.outcome is HeardAs.UNSURE  # never called wrong
    assert bool(said.restarts) == ("restart" in take.errors.values())


@pytest.mark.parametrize("take", kept(), ids=lambda take: take.name)
def test_onsets_lie_where_the_notes_began(take: Kept) -> None:
    final = {note["asked"]: note for note in take.notes if note["asked"] is not None}
    off = [
        abs(note.on_s - final[note.index]["onset"])
        for note in heard(take).notes
        if note.outcome is HeardAs.RIGHT and note.on_s is not None and note.index in final
    ]
    assert np.median(off) < 0.010
    assert np.mean(np.array(off) > 0.040) < 0.08


def test_a_wrong_note_is_heard_as_what_was_played() -> None:
    take = one("alto-slips")
    said = heard(take)
    for note in take.notes:
        if note["kind"] in ("accidental", "neighbour"):
            assert said.notes[note["asked"]].heard == note["midi"]
    assert sum(kind == "restart" for kind in FIVE.values()) == len(said.restarts)


def test_slurred_is_told_from_tongued() -> None:
    assert heard(one("alto-clean")).slurred_share == pytest.approx(1.0)
    assert heard(one("alto-swung")).slurred_share == pytest.approx(0.0)


def test_swing_is_told() -> None:
    assert heard(one("alto-swung")).swing == pytest.approx(2.0, abs=0.15)
    assert heard(one("alto-clean")).swing == pytest.approx(1.0, abs=0.08)


def test_a_sound_too_many_is_a_place_to_listen_to() -> None:
    take = one("oboe")
    assert set(take.errors.values()) == {"neighbour", "repeat"}
    doubts = heard(take).doubts
    assert [each.kind for each in doubts] == [DoubtKind.EXTRA]
    again = next(note["onset"] for note in take.notes if note["kind"] == "repeat")
    assert abs(doubts[0].at_s - again) < 2 * take.note_s


def test_the_players_own_tempo_is_found_where_none_is_asked() -> None:
    take = one("alto-slips")
    said = hear(read_recording(take.path), RATE, Asked(take.asked, None, group=take.group))
    assert [note.outcome for note in said.notes] == [note.outcome for note in heard(take).notes]
    assert said.note_s == pytest.approx(take.note_s, rel=0.03)


def test_the_lead_needs_a_beat_and_a_measured_device() -> None:
    take = one("alto-swung")
    plain = heard(take)
    assert plain.lead_ms is None
    early = Asked(take.asked, take.note_s, take.swing, beat0_s=0.63, beat_s=take.note_s * 2)
    # The first note was played at 0.6 s: 30 ms before that beat.
    assert hear(read_recording(take.path), RATE, early).lead_ms == pytest.approx(30, abs=8)


@pytest.mark.parametrize("samples", [np.zeros(0), np.zeros(100), np.zeros(RATE * 2)])
def test_silence_is_heard_as_nothing(samples: np.ndarray) -> None:
    said = hear(samples.astype(np.float32), RATE, Asked((60, 62, 64), 0.3))
    assert {note.outcome for note in said.notes} == {HeardAs.UNHEARD}
    assert said.spread_ms is None


def test_noise_calls_nothing_wrong() -> None:
    noise = np.random.default_rng(1).normal(0, 0.1, RATE * 4).astype(np.float32)
    said = hear(noise, RATE, Asked(one("alto-clean").asked, 0.3))
    assert HeardAs.WRONG not in {note.outcome for note in said.notes}


@pytest.mark.parametrize("cents", [-52, -42, 42, 52])
def test_a_player_between_two_semitones_is_heard_on_the_line_asked(cents: int) -> None:
    take = one("alto-clean")  # itself some cents sharp
    samples = read_recording(take.path)
    step = 2 ** (cents / 1200)
    moved = np.interp(np.arange(0, len(samples) - 1, step), np.arange(len(samples)), samples)
    said = hear(moved.astype(np.float32), RATE, asked_of(take))
    assert {note.outcome for note in said.notes} == {HeardAs.RIGHT}
