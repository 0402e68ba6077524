"""A line out of a file of music as a pattern, read back against files that music21 wrote.

The study is our own: three bars in E flat, one of them with a chromatic neighbour.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from drill.decks.load import load, loads, names_files
from drill.decks.schema import Deck
from drill.decks.write import write
from drill.errors import FaultsError
from drill.terms import Direction, Mode
from drill.theory.runs import build_run

BARS = ("Eb4 F4 G4 Ab4", "Bb4 C5 D5 Eb5", "Bb4 A4 Bb4 C5 D5 F5 Eb5 Bb4", "G4 F4 Eb4 r", "C4+E4")
HEAD = 'title = "T"\ninstrument = "flute"\nkeys = ["Eb", "F#"]\ndirections = ["up"]\n'


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The study as MusicXML and MIDI, and files that are none."""
    from music21 import chord, key, meter, note, stream

    score, part = stream.Score(), stream.Part()
    for number, bar in enumerate(BARS, 1):
        measure = stream.Measure(number=number)
        if number == 1:
            measure.append(key.Key("E-"))
            measure.append(meter.TimeSignature("4/4"))
        for text in bar.split():
            length = 4 / len(bar.split())
            names = text.replace("b", "-").split("+")
            if text == "r":
                measure.append(note.Rest(quarterLength=length))
            elif len(names) > 1:
                measure.append(chord.Chord(names, quarterLength=length))
            else:
                measure.append(note.Note(names[0], quarterLength=length))
        part.append(measure)
    score.append(part)
    below = stream.Part()
    for number in range(1, len(BARS) + 1):
        measure = stream.Measure(number=number)
        if number == 1:
            measure.append(key.Key("E-"))
            measure.append(meter.TimeSignature("4/4"))
        for name in ("E-3", "B-3"):
            measure.append(note.Note(name, quarterLength=2))
        below.append(measure)
    score.append(below)
    made = tmp_path_factory.mktemp("studies")
    score.write("musicxml", str(made / "study.musicxml"))
    score.write("midi", str(made / "study.mid"))
    (made / "bad.musicxml").write_text("bad")
    (made / "bad.mid").write_bytes(b"MThd\x00bad")
    (made / "notes.txt").write_text("C D E")
    return made


def deck(folder: Path, table: str) -> Deck:
    path = folder / "deck.toml"
    path.write_text(f"{HEAD}patterns = [{{ {table} }}]\n", encoding="utf-8")
    return load(path)


def spelled(of: Deck, key: int) -> str:
    run = build_run(of.keys[key], of.patterns[0], Direction.UP, horn=of.horn)
    return " ".join(str(note) for note in run.cells[0].notes)


def test_a_bar_of_a_study_is_asked_in_all_keys(folder: Path) -> None:
    of = deck(folder, 'from = "study.musicxml", bars = "3"')
    assert spelled(of, 0) == BARS[2]
    assert spelled(of, 1) == "C#5 B#4 C#5 D#5 E#5 G#5 F#5 C#5"
    assert of.patterns[0].text == "5-#4-5-6-7-2'-1'-5"
    assert of.patterns[0].name == "study, bar 3"


def test_midi_is_spelled_by_the_degrees_of_the_key(folder: Path) -> None:
    of = deck(folder, 'from = "study.mid", bars = 3, in = "Eb"')
    assert spelled(of, 0) == BARS[2]


def test_in_key_mode_it_can_begin_on_every_degree(folder: Path) -> None:
    of = deck(folder, 'from = "study.musicxml", bars = "1-2", mode = "key", name = "the scale"')
    assert (of.patterns[0].text, of.patterns[0].mode) == ("1-2-3-4-5-6-7-1'", Mode.KEY)
    run = build_run(of.keys[0], of.patterns[0], Direction.UP)
    assert len(run.cells) == 7


def test_another_part_may_be_named(folder: Path) -> None:
    assert deck(folder, 'from = "study.musicxml", bars = "3", part = 2').patterns[0].text == "1-5"


def test_another_key_may_be_named(folder: Path) -> None:
    of = deck(folder, 'from = "study.musicxml", bars = "4", in = "C"')
    assert of.patterns[0].text == "5-4-b3"


def test_written_out_it_needs_no_file(folder: Path, tmp_path: Path) -> None:
    of = deck(folder, 'from = "study.musicxml", bars = "3"')
    text = write(of)
    assert not names_files(text, "d.toml")
    assert names_files((folder / "deck.toml").read_text(), "d.toml")
    assert loads(text, str(tmp_path / "d.toml")) == of


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ('from = "none.musicxml", bars = "3"', "there is no file none.musicxml beside the deck"),
        ('from = "../study.mid", bars = "3"', "not a way to another folder"),
        ('from = "notes.txt", bars = "3"', "not a MusicXML or MIDI file"),
        ('from = "bad.musicxml", bars = "3"', "cannot be read as music"),
        ('from = "bad.mid", bars = "3"', "cannot be read as music"),
        ('from = "study.musicxml", bars = "9"', "has bars 1 to 5, and no bar 9"),
        ('from = "study.musicxml", bars = "5"', "not a single line: it has chords"),
        ('from = "study.musicxml", bars = "1-4"', "has 19 notes; a pattern has 2 to 16"),
        ('from = "study.musicxml", bars = "3", mode = "key"', "a note from outside its key"),
        ('from = "study.musicxml", bars = "3", part = 3', "has 2 parts, and no part 3"),
        ('from = "study.musicxml"', "bars is missing"),
        ('from = "study.musicxml", bars = "4-2"', "2 is before 4"),
        ('from = "study.musicxml", bars = "x"', '"x" is not a bar or bars'),
        ('cell = "1-2", bars = "3"', "bars belongs to a file of music"),
    ],
)
def test_one_message_for_what_cannot_be_read(folder: Path, table: str, said: str) -> None:
    with pytest.raises(FaultsError) as raised:
        deck(folder, table)
    assert [said in fault.message for fault in raised.value.faults] == [True]


def test_a_quarter_tone_is_told_and_not_taken_for_a_natural(tmp_path: Path) -> None:
    """MusicXML alters by decimals: 0.5 is a quarter tone up (MusicXML 4.0, ``semitones``)."""
    from music21 import note, stream

    measure = stream.Measure(number=1)
    for name in ("C4", "D~4", "E4", "F4"):
        measure.append(note.Note(name))
    stream.Part([measure]).write("musicxml", str(tmp_path / "study.musicxml"))
    assert "<alter>0.5</alter>" in (tmp_path / "study.musicxml").read_text()
    with pytest.raises(FaultsError, match="bar 1 of study.musicxml has a note that is not a whole"):
        deck(tmp_path, 'from = "study.musicxml", bars = "1"')


def test_a_file_that_is_too_large_is_not_opened(folder: Path) -> None:
    with (folder / "huge.mid").open("wb") as file:
        file.truncate(3_000_000)
    with pytest.raises(FaultsError, match="more than 2 MB"):
        deck(folder, 'from = "huge.mid", bars = "1"')
