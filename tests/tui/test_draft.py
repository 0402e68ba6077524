"""Typing: which keys write, and what a kitty keyboard or a paste becomes."""

from __future__ import annotations

import pytest

from drill.marking.read import LONGEST as READ
from drill.terms import LETTERS, Name
from drill.theory.language import Language
from drill.theory.names import say_name, show_name
from drill.tui.draft import LONGEST, NOT_TYPED, Draft
from drill.tui.rereading import chosen, typed_ways
from drill.wording.slips import marker as marker_of


def test_a_draft_holds_what_the_marking_reads() -> None:
    assert LONGEST == READ


@pytest.mark.parametrize("language", sorted(set(Language) - {Language.MOVABLE}))
def test_no_name_of_any_language_has_a_character_that_is_a_key(language: Language) -> None:
    for letter in LETTERS:
        for alter in range(-2, 3):
            name = Name(letter, alter)
            written = show_name(name, language) + show_name(name, language, glyphs=True)
            assert not NOT_TYPED & set(written + say_name(name, language))


def test_letters_and_signs_are_typed_and_keys_are_not() -> None:
    draft = Draft()
    for key, character in [("F", "F"), ("number_sign", "#"), ("space", " "), ("b", "b")]:
        draft = draft.key(key, character) or draft
    assert (draft.text, draft.keystrokes) == ("F# b", 4)
    for key, character in [("z", "z"), ("question_mark", "?"), ("enter", "\r"), ("escape", "\x1b")]:
        assert draft.key(key, character) is None


@pytest.mark.parametrize(
    ("key", "text"), [("shift+number_sign", "#"), ("shift+b", "B"), ("space", " "), ("plus", "+")]
)
def test_keys_without_a_character_are_read_by_their_name(key: str, text: str) -> None:
    assert (Draft("F").key(key, None) or Draft()).text == f"F{text}"


def test_keys_that_take_away() -> None:
    draft = Draft("C D Eb ")
    assert draft.key("backspace", "\x7f").text == "C D Eb"  # type: ignore[union-attr]
    assert draft.key("ctrl+w", "\x17").text == "C D "  # type: ignore[union-attr]
    assert draft.key("ctrl+u", "\x15").text == ""  # type: ignore[union-attr]


def test_a_paste_is_one_line_without_control_characters() -> None:
    assert Draft("C ").paste("F# A\r\nB\x1b[31m").text == "C F# A B [31m"
    assert len(Draft().paste("C " * 5000).text) == LONGEST


def test_run_together_notes_are_offered_and_chosen() -> None:
    marker = marker_of()
    choices = typed_ways(marker.read("d ceb").choices, marker.language, None)
    assert set(choices) == {"C Eb", "C E B"}
    number = choices.index("C Eb") + 1
    assert chosen("d ceb g", number, choices) == "d C Eb g"
    assert chosen("d ce♭ g", number, choices) == "d C Eb g"
    assert chosen("d ceb g", 9, choices) is None
    assert chosen("d c eb g", number, choices) is None


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("FCF", "FC"),
        ("BbEbB", "BbEb"),
        ("c d#", "c "),
        ("c d# ", "c "),
        ("C Eb", "C "),
        ("fcf", ""),
        ("", ""),
        ("  ", ""),
    ],
)
def test_ctrl_w_takes_the_last_note(text: str, left: str) -> None:
    drafted = Draft(text).key("ctrl+w", None)
    assert drafted is not None
    assert drafted.text == left
