"""What a teacher would say: answers of every kind, with the sentence wanted.

The sentences (``said.csv``) are common practice, from memory; scales and signatures in them
agree with tests/reference/scale_spellings.csv.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from asking import HERE, TWO_FIVE_ONE, Ask, Teacher, cases

from drill.marking.verdict import Slip
from drill.theory.language import Language
from drill.theory.patterns import ROOT_ORDERS, find_pattern
from drill.theory.scales import parse_key
from drill.wording.slips import marker as marker_of

MOVING = {
    "ii-V-I": TWO_FIVE_ONE,
    **{
        cell: replace(find_pattern(cell), roots=ROOT_ORDERS["fourths"])
        for cell in ("chord-7", "chord-7/1", "chord-dim7", "chord-m7", "1-2-b3-5")
    },
}
"""Cells on roots that move."""

SAID = cases(HERE / "said.csv")
"""An answer a row: what was asked (before: by the prompt before), what is to be said, the key that
is named in it (instead), and a slip that is kept behind the first (also)."""


@pytest.mark.parametrize(
    "row", SAID, ids=lambda row: f"{row['key']}, {row['group']}: {row['typed']}"
)
def test_an_answer_and_what_is_said_of_it(ask: Ask, marker: Teacher, row: dict[str, str]) -> None:
    pattern = MOVING.get(row["cell"], row["cell"])
    question = ask(row["key"], pattern, int(row["degree"]), row["way"], horn=row["horn"] or None)
    if row["before"]:
        key, cell, degree = row["before"].split()
        question = replace(question, before=ask(key, cell, int(degree)).asked)
    verdict = marker.mark(question, row["typed"])
    assert (verdict.slip, verdict.say) == (row["slip"] or None, row["say"])
    assert verdict.right is not bool(row["slip"])
    if row["instead"]:
        assert verdict.hypotheses[0].instead == parse_key(row["instead"])
    assert not row["also"] or row["also"] in verdict.slips


def test_in_major_the_neighbour_speaks_and_the_mode_stands_in_brackets(
    ask: Ask, marker: Teacher
) -> None:
    verdict = marker.mark(ask("C", "1-2-3-1", 3), "E F# G E")
    assert verdict.say == "that is the signature of G major, not of C major (that is C Lydian)"
    assert verdict.hypotheses[0].instead == parse_key("G")


def test_concert_pitch_asks_for_the_concert_keys_letters(ask: Ask, marker: Teacher) -> None:
    # Written D sounds concert C on a B flat horn: the notes of the cell on 1, C D E C.
    question = ask("D", "1-2-3-1", 1, horn="tenor_sax")
    assert marker.mark(question, "C D E C").slip is Slip.CONCERT
    assert Slip.CONCERT not in marker.mark(question, "B# C## D## B#").slips
    # Written A flat sounds concert C flat on alto, which is mostly called B: both are in use.
    question = ask("Ab", "1-2-3-1", 1, horn="alto_sax")
    for typed in ("B C# D# B", "Cb Db Eb Cb"):
        assert marker.mark(question, typed).slip is Slip.CONCERT


def test_a_triad_of_the_key_in_another_inversion(ask: Ask, marker: Teacher) -> None:
    verdict = marker.mark(ask("C", "1-3-5", 1), "E G C")
    assert verdict.slip is Slip.INVERSION
    assert verdict.say == "that is the first inversion; you were asked for root position, C E G"


# Other languages.


def test_in_movable_do_one_syllable_is_taken_for_another(ask: Ask) -> None:
    movable = Teacher(marker_of(Language.MOVABLE))
    verdict = movable.mark(ask("Eb", "1-2-3-1", 3), "mi fi sol mi")
    assert (verdict.slip, verdict.say) == (
        Slip.SIGNATURE,
        "fa, not fi (that is the signature of Bb major)",
    )


def test_french_and_italian_say_a_natural(ask: Ask) -> None:
    french = Teacher(marker_of(Language.FRENCH))
    verdict = french.mark(ask("G", "1-2-3-1", 5), "ré mi fa ré")
    assert verdict.say.startswith("fa bécarre: the signature of sol has fa dièse")
    italian = Teacher(marker_of(Language.ITALIAN))
    assert italian.mark(ask("G", "1-2-3-1", 5), "re mi fa re").say.startswith("fa bequadro:")


def test_german_names_run_together_are_told_in_german(ask: Ask) -> None:
    german = Teacher(marker_of(Language.GERMAN))
    verdict = german.mark(ask("Bb", "1-2-3-1", 6), "G As Bb G")
    assert verdict.say == "Bb is English, and B here; for B B put spaces between"
