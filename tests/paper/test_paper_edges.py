"""The lengths that are printed, and where a line of music begins."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest
from paper_runs import all_keys, one, runs

from drill.paper import layout
from drill.paper.layout import Style, sections
from drill.paper.musicxml import musicxml_bytes, section_text
from drill.paper.score import Score
from drill.terms import Tonguing

QUARTERS = {"eighth": 0.5, "quarter": 1.0, "half": 2.0, "whole": 4.0}


@pytest.mark.parametrize("pattern", ["1-2-3-1", "1-2-3", "1-3", "1-2-3-4-5", "1-2-3-4-5-4-3-2"])
def test_what_is_printed_lasts_as_long_as_it_says(pattern: str) -> None:
    made = musicxml_bytes(Score("x", None, (one(pattern, "Eb"),)))
    root = ET.fromstring(made)
    divisions = int(root.findtext(".//divisions", ""))
    notes = root.findall(".//note")
    assert len(notes) > 20
    for note in notes:
        kind = QUARTERS[note.findtext("type", "")]
        dots = len(note.findall("dot"))
        assert kind * (2 - 0.5**dots) == int(note.findtext("duration", "")) / divisions


def test_each_line_of_music_begins_once() -> None:
    made = sections(runs(None, "1-2-3-1", all_keys()), None, Style())
    root = ET.fromstring(musicxml_bytes(Score("x", None, made)))
    bars = [bar for section in made for bar in section.bars]
    begun = [bool(measure.findall("print")) for measure in root.findall(".//measure")]
    assert begun == [bar.new_system and index > 0 for index, bar in enumerate(bars)]
    assert 1 < sum(begun) < len(bars) - 1


def test_the_engraver_numbers_no_bars() -> None:
    root = ET.fromstring(section_text(one("1-2-3-1", "G"), None))
    measures = root.findall(".//measure")
    assert [each.findtext("print/measure-numbering") for each in measures] == ["none"] * len(
        measures
    )


def test_slurs_at_random_are_those_of_seed_0_unless_said() -> None:
    drawn = [
        section_text(one("1-2-3-1", "G", style), None)
        for style in (
            Style(tonguing=Tonguing.RANDOM),
            Style(tonguing=Tonguing.RANDOM, seed=0),
            Style(tonguing=Tonguing.RANDOM, seed=1),
        )
    ]
    assert drawn[0] == drawn[1] != drawn[2]


@pytest.mark.parametrize(
    ("size", "cells", "eighths"),
    [(2, 1, 2), (2, 2, 4), (3, 8, 3), (4, 8, 4), (5, 8, 4), (6, 8, 6), (7, 8, 4), (8, 4, 4)],
)
def test_the_held_tonic_fills_what_its_cells_leave(size: int, cells: int, eighths: int) -> None:
    assert layout._held_eighths(size, cells) == eighths
