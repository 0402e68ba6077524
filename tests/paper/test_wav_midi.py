"""WAV and Standard MIDI files, read back by readers that are not ours (scipy, mido)."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import mido
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.io import wavfile

from drill.errors import UsageError
from drill.paper.midi import midi_bytes
from drill.paper.sounding import metre_of
from drill.paper.wav import wav_bytes
from drill.sound.phrasing import TRIPLET, Manner, Phrase, phrase_take
from drill.sound.render import render
from drill.sound.take import Event, Take, verdict_take
from drill.terms import Direction, Tonguing
from drill.theory.metre import Metronome, read_metre

PHRASE = Phrase(((58, 60, 62, 58), (60, 62, 63, 60)), close=70)
MANNER = Manner(bpm=120, tonguing=Tonguing.TONGUED, count_in_bars=1, click=Metronome())


def read(data: bytes) -> mido.MidiFile:
    return mido.MidiFile(file=io.BytesIO(data))


def notes(file: mido.MidiFile, channel: int) -> list[tuple[int, float, float, int]]:
    """Key, onset and length in seconds, velocity, in order of onset."""
    now = 0.0
    open_notes: dict[int, tuple[float, int]] = {}
    found = []
    for message in file:  # mido's own merge of the tracks, in seconds
        now += message.time
        if message.is_meta or message.type not in {"note_on", "note_off"}:
            continue
        if message.channel != channel:
            continue
        if message.type == "note_on" and message.velocity:
            assert message.note not in open_notes
            open_notes[message.note] = (now, message.velocity)
        else:
            onset, velocity = open_notes.pop(message.note)
            found.append((message.note, onset, now - onset, velocity))
    assert not open_notes
    return sorted(found, key=lambda note: note[1])


def test_wav_is_read_by_scipy(tmp_path: Path) -> None:
    take = verdict_take((60, 62, 64, 60))
    (tmp_path / "cell.wav").write_bytes(wav_bytes(take))
    rate, samples = wavfile.read(tmp_path / "cell.wav")
    assert rate == 44100
    assert samples.dtype == np.int16
    assert samples.ndim == 1
    assert np.array_equal(samples, render(take))
    assert len(wav_bytes(take)) == 44 + 2 * len(samples)  # a plain RIFF header


def test_midi_is_read_by_mido() -> None:
    take = phrase_take((PHRASE,), MANNER)
    file = read(midi_bytes(take, 65, "1-2-3-1 in G"))
    assert file.type == 1
    assert file.tracks[0].name == "1-2-3-1 in G"
    meta = {message.type: message for message in file.tracks[0]}
    assert mido.tempo2bpm(meta["set_tempo"].tempo) == pytest.approx(120)
    assert (meta["time_signature"].numerator, meta["time_signature"].denominator) == (4, 4)
    programs = [m.program for track in file.tracks for m in track if m.type == "program_change"]
    assert programs == [65]
    heard = notes(file, 0)
    assert [note[0] for note in heard] == [58, 60, 62, 58, 60, 62, 63, 60, 70]
    tick = 60 / 120 / 480
    for note, event in zip(heard, take.events, strict=True):
        assert note[1] == pytest.approx(event.onset_s, abs=tick)
        assert note[2] == pytest.approx(event.sounding_s, abs=2 * tick)
        assert note[3] == event.velocity
    assert file.length == pytest.approx(take.length_s, abs=tick)


@pytest.mark.parametrize(
    ("text", "signature", "clocks", "quarters"),
    [
        ("3/4", (3, 4), 24, 1.0),
        ("2/2", (2, 2), 48, 2.0),
        ("7/8:2+2+3", (7, 8), 12, 0.5),
        ("6/8", (6, 8), 36, 1.5),
        ("12/8", (12, 8), 36, 1.5),
    ],
)
def test_the_metre_and_its_beat_stand_in_the_file(
    text: str, signature: tuple[int, int], clocks: int, quarters: float
) -> None:
    """A metronome's clocks are 24 to a quarter note (Standard MIDI Files 1.0)."""
    metre = read_metre(text)
    manner = replace(MANNER, beats_per_bar=metre.beats, accents=metre.accents)
    take = phrase_take((PHRASE,), manner)
    file = read(midi_bytes(take, played_in=metre))
    meta = {message.type: message for message in file.tracks[0]}
    found = meta["time_signature"]
    assert (found.numerator, found.denominator) == signature
    assert found.clocks_per_click == clocks
    assert mido.tempo2bpm(meta["set_tempo"].tempo) == pytest.approx(120 * quarters, rel=1e-4)
    assert [on for _, on, *_ in notes(file, 0)] == pytest.approx(
        [event.onset_s for event in take.events], abs=0.002
    )
    bar = 480 * quarters * metre.beats
    accents = [sum(m.time for m in file.tracks[2][: n + 1]) for n, m in enumerate(file.tracks[2])
               if m.type == "note_on" and m.note == 76]  # fmt: skip
    firsts = [at for at in accents if at % bar == 0]
    assert len(firsts) >= 2
    assert len(accents) == len(firsts) * len(metre.accents)


def test_clicks_are_wood_blocks_on_channel_ten() -> None:
    """Keys 76 and 77: high and low wood block (General MIDI 1 percussion map)."""
    file = read(midi_bytes(phrase_take((PHRASE,), MANNER)))
    clicks = notes(file, 9)
    assert [key for key, *_ in clicks] == ([76] + [77] * 3) * 3
    assert [onset for _, onset, *_ in clicks] == pytest.approx([n / 2 for n in range(12)])
    # A sixteenth of a beat: long enough for every player of the file to sound it.
    assert [length for _, _, length, _ in clicks] == pytest.approx([0.5 / 16] * 12, abs=0.001)
    bare = read(midi_bytes(verdict_take((60,))))
    assert len(bare.tracks) == 2


def test_swing_and_descent_come_through() -> None:
    phrase = Phrase(((70, 69, 67, 70),), Direction.DOWN)
    heard = notes(read(midi_bytes(phrase_take((phrase,), Manner(bpm=60, swing=TRIPLET)))), 0)
    assert [note[0] for note in heard] == [70, 69, 67, 70]
    assert [note[1] for note in heard] == pytest.approx([0, 2 / 3, 1, 5 / 3], abs=0.002)


@given(
    st.lists(
        st.tuples(st.integers(0, 127), st.floats(0.01, 3.0), st.integers(1, 127)), max_size=20
    ),
    st.floats(20, 400),
)
def test_every_note_comes_back(line: list[tuple[int, float, int]], bpm: float) -> None:
    events = []
    at = 0.0
    for midi, length, velocity in line:
        events.append(Event(midi, at, length, velocity))
        at += length + 0.01
    take = Take(tuple(events), at, bpm=bpm)
    heard = notes(read(midi_bytes(take)), 0)
    assert [(note[0], note[3]) for note in heard] == [(n[0], n[2]) for n in line]
    for note, event in zip(heard, events, strict=True):
        assert note[1] == pytest.approx(event.onset_s, abs=60 / bpm / 480)


def test_a_note_off_the_keyboard_is_refused() -> None:
    with pytest.raises(UsageError, match="MIDI note 130"):
        midi_bytes(verdict_take((130,)))


@pytest.mark.parametrize(
    ("eighths", "metre"),
    [(2, (1, 4)), (3, (3, 8)), (4, (2, 4)), (5, (5, 8)), (6, (3, 4)), (8, (4, 4))],
)
def test_a_bar_of_so_many_eighths_has_its_metre(eighths: int, metre: tuple[int, int]) -> None:
    assert metre_of(eighths) == metre
