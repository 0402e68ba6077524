"""The grammar of typed cells: the published cases, every reason to refuse, and the round trip."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from theory_tables import table

from drill.terms import Digit, Mode, Shape, shape_text
from drill.theory.cells import LARGEST_DEGREE, MOST_NOTES, parse_cell
from drill.theory.faults import CellError

CASES = [
    (row["typed"], mode, row[column])
    for row in table("cell_grammar_cases")
    for mode, column in ((Mode.KEY, "key_mode"), (Mode.ROOT, "root_mode"))
]


@pytest.mark.parametrize(("typed", "mode", "expected"), CASES)
def test_the_published_cases(typed: str, mode: Mode, expected: str) -> None:
    """The cell as printed, or the reason and the sentence that says why it is refused."""
    if not expected.startswith("ERROR"):
        assert shape_text(parse_cell(typed, mode)) == expected
        return
    reason, _, sentence = expected.removeprefix("ERROR ").partition(": ")
    with pytest.raises(CellError) as caught:
        parse_cell(typed, mode)
    assert caught.value.reason == reason.lower()
    assert caught.value.text == sentence
    assert str(caught.value) == f"{reason.lower()}: {sentence}"


def test_the_cases_cover_both_modes() -> None:
    assert len(CASES) == 2 * 24


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        # Cases of the cell notation that the table leaves out.
        ("13", "ambiguous"), ("11", "ambiguous"), ("1310", "ambiguous"), ("1-0-1", "zero"),
        ("-7", "minus"), ("1.2.3.1", "dots"), ("3b", "order"), ("b3", "too short"),
        ("b3-5", "key mode"), ("1'''", "unreadable"), ("1-2-3-", "separator"),
        (",1-2", "separator"),
        ("1-2-3-4-5-6-7-8-9-8-7-6-5-4-3-2-1", "too long"), ("do re mi", "character"),
        ("1;2;3", "character"), ("1|2|3", "character"), ("1'.-2", "unreadable"),
        ("1-15'-1", "range"), ("", "empty"), ("   ", "empty"), ("1", "too short"),
        ("7.", "too short"), ("15", "ambiguous"), ("1-2#-3", "order"), ("lu1-1", "unreadable"),
        ("l1", "too short"), ("l12", "ambiguous"), ("l10", "ambiguous"),
    ],
)  # fmt: skip
def test_what_is_refused_and_why(typed: str, reason: str) -> None:
    with pytest.raises(CellError) as caught:
        parse_cell(typed)
    assert caught.value.reason == reason


def test_a_wrong_character_is_named_with_its_place() -> None:
    with pytest.raises(CellError, match="';' at position 2"):
        parse_cell("1;2;3")


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("1231", "1-2-3-1"), ("1--2-3-1", "1-2-3-1"), (" 1 ,2, 3 1 ", "1-2-3-1"),
        ("2l11", "2-l1-1"), ("217.1", "2-1-7.-1"), ("1 3 5 10", "1-3-5-10"), ("1-8", "1-8"),
        ("1-1'", "1-1'"), ("1’ 1", "1'-1"), ("1\t2\n3", "1-2-3"), ("u1l11", "u1-l1-1"),
        ("l121", "l1-2-1"), ("ll1l11", "ll1-l1-1"),
    ],
)  # fmt: skip
def test_what_is_read(typed: str, printed: str) -> None:
    assert shape_text(parse_cell(typed)) == printed


def _items(modifiers: list[str]) -> st.SearchStrategy[Digit]:
    items = st.builds(
        Digit,
        st.integers(1, LARGEST_DEGREE),
        st.integers(-2, 2),
        st.sampled_from(["", "l", "ll", "u", "uu", *modifiers]),
    )
    return items.filter(lambda item: abs(item.degree - 1 + 7 * item.octave) <= 14)


def _shapes(modifiers: list[str]) -> st.SearchStrategy[Shape]:
    return st.lists(_items(modifiers), min_size=2, max_size=MOST_NOTES).map(tuple)


@given(_shapes([]), st.sampled_from(["-", " ", ",", ", ", " - "]))
def test_print_then_parse_is_the_identity(shape: Shape, separator: str) -> None:
    assert parse_cell(shape_text(shape)) == shape
    assert parse_cell(separator.join(map(str, shape))) == shape


@given(_shapes(["b", "bb", "#", "##"]))
def test_print_then_parse_is_the_identity_in_root_mode(shape: Shape) -> None:
    assert parse_cell(shape_text(shape), Mode.ROOT) == shape


@given(st.lists(_items([]).filter(lambda item: item.degree < 10), min_size=3, max_size=16))
def test_a_cell_run_together_reads_as_with_hyphens_or_is_refused(items: list[Digit]) -> None:
    """Never a third reading: run together, a cell is the hyphened one or an error."""
    shape = tuple(items)
    try:
        assert parse_cell("".join(map(str, shape))) == shape
    except CellError as error:
        # Every note but the last has a dot: dots could be separators.
        assert error.reason == "dots"  # noqa: PT017
        assert all(item.octave < 0 for item in shape[:-1])


@given(st.text("0123456789b#lu'.,- x|♭", max_size=12), st.sampled_from(Mode))
def test_any_text_reads_or_is_refused_with_a_sentence(text: str, mode: Mode) -> None:
    try:
        shape = parse_cell(text, mode)
    except CellError as error:
        assert error.reason  # noqa: PT017
        assert error.text  # noqa: PT017
    else:
        assert 2 <= len(shape) <= MOST_NOTES
        assert parse_cell(shape_text(shape), mode) == shape


def test_a_note_counted_down_from_the_octave() -> None:
    """``7.'``: the notes 8 to 12 of longer scales; the grammar's own, no source."""
    (one, last) = parse_cell("1-7.'")
    assert (str(last), last.below, last.octave) == ("7.'", True, 1)
    assert parse_cell("17.'1") == (one, last, one)
    assert str(parse_cell("1-7.''")[1]) == "7.''"
    for wrong in ("1-8.'", "1-1.'", "1-7'.", "1-7..'"):
        with pytest.raises(CellError):
            parse_cell(wrong)
    with pytest.raises(CellError, match="count down"):
        parse_cell("1-7.'", Mode.ROOT)
