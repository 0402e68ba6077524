"""Marking cells on moving roots: one spelling is shown, the root's other name is right too."""

from __future__ import annotations

from dataclasses import replace

import pytest
from asking import Answered, Teacher

from drill.marking.question import Question
from drill.marking.verdict import Slip
from drill.terms import Direction
from drill.theory.patterns import ROOT_ORDERS, find_pattern
from drill.theory.runs import build_run
from drill.theory.scales import parse_key


def answered(marker: Teacher, pattern: str, root: str, typed: str) -> Answered:
    """An answer to the cell on a root of the circle of fourths."""
    found = replace(find_pattern(pattern), roots=ROOT_ORDERS["fourths"])
    run = build_run(parse_key("C"), found, Direction.UP)
    index = next(i for i, cell in enumerate(run.cells) if cell.label == root)
    return marker.mark(Question(run, index, None), typed)


@pytest.mark.parametrize(
    ("pattern", "root", "typed", "say"),
    [
        ("1-2-b3-5", "F#", "F# G# A C#", "right"),
        ("1-2-b3-5", "F#", "Gb Ab Bbb Db", "right; usually written F# G# A C#"),
        ("chord-dim7", "C", "C Eb Gb A", "right; usually written C Eb Gb Bbb"),
        ("chord-dim7", "F#", "Gb Bbb Dbb Fbb", "right; usually written F# A C Eb"),
        ("chord-m7", "C#", "Db Fb Ab Cb", "right; usually written C# E G# B"),
    ],
)
def test_right_on_either_name_of_the_root(
    marker: Teacher, pattern: str, root: str, typed: str, say: str
) -> None:
    verdict = answered(marker, pattern, root, typed)
    assert (verdict.right, verdict.say) == (True, say)


def test_a_mixture_of_both_names_is_not_right(marker: Teacher) -> None:
    verdict = answered(marker, "1-2-b3-5", "F#", "Gb G# A C#")
    assert (verdict.right, verdict.slip) == (False, Slip.NAME)
