"""Rows, the one table, and what the settings come to on a terminal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace

import pytest

from drill import cli
from drill.decks.schema import AskKind
from drill.errors import ExitCode, UsageError
from drill.memory.kinds import Kind
from drill.settings.at_hand import ascii_only, dumb, sound_environment
from drill.settings.catalogue import FIELDS, KEYS, PRACTICE, SOUND_VARIABLE, Shape
from drill.settings.describe import SettingRow, describe
from drill.settings.load import Layer, Origin
from drill.settings.reading import NOTHING, from_text, spelled, text_report
from drill.settings.values import A4, GlyphChoice, Overrides, Remap, Settings
from drill.sound.device import VARIABLE, forced
from drill.sound.limits import Backend
from drill.sound.take import Take


def test_the_table_has_every_field_of_the_settings() -> None:
    top = [own.key for own in FIELDS if not own.table]
    inner = [own.key for own in FIELDS if own.table]
    assert {own.table for own in FIELDS} == {"", PRACTICE}
    assert sorted(top) == sorted({f.name for f in fields(Settings)} - {PRACTICE, KEYS})
    assert sorted(inner) == sorted(f.name for f in fields(Overrides))


@pytest.mark.parametrize("own", FIELDS, ids=lambda own: own.name)
def test_every_default_can_be_said(own: object) -> None:
    field = next(each for each in FIELDS if each is own)
    report = text_report("x")
    found = from_text(field, spelled(field, field.default), report)
    report.raise_if_any()
    assert found is not NOTHING
    assert found == field.default
    assert (field.words is not None) == (field.shape in (Shape.WORD, Shape.WORDS))
    assert field.what
    assert not field.what.endswith(".")


def test_facts_that_other_rooms_hold_too_agree() -> None:
    assert SOUND_VARIABLE == VARIABLE
    assert Take.__dataclass_fields__["a4"].default == A4
    assert Take.__dataclass_fields__["volume"].default == Settings().volume
    assert [kind.value for kind in Kind] == [ask.value for ask in AskKind][: len(Kind)]


def test_rows_say_value_and_origin() -> None:
    made = replace(
        Settings(),
        volume=0.25,
        practice=Overrides(prompts=0, kinds=(Kind.EAR, Kind.RUN)),
        keys=(Remap("stand.mute", ("m", "f2")),),
    )
    origins = {"volume": Origin(Layer.ENVIRONMENT, "DRILL_VOLUME")}
    rows = {row.name: row for row in describe(made, origins)}
    assert list(rows) == [*(own.name for own in FIELDS), "keys.stand.mute"]
    default = Origin(Layer.DEFAULT)
    assert rows["names"] == SettingRow("names", "english", "english", default)
    assert rows["volume"] == SettingRow("volume", 0.25, "0.25", origins["volume"])
    assert rows["a4"] == SettingRow("a4", 440.0, "440", default)
    assert rows["sound"] == SettingRow("sound", True, "true", default)
    assert rows["student"] == SettingRow("student", "", "", default)
    assert rows["practice.prompts"] == SettingRow("practice.prompts", 0, "0", default)
    assert rows["practice.minutes"] == SettingRow("practice.minutes", None, "deck", default)
    assert rows["practice.kinds"] == SettingRow(
        "practice.kinds", ["ear", "run"], "ear, run", default
    )
    assert rows["keys.stand.mute"] == SettingRow("keys.stand.mute", ["m", "f2"], "m f2", default)


# -- terminal


def test_a_dumb_terminal() -> None:
    assert dumb({"TERM": "dumb"})
    assert not dumb({"TERM": "xterm-256color"})
    assert not dumb({})


@pytest.mark.parametrize(
    ("glyphs", "encoding", "wanted"),
    [
        (GlyphChoice.AUTO, "utf-8", False),
        (GlyphChoice.AUTO, "UTF8", False),
        (GlyphChoice.AUTO, "latin-1", True),
        (GlyphChoice.AUTO, "gb18030", True),
        (GlyphChoice.AUTO, "ascii", True),
        (GlyphChoice.AUTO, None, True),
        (GlyphChoice.AUTO, "no such code", True),
        (GlyphChoice.UNICODE, "utf-8", False),
        (GlyphChoice.UNICODE, "gb18030", False),
        (GlyphChoice.UNICODE, "latin-1", True),
        (GlyphChoice.UNICODE, None, True),
        (GlyphChoice.ASCII, "utf-8", True),
    ],
)
def test_ascii(glyphs: GlyphChoice, encoding: str | None, wanted: bool) -> None:
    assert ascii_only(glyphs, encoding) is wanted


@pytest.mark.parametrize("said", ["on", "off", "silent", "miniaudio", "auto"])
@pytest.mark.parametrize("choice", Backend)
def test_the_sound_helper_hears_the_choice_alone(said: str, choice: Backend) -> None:
    environment = {"HOME": "/h", "DRILL_SOUND": said}
    found = sound_environment(choice, environment)
    assert found["HOME"] == "/h"
    assert forced(found) is choice  # raises where the helper would not understand
    assert environment == {"HOME": "/h", "DRILL_SOUND": said}


# -- what a start loads


@pytest.mark.parametrize("module", ["values", "catalogue", "load", "describe", "write", "at_hand"])
def test_no_costly_library_is_loaded(printed_by: Callable[..., str], module: str) -> None:
    code = (
        f"import sys, drill.settings.{module}; print(*{{n.partition('.')[0] for n in sys.modules}})"
    )
    loaded = set(printed_by(code).split())
    assert "drill" in loaded
    costly = {"tomlkit", "textual", "rich", "numpy", "music21", "sqlite3", "asyncio", "miniaudio"}
    assert not loaded & costly


def test_a_word_that_names_no_sound_is_wrong_usage() -> None:
    with pytest.raises(UsageError) as caught:
        sound_environment(Backend.AUTO, {"DRILL_SOUND": "bogus"})
    assert str(caught.value) == (
        f'DRILL_SOUND is "bogus"; expected one of on, off, {", ".join(Backend)}'
    )


@pytest.mark.parametrize("command", [["sound"], ["hear", "1-2-3-1"], ["--plain", "--prompts", "1"]])
def test_every_command_that_sounds_refuses_it(
    command: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("DRILL_SOUND", "bogus")
    assert cli.main(command) == ExitCode.USAGE
    assert "expected one of on, off, auto" in capsys.readouterr().err
