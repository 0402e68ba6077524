"""Spelling scales and chords by the letter rule, held against music21 over the whole table."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from theory_tables import by_music21, simple

from drill.errors import TheoryError
from drill.terms import LETTERS, Name
from drill.theory.chords import CHORDS
from drill.theory.scales import SCALES, parse_key, scale_of, tonics
from drill.theory.spelling import degree_name

NAMES = [Name(letter, alter) for letter in LETTERS for alter in range(-2, 3)]

TOKENS = [f"{sign}{degree}" for degree in range(1, 8) for sign in ("bb", "b", "", "#", "##")]


def test_every_degree_on_every_name_is_music21_s() -> None:
    """All 35 degrees on all 35 names; music21's accidentals end at four."""
    refused = 0
    assert {t for kind in SCALES.values() for t in (*kind.up, *kind.down)} <= set(TOKENS)
    assert {simple(t) for chord in CHORDS.values() for t in chord.formula} <= set(TOKENS)
    for name in NAMES:
        for token in TOKENS:
            ours, theirs = degree_name(name, token), by_music21(name, token)
            if theirs is None:
                assert abs(ours.alter) > 4, (name, token)
                refused += 1
            else:
                assert str(ours) == theirs, (name, token)
    assert (len(NAMES) * len(TOKENS), refused) == (1225, 16)


def test_every_scale_on_its_15_tonics_is_music21_s() -> None:
    compared = 0
    for kind in SCALES.values():
        for tonic in tonics(kind.id):
            made = scale_of(parse_key(f"{tonic} {kind.id}"))
            for names, formula in ((made.up, kind.up), (made.down, kind.down)):
                assert [str(name) for name in names] == [
                    by_music21(tonic, token) for token in formula
                ]
                compared += len(names)
    assert compared > 7000


def test_a_scale_is_worked_out_once() -> None:
    key = parse_key("A dorian")
    assert scale_of(key) is scale_of(key)


def test_a_triple_accidental_is_refused() -> None:
    with pytest.raises(TheoryError, match="triple accidental"):
        scale_of(parse_key("B## major"))


def test_theory_imports_and_spells_without_music21(printed_by: Callable[..., str]) -> None:
    """Every start goes through theory: no costly library is loaded for a scale or a run."""
    code = (
        "import sys, importlib, pkgutil, drill.theory as room\n"
        "for found in pkgutil.iter_modules(room.__path__):\n"
        "    importlib.import_module('drill.theory.' + found.name)\n"
        "from drill.theory.scales import parse_key, scale_of\n"
        "print(*scale_of(parse_key('Eb harmonic minor')).up)\n"
        "print('music21' in sys.modules)"
    )
    assert printed_by(code).splitlines() == ["Eb F Gb Ab Bb Cb D", "False"]
