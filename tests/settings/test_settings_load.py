"""Which settings are in force, and what is said of those that cannot be."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from pathlib import Path

import pytest

from drill.errors import Fault, UsageError
from drill.memory.kinds import Kind
from drill.places import Places, places
from drill.settings.catalogue import FIELDS, Field, Shape, value_of
from drill.settings.keymap import KnownAction
from drill.settings.load import PROJECT_FILE, Layer, Loaded, check_text, load
from drill.settings.reading import plain
from drill.settings.values import Motion, Overrides, Settings, Theme
from drill.sound.device import VARIABLE, forced
from drill.sound.limits import Backend
from drill.theory.language import Language
from drill.tui.desk_settings import known_actions

ACTIONS = (
    KnownAction("stand.mute", ("f2",), ("stand",)),
    KnownAction("stand.hear", ("f3",), ("stand",)),
    KnownAction("stand.type", ("a", "b"), ("stand",), fixed=True),
    KnownAction("map.open", ("o", "f2"), ("map",)),
    KnownAction("help", ("f1", "?")),
)

SAMPLES: dict[str, tuple[str, str, str, str]] = {
    "names": ("german", "dutch", "solfege", "italian"),
    "glyphs": ("ascii", "unicode", "ascii", "unicode"),
    "theme": ("light", "terminal", "high-contrast", "light"),
    "color": ("never", "always", "never", "always"),
    "words": ("on", "off", "on", "on"),
    "motion": ("reduced", "full", "reduced", "reduced"),
    "hold": ("on", "off", "on", "on"),
    "sound": ("off", "on", "off", "off"),
    "room": ("off", "on", "off", "off"),
    "volume": ("0.1", "0.2", "0.3", "0.4"),
    "a4": ("441", "442", "443", "444"),
    "backend": ("silent", "miniaudio", "simpleaudio", "silent"),
    "in_time": ("off", "on", "off", "off"),
    "horn": ("alto_sax", "trumpet", "horn_f", "tuba"),
    "student": ("Alto One", "Alto Two", "Alto Three", "Alto Four"),
    "practice.prompts": ("10", "20", "30", "0"),
    "practice.minutes": ("1", "2.5", "0", "3"),
    "practice.new_keys": ("1", "2", "0", "3"),
    "practice.new_cells": ("4", "8", "0", "12"),
    "practice.again": ("off", "on", "off", "on"),
    "practice.missed_again": ("off", "on", "off", "on"),
    "practice.kinds": ("next", "degree run", "ear", "time, ear"),
}
"""Texts for the flag, the environment, the project's file and the player's; neighbours differ."""


@pytest.fixture
def house(tmp_path: Path) -> Places:
    """Places in a folder of the test; none of them is there yet."""
    return places({"DRILL_HOME": str(tmp_path / "home")})


def put(path: Path, text: str | bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def toml(own: Field, text: str) -> str:
    """A file that gives this one setting."""
    raw = plain(own, text)
    if isinstance(raw, bool):
        said = str(raw).lower()
    elif isinstance(raw, str):
        said = f'"{raw}"'
    elif isinstance(raw, list):
        said = str(raw).replace("'", '"')
    else:
        said = str(raw)
    head = f"[{own.table}]\n" if own.table else ""
    return f"{head}{own.key} = {said}\n"


def said(faults: tuple[Fault, ...]) -> list[str]:
    return [str(fault) for fault in faults]


def test_nothing_said_is_as_the_program_comes(house: Places, tmp_path: Path) -> None:
    loaded = load(house, {}, {}, tmp_path)
    assert (loaded.settings, loaded.faults) == (Settings(), ())
    assert {origin.level for origin in loaded.origins.values()} == {Layer.DEFAULT}
    assert set(loaded.origins) == {own.name for own in FIELDS}
    assert not house.config.exists()  # reading makes nothing


@pytest.mark.parametrize("own", FIELDS, ids=lambda own: own.name)
def test_the_first_that_speaks_wins(own: Field, house: Places, tmp_path: Path) -> None:
    """Command line, then environment, then the folder's file, then the player's (common
    practice of command-line programs)."""
    flag, variable, project, user = SAMPLES[own.name]
    put(tmp_path / PROJECT_FILE, toml(own, project))
    put(house.settings, toml(own, user))
    line = 2 if own.table else 1
    column = len(own.key) + 4
    sources: list[tuple[Layer, str, dict[str, str], dict[str, str | None], Path | None]] = [
        (Layer.FLAG, flag, {own.environment: variable}, {own.name: flag}, tmp_path),
        (Layer.ENVIRONMENT, variable, {own.environment: variable}, {own.name: None}, tmp_path),
        (Layer.PROJECT, project, {own.environment: " "}, {}, tmp_path),
        (Layer.USER, user, {}, {}, None),
    ]
    places_of = {
        Layer.FLAG: "",
        Layer.ENVIRONMENT: own.environment,
        Layer.PROJECT: f"{tmp_path / PROJECT_FILE}:{line}:{column}",
        Layer.USER: f"{house.settings}:{line}:{column}",
    }
    for level, text, environment, flags, folder in sources:
        loaded = load(house, environment, flags, folder)
        assert loaded.faults == ()
        expected = load(house, {}, {own.name: text}, None).settings
        assert value_of(loaded.settings, own) == value_of(expected, own)
        origin = loaded.origins[own.name]
        assert (origin.level, origin.place) == (level, places_of[level])


def test_each_setting_on_its_own_line() -> None:
    settings, faults = check_text(
        'names = "german"\ntheme = "high-contrast"\nmotion = "reduced"\nhold = true\n'
        "sound = false\n"
        'volume = 1\na4 = 442.5\nbackend = "silent"\nstudent = " Ana María "\nin_time = false\n'
        '[practice]\nprompts = 0\nminutes = "deck"\nagain = false\nkinds = ["ear", "next"]\n'
        '[keys]\nstand.mute = "M"\n"stand.hear" = ["ctrl+e", "f9"]\n',
        known=ACTIONS,
    )
    assert faults == ()
    assert (settings.names, settings.theme, settings.motion) == (
        Language.GERMAN,
        Theme.HIGH_CONTRAST,
        Motion.REDUCED,
    )
    assert (settings.hold, settings.sound, settings.volume, settings.a4) == (
        True,
        False,
        1.0,
        442.5,
    )
    assert (settings.backend, settings.student, settings.in_time) == (
        Backend.SILENT,
        "Ana María",
        False,
    )
    assert settings.practice == Overrides(prompts=0, again=False, kinds=(Kind.EAR, Kind.NEXT))
    assert [(remap.action, remap.keys) for remap in settings.keys] == [
        ("stand.hear", ("ctrl+e", "f9")),
        ("stand.mute", ("M",)),
    ]


MISTAKES = [
    ('names = "klingon"', 1, 9, "names: expected", ""),
    ('names = "germen"', 1, 9, 'found "germen"', "did you mean german?"),
    ("names = german", 1, 9, "text needs quotes: german", 'such as names = "german"'),
    ("\nnames = 3", 2, 9, "names: expected", ""),
    ('theme = "Dark"', 1, 9, 'theme: expected "dark"', "did you mean dark?"),
    ('sound = "off"', 1, 9, "expected true or false, found text", "write false, without quotes"),
    ("sound = on", 1, 9, '"on" is not a value', "write true or false"),
    ("sound = 1", 1, 9, "sound: expected true or false, found a whole number", ""),
    ("volume = 50", 1, 10, "volume: expected a volume, 0 to 1, found 50", "50 percent is 0.5"),
    ("volume = -0.1", 1, 10, "expected a volume, 0 to 1, found -0.1", ""),
    ("volume = nan", 1, 10, "expected a volume, 0 to 1, found nan", ""),
    ("volume = true", 1, 10, "expected a volume, 0 to 1, found true or false", ""),
    ("a4 = 429", 1, 6, "a4: expected hertz, 430 to 450, found 429", ""),
    ("a4 = 450.5", 1, 6, "found 450.5", ""),
    ("a4 = inf", 1, 6, "found inf", ""),
    ('a4 = "440"', 1, 6, "expected hertz, 430 to 450, found text", ""),
    ("a4 = 1" + "0" * 400, 1, 6, "expected hertz, 430 to 450, found a whole number", ""),
    ("hold = 61", 1, 8, "hold: expected true or false, found ", ""),
    ('backend = "silence"', 1, 11, 'found "silence"', "did you mean silent?"),
    ('student = "\\u001b[31mRed"', 1, 11, "found the control character U+001B", ""),
    (f'student = "{"a" * 61}"', 1, 11, "at most 60 characters, found 61", ""),
    ("student = 7", 1, 11, "student: expected text, found a whole number", "in quotes"),
    ('language = "german"', 1, 1, 'no key "language"', "did you mean names?"),
    ("# c\n\nvolumn = 0.5", 3, 1, 'no key "volumn"', "did you mean volume?"),
    ("prompts = 5", 1, 1, 'no key "prompts"', "it belongs under [practice]"),
    ("practice = 5", 1, 12, "practice: expected a table", "such as [practice]"),
    (
        "[practice]\nprompts = 100001",
        2,
        11,
        "prompts: expected prompts, 0 to 100000, found 100001",
        "",
    ),
    ("[practice]\nminutes = 601", 2, 11, "expected minutes, 0 to 600, found 601", ""),
    ('[practice]\nagain = "no"', 2, 9, "expected true or false", "write false, without quotes"),
    ("[practice]\nkinds = []", 2, 9, "nothing is allowed: the list is empty", "leave kinds out"),
    ('[practice]\nkinds = ["next", "eer"]', 2, 18, 'found "eer"', "did you mean ear"),
    ('[practice]\nkinds = ["ear", "ear"]', 2, 17, '"ear" stands here twice', ""),
    ('[practice]\nkinds = "ear"', 2, 9, "kinds: expected a list", 'kinds = ["next"]'),
    ('[practice]\nask = ["ear"]', 2, 1, 'no key "ask"', "kinds"),
    ("keys = 3", 1, 8, "keys: expected a table", "such as [keys]"),
    ('[keys]\nstand.mut = "m"', 2, 7, 'no action "stand.mut"', "did you mean stand.mute"),
    ('[keys]\n"stand.mute" = "mm"', 2, 16, '"mm" is not a key', 'such as "m"'),
    ('[keys]\n"stand.mute" = "escap"', 2, 16, '"escap" is not a key', "did you mean escape"),
    ("[keys]\n[keys.stand]\nmute = 5", 3, 8, "stand.mute: expected a key", 'such as "m"'),
    ('[keys]\nhelp = ["f4", 5]', 2, 15, "help: a whole number is not a key", 'such as "m"'),
    ("[keys]\nhelp = []", 2, 8, "help: expected 1 to 8 keys, found 0", "leave it out"),
    ('[keys]\n"stand.type" = "x"', 2, 1, "keys of stand.type cannot be changed", ""),
    ('[keys]\n"\\u001b[2J" = "x"', 2, 1, "cannot be an action", "plain text"),
    ('[keys]\nstand.mute = "m"\n"stand.mute" = "n"', 3, 1, '"stand.mute" is given twice', "keep"),
    ('names = "german"\nnames = "dutch"', 2, 1, '"names" is given twice', "line 1"),
    ("names = [", 1, 9, "the list that begins here is never closed", "put ] at its end"),
    ('student = "a', 1, 11, "the text that begins here is never closed", ""),
    ("names german", 1, 7, "expected = after the key", 'such as names = "german"'),
    ("= 3", 1, 1, "expected a key", ""),
]


@pytest.mark.parametrize(("text", "line", "column", "message", "hint"), MISTAKES)
def test_a_mistake_is_named_with_its_place(
    text: str, line: int, column: int, message: str, hint: str
) -> None:
    settings, faults = check_text(text + "\n", "mine.toml", ACTIONS)
    assert len(faults) == 1, said(faults)
    fault = faults[0]
    assert (fault.file, fault.line, fault.column) == ("mine.toml", line, column), str(fault)
    assert message in fault.message
    assert hint in fault.hint
    assert "title" not in fault.hint  # no example from a deck
    if "is given twice" not in fault.message:
        assert settings == Settings()  # what is wrong is passed over


def test_every_mistake_is_named_at_once_and_the_rest_counts(house: Places) -> None:
    put(
        house.settings,
        'names = "german"\nvolume = 7\n\n[practice]\nprompts = "many"\nminutes = 5\n'
        '[keys]\nnonsense = "x"\n',
    )
    loaded = load(house, {}, known=ACTIONS)
    lines = [(fault.line, fault.column) for fault in loaded.faults]
    assert lines == [(2, 10), (5, 11), (8, 1)]
    assert loaded.settings == Settings(names=Language.GERMAN, practice=Overrides(minutes=5))
    assert loaded.origins["volume"].level is Layer.DEFAULT


def test_a_bad_value_leaves_the_word_to_the_next(house: Places, tmp_path: Path) -> None:
    put(tmp_path / PROJECT_FILE, "a4 = 500\n")
    put(house.settings, "a4 = 442\n")
    loaded = load(house, {"DRILL_A4": "low"}, {}, tmp_path)
    assert loaded.settings.a4 == 442.0
    assert loaded.origins["a4"].level is Layer.USER
    assert said(loaded.faults) == [
        'DRILL_A4: a4: expected hertz, 430 to 450, found "low"',
        f"{tmp_path / PROJECT_FILE}:1:6: a4: expected hertz, 430 to 450, found 500",
    ]


# -- files that are no text


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"\xff\xfen\x00", "this is UTF-16 text"),
        (b'names = "german"\nstudent = "Jos\xe9"\n', "byte 0xE9 is not UTF-8 text"),
        (b"# " + b"x" * 70_000, "larger than a file of settings may be (16 KiB)"),
        (b"\x00\x01\x02", "the control character U+0000 cannot stand here"),
        (b"a = " + b"[" * 5000, "nested more than 16 deep"),
        (b"a = 1" + b"0" * 5000, "this number is too long to read"),
    ],
)
def test_a_corrupt_file_is_named_and_the_program_runs(
    house: Places, data: bytes, message: str
) -> None:
    path = put(house.settings, data)
    loaded = load(house, {})
    assert loaded.settings == Settings()
    assert [fault.message for fault in loaded.faults] == [message]
    assert loaded.faults[0].file == str(path)
    assert path.read_bytes() == data


def test_the_place_of_a_byte_that_is_no_utf8(house: Places) -> None:
    put(house.settings, b'\xef\xbb\xbfnames = "dutch"\r\nstudent = "\xc3\xa9\xe9"\r\n')
    (fault,) = load(house, {}).faults
    assert (fault.line, fault.column) == (2, 13)


def test_a_byte_order_mark_and_windows_lines_are_fine(house: Places) -> None:
    put(house.settings, b'\xef\xbb\xbfnames = "german"\r\n\r\n[practice]\r\nprompts = 7\r\n')
    loaded = load(house, {})
    assert loaded.faults == ()
    assert (loaded.settings.names, loaded.settings.practice.prompts) == (Language.GERMAN, 7)
    assert loaded.origins["practice.prompts"].place == f"{house.settings}:4:11"


def test_a_folder_a_pipe_and_a_dead_link_are_no_files(house: Places) -> None:
    house.settings.mkdir(parents=True)
    assert [f.message for f in load(house, {}).faults] == [
        "this is a folder, not a file of settings"
    ]
    house.settings.rmdir()
    os.mkfifo(house.settings)  # opening it would wait for ever
    assert [f.message for f in load(house, {}).faults] == ["this is not an ordinary file"]
    house.settings.unlink()
    house.settings.symlink_to("nowhere.toml")
    assert [f.message for f in load(house, {}).faults] == ["this link leads nowhere"]
    house.settings.unlink()
    house.settings.symlink_to(house.settings)
    assert "cannot be read: " in load(house, {}).faults[0].message


def test_a_file_in_place_of_the_folder(house: Places) -> None:
    put(house.config, "not a folder")
    (fault,) = load(house, {}).faults
    assert fault.message == "cannot be read: not a directory"


def test_a_name_with_escapes_is_shown_harmless(tmp_path: Path) -> None:
    strange = places({"DRILL_HOME": str(tmp_path / "a\x1b[2Jb")})
    put(strange.settings, "volume = 3\nnames = 'dutch'\n")
    loaded = load(strange, {})
    assert "\x1b" not in str(loaded.faults[0]) + str(loaded.origins["names"])
    assert "\\x1b[2Jb" in str(loaded.faults[0])


# -- environment and flags


@pytest.mark.parametrize(
    ("variable", "text", "fault"),
    [
        ("DRILL_NAMES", "germn", "did you mean german?"),
        ("DRILL_VOLUME", "loud", 'volume: expected a volume, 0 to 1, found "loud"'),
        ("DRILL_VOLUME", "1e309", "expected a volume"),
        ("DRILL_VOLUME", "٠", "expected a volume"),  # digits of another script are no digits here
        ("DRILL_WORDS", "maybe", 'words: expected true or false, found "maybe"'),
        ("DRILL_PRACTICE_AGAIN", "dek", "did you mean deck?"),
        ("DRILL_PRACTICE_PROMPTS", "-1", "expected prompts, 0 to 100000, found -1"),
        ("DRILL_PRACTICE_PROMPTS", "4.5", "expected prompts, 0 to 100000; or deck"),
        ("DRILL_PRACTICE_KINDS", ",", "the list is empty"),
        ("DRILL_STUDENT", "a\x1b[0m", "control character U+001B"),
        ("DRILL_SOUND", "loud", "on and off are understood too"),
        ("DRILL_NAME", "german", "this variable sets nothing (did you mean DRILL_NAMES?)"),
    ],
)
def test_a_variable_that_cannot_be_understood(
    house: Places, variable: str, text: str, fault: str
) -> None:
    loaded = load(house, {variable: text})
    assert loaded.settings == Settings()
    assert len(loaded.faults) == 1
    assert str(loaded.faults[0]).startswith(f"{variable}: ")
    assert fault in str(loaded.faults[0])


def test_other_variables_are_left_alone(house: Places) -> None:
    environment = {"DRILL_HOME": "/x", "DRILL_QQQQ": "1", "NAMES": "german", "DRILL_A4": ""}
    assert load(house, environment).faults == ()


@pytest.mark.parametrize(
    ("text", "sound", "backend"),
    [
        ("off", False, Backend.AUTO),
        ("ON", True, Backend.AUTO),
        ("auto", True, Backend.AUTO),
        ("silent", True, Backend.SILENT),
        ("miniaudio", True, Backend.MINIAUDIO),
    ],
)
def test_one_variable_for_sound(house: Places, text: str, sound: bool, backend: Backend) -> None:
    settings = load(house, {"DRILL_SOUND": text}).settings
    assert (settings.sound, settings.backend) == (sound, backend)


@pytest.mark.parametrize("choice", Backend)
def test_the_sound_room_understands_every_choice(choice: Backend) -> None:
    assert forced({VARIABLE: choice.value}) is choice


def test_a_flag_that_cannot_be_understood_is_a_usage_error(house: Places) -> None:
    with pytest.raises(UsageError, match=r"^names: expected .*found \"x\"$"):
        load(house, {}, {"names": "x"})


# -- where the files are


def test_the_player_s_file_is_where_the_system_keeps_settings(
    own_home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """XDG Base Directory Specification 0.8: settings under XDG_CONFIG_HOME."""
    if os.name != "posix" or os.uname().sysname != "Linux":
        pytest.skip("the specification is Linux's")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(own_home / "a b é"))
    found = places({})
    assert found.settings == own_home / "a b é" / "drill" / "settings.toml"
    put(found.settings, 'names = "dutch"\n')
    assert load(found, {}).settings.names is Language.DUTCH


# -- remapped keys, file against file


def remapped(loaded: Loaded) -> Mapping[str, tuple[str, ...]]:
    return {remap.action: remap.keys for remap in loaded.settings.keys}


def test_keys_of_two_files_join_and_the_project_s_count_first(
    house: Places, tmp_path: Path
) -> None:
    put(tmp_path / PROJECT_FILE, '[keys]\nhelp = "f5"\n')
    put(house.settings, '[keys]\nhelp = "f6"\nstand.mute = "f7"\n')
    loaded = load(house, {}, {}, tmp_path, ACTIONS)
    assert loaded.faults == ()
    assert remapped(loaded) == {"help": ("f5",), "stand.mute": ("f7",)}
    assert loaded.origins["keys.help"].level is Layer.PROJECT
    assert str(loaded.origins["keys.stand.mute"]) == f"user file {house.settings}:3:14"


def test_a_clash_across_files_blames_the_player_s(house: Places, tmp_path: Path) -> None:
    put(tmp_path / PROJECT_FILE, '[keys]\nstand.hear = "f7"\n')
    put(house.settings, '[keys]\nstand.mute = "f7"\n')
    loaded = load(house, {}, {}, tmp_path, ACTIONS)
    assert remapped(loaded) == {"stand.hear": ("f7",)}
    fault = "stand.mute: the key f7 belongs to stand.hear (give stand.hear another key too)"
    assert said(loaded.faults) == [f"{house.settings}:2:14: {fault}"]


def test_a_refused_wish_gives_way_to_the_player_s_own(house: Places, tmp_path: Path) -> None:
    put(tmp_path / PROJECT_FILE, '[keys]\nstand.mute = "f1"\n')
    put(house.settings, '[keys]\nstand.mute = "f7"\n')
    loaded = load(house, {}, {}, tmp_path, ACTIONS)
    assert remapped(loaded) == {"stand.mute": ("f7",)}
    assert len(loaded.faults) == 1


def test_the_samples_cover_every_setting_and_shape() -> None:
    assert set(SAMPLES) == {own.name for own in FIELDS}
    assert {own.shape for own in FIELDS} == set(Shape)


def test_a_horn_of_the_player_s_own_making(house: Places, tmp_path: Path) -> None:
    put(house.settings, '[horn]\nname = "Bugle in G"\nclef = "treble"\nsounds = "P4 down"\n'
        'low = "C4"\nhigh = "C6"\n')  # fmt: skip
    horn = load(house, {}, {}, tmp_path).settings.horn
    assert (horn.id, horn.steps, horn.semitones, str(horn.first)) == ("bugle_in_g", -3, -5, "C4")


def test_a_horn_that_is_none_is_told_with_the_usual_one(house: Places, tmp_path: Path) -> None:
    put(house.settings, 'horn = "trumpett"\n')
    loaded = load(house, {}, {}, tmp_path)
    assert loaded.settings.horn == Settings().horn
    assert said(loaded.faults) == [
        (
            f"{house.settings}:1:8: horn: expected an instrument such as alto_sax, or none, found "
            '"trumpett" (did you mean trumpet_bb?)'
        )
    ]


@pytest.mark.parametrize(("text", "found"), [("1.5", True), ("0", False), ("true", True)])
def test_a_hold_of_version_0_1_0_in_seconds_is_a_yes_or_no(
    house: Places, text: str, found: bool
) -> None:
    put(house.settings, f"hold = {text}\n")
    loaded = load(house, {}, {}, None)
    assert not loaded.faults
    assert loaded.settings.hold is found


@pytest.mark.parametrize("minutes", ["20", "5", "2.5"])
def test_minutes_may_be_a_part_of_one(house: Places, minutes: str) -> None:
    loaded = load(house, {}, {"practice.minutes": minutes}, None)
    assert not loaded.faults
    assert loaded.settings.practice.minutes == float(minutes)


def test_a_name_that_no_file_can_have(tmp_path: Path) -> None:
    (fault,) = load(places({"DRILL_HOME": str(tmp_path / "a\0b")}), {}).faults
    assert fault.message.startswith("cannot be read: embedded null")


def test_the_example_of_a_key_names_an_action_that_there_is() -> None:
    _, faults = check_text("keys = 1\n", known=known_actions)
    said = re.search(r"\[keys\] with (\w+) = ", faults[0].hint)
    assert said is not None
    assert said[1] in {action.id for action in known_actions()}
