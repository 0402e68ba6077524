"""Syntax faults of deck files: message, hint and place, on every Python we run on."""

from __future__ import annotations

import pytest

from drill.decks.load import loads
from drill.decks.syntax import parse
from drill.errors import ExitCode, FaultsError

GIVEN_TWICE = "(the first is in line 1; keep one)"

CASES = [
    ('title = "x', '1:9: the text that begins here is never closed (put a second " at its end)'),
    ("a = '''x", "1:5: the text that begins here is never closed (put a second ''' at its end)"),
    (
        'a = 1\nkeys = ["C", "G"',
        "2:8: the list that begins here is never closed (put ] at its end)",
    ),
    ("a = {x = 1", "1:5: the table that begins here is never closed (put } at its end)"),
    ('keys = ["C" "G"]', "1:13: expected , or ] in this list (a comma between the values)"),
    ('keys = [\n"C"\nspan = 1', "3:1: expected , or ] in this list (it begins in line 1)"),
    ("keys = [C, G]", '1:9: text needs quotes: C (such as ["C", "G"])'),
    ("again = True", '1:9: "True" is not a value (write true)'),
    ("again = yes", '1:9: "yes" is not a value (write true or false)'),
    ("tempo =", '1:8: expected a value here (such as "text", 90, true or ["C", "G"])'),
    ("tempo = \nspan = 1", '1:9: expected a value here (such as "text", 90, true or ["C", "G"])'),
    ("due = 2026-13-40", "1:11: there is no such date (year, month, day: 2030-06-14)"),
    ("due = 2030-02-29", "1:7: there is no such date (year, month, day: 2030-06-14)"),
    ("tempo = 60 bpm", "1:12: expected the end of the line here (numbers without a unit)"),
    ('title "x"', '1:7: expected = after the key (such as title = "Thirds")'),
    ("[goal\nright = 1.0", "1:6: expected ] after the table's name (such as [goal])"),
    ('[[pattern]\nid = "thirds"', "1:10: expected ]] after the table's name (such as [[pattern]])"),
    ("a = 1\na = 2", f'2:1: "a" is given twice {GIVEN_TWICE}'),
    ("[goal]\n[goal]", f'2:2: "goal" is given twice {GIVEN_TWICE}'),
    ("a = {b = 1, b = 2}", f'1:13: "a.b" is given twice {GIVEN_TWICE}'),
    ("a = {b = 1}\na = {b = 2}", f'2:1: "a" is given twice {GIVEN_TWICE}'),
    ("a = [{b = 1}]\na = [{b = 2}]", f'2:1: "a" is given twice {GIVEN_TWICE}'),
    ("a = 1\na = {b = 1, b = 2}", '2:13: "a.b" is given twice (the first is in line 2; keep one)'),
    ("a = {b = 1}\na = {b = 2, c = x}", '2:17: text needs quotes: x (such as ["C", "G"])'),
    ("= 2", '1:1: expected a key or a table here (such as title = "Thirds" or [goal])'),
    ('a = "\\q"', "1:8: a backslash does not stand for itself here (double it)"),
    ('a = "x\x1by"', "1:7: the control character U+001B cannot stand here"),
    (
        "a = 1\rb = 2",
        (
            "1:6: the control character U+000D cannot stand here"
            " (save the file with the line ends of Linux or Windows)"
        ),
    ),
    ("a = " + "[" * 60, "1:21: nested more than 16 deep"),
    ("a." * 60 + "b = 1", "1:33: nested more than 16 deep"),
    ("a = " + "[\n" * 20 + "]\n" * 20, "17:1: nested more than 16 deep"),
    ("x = 1\na = " + "9" * 5000, "2:5: this number is too long to read"),
]


@pytest.mark.parametrize(("text", "said"), CASES)
def test_a_syntax_fault_is_said_in_plain_words_at_its_place(text: str, said: str) -> None:
    with pytest.raises(FaultsError) as caught:
        parse(text, "deck.toml")
    assert str(caught.value) == f"deck.toml:{said}"
    assert len(caught.value.faults) == 1
    assert caught.value.exit_code is ExitCode.BAD_DATA


@pytest.mark.parametrize(("text", "said"), CASES)
def test_windows_line_ends_do_not_move_the_place(text: str, said: str) -> None:
    with pytest.raises(FaultsError) as caught:
        parse(text.replace("\n", "\r\n"), "deck.toml")
    assert str(caught.value) == f"deck.toml:{said}"


def test_the_name_of_the_file_is_made_harmless() -> None:
    with pytest.raises(FaultsError) as caught:
        loads("=", "a\x1b[2J.toml")
    assert str(caught.value).startswith("a\\x1b[2J.toml:1:1: ")
