"""Lines out of files: sounding pitches of a MIDI file, written ones of a MusicXML file."""

from __future__ import annotations

import io
import zipfile
import zlib
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np

from drill.errors import DataError
from drill.hearing.line import Line, LinePlace
from drill.hearing.midifile import midi_events
from drill.terms import LETTERS, Instrument, Name, Note
from drill.theory.spelling import moved_note

LARGEST = 20_000_000
"""Bytes of a line's file."""
_UNPACKING = (zipfile.BadZipFile, zlib.error, OSError, EOFError, ValueError, RuntimeError)
"""What unpacking raises for a file that is hurt, locked or packed in another way."""
_SHARPS = "C C# D D# E F F# G G# A A# B".split()


def line_from(path: Path, data: bytes, horn: Instrument | None) -> Line:
    """The one line of a MIDI (by its first bytes) or MusicXML file.  Raises DataError."""
    if data[:4] == b"MThd":
        return _from_midi(path, data, horn)
    return _from_xml(path, data, horn)


def _from_midi(path: Path, data: bytes, horn: Instrument | None) -> Line:
    events = midi_events(data, path.name)
    if not events:
        raise DataError(f"{path.name} has no notes")
    shift = horn.semitones if horn else 0
    places = []
    for number, event in enumerate(events):
        name = _name(_SHARPS[event.pitch % 12])
        note = Note(name.letter, name.alter, event.pitch // 12 - 1)
        written = moved_note(note, -horn.steps, -horn.semitones) if horn else note
        places.append(LinePlace(event.pitch, written, str(number + 1), False))
    steps = np.diff([event.on_s for event in events])
    note_s = float(np.median(steps)) if len(steps) else None
    even = bool(len(steps) and np.all(np.abs(steps - note_s) < 0.05 * (note_s or 1)))
    clef = horn.clef if horn else "treble"
    return Line(
        path.name, tuple(places), shift, None, True, note_s or None, beat_notes=1, even=even,
        clef=clef,
    )  # fmt: skip


def _name(text: str) -> Name:
    return Name(text[0], text.count("#"))


def _from_xml(path: Path, data: bytes, horn: Instrument | None) -> Line:
    root = _root(path, data)
    for element in root.iter():
        element.tag = element.tag.rpartition("}")[2]
    part = root.find("part")
    if root.tag != "score-partwise" or part is None:
        raise DataError(f"{path.name} is not a MusicXML score of parts")
    semitones = horn.semitones if horn else 0
    moved = part.find(".//transpose")
    if moved is not None:
        octave = _number(moved, "octave-change")
        semitones = _number(moved, "chromatic") + 12 * octave
    places: list[LinePlace] = []
    lengths: list[int] = []
    for bar, measure in enumerate(part.findall("measure"), 1):
        first = True
        for element in measure.findall("note"):
            if element.find("grace") is not None or element.find("pitch") is None:
                continue
            if element.find("chord") is not None:
                raise DataError(f"{path.name}: bar {bar} has a chord; expected one line of notes")
            stops = [tie.get("type") for tie in element.findall("tie")]
            length = _number(element, "duration")
            if "stop" in stops and places:
                lengths[-1] += length
                continue
            note = _note(path, bar, element)
            sounding = note.midi + semitones
            places.append(LinePlace(sounding, note, str(bar), first))
            lengths.append(length)
            first = False
    if not places:
        raise DataError(f"{path.name} has no notes")
    even = len(set(lengths[:-1])) <= 1
    clef = horn.clef if horn else "treble"
    return Line(
        path.name, tuple(places), semitones, None, True, None, beat_notes=1, even=even, clef=clef
    )


def _root(path: Path, data: bytes) -> ET.Element:
    if data[:2] == b"PK":
        data = _unpacked(path, data)
    if b"<!ENTITY" in data:
        raise DataError(f"{path.name} defines entities: expected plain MusicXML")
    try:
        return ET.fromstring(data)
    except (ET.ParseError, LookupError, ValueError) as fault:
        raise DataError(f"{path.name} is neither MIDI nor MusicXML ({fault})") from None


def _unpacked(path: Path, data: bytes) -> bytes:
    """The score of a compressed MusicXML file."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            for info in packed.infolist():
                plain = not info.filename.startswith("META-INF")
                score = info.filename.lower().endswith((".xml", ".musicxml"))
                if plain and score and info.file_size <= LARGEST:
                    return packed.read(info)
    except _UNPACKING:
        pass
    raise DataError(f"{path.name} holds no score")


def _number(element: ET.Element, name: str) -> int:
    try:
        return int(float(element.findtext(name) or 0))
    except (ValueError, OverflowError):
        return 0


def _note(path: Path, bar: int, element: ET.Element) -> Note:
    letter = (element.findtext("pitch/step") or "").strip()
    try:
        alter = int(float(element.findtext("pitch/alter") or 0))
        octave = int(element.findtext("pitch/octave") or "")
    except (ValueError, OverflowError):
        letter, alter, octave = "", 0, 0
    if letter not in LETTERS or not letter or abs(alter) > 2 or not 0 <= octave <= 9:
        raise DataError(f"{path.name}: bar {bar} has a note without a pitch")
    return Note(letter, alter, octave)
