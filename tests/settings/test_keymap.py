"""What keys are called, and which remappings can stand together."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.settings.keymap import KnownAction, key_name, typing
from drill.settings.load import check_text
from drill.terms import LETTERS, Key, Name
from drill.theory.names import movable
from drill.theory.spelling import parse_name

ACTIONS = (
    KnownAction("mute", ("f2",), ("stand",)),
    KnownAction("hear", ("f3", "ctrl+e"), ("stand",)),
    KnownAction("type", ("a", "b", "number_sign"), ("stand",), fixed=True),
    KnownAction("open", ("o", "f2"), ("map",)),
    KnownAction("help", ("f1", "?")),
    KnownAction("back", ("escape",), ("stand",)),
    KnownAction("end", ("escape", "ctrl+c"), ("stand",)),
)


@pytest.mark.parametrize("character", [*string.punctuation, *string.ascii_letters, "7", "é", "♯"])
def test_a_character_s_key_has_the_name_that_the_screens_give_it(character: str) -> None:
    """Checked against the function by which the terminal library names keys."""
    from textual.keys import _character_to_key

    assert key_name(character) == _character_to_key(character)


def test_the_named_keys_are_the_terminal_library_s() -> None:
    from textual.keys import Keys

    ours = ["escape", "tab", "space", "enter", "backspace", "delete", "insert", "up", "down"]
    ours += ["left", "right", "home", "end", "pageup", "pagedown", *(f"f{n}" for n in range(1, 25))]
    known = {key.value for key in Keys}
    for name in ours:
        assert key_name(name) == name
        assert name in known


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("esc", "escape"),
        ("Return", "enter"),
        ("PgUp", "pageup"),
        ("Control+E", "ctrl+e"),
        ("shift+ctrl+left", "ctrl+shift+left"),
        ("ctrl+?", "ctrl+question_mark"),
        ("ctrl++", "ctrl+plus"),
        ("+", "plus"),
        (" ", "space"),
        ("shift+m", "M"),
        ("shift+tab", "shift+tab"),
        # one byte on the wire (ECMA-48, ASCII control characters)
        ("ctrl+i", "tab"),
        ("ctrl+m", "enter"),
        ("ctrl+[", "escape"),
        ("", None),
        ("mm", None),
        ("ctrl+", None),
        ("ctrl", None),
        ("wrong+m", None),
        ("f25", None),
        ("\x1b", None),
        ("\u202e", None),
        ("\u2003", None),
        ("\ud800", None),
        ("m,f2", None),
    ],
)
def test_other_ways_to_say_a_key(text: str, name: str | None) -> None:
    assert key_name(text) == name


@given(st.text(max_size=12) | st.sampled_from(["ctrl+m", "shift+é", "alt+ß", "shift+ŉ", "++"]))
def test_naming_never_fails_and_ascii_names_are_stable(text: str) -> None:
    name = key_name(text)
    if name is not None and text.isascii():
        assert key_name(name) == name


def judged(*lines: str) -> tuple[dict[str, tuple[str, ...]], list[tuple[int, str]]]:
    settings, faults = check_text("[keys]\n" + "\n".join(lines) + "\n", "k.toml", ACTIONS)
    granted = {remap.action: remap.keys for remap in settings.keys}
    return granted, [(fault.line, fault.message) for fault in faults]


def test_a_key_of_another_action_on_the_same_screen_is_refused() -> None:
    assert judged('mute = "f3"') == ({}, [(2, "mute: the key f3 belongs to hear")])


def test_a_key_that_works_everywhere_is_taken_everywhere() -> None:
    assert judged('open = "?"') == ({}, [(2, "open: the key question_mark belongs to help")])
    granted, faults = judged('help = "o"')
    assert (granted, faults) == ({}, [(2, "help: the key o belongs to open")])


def test_a_key_of_another_screen_is_free() -> None:
    assert judged('open = "f3"') == ({"open": ("f3",)}, [])


def test_keys_that_type_notes_are_not_for_commands() -> None:
    assert judged('mute = "#"') == ({}, [(2, "mute: the key number_sign belongs to type")])


def test_letters_of_note_names_are_not_for_commands_where_notes_are_typed() -> None:
    typed = typing("stand")
    assert set("abcdefghABCDEFGH") <= set(typed.keys)
    assert {"number_sign", "space", "backspace", "é", "ó"} <= set(typed.keys)
    assert {"z", "Z", "full_stop", "enter", "tab", "up"}.isdisjoint(typed.keys)
    for tonic in ("C", "F#", "Eb"):  # movable do is typed too
        key = Key(parse_name(tonic), "major")
        names = [Name(letter, alter) for letter in LETTERS for alter in range(-2, 3)]
        syllables = {sign for name in names for sign in movable(name, key)}
        assert {key_name(sign) for sign in syllables} <= set(typed.keys)
    mine = (
        KnownAction("mute", ("z",), ("stand", "today")),
        KnownAction("map", ("m",), ("today",)),
        typed,
    )
    settings, faults = check_text('[keys]\nmute = "a"\nmap = "a"\n', "k.toml", mine)
    assert [remap.action for remap in settings.keys] == ["map"]
    assert [str(fault) for fault in faults] == [
        "k.toml:2:8: mute: the key a belongs to typing notes (take another key)",
    ]


def test_the_program_s_own_table_has_no_quarrel_with_itself() -> None:
    """Built as the command line builds it from the table of the screens."""
    from drill.tui.actions import ACTIONS as OURS

    known = [KnownAction(a.id, a.keys, tuple(place.called for place in a.places)) for a in OURS]
    table = "\n".join(f'"{a.id}" = {list(a.keys)}' for a in OURS)
    settings, faults = check_text(f"[keys]\n{table}\n", "k.toml", [*known, typing("Stand")])
    assert faults == ()
    assert {remap.action: remap.keys for remap in settings.keys} == {a.id: a.keys for a in OURS}


def test_of_two_wishes_for_one_key_the_later_is_refused() -> None:
    assert judged('mute = "f9"', 'hear = "f9"') == (
        {"mute": ("f9",)},
        [(3, "hear: the key f9 belongs to mute")],
    )
    assert judged('hear = "f9"', 'mute = "f9"') == (
        {"hear": ("f9",)},
        [(3, "mute: the key f9 belongs to hear")],
    )


def test_keys_may_change_places() -> None:
    assert judged('mute = "f3"', 'hear = "f2"') == ({"mute": ("f3",), "hear": ("f2",)}, [])


def test_who_keeps_his_own_key_is_not_at_fault() -> None:
    granted, faults = judged('mute = "f3"', 'hear = ["f3", "f8"]')
    assert granted == {"hear": ("f3", "f8")}
    assert faults == [(2, "mute: the key f3 belongs to hear")]


def test_a_refused_change_of_places_refuses_the_other_half() -> None:
    granted, faults = judged('mute = "f3"', 'hear = ["f2", "f1"]')
    assert granted == {}
    assert faults == [
        (2, "mute: the key f3 belongs to hear"),
        (3, "hear: the key f1 belongs to help"),
    ]


def test_a_clash_that_the_program_comes_with_is_not_the_player_s() -> None:
    assert judged('back = ["escape", "f7"]') == ({"back": ("escape", "f7")}, [])


def test_one_key_said_twice_is_one_key() -> None:
    assert judged('mute = ["f7", "F7"]') == ({"mute": ("f7",)}, [])


def test_without_the_table_of_actions_every_id_is_kept() -> None:
    settings, faults = check_text('[keys]\nanything = "f3"\nother = "f3"\n')
    assert faults == ()
    assert [remap.action for remap in settings.keys] == ["anything", "other"]


KEYS = st.sampled_from(["f1", "f2", "f3", "f4", "f5", "a", "o", "escape", "ctrl+c"])
IDS = st.sampled_from([action.id for action in ACTIONS if not action.fixed])


@given(st.dictionaries(IDS, st.lists(KEYS, min_size=1, max_size=3, unique=True), max_size=6))
def test_what_is_granted_never_clashes_anew(wishes: dict[str, list[str]]) -> None:
    """Counted apart: after remapping no two actions of a screen share a key, but those that
    the program itself lets share it; and every wish is granted or named."""
    granted, faults = judged(*(f"{action} = {keys}" for action, keys in wishes.items()))
    assert set(granted) | {message.split(":")[0] for _, message in faults} == set(wishes)
    assert len(granted) + len(faults) == len(wishes)
    own = {each.id: {key_name(key) for key in each.keys} for each in ACTIONS}
    for one in ACTIONS:
        for two in ACTIONS:
            if one.id >= two.id or (
                one.where and two.where and set(one.where) & set(two.where) == set()
            ):
                continue
            keys_one = set(granted.get(one.id, own[one.id]))
            keys_two = set(granted.get(two.id, own[two.id]))
            assert keys_one & keys_two <= own[one.id] & own[two.id]
