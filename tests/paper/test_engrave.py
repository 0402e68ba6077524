"""The engraved page: what the engraver draws is what the engine spelled, and it fits."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from typing import Any

import pytest
from lxml import etree
from paper_runs import all_keys, one, runs

from drill.errors import DrillError
from drill.paper import engrave
from drill.paper.layout import Given, Style, sections
from drill.paper.musicxml import section_text
from drill.paper.score import Score, Section
from drill.terms import Direction, Instrument, Span, Tonguing
from drill.theory.instruments import INSTRUMENTS

pytest.importorskip("verovio")
pytest.importorskip("typst")
pdfium = pytest.importorskip("pypdfium2")

HOSTILE = '#import "x"; ____ <b>& $x$ \\ *a* @b ]#{'


@pytest.fixture(scope="module")
def engraver() -> engrave.Engraver:
    return engrave.Engraver("a4")


def style(**more: Any) -> Style:
    return Style(line=engrave.line_spaces("a4"), **more)


def drawn(pictures: tuple[str, ...], kind: str) -> int:
    """How many elements of a kind the pictures draw."""
    return sum(len(re.findall(rf'class="{kind}[" ]', picture)) for picture in pictures)


def text_of(pdf: bytes) -> list[str]:
    """The words of each page."""
    with pdfium.PdfDocument(pdf) as document:
        return [page.get_textpage().get_text_range() for page in document]


@pytest.mark.parametrize(
    ("pattern", "key", "scale", "horn"),
    [
        ("1-2-3-1", "G#", "harmonic_minor", "bassoon"),
        ("encl_4", "Gb", "major", "flute"),
        ("1-2-3-1", "C#", "major", "recorder_descant"),
        ("1-3-5-7", "D#", "major", "horn_f"),
    ],
)
def test_every_note_and_accidental_is_drawn(
    engraver: engrave.Engraver, pattern: str, key: str, scale: str, horn: str
) -> None:
    section = one(pattern, key, style(), horn=horn, scale=scale)
    pictures = engraver.systems(section, INSTRUMENTS[horn])
    notes = [written for bar in section.bars for written in bar.notes]
    assert len(pictures) == section.systems
    assert drawn(pictures, "note") == len(notes)
    accidentals = re.findall(r'class="accid"[^>]*>\s*<use', "".join(pictures))
    assert len(accidentals) == sum(written.accidental for written in notes)


def test_slurs_marks_hairpins_and_degrees_are_drawn(engraver: engrave.Engraver) -> None:
    look = style(tonguing=Tonguing.TWO_AND_TWO, dynamics=True, degrees=True)
    pictures = engraver.systems(one("1-2-3-1", "G", look), None)
    assert drawn(pictures, "slur") == 14
    assert drawn(pictures, "hairpin") == 2
    assert drawn(pictures, "dynam") == 3
    assert drawn(pictures, "dir") == 16
    for tonguing in (Tonguing.PORTATO, Tonguing.MARCATO, Tonguing.STACCATISSIMO):
        marked = engraver.systems(one("1-2-3-1", "G", style(tonguing=tonguing)), None)
        assert drawn(marked, "artic") >= 56


def test_open_cells_are_not_drawn(engraver: engrave.Engraver) -> None:
    section = one("1-2-3-1", "G", style(given=Given.NONE))
    pictures = engraver.systems(section, None)
    assert drawn(pictures, "note") == 0
    assert drawn(pictures, "rest") == 0


def natural_widths(section: Section, horn: Instrument) -> list[float]:
    """The room that each line of music would take if nothing stretched it, in staff spaces."""
    import verovio

    toolkit = verovio.toolkit()
    toolkit.setOptions(
        {
            "pageWidth": 60_000, "pageHeight": 100, "adjustPageWidth": True,
            "noJustification": True, "pageMarginLeft": 0, "pageMarginRight": 0,
            "breaks": "encoded", "header": "none", "footer": "none",
        }
    )  # fmt: skip
    assert toolkit.loadData(section_text(section, horn))
    pictures = map(toolkit.renderToSVG, range(1, toolkit.getPageCount() + 1))
    widths = [re.search(r'<svg width="([0-9.]+)px"', picture) for picture in pictures]
    staff = 72.0  # of the engraver at its default unit of 9
    return [float(width[1]) / staff * 4 for width in widths if width]


@pytest.mark.parametrize("pattern", ["scale", "thirds", "1-2-3-1", "encl_cc", "ninths5"])
def test_no_line_is_longer_than_the_page(engraver: engrave.Engraver, pattern: str) -> None:
    """The room that the layout reckons with is what the engraver takes, or a little more."""
    room = engrave.line_spaces("a4")
    for horn in ("alto_sax", "flute", "tuba"):
        for key, scale in (("C", "major"), ("Cb", "major"), ("G#", "harmonic_minor")):
            section = one(pattern, key, style(), horn=horn, scale=scale, span=Span.FULL)
            widths = natural_widths(section, INSTRUMENTS[horn])
            assert len(widths) == section.systems
            assert max(widths) <= room * 1.04


def score(made: tuple[Section, ...], **more: Any) -> Score:
    return Score(**{"title": "Cells", "horn": None, "sections": made, **more})


def test_words_are_data_never_markup(engraver: engrave.Engraver) -> None:
    made = replace(one("1-3", "C", style()), remarks=(HOSTILE,))
    full = score((made,), title=HOSTILE, subtitle=HOSTILE, note=HOSTILE, teacher=HOSTILE)
    (words,) = text_of(engraver.pdf(full))
    assert words.count(HOSTILE) == 5
    with pdfium.PdfDocument(engraver.pdf(full)) as document:
        assert document.get_metadata_dict()["Title"] == HOSTILE


@pytest.mark.parametrize("text", ["", "\x00\x1b[31m", "x" * 2000, "日本 🎷 \u202e", "a\nb\n\nc"])
def test_any_words_make_a_page(engraver: engrave.Engraver, text: str) -> None:
    made = one("1-3", "C", style(), directions=(Direction.UP,))
    pdf = engraver.pdf(score((made,), title=text, note=text, teacher=text))
    assert pdf.startswith(b"%PDF-")


def test_pages_headings_and_numbers(engraver: engrave.Engraver) -> None:
    horn = INSTRUMENTS["alto_sax"]
    made = sections(runs(horn, "1-2-3-1", all_keys()), horn, style())
    pages = text_of(engraver.pdf(score(made, horn=horn, subtitle=horn.name)))
    assert len(pages) == 3
    for number, words in enumerate(pages, 1):
        assert f"{number} / 3" in words
    whole = "\n".join(pages)
    for section in made:
        assert section.heading in whole
    assert "sounds B♭ major" in whole


def test_a_worksheet_has_a_name_line_and_its_answers_at_the_end(
    engraver: engrave.Engraver,
) -> None:
    open_ = sections(runs(None, "1-2-3-1", ["G"]), None, style(given=Given.FIRST))
    full = sections(runs(None, "1-2-3-1", ["G"]), None, style())
    pages = text_of(engraver.pdf(score(open_, worksheet=True, answers=full)))
    assert len(pages) == 2
    assert "Name" in pages[0]
    assert "Answers" not in pages[0]
    assert "Answers" in pages[1]
    without = text_of(engraver.pdf(score(open_, worksheet=True)))
    assert len(without) == 1
    assert "Name" not in text_of(engraver.pdf(score(full)))[0]


def test_the_same_sheet_is_the_same_bytes(engraver: engrave.Engraver) -> None:
    made = score((one("1-2-3-1", "G", style()),))
    assert engraver.pdf(made) == engraver.pdf(made)
    assert engraver.svg(made) == engraver.svg(made)


def test_pictures_are_well_formed_and_as_many_as_pages(engraver: engrave.Engraver) -> None:
    made = sections(runs(None, "1-2-3-1", all_keys()), None, style())
    pages = engraver.svg(score(made))
    assert len(pages) == len(text_of(engraver.pdf(score(made))))
    for page in pages:
        assert etree.fromstring(page).tag == "{http://www.w3.org/2000/svg}svg"


def test_letter_paper() -> None:
    made = score((one("1-3", "C", style()),))
    with pdfium.PdfDocument(engrave.Engraver("letter").pdf(made)) as document:
        # 8.5 by 11 inches of 72 points (ANSI/ASME Y14.1, size A).
        assert [round(side) for side in document[0].get_size()] == [612, 792]


@pytest.mark.parametrize("missing", [("verovio",), ("typst",), ("verovio", "typst")])
def test_absent_libraries_are_named(
    monkeypatch: pytest.MonkeyPatch, missing: tuple[str, ...]
) -> None:
    monkeypatch.setattr(engrave, "find_spec", lambda name: None if name in missing else object())
    # What is installed for another Python is never found from drill's own environment.
    install = f'"{sys.executable}" -m pip install {" ".join(missing)}'
    message = f"engraving needs {' and '.join(missing)}: {install}"
    with pytest.raises(DrillError, match=re.escape(message)) as caught:
        engrave.Engraver()
    assert caught.value.exit_code == 1


def test_the_papers_are_as_large_as_their_standards_say() -> None:
    """ISO 216 for A4; letter is 8.5 by 11 inches of 25.4 mm."""
    assert engrave.PAPERS["a4"][1:] == (210.0, 297.0)
    assert engrave.PAPERS["letter"][1:] == pytest.approx((8.5 * 25.4, 11 * 25.4))
