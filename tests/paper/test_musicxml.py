"""What we write reads back, and is valid.

* W3C: the XML schema of MusicXML 4.0 (``reference/musicxml_4_0.xsd``, as published by the
  W3C Music Notation Community Group under its Community Final Specification Agreement;
  read, copied from the package ``musicxml`` 1.6.3).
* music21 and, where it is installed, partitura: readers of MusicXML that are not ours.
"""

from __future__ import annotations

import io
import sys
import warnings
from base64 import b64decode
from functools import cache
from pathlib import Path
from typing import Any

import mido
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from paper_runs import all_keys, one, runs

from drill.paper.layout import Given, Style, sections
from drill.paper.musicxml import allowed, musicxml_bytes, section_text, transposition
from drill.paper.score import Clef, Score
from drill.terms import Direction, Name, Note, Span, Tonguing
from drill.theory.chords import CHORDS
from drill.theory.instruments import INSTRUMENTS
from drill.theory.keys import sounding_shift
from drill.theory.scales import signature
from drill.theory.spelling import moved_note
from drill.theory.symbols import written as written_symbol

SCHEMA = Path(__file__).resolve().parents[1] / "reference" / "musicxml_4_0.xsd"

# The two schemas that MusicXML's imports lie on the network; what it uses of them is this
# (XML 1.0 section 2.10 and 2.12, XLink 1.1 section 3).
IMPORTED = {
    "xml.xsd": """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
        targetNamespace="http://www.w3.org/XML/1998/namespace">
        <xs:attribute name="lang" type="xs:language"/>
        <xs:attribute name="space" type="xs:NCName"/>
        </xs:schema>""",
    "xlink.xsd": """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
        targetNamespace="http://www.w3.org/1999/xlink">
        <xs:attribute name="href" type="xs:anyURI"/>
        <xs:attribute name="type" type="xs:string" fixed="simple"/>
        <xs:attribute name="role" type="xs:token"/>
        <xs:attribute name="title" type="xs:token"/>
        <xs:attribute name="show" type="xs:token"/>
        <xs:attribute name="actuate" type="xs:token"/>
        </xs:schema>""",
}


class Local(etree.Resolver):  # type: ignore[misc]
    """Gives the imported schemas without a network."""

    def resolve(self, url: str, public_id: str, context: Any) -> Any:
        text = IMPORTED.get(url.rpartition("/")[2])
        return self.resolve_string(text, context) if text else None


@cache
def schema() -> etree.XMLSchema:
    parser = etree.XMLParser()
    parser.resolvers.add(Local())
    return etree.XMLSchema(etree.parse(str(SCHEMA), parser))


def check(data: bytes) -> None:
    schema().assertValid(etree.parse(io.BytesIO(data)))


def score(horn: str | None, pattern: str, keys: list[str], style: Style, **more: Any) -> Score:
    on = INSTRUMENTS[horn] if horn else None
    made = sections(runs(on, pattern, keys, **more), on, style)
    return Score("Cells", on, made, worksheet=style.given is not Given.ALL)


def read(data: bytes) -> Any:
    """music21's reading of a file, without the file."""
    from music21 import converter

    return converter.parseData(data.decode(), format="musicxml")


@pytest.mark.parametrize("tonguing", [None, *Tonguing])
def test_valid_by_the_published_schema(tonguing: Tonguing | None) -> None:
    style = Style(tonguing=tonguing, dynamics=True, degrees=True)
    made = score("bass_sax", "1-2-3-1", ["G", "Cb"], style)
    check(musicxml_bytes(made))
    check(section_text(made.sections[0], made.horn).encode())


@pytest.mark.parametrize(
    ("horn", "pattern", "scale", "span"),
    [
        (None, "scale", "major", Span.ONE),
        ("horn_f", "1-3-5-7", "harmonic_minor", Span.FULL),
        ("recorder_descant", "triad3", "lydian", Span.ONE),
        ("tuba", "updown5", "major", Span.TWO),
        ("flute", "encl_4", "blues_minor", Span.FULL),
        ("trumpet_bb", "chord-m7b5", "major", Span.ONE),
    ],
)
def test_valid_on_any_horn(horn: str | None, pattern: str, scale: str, span: Span) -> None:
    keys = ["A", "Eb", "D#"]
    for cells in Given:
        style = Style(given=cells)
        check(musicxml_bytes(score(horn, pattern, keys, style, scale=scale, span=span)))


def test_the_schema_would_see_a_fault() -> None:
    data = musicxml_bytes(score(None, "1-2-3-1", ["G"], Style()))
    for right, wrong in (
        (b"<type>eighth</type>", b"<type>8th</type>"),
        (b"<step>G</step>", b"<step>H</step>"),
        (b"<voice>1</voice>", b"<accidental>sharp</accidental><voice>1</voice>"),
    ):
        assert right in data
        with pytest.raises(etree.DocumentInvalid):
            check(data.replace(right, wrong, 1))


def written(horn: str, note: Note) -> Note:
    """A note where MusicXML wants it: an octave up under a clef with an 8 above it."""
    up = Clef(INSTRUMENTS[horn].clef) is Clef.TREBLE_8VA
    return Note(note.letter, note.alter, note.octave + up)


def keys_of(horn: str) -> list[str]:
    """Four neighbouring keys, others for the next horn: a dozen horns have each of the 15."""
    first = 4 * list(INSTRUMENTS).index(horn)
    return [all_keys()[(first + step) % 15] for step in range(4)]


@pytest.mark.parametrize("horn", INSTRUMENTS)
def test_music21_reads_every_note_and_signature(horn: str) -> None:
    """Up and down on each horn, written and sounding, in its share of the keys."""
    read_by_music21(horn, keys_of(horn))


@pytest.mark.slow
@pytest.mark.parametrize("horn", INSTRUMENTS)
def test_music21_reads_every_key_on_every_horn(horn: str) -> None:
    read_by_music21(horn, all_keys())


def read_by_music21(horn: str, keys: list[str]) -> None:
    on = INSTRUMENTS[horn]
    made = runs(on, "1-2-3-1", keys)
    data = musicxml_bytes(Score("Cells", on, sections(made, on, Style())))
    part = read(data).parts[0]
    wanted = []
    sounding = []
    for run, concert in made:
        notes = [note for cell in run.cells for note in cell.notes] + [run.close]
        wanted += [written(horn, note) for note in notes]
        shift = sounding_shift(run.key, concert, on)
        sounding += [moved_note(note, *shift).midi for note in notes]
    found = [
        Note(note.pitch.step, int(note.pitch.alter), note.pitch.octave)
        for note in part.recurse().notes
    ]
    assert found == wanted
    signs = [each.sharps for each in part.recurse().getElementsByClass("KeySignature")]
    assert signs == [signature(run.key) for run, _ in made[::2]]
    heard = part.toSoundingPitch().recurse().notes
    assert [note.pitch.midi for note in heard] == sounding


@pytest.mark.parametrize(
    ("pattern", "scale", "keys"),
    [
        ("1-2-3-1", "harmonic_minor", ["G#", "Eb", "A#"]),
        ("1-7-7.-1", "harmonic_minor", ["A", "D"]),
        ("1-2-l2-2-1", "major", ["C", "Cb", "B"]),
        ("uu1-u1-l1-1", "major", ["Gb", "F#", "D"]),
        ("1-2-3-1", "major", ["D#"]),
        ("thirds", "chromatic_melodic", ["F", "E"]),
    ],
)
def test_accidentals_are_those_that_music21_would_print(
    pattern: str, scale: str, keys: list[str]
) -> None:
    """Its rules for notation, with every courtesy turned off, know nothing of ours."""
    part = read(musicxml_bytes(score("clarinet_bb", pattern, keys, Style(), scale=scale))).parts[0]
    ours, theirs = [], []
    signs = None
    for measure in part.getElementsByClass("Measure"):
        signs = measure.keySignature or signs
        ours += [shown(note.pitch) for note in measure.notes]
        for note in measure.notes:
            if note.pitch.accidental is not None:
                note.pitch.accidental.displayStatus = None
        measure.makeAccidentals(
            useKeySignature=signs,
            cautionaryPitchClass=False,
            cautionaryNotImmediateRepeat=False,
            overrideStatus=True,
            inPlace=True,
        )
        theirs += [shown(note.pitch) for note in measure.notes]
    assert sum(ours) > 2
    assert ours == theirs


def shown(pitch: Any) -> bool:
    """Whether music21 holds that the pitch's accidental is printed."""
    return pitch.accidental is not None and bool(pitch.accidental.displayStatus)


@pytest.mark.parametrize("horn", list(INSTRUMENTS.values()), ids=str)
def test_transposition_and_clef_together_are_the_horn_s(horn: Any) -> None:
    parts = transposition(horn) or (0, 0, 0)
    raised = Clef(horn.clef) is Clef.TREBLE_8VA
    assert parts[0] + 7 * parts[2] + 7 * raised == horn.steps
    assert parts[1] + 12 * parts[2] + 12 * raised == horn.semitones
    assert abs(parts[1]) < 12


BAND = ("alto_sax", "horn_f", "tuba", "clarinet_bb", "piccolo")


@pytest.mark.parametrize("horn", BAND)
def test_partitura_reads_the_same_notes(horn: str, monkeypatch: pytest.MonkeyPatch) -> None:
    # Beside a synthesizer it would fetch sounds from the network when it is loaded.
    monkeypatch.setitem(sys.modules, "fluidsynth", None)
    partitura = pytest.importorskip("partitura")
    made = runs(INSTRUMENTS[horn], "thirds", ["G", "Db"])
    data = musicxml_bytes(
        Score("Cells", INSTRUMENTS[horn], sections(made, INSTRUMENTS[horn], Style()))
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it takes the headings for directions that it cannot read
        part = partitura.load_musicxml(io.BytesIO(data))[0]
    found = [(note.step, note.alter or 0, note.octave) for note in part.notes]
    wanted = [
        (note.letter, note.alter, note.octave)
        for run, _ in made
        for note in [*(each for cell in run.cells for each in cell.notes), run.close]
    ]
    assert found == wanted


@pytest.mark.parametrize("horn", BAND)
def test_verovio_sounds_the_same_notes(horn: str) -> None:
    """Its own MIDI of our music file sounds in concert pitch: written, moved by the horn."""
    verovio = pytest.importorskip("verovio")
    on = INSTRUMENTS[horn]
    made = runs(on, "thirds", ["G", "Db"])
    toolkit = verovio.toolkit()
    assert toolkit.loadData(
        musicxml_bytes(Score("Cells", on, sections(made, on, Style()))).decode()
    )
    file = mido.MidiFile(file=io.BytesIO(b64decode(toolkit.renderToMIDI())))
    found = [
        message.note
        for track in file.tracks
        for message in track
        if message.type == "note_on" and message.velocity
    ]
    assert found == [
        note.midi + on.semitones
        for run, _ in made
        for note in [*(each for cell in run.cells for each in cell.notes), run.close]
    ]


def test_a_worksheet_holds_no_answer() -> None:
    style = Style(given=Given.NONE)
    made = score("alto_sax", "1-2-3-1", ["G"], style)
    data = musicxml_bytes(made)
    assert b"<pitch>" not in data
    root = etree.fromstring(data)
    assert len(root.findall(".//note/rest")) == 58
    assert {note.get("print-object") for note in root.iter("note")} == {"no"}


def test_metre_is_right_and_not_printed() -> None:
    root = etree.fromstring(musicxml_bytes(score(None, "triad3", ["G"], Style())))
    assert {time.get("print-object") for time in root.iter("time")} == {"no"}
    length = 0.0
    for measure in root.iter("measure"):
        time = measure.find("attributes/time")
        if time is not None:
            length = 8 * int(time.findtext("beats", "")) / int(time.findtext("beat-type", ""))
        assert sum(int(each.text) for each in measure.iter("duration")) == length


def test_slurs_and_hairpins_come_in_pairs() -> None:
    style = Style(tonguing=Tonguing.SLURRED, dynamics=True)
    root = etree.fromstring(musicxml_bytes(score("tuba", "1-2-3-2", ["G", "E"], style)))
    slurs = [each.get("type") for each in root.iter("slur")]
    assert slurs == ["start", "stop"] * (len(slurs) // 2)
    wedges = [each.get("type") for each in root.iter("wedge")]
    assert wedges == ["crescendo", "stop", "diminuendo", "stop"] * 2


@given(st.text(st.characters(exclude_categories=())))
def test_any_text_makes_readable_xml(text: str) -> None:
    section = one("1-3", "C", directions=(Direction.UP,))
    made = Score(text, None, (section,), note=text, teacher=text)
    root = etree.fromstring(musicxml_bytes(made))
    found = root.findtext("work/work-title") or ""
    # XML 1.0 section 2.11: a carriage return is read as a line feed.
    assert found.replace("\r", "\n") == allowed(text).replace("\r\n", "\n").replace("\r", "\n")


def test_markup_in_a_title_stays_words() -> None:
    section = one("1-3", "C")
    title = '#import "x"; ____ <b>& ]]>'
    data = musicxml_bytes(Score(title, None, (section,)))
    assert etree.fromstring(data).findtext("work/work-title") == title
    check(data)


def test_the_same_sheet_has_the_same_bytes() -> None:
    """No id by chance and no day in it: a page that is made again is the same file."""
    first, again = (
        musicxml_bytes(score("alto_sax", "1-2-3-1", ["G", "Eb"], Style(degrees=True)))
        for _ in range(2)
    )
    assert first == again


def test_chords_stand_above_their_bars() -> None:
    """As chords with the symbol as their text; by function also in the words it is asked by."""
    for line, kinds, functions in (
        ("Dm7 G7 Cmaj7", ["m7", "7", "maj7"], []),
        ("ii7 V7 Imaj7", ["m7", "7", "maj7"], ["ii7", "V7", "Imaj7"]),
        ("C/E", [""], []),
    ):
        made = musicxml_bytes(score("tenor_sax", line, ["Gb"], Style()))
        root = etree.fromstring(made)
        assert [each.get("text") for each in root.iter("kind")][: len(kinds)] == kinds
        words = [each.text for each in root.iter("words")]
        assert [each for each in words if each in functions][: len(functions)] == functions
        check(made)


def test_the_page_has_the_symbols_with_signs_above_the_staff() -> None:
    made = score("tenor_sax", "Dm7 G7 Cmaj7", ["Gb"], Style())
    root = etree.fromstring(section_text(made.sections[0], made.horn).encode())
    words = [each.text for each in root.iter("words")]
    assert words[:3] == ["A♭m7", "D♭7", "G♭maj7"]
    assert not list(root.iter("harmony"))


@pytest.mark.parametrize("kind", CHORDS)
def test_music21_reads_each_chord_with_the_notes_beneath_it(kind: str) -> None:
    """Its own chord of root, kind, bass and degrees has the names of the arpeggio's notes."""
    from music21.harmony import ChordSymbol

    body = written_symbol(CHORDS[kind].formula, "")
    data = musicxml_bytes(score(None, f"F{body} Bb{body}", ["F"], Style()))
    check(data)
    read_ones = list(read(data).recurse().getElementsByClass(ChordSymbol))
    run = runs(None, f"F{body} Bb{body}", ["F"])[0][0]
    assert len(read_ones) >= len(run.cells) == 2
    for cell, found in zip(run.cells, read_ones, strict=False):
        names = {Name(p.step, int(p.alter)) for p in found.pitches}
        assert names == {note.name for note in cell.notes}
        assert str(found.root().step) == cell.notes[0].letter


def test_an_inversion_has_its_bass() -> None:
    from music21.harmony import ChordSymbol

    data = musicxml_bytes(score(None, "Cm7/Eb", ["C"], Style()))
    found = next(iter(read(data).recurse().getElementsByClass(ChordSymbol)))
    assert (found.root().name, found.bass().name, found.chordKind) == ("C", "E-", "minor-seventh")


def test_a_clef_with_an_8_says_so() -> None:
    """music21 reads the clef that the descant recorder is written in, and the clarinet's."""
    for horn, octave in (("recorder_descant", 1), ("clarinet_bb", 0)):
        part = read(musicxml_bytes(score(horn, "1-2-3-1", ["C"], Style()))).parts[0]
        (clef,) = part.recurse().getElementsByClass("TrebleClef")
        assert clef.octaveChange == octave


def test_only_characters_that_xml_has_room_for_are_written() -> None:
    """XML 1.0 (fifth edition), production 2: tab, line feed, carriage return, and from a blank on
    all but the surrogates and the last two of the plane; asked of lxml, which is not ours."""
    for code in (*range(0x41), 0xD7FF, 0xE000, 0xFFFD, 0xFFFE, 0xFFFF, 0x10000, 0x1F3B7):
        element = etree.Element("words")
        try:
            element.text = chr(code)
            known = True
        except ValueError:
            known = False
        assert (allowed(chr(code)) == chr(code)) == known, hex(code)
