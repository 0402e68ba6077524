"""MIDI takes and lines out of files: written by mido (a reader and writer of its own) and by hand
after the MusicXML 4.0 schema."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import mido
import pytest

from drill.errors import DataError
from drill.hearing import midifile
from drill.hearing.against import line_from
from drill.hearing.hear import hear_events
from drill.hearing.midifile import midi_events
from drill.hearing.values import Asked, HeardAs
from drill.theory.instruments import INSTRUMENTS

LINE = (60, 62, 64, 60, 62, 64, 65, 62)


def midi_file(pitches: tuple[int, ...], *, legato: bool = False, kind: int = 1) -> bytes:
    file = mido.MidiFile(type=kind, ticks_per_beat=480)
    track = mido.MidiTrack()
    file.tracks.append(track)
    track.append(mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(100)))
    for pitch in pitches:
        track.append(mido.Message("note_on", note=pitch, velocity=80))
        track.append(mido.Message("note_on", channel=9, note=76, velocity=90))
        length = 240 if legato else 200
        track.append(mido.Message("note_off", note=pitch, time=length))
        track.append(mido.Message("note_off", channel=9, note=76, time=240 - length))
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


@pytest.mark.parametrize("kind", [0, 1])
def test_notes_are_read_as_mido_wrote_them(kind: int) -> None:
    events = midi_events(midi_file(LINE, kind=kind), "a.mid")
    assert tuple(event.pitch for event in events) == LINE
    assert [event.on_s for event in events] == pytest.approx([at * 0.3 for at in range(8)])
    assert {event.velocity for event in events} == {80}


def test_a_midi_take_is_judged_note_by_note() -> None:
    played = (60, 62, 64, 60, 62, 63, 65, 62)
    heard = hear_events(midi_events(midi_file(played), "a.mid"), Asked(LINE, 0.3))
    wrong = [note.index for note in heard.notes if note.outcome is HeardAs.WRONG]
    assert wrong == [5]
    assert heard.notes[5].heard == 63
    assert heard.swing == pytest.approx(1.0, abs=0.01)
    assert heard.spread_ms == pytest.approx(0.0, abs=0.5)
    assert heard.slurred_share == 0.0


def test_legato_keys_are_slurred_and_an_octave_is_wrong() -> None:
    played = (60, 62, 76, *LINE[3:])
    heard = hear_events(midi_events(midi_file(played, legato=True), "a.mid"), Asked(LINE, 0.3))
    assert heard.slurred_share == 1.0
    assert heard.notes[2].outcome is HeardAs.WRONG


def test_as_many_changes_of_tempo_as_notes_are_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The clock of mido says when each note stands; a note looks at few changes, not at all."""
    file = mido.MidiFile(type=0, ticks_per_beat=480)
    track = mido.MidiTrack()
    file.tracks.append(track)
    for at in range(2000):
        track.append(mido.MetaMessage("set_tempo", tempo=400_000 + 37 * (at * at % 9973)))
        track.append(mido.Message("note_on", note=60 + at % 12, velocity=80, time=at % 3))
        track.append(mido.Message("note_off", note=60 + at % 12, time=120))
    buffer = io.BytesIO()
    file.save(file=buffer)
    now, due = 0.0, []
    for message in mido.MidiFile(file=io.BytesIO(buffer.getvalue())):
        now += message.time
        if message.type == "note_on":
            due.append(now)
    sums: list[int] = []
    one = midifile._Clock._after

    def counted(clock: midifile._Clock, change: tuple[int, float, int], tick: int) -> float:
        sums.append(tick)
        return one(clock, change, tick)

    monkeypatch.setattr(midifile._Clock, "_after", counted)
    found = midi_events(buffer.getvalue(), "a.mid")
    assert [event.on_s for event in found] == pytest.approx(due)
    assert len(sums) == 3 * 2000  # each change, each beginning and each end


@pytest.mark.parametrize("data", [b"", b"RIFF0000", b"MThd", midi_file(LINE)[:60]])
def test_what_is_no_midi_file_is_said(data: bytes) -> None:
    with pytest.raises(DataError, match=r"a\.mid"):
        midi_events(data, "a.mid")


XML = """<?xml version="1.0"?><score-partwise version="4.0"><part-list/><part id="P1">
<measure number="1">{transpose}{notes}</measure></part></score-partwise>"""


def note(step: str, octave: int, alter: int = 0) -> str:
    sign = f"<alter>{alter}</alter>" if alter else ""
    return (
        f"<note><pitch><step>{step}</step>{sign}<octave>{octave}</octave></pitch>"
        "<duration>1</duration></note>"
    )


def test_a_musicxml_line_is_written_and_sounds_by_its_horn() -> None:
    data = XML.format(transpose="", notes=note("G", 4) + note("F", 4, 1)).encode()
    line = line_from(Path("a.musicxml"), data, INSTRUMENTS["alto_sax"])
    assert [str(place.note) for place in line.places] == ["G4", "F#4"]
    # Alto saxophone sounds a major sixth (9 semitones) lower: G4 is MIDI 67.
    assert [place.pitch for place in line.places] == [58, 57]


def test_the_transposition_that_the_file_names_goes_first() -> None:
    moved = "<attributes><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    data = XML.format(transpose=moved + "</attributes>", notes=note("C", 5)).encode()
    assert line_from(Path("a.xml"), data, None).places[0].pitch == 70


def test_a_midi_line_sounds_as_it_stands() -> None:
    line = line_from(Path("a.mid"), midi_file(LINE), INSTRUMENTS["alto_sax"])
    assert tuple(place.pitch for place in line.places) == LINE
    assert line.places[0].note.midi == 69


def packed(text: str) -> bytes:
    """A compressed MusicXML file of which one byte in the middle was hurt."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("score.xml", text)
    data = bytearray(buffer.getvalue())
    data[len("score.xml") + 30] ^= 0xFF  # the first byte of what was deflated
    return bytes(data)


WITHOUT_NOTES = XML.format(transpose="", notes="")
NO_LINES = (
    b"<a/>", b"no xml", WITHOUT_NOTES.encode(), b"PK\x03\x04junk", packed(WITHOUT_NOTES),
    XML.format(transpose="", notes=note("C", 4).replace("<octave>", "<alter>1e999</alter><octave>"))
    .encode(),
)  # fmt: skip


@pytest.mark.parametrize("data", NO_LINES, ids=range(len(NO_LINES)))
def test_what_is_no_line_is_said(data: bytes) -> None:
    with pytest.raises(DataError, match="a.xml"):
        line_from(Path("a.xml"), data, None)


def test_a_number_that_is_none_counts_as_nought() -> None:
    moved = "<attributes><transpose><chromatic>1e999</chromatic></transpose></attributes>"
    text = XML.format(transpose=moved, notes=note("C", 4) + note("D", 4))
    assert line_from(Path("a.xml"), text.encode(), None).shift == 0
