"""A score as MusicXML 4.0, partwise: to be read by notation programs and by the engraver.

Pitches are written ones, with ``<transpose>`` to the sounding.  Under a treble clef
with an 8 above it MusicXML wants the pitch that the clef says: there the notes go up
an octave and the transposition down by one.  Every accidental that is to be seen has
its ``<accidental>``; the metre is there for programs that count bars, and is not printed.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator

from drill import __version__
from drill.paper.harmony import Harmony, harmony_of
from drill.paper.score import Bar, BarLine, Beam, Clef, Score, Section, Sign, Written
from drill.paper.sounding import metre_of
from drill.terms import Instrument, Name, Note
from drill.wording.paper import CONCERT_PITCH

DIVISIONS = 2
"""Divisions of a quarter note: an eighth is 1."""

_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_TYPES = {
    1: ("eighth", 0),
    2: ("quarter", 0),
    3: ("quarter", 1),
    4: ("half", 0),
    6: ("half", 1),
}
"""Note type and dots by length in eighths."""
_ACCIDENTALS = {
    -3: "triple-flat",
    -2: "flat-flat",
    -1: "flat",
    0: "natural",
    1: "sharp",
    2: "double-sharp",
    3: "triple-sharp",
}
_CLEFS = {
    Clef.TREBLE: ("G", 2, 0),
    Clef.BASS: ("F", 4, 0),
    Clef.TREBLE_8VA: ("G", 2, 1),
    Clef.TENOR: ("C", 4, 0),
}
"""Sign, line and octaves that the clef moves the notes."""


def musicxml_bytes(score: Score) -> bytes:
    """The whole file, UTF-8; the answers of a worksheet are not in it."""
    root = ET.Element("score-partwise", version="4.0")
    if score.title:
        _add(_add(root, "work"), "work-title", score.title)
    identification = _add(root, "identification")
    _add(_add(identification, "encoding"), "software", "drill " + __version__)
    said = {"teacher": score.teacher, "note": score.note}
    if any(said.values()):
        fields = _add(identification, "miscellaneous")
        for name, text in said.items():
            if text:
                _add(fields, "miscellaneous-field", text, name=name)
    _part_list(root, score.horn)
    part = _add(root, "part", id="P1")
    number = 0
    groups = {section.group for section in score.sections}
    for index, section in enumerate(score.sections):
        words = section.heading if len(groups) == 1 else f"{section.group}: {section.heading}"
        tempo = score.tempo if index == 0 else None
        for measure in _measures(section, score.horn, number, words, tempo):
            part.append(measure)
            number += 1
    ET.indent(root, " ")
    return f"{_HEAD}{ET.tostring(root, encoding='unicode')}\n".encode()


def section_text(section: Section, horn: Instrument | None) -> str:
    """One section for the engraver: each line of music is a page, and nothing is said in words
    but the degrees."""
    root = ET.Element("score-partwise", version="4.0")
    part_list = _add(root, "part-list")
    _add(_add(part_list, "score-part", id="P1"), "part-name", "", **{"print-object": "no"})
    part = _add(root, "part", id="P1")
    for measure in _measures(section, horn, 0, "", None, engraving=True):
        part.append(measure)
    text: str = ET.tostring(root, encoding="unicode")
    return text


def _add(parent: ET.Element, tag: str, text: str | None = None, **attributes: str) -> ET.Element:
    """A new last child."""
    child = ET.SubElement(parent, tag, attributes)
    if text is not None:
        child.text = allowed(text)
    return child


def allowed(text: str) -> str:
    """The text with every character that XML 1.0 has no room for replaced by U+FFFD."""
    return "".join(character if _is_allowed(ord(character)) else "\ufffd" for character in text)


def _is_allowed(code: int) -> bool:
    """XML 1.0 (fifth edition), production 2."""
    return (
        code in (0x9, 0xA, 0xD)
        or 0x20 <= code <= 0xD7FF
        or 0xE000 <= code <= 0xFFFD
        or code >= 0x10000
    )


def _part_list(root: ET.Element, horn: Instrument | None) -> None:
    name = horn.name if horn else CONCERT_PITCH
    part = _add(_add(root, "part-list"), "score-part", id="P1")
    _add(part, "part-name", name)
    _add(_add(part, "score-instrument", id="P1-I1"), "instrument-name", name)
    midi = _add(part, "midi-instrument", id="P1-I1")
    _add(midi, "midi-channel", "1")
    _add(midi, "midi-program", str((horn.program if horn else 0) + 1))


def transposition(horn: Instrument | None) -> tuple[int, int, int] | None:
    """``<diatonic>``, ``<chromatic>`` and ``<octave-change>`` of a part; None at pitch.

    The first two leave whole octaves to the third.
    """
    if horn is None:
        return None
    moved = _CLEFS[Clef(horn.clef)][2]
    steps, semitones = horn.steps - 7 * moved, horn.semitones - 12 * moved
    octaves = abs(semitones) // 12 * (1 if semitones > 0 else -1)
    if not semitones:
        return None
    return steps - 7 * octaves, semitones - 12 * octaves, octaves


def _measures(
    section: Section,
    horn: Instrument | None,
    number: int,
    words: str,
    tempo: int | None,
    *,
    engraving: bool = False,
) -> Iterator[ET.Element]:
    """The measures of a section, numbered on from ``number``."""
    clef = section.clef
    length = 0
    for index, bar in enumerate(section.bars):
        measure = ET.Element("measure", number=str(number + index + 1))
        if (bar.new_system and (index or number)) or engraving:
            _system_break(measure, bar.new_system and index > 0, engraving=engraving)
        clef = bar.clef or clef
        _attributes(
            measure, section, bar, horn, index=index, number=number, metre=bar.eighths != length
        )
        length = bar.eighths
        if index == 0 and words:
            _direction(measure, "above", "words", words, **{"font-weight": "bold"})
        if index == 0 and tempo:
            _tempo(measure, tempo)
        for written in bar.notes:
            _above(measure, written, harmonies=not engraving)
            _note(measure, written, _CLEFS[clef][2])
        if bar.end is not BarLine.PLAIN:
            _add(_add(measure, "barline", location="right"), "bar-style", bar.end.value)
        yield measure


def _system_break(measure: ET.Element, begins: bool, *, engraving: bool) -> None:
    element = _add(measure, "print")
    if begins or not engraving:
        element.set("new-page" if engraving else "new-system", "yes")
    if engraving:
        _add(element, "measure-numbering", "none")


def _attributes(
    measure: ET.Element,
    section: Section,
    bar: Bar,
    horn: Instrument | None,
    *,
    index: int,
    number: int,
    metre: bool,
) -> None:
    """Whatever changes at a bar: key, hidden metre, clef; the transposition once."""
    clef = section.clef if index == 0 else bar.clef
    if not (index == 0 or metre or clef):
        return
    attributes = _add(measure, "attributes")
    begins = index == 0 and number == 0
    if begins:
        _add(attributes, "divisions", str(DIVISIONS))
    if index == 0:
        _add(_add(attributes, "key"), "fifths", str(section.fifths))
    if metre:
        count, unit = metre_of(bar.eighths)
        time = _add(attributes, "time", **{"print-object": "no"})
        _add(time, "beats", str(count))
        _add(time, "beat-type", str(unit))
    if clef:
        sign, line, octaves = _CLEFS[clef]
        element = _add(attributes, "clef")
        _add(element, "sign", sign)
        _add(element, "line", str(line))
        if octaves:
            _add(element, "clef-octave-change", str(octaves))
    if begins and (parts := transposition(horn)):
        transpose = _add(attributes, "transpose")
        _add(transpose, "diatonic", str(parts[0]))
        _add(transpose, "chromatic", str(parts[1]))
        if parts[2]:
            _add(transpose, "octave-change", str(parts[2]))


def _direction(
    measure: ET.Element, placement: str, tag: str, text: str | None = None, **attributes: str
) -> ET.Element:
    direction = _add(measure, "direction", placement=placement)
    return _add(_add(direction, "direction-type"), tag, text, **attributes)


def _tempo(measure: ET.Element, tempo: int) -> None:
    direction = _add(measure, "direction", placement="above")
    metronome = _add(_add(direction, "direction-type"), "metronome")
    _add(metronome, "beat-unit", "quarter")
    _add(metronome, "per-minute", str(tempo))
    _add(direction, "sound", tempo=str(tempo))


def _signs(measure: ET.Element, signs: tuple[Sign, ...]) -> None:
    for sign in signs:
        if sign in (Sign.P, Sign.F):
            _add(_direction(measure, "below", "dynamics"), sign.value)
        else:
            _direction(measure, "below", "wedge", type=sign.value, number="1")


def _above(measure: ET.Element, written: Written, *, harmonies: bool) -> None:
    """What stands above a note: its chord, for notation programs as one; and its label in words,
    where that says more than the chord's own symbol."""
    chord = harmony_of(written.chord) if harmonies and written.chord else None
    if chord is not None:
        _harmony(measure, chord)
    if written.label and (chord is None or written.function):
        _direction(measure, "above", "words", written.label, **{"font-style": "normal"})


def _harmony(measure: ET.Element, chord: Harmony) -> None:
    harmony = _add(measure, "harmony", placement="above")
    _tone(harmony, "root", chord.root)
    _add(harmony, "kind", chord.kind).set("text", chord.text)
    if chord.bass is not None:
        _tone(harmony, "bass", chord.bass)
    for degree in chord.degrees:
        element = _add(harmony, "degree", **{"print-object": "no"})  # the kind's text has it
        _add(element, "degree-value", str(degree.value))
        _add(element, "degree-alter", str(degree.alter))
        _add(element, "degree-type", degree.type)


def _tone(harmony: ET.Element, tag: str, name: Name) -> None:
    element = _add(harmony, tag)
    _add(element, f"{tag}-step", name.letter)
    if name.alter:
        _add(element, f"{tag}-alter", str(name.alter))


def _note(measure: ET.Element, written: Written, octaves: int) -> None:
    """A note with the signs before it; a hidden rest where it is left open."""
    _signs(measure, written.signs)
    kind, dots = _TYPES[written.eighths]
    note = _add(measure, "note")
    if written.open:
        note.set("print-object", "no")
        _add(note, "rest")
    else:
        _pitch(note, written.note, octaves)
    _add(note, "duration", str(written.eighths * DIVISIONS // 2))
    _add(note, "voice", "1")
    _add(note, "type", kind)
    for _ in range(dots):
        _add(note, "dot")
    if written.open:
        return
    if written.accidental:
        _add(note, "accidental", _ACCIDENTALS[written.note.alter])
    if written.beam is not Beam.NONE:
        _add(note, "beam", written.beam.value, number="1")
    _notations(note, written)


def _pitch(note: ET.Element, written: Note, octaves: int) -> None:
    pitch = _add(note, "pitch")
    _add(pitch, "step", written.letter)
    if written.alter:
        _add(pitch, "alter", str(written.alter))
    _add(pitch, "octave", str(written.octave + octaves))


def _notations(note: ET.Element, written: Written) -> None:
    if not (written.slur_begins or written.slur_ends or written.mark):
        return
    notations = _add(note, "notations")
    if written.slur_ends:
        _add(notations, "slur", type="stop", number="1")
    if written.slur_begins:
        _add(notations, "slur", type="start", number="1")
    if written.mark:
        _add(_add(notations, "articulations"), written.mark.value)
