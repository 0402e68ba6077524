"""Marking notes that are grouped across cells: every group has its verdict, whatever is typed."""

from __future__ import annotations

from dataclasses import replace

from drill.marking.mark import Marker
from drill.marking.question import Question
from drill.terms import Direction
from drill.theory.patterns import PATTERNS
from drill.theory.runs import build_run
from drill.theory.scales import parse_key


def test_a_four_note_cell_in_threes_is_marked(marker: Marker) -> None:
    for way in Direction:
        pattern = replace(PATTERNS["return3"], groups_of=3)
        run = build_run(parse_key("Eb"), pattern, way)
        texts = [" ".join(str(note.name) for note in cell.notes) for cell in run.cells]
        for index, right in enumerate(texts):
            question = Question(run, index, None)
            assert marker.mark(question, right).right
            for other in (*texts, "F# F# F#", "E F G", "A", right + " C", right.replace("b", "")):
                verdict = marker.mark(question, other)
                assert verdict.right is (other == right)
