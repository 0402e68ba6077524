"""Turned cells beyond the octave, and what a reader of files leaves behind."""

from __future__ import annotations

from pathlib import Path

import pytest

from drill.theory.library import read_line
from drill.theory.patterns import Turns, free_pattern, turns_of
from drill.theory.scales import SCALES


@pytest.mark.parametrize(
    ("cell", "turned"),
    [
        ("8-1-3", ["8-1-3", "1-3-15", "3-15-8"]),
        ("1-8-3", ["1-8-3", "8-3-8", "3-8-15"]),
        ("7.-1-2", ["7.-1-2", "1-2-7", "2-7-8"]),
    ],
)
def test_a_turned_cell_names_its_octave_as_the_catalogue_does(cell: str, turned: list[str]) -> None:
    """1 an octave up is 8, 8 is 15: digits up to 15 need no sign of an octave."""
    found = turns_of(free_pattern((cell,)), Turns.ROTATIONS)
    assert [pattern.text for pattern in found] == turned


STUDY = """<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part>
</part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes>
<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note></measure></part>
</score-partwise>"""


def test_a_file_of_music_that_is_read_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """music21 would keep what it read in a folder of its own, for the next time."""
    from music21.environment import Environment

    kept, path = tmp_path / "kept", tmp_path / "study.musicxml"
    kept.mkdir()
    monkeypatch.setattr(Environment, "getRootTempDir", lambda _: kept)
    path.write_text(STUDY, encoding="utf-8")
    assert read_line(path, 1, 1).notes
    assert list(kept.iterdir()) == []


@pytest.mark.parametrize(
    ("formula", "fifths"),
    [
        # Counted by hand: what is left to print under each signature of C.
        ("1-b2-2-b3-4-5", -3),  # D flat and D: one sign under three flats and under two
        ("1-2-3-#4-5-6-7", 1),  # F sharp alone is a signature
        ("1-2-b3-4-5-b6-b7", -3),  # the minor one
    ],
)
def test_a_scale_of_a_formula_is_read_in_its_nearest_signature(formula: str, fifths: int) -> None:
    assert SCALES[formula].shift == fifths
