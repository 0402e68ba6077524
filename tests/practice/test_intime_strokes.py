"""Strokes become notes, and notes find their beats."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.practice.time.strokes import Gatherer, Stroke, Sung, laid
from drill.theory.language import Language

BEAT = 0.8


def gathered(
    *keys: tuple[str, float], language: Language = Language.ENGLISH, letters: bool = False
) -> list[tuple[str, float]]:
    gatherer = Gatherer(language, BEAT, letters)
    for text, at in keys:
        gatherer.take(Stroke(text, at))
    return [(note.text, note.at) for note in gatherer.notes]


@pytest.mark.parametrize(
    ("keys", "notes"),
    [
        ([("f", 0), ("#", 0.2), ("g", 0.8)], [("f#", 0), ("g", 0.8)]),
        ([("f", 0), ("x", 0.2)], [("fx", 0)]),
        ([("f", 0), ("#", 0.2), ("#", 0.3)], [("f##", 0)]),
        ([("F", 0), ("♯", 0.7), ("g", 0.8)], [("F♯", 0), ("g", 0.8)]),
        ([("a", 0), ("b", 0.2)], [("ab", 0)]),  # A flat: soon after its letter
        ([("a", 0), ("b", 0.79)], [("a", 0), ("b", 0.79)]),  # B: on the next beat
        ([("a", 0), ("B", 0.2)], [("a", 0), ("B", 0.2)]),  # a capital is always a note
        ([("b", 0), ("b", 0.15)], [("bb", 0)]),
        ([("b", 0), ("b", 0.15), ("b", 0.3)], [("bbb", 0)]),
        ([("b", 0), ("b", 0.15), ("b", 0.8)], [("bb", 0), ("b", 0.8)]),
        ([("f", 0), ("#", 0.1), ("b", 0.3)], [("f#", 0), ("b", 0.3)]),  # no flat after a sharp
        ([("a", 0), (" ", 0.1), ("b", 0.2)], [("a", 0), ("b", 0.2)]),
        ([("#", 0), ("1", 0.1), ("c", 0.2)], [("c", 0.2)]),  # a sign needs its letter
        ([("e", 0), ("♭", 0.75)], [("e♭", 0)]),
    ],
)
def test_accidentals_belong_to_their_letter_and_move_nothing(
    keys: list[tuple[str, float]], notes: list[tuple[str, float]]
) -> None:
    assert gathered(*keys) == notes


def test_letters_alone_take_every_letter_for_a_note() -> None:
    assert gathered(("a", 0), ("b", 0.1), letters=True) == [("a", 0), ("b", 0.1)]


@pytest.mark.parametrize(
    ("language", "keys", "notes"),
    [
        (Language.GERMAN, [("f", 0), ("i", 0.1), ("s", 0.2)], ["fis"]),
        (Language.GERMAN, [("e", 0), ("s", 0.1), ("h", 0.8)], ["es", "h"]),
        (Language.GERMAN, [("d", 0), ("e", 0.8)], ["d", "e"]),
        (Language.GERMAN, [("d", 0), ("e", 0.1), ("s", 0.2)], ["des"]),
        (Language.ENGLISH_SF, [("e", 0), ("f", 0.1), ("f", 0.8), ("s", 0.9)], ["ef", "fs"]),
        (
            Language.FRENCH,
            [("s", 0), ("o", 0.1), ("l", 0.2), ("#", 0.3), ("l", 0.8), ("a", 0.9)],
            ["sol#", "la"],
        ),
    ],
)
def test_other_languages(
    language: Language, keys: list[tuple[str, float]], notes: list[str]
) -> None:
    assert [text for text, _ in gathered(*keys, language=language)] == notes


def test_backspace_takes_a_sign_then_the_note() -> None:
    gatherer = Gatherer(Language.ENGLISH, BEAT)
    for text in "f#":
        gatherer.take(Stroke(text, 1.0))
    gatherer.take_back()
    assert list(gatherer.notes) == [Sung("f", 1.0)]
    gatherer.take_back()
    gatherer.take_back()
    assert not list(gatherer.notes)


def test_a_line_is_a_note_of_its_own() -> None:
    gatherer = Gatherer(Language.ENGLISH, BEAT)
    for text in ("a", "b", " B flat ", ""):
        gatherer.take_line(Stroke(text, 1.0))
    assert [note.text for note in gatherer.notes] == ["a", "b", "B flat"]


def names_laid(
    typed: str, wanted: str, off: float = 0.0
) -> tuple[tuple[int | None, ...], tuple[int, ...]]:
    """Notes a beat apart, ``_`` where none was typed, laid on the wanted names."""
    due = [BEAT * n for n in range(len(wanted))]
    notes = [Sung(name, BEAT * n + off) for n, name in enumerate(typed) if name != "_"]
    return laid(notes, due, BEAT, lambda i, j: notes[i].text == wanted[j])


@pytest.mark.parametrize(
    ("typed", "found", "extra"),
    [
        ("CDEC", (0, 1, 2, 3), ()),
        ("CDGC", (0, 1, 2, 3), ()),  # a wrong name has its beat
        ("CD_C", (0, 1, None, 2), ()),
        ("_DEC", (None, 0, 1, 2), ()),
        ("CDECF", (0, 1, 2, 3), (4,)),
        ("____", (None,) * 4, ()),
    ],
)
def test_notes_are_laid_on_their_beats(
    typed: str, found: tuple[int | None, ...], extra: tuple[int, ...]
) -> None:
    assert names_laid(typed, "CDEC") == (found, extra)


@pytest.mark.parametrize("off", [-0.9 * BEAT, 0.9 * BEAT, BEAT])
def test_names_count_for_more_than_time(off: float) -> None:
    assert names_laid("CDECDEFD", "CDECDEFD", off) == (tuple(range(8)), ())


@given(
    st.lists(st.floats(0, 20), max_size=12).map(sorted),
    st.integers(1, 12),
    st.randoms(use_true_random=False),
)
def test_every_note_is_laid_once_or_too_many(times: list[float], beats: int, rng: object) -> None:
    notes = [Sung("C", at) for at in times]
    table = [[rng.random() < 0.5 for _ in range(beats)] for _ in notes]  # type: ignore[attr-defined]
    due = [BEAT * n for n in range(beats)]
    found, extra = laid(notes, due, BEAT, lambda i, j: table[i][j])
    used = [i for i in found if i is not None]
    assert used == sorted(used)
    assert sorted([*used, *extra]) == list(range(len(notes)))
