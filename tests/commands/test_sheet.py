"""``drill sheet``: from the command line to the files."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import mido
import pypdfium2
import pytest
from desk_tools import Ran, ran
from lxml import etree

from drill.commands import sheet, spell
from drill.errors import DrillError, FaultsError, TakenError, UsageError
from drill.paper import engrave
from drill.theory.spelling import parse_note


def made(home: Path, *words: str) -> Ran:
    return ran(sheet, words, home)


def pitches(path: Path) -> list[str]:
    """The written notes of a MusicXML file."""
    root = etree.parse(str(path)).getroot()
    signs = {"-2": "bb", "-1": "b", None: "", "1": "#", "2": "##"}
    return [
        f"{each.findtext('step')}{signs[each.findtext('alter')]}{each.findtext('octave')}"
        for each in root.iter("pitch")
    ]


def test_a_pattern_up_and_down(tmp_path: Path) -> None:
    file = tmp_path / "cells.musicxml"
    got = made(tmp_path, "1-2-3-1", "--key", "G", "--musicxml", str(file))
    assert got.code == 0
    assert got.err == f"drill: wrote {file}\n"
    notes = pitches(file)
    assert notes[:4] == ["G4", "A4", "B4", "G4"]
    assert notes[29:33] == ["G5", "F#5", "E5", "G5"]
    assert notes[-1] == "G4"
    assert len(notes) == 58


@pytest.mark.parametrize(
    ("option", "count", "first"), [("--up", 29, "G4"), ("--down", 29, "G5"), ("--both", 58, "G4")]
)
def test_one_way_only(tmp_path: Path, option: str, count: int, first: str) -> None:
    file = tmp_path / "cells.musicxml"
    made(tmp_path, "1-2-3-1", "--key", "G", option, "--musicxml", str(file))
    assert (len(pitches(file)), pitches(file)[0]) == (count, first)


def test_all_keys_of_a_concert_key_on_a_horn(tmp_path: Path) -> None:
    # Concert B flat is written G on an E flat alto: common practice.
    file = tmp_path / "cells.musicxml"
    words = ("1-2-3-1", "--concert-key", "Bb", "--instrument", "alto_sax", "--up")
    made(tmp_path, *words, "--musicxml", str(file))
    assert pitches(file)[:4] == ["G4", "A4", "B4", "G4"]
    root = etree.parse(str(file)).getroot()
    assert root.findtext(".//transpose/chromatic") == "-9"
    assert root.findtext(".//part-name") == "Alto saxophone in Eb"
    made(tmp_path, "1-2-3-1", "--key", "all", "--musicxml", str(file))
    fifths = [int(each.text) for each in etree.parse(str(file)).getroot().iter("fifths")]
    assert fifths == list(range(-7, 8))


def test_midi_sounds_what_the_horn_sounds(tmp_path: Path) -> None:
    file = tmp_path / "cells.mid"
    words = ("1-2-3-1", "--key", "G", "--instrument", "alto_sax", "--joined", "--tempo", "80")
    made(tmp_path, *words, "--midi", str(file))
    on = [each for each in mido.MidiFile(str(file)).tracks[1] if each.type == "note_on"]
    # G4 on the alto sounds B flat 3 (58); joined, the top tonic stands once.
    assert on[0].note == parse_note("Bb3").midi
    assert len(on) == 57


DECK = """
title = "Two keys"
instrument = "tenor_sax"
note = "Without the page by Friday."
patterns = ["1-2-3-1", "thirds"]
concert_keys = ["Bb", "Eb"]
articulation = "two-and-two"
tempo = 72
"""


@pytest.fixture
def deck(tmp_path: Path) -> Path:
    path = tmp_path / "two.toml"
    path.write_text(DECK, encoding="utf-8")
    return path


def test_a_deck_as_it_stands(tmp_path: Path, deck: Path) -> None:
    file = tmp_path / "two.musicxml"
    assert made(tmp_path, str(deck), "--musicxml", str(file)).code == 0
    root = etree.parse(str(file)).getroot()
    assert root.findtext("work/work-title") == "Two keys"
    assert [each.text for each in root.iter("fifths")] == ["0", "-1", "0", "-1"]
    assert root.find(".//slur") is not None
    assert root.find(".//sound").get("tempo") == "72"
    fields = {each.get("name"): each.text for each in root.iter("miscellaneous-field")}
    assert fields == {"note": "Without the page by Friday."}


def test_a_deck_for_another_horn(tmp_path: Path, deck: Path) -> None:
    file = tmp_path / "two.musicxml"
    words = (str(deck), "--instrument", "alto_sax", "--articulation", "none")
    made(tmp_path, *words, "--musicxml", str(file))
    root = etree.parse(str(file)).getroot()
    # Concert B flat and E flat are G and C on the alto.
    assert [each.text for each in root.iter("fifths")] == ["1", "0", "1", "0"]
    assert root.find(".//slur") is None


def test_a_pattern_s_name_goes_before_a_deck_s(tmp_path: Path) -> None:
    file = tmp_path / "thirds.musicxml"
    made(tmp_path, "thirds", "--musicxml", str(file))
    title = etree.parse(str(file)).getroot().findtext("work/work-title")
    assert title == "Scale in thirds, 1-3"
    made(tmp_path, "thirds.toml", "--musicxml", str(file))
    assert etree.parse(str(file)).getroot().findtext("work/work-title") != title


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("1-2-3-1",), "say which file to write"),
        (("1-2-3-1", "--answers"), "--answers goes with --worksheet"),
        (("1-2-3-1", "--given", "none"), "--given goes with --worksheet"),
        (("1-2-3-1", "--title", "a\x1b[31m"), r"control character, U\+001B"),
        (("1-2-3-1", "--note", "a\x00"), r"control character, U\+0000"),
        (("1-2-3-1", "--teacher", "x" * 201), "longer than 200 characters"),
        (("nowhere",), "there is no deck .*nor a pattern: there is no pattern"),
        (("nowhere.toml",), "there is no"),
        (("1.2.3.1",), "dot"),
        (("1-2-3-1", "--instrument", "kazoo"), "there is no instrument 'kazoo'"),
        (("1-2-3-1", "--key", "H"), "not a note name"),
        (("1-2-3-1", "--span", "full"), "full range needs an instrument"),
        (("1-2-3-1", "--scale", "x"), "there is no scale"),
    ],
)
def test_what_cannot_be_understood(tmp_path: Path, words: tuple[str, ...], message: str) -> None:
    file = () if message.startswith("say which") else ("--musicxml", str(tmp_path / "x"))
    with pytest.raises(UsageError, match=message):
        made(tmp_path, *words, *file)
    assert not (tmp_path / "x").exists()


def test_a_faulty_deck_is_named_with_its_place(tmp_path: Path, deck: Path) -> None:
    deck.write_text(DECK.replace("tenor_sax", "kazoo"), encoding="utf-8")
    with pytest.raises(FaultsError, match=r"two\.toml:3:"):
        made(tmp_path, str(deck), "--musicxml", str(tmp_path / "x"))


def test_nothing_is_written_where_one_file_cannot_be_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engrave, "find_spec", lambda _: None)
    files = ("--musicxml", str(tmp_path / "a"), "--pdf", str(tmp_path / "b"))
    with pytest.raises(DrillError, match=r"engraving needs verovio and typst: .*python.* -m pip"):
        made(tmp_path, "1-2-3-1", *files)
    assert not (tmp_path / "a").exists()


def test_with_no_replace_a_file_that_is_there_stays(tmp_path: Path) -> None:
    first, other = tmp_path / "a.mid", tmp_path / "a.musicxml"
    other.write_text("my own", encoding="utf-8")
    files = ("--midi", str(first), "--musicxml", str(other))
    with pytest.raises(TakenError, match=r"a\.musicxml exists already") as taken:
        made(tmp_path, "1-2-3-1", *files, "--no-replace")
    assert taken.value.path == other
    assert other.read_text(encoding="utf-8") == "my own"
    assert not first.exists()  # all of it or nothing
    made(tmp_path, "1-2-3-1", *files)
    assert "<score-partwise" in other.read_text(encoding="utf-8")


def test_a_folder_in_the_place_of_the_file(tmp_path: Path) -> None:
    with pytest.raises(DrillError, match="cannot be written: it is a folder"):
        made(tmp_path, "1-2-3-1", "--musicxml", str(tmp_path))


def test_the_page_and_the_pictures(tmp_path: Path) -> None:
    pytest.importorskip("verovio")
    pytest.importorskip("typst")
    pdfium = pytest.importorskip("pypdfium2")
    pdf, svg = tmp_path / "page.pdf", tmp_path / "page.svg"
    title = '#import "x"; ____ <b>&'
    words = ("return3", "--key", "all", "--instrument", "bassoon", "--title", title)
    got = made(tmp_path, *words, "--pdf", str(pdf), "--svg", str(svg))
    with pdfium.PdfDocument(pdf) as document:
        first = document[0].get_textpage().get_text_range()
        pages = len(document)
    assert title in first
    assert "Bassoon · Returning cell, 1-2-3-1" in first
    names = [f"page-{number}.svg" for number in range(1, pages + 1)]
    assert sorted(path.name for path in tmp_path.glob("*.svg")) == names
    assert all(name in got.err for name in names)


def test_worksheet_with_and_without_answers(tmp_path: Path) -> None:
    pytest.importorskip("verovio")
    pytest.importorskip("typst")
    pdfium = pytest.importorskip("pypdfium2")
    pdf = tmp_path / "page.pdf"
    words = ("1-2-3-1", "--key", "E", "--worksheet", "--pdf", str(pdf))
    counts = []
    for more in ((), ("--no-answers",)):
        made(tmp_path, *words, *more)
        with pdfium.PdfDocument(pdf) as document:
            counts.append(len(document))
    assert counts == [2, 1]


def test_music_files_load_no_engraver(printed_by: Callable[..., str]) -> None:
    code = (
        "import sys; from drill.cli import main; code = main(sys.argv[1:]); "
        "print(code, *(n for n in ('verovio', 'typst', 'textual', 'numpy') if n in sys.modules))"
    )
    assert printed_by(code, "sheet", "1-2-3-1", "--musicxml", "-").splitlines()[-1] == "0"


OWN = """\
title = "Concert warm-up"
instrument = "own"
patterns = ["1-2-3-1", "thirds", "triad3"]
concert_keys = ["Bb", "Ab"]
tempo = 96
"""
ROSTER = "id,name,group,horn\n1,Mara Quill,A,alto_sax\n2,Bo Barline,A,tuba\n3,Zoé Ünal,B,alto_sax\n"


@pytest.fixture
def band(tmp_path: Path) -> tuple[Path, Path]:
    own, roster = tmp_path / "own.toml", tmp_path / "roster.csv"
    own.write_text(OWN, encoding="utf-8")
    roster.write_text(ROSTER, encoding="utf-8")
    return own, roster


def words_of(pdf: Path) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_bounded() for page in document]


def test_a_band_is_printed_in_one_file(tmp_path: Path, band: tuple[Path, Path]) -> None:
    own, roster = band
    out = tmp_path / "band.pdf"
    said = made(tmp_path, str(own), "--horns", "roster", "--roster", str(roster), "--pdf", str(out))
    pages = words_of(out)
    assert "for 2 parts" in said.err
    assert f"{len(pages)} pages" in said.err
    first = [page for page in pages if "Concert warm-up" in page.splitlines()[0]]
    assert ["Alto saxophone" in page for page in first] == [True, False]
    assert "Tuba" in first[1]
    # Concert B flat is written G on an alto and B flat on a tuba (handbook transposition).
    assert "G major" in first[0]
    assert "B♭ major" in first[1]
    made(tmp_path, str(own), "--horns", "students", "--roster", str(roster), "--pdf", str(out))
    text = "".join(words_of(out))
    assert all(name in text for name in ("Mara Quill", "Bo Barline", "Zoé Ünal"))


def test_no_reader_complains_of_the_pdf(tmp_path: Path, band: tuple[Path, Path]) -> None:
    out = tmp_path / "a.pdf"
    made(tmp_path, str(band[0]), "--instrument", "tuba", "--pdf", str(out))
    assert b"/Suspects" not in out.read_bytes()
    if shutil.which("pdfinfo"):
        run = subprocess.run(["pdfinfo", str(out)], capture_output=True, check=True)
        assert run.stderr == b""


def test_what_a_band_needs_is_said(tmp_path: Path, band: tuple[Path, Path]) -> None:
    own = str(band[0])
    for words, said in (
        ((), "for everyone's own horn"),
        (("--horns", "roster"), "needs --roster"),
        (("--horns", "all", "--instrument", "tuba"), "name one of them"),
        (("--horns", "kazoo"), "no instrument"),
        (("--roster", str(band[1])), "goes with --horns"),
    ):
        with pytest.raises(UsageError, match=said):
            made(tmp_path, own, *words, "--pdf", str(tmp_path / "no.pdf"))
    with pytest.raises(UsageError, match="take one horn"):
        made(tmp_path, own, "--horns", "all", "--midi", str(tmp_path / "no.mid"))
    assert not (tmp_path / "no.pdf").exists()


@pytest.mark.parametrize("horn", ["alto_sax", "horn_f", "tuba"])
@pytest.mark.parametrize("joined", [(), ("--joined",)])
def test_midi_and_musicxml_have_the_same_bars(
    tmp_path: Path, band: tuple[Path, Path], horn: str, joined: tuple[str, ...]
) -> None:
    """Notes, lengths and metre of both files, as general readers of either see them."""
    xml, midi = tmp_path / "a.musicxml", tmp_path / "a.mid"
    words = (str(band[0]), "--instrument", horn, *joined)
    made(tmp_path, *words, "--musicxml", str(xml), "--midi", str(midi))
    root = etree.parse(str(xml)).getroot()
    bars, notes, at, metre = [], [], 0, (0, 0)
    for measure in root.iter("measure"):
        time = measure.find("attributes/time")
        if time is not None:
            metre = int(time.findtext("beats", "")), int(time.findtext("beat-type", ""))
        lengths = [int(each.findtext("duration", "")) for each in measure.iter("note")]
        bars.append((at, metre))
        for length in lengths:
            notes.append((at, length))
            at += length
    file = mido.MidiFile(str(midi))
    tick, metres, onsets = 0, [], []
    for message in file.tracks[0]:
        tick += message.time
        if message.type == "time_signature":
            metres.append((tick, (message.numerator, message.denominator)))
    tick = 0
    for message in file.tracks[1]:
        tick += message.time
        if message.type == "note_on" and message.velocity:
            onsets.append(tick)
    eighth = file.ticks_per_beat // 2
    assert onsets == [at * eighth // 1 for at, _ in notes]
    changes = [bar for n, bar in enumerate(bars) if n == 0 or bar[1] != bars[n - 1][1]]
    assert metres == [(at * eighth, metre) for at, metre in changes]
    keys = [message.key for message in file.tracks[0] if message.type == "key_signature"]
    assert keys == ["Bb", "Ab"] * 3  # it sounds in the concert keys


def test_sheet_spell_and_deck_begin_on_the_same_note(tmp_path: Path) -> None:
    """Ends of the range among them: an alto's B flat runs have no room below the tonic."""
    for horn, key in (
        ("alto_sax", "Bb"),
        ("trumpet_bb", "G"),
        ("horn_f", "F"),
        ("clarinet_bb", "E"),
    ):
        deck = tmp_path / "d.toml"
        deck.write_text(
            f'title = "d"\ninstrument = "{horn}"\npatterns = ["1-2-3-1"]\nkeys = ["{key}"]\n',
            encoding="utf-8",
        )
        file = tmp_path / "a.musicxml"
        made(tmp_path, "1-2-3-1", "--key", key, "--instrument", horn, "--musicxml", str(file))
        sheet = pitches(file)
        made(tmp_path, str(deck), "--musicxml", str(file))
        assert pitches(file) == sheet
        said = ran(spell, ("1-2-3-1", "--key", key, "--instrument", horn, "--json"), tmp_path).out
        runs = json.loads(said)["runs"]
        for run, first in zip(runs, (sheet[0], sheet[29]), strict=False):
            assert run["cells"][0]["notes"][0] == first
