"""Settings: in a player's words, and in force at once."""

from __future__ import annotations

from typing import Any

import pytest
from real_house import RealHouse
from tui_desk import golden, play, press_row, screen_text, to_row, until

from drill.opening.desk_settings import SettingsFile
from drill.settings.catalogue import FIELDS, Shape
from drill.settings.values import Theme
from drill.theory.language import Language
from drill.tui.screens.stand import StandScreen
from drill.tui.themes import look
from drill.tui.trainer import Trainer
from drill.tui.ways import ToDecks
from drill.tui.widgets.page import Page
from drill.wording.settings import KINDS, KINDS_SHORT, LABELS, setting_label, setting_value


async def settings(pilot: Any, trainer: Trainer) -> None:
    await until(pilot, trainer, "Today", "due")
    await pilot.press("s")
    await until(pilot, trainer, "Settings", "Note names")


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20)])
def test_the_settings_as_they_are_drawn(trainer: Trainer, width: int, height: int) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(width, height)) as pilot:
            await settings(pilot, trainer)
            golden(f"settings-{width}x{height}", screen_text(trainer))
            await pilot.press("question_mark")
            shown = await until(pilot, trainer, "Change, choose or do")
            golden(f"help-{width}x{height}", shown)
            await pilot.press("escape", "ctrl+c")
            golden(f"question-{width}x{height}", await until(pilot, trainer, "Leave drill?"))

    play(scenario())


def test_note_names_are_read_and_shown_at_once(real: RealHouse, trainer: Trainer) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await settings(pilot, trainer)
            await press_row(pilot, trainer, "Note names")
            await until(pilot, trainer, "▸ English")
            await pilot.press(*"german", "enter")
            await until(pilot, trainer, "Settings", "Note names: German")
            trainer.go(ToDecks(real.house.deck_folders[1] / "major-returning-cells.toml"))
            await until(pilot, trainer, "Returning cells", "run 1 of")
            await pilot.press(*["right"] * 2)
            shown = await until(pilot, trainer, "F major", "one flat: B")
            assert "B♭" not in shown.splitlines()[6:15]
            await pilot.press("enter")
            await until(pilot, trainer, "prompt 1")
            screen = trainer.screen
            assert isinstance(screen, StandScreen)
            await pilot.press(*"ces")
            assert [str(note.name) for note in screen._reading.notes] == ["Cb"]

    play(scenario())
    assert real.wishes().names is Language.GERMAN


def test_colours_sound_and_hold_change_at_once(real: RealHouse, trainer: Trainer) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await settings(pilot, trainer)
            await to_row(pilot, trainer, "Colours")
            await pilot.press("right")
            await until(pilot, trainer, "Colours: light")
            page = trainer.screen.query_one(Page)
            await pilot.pause(0.05)
            assert page.styles.background.hex.lower() == look(Theme.LIGHT).background
            await to_row(pilot, trainer, "Sound")
            before = trainer.studio.muted
            await pilot.press("enter")
            await until(pilot, trainer, "Sound: off")
            assert (before, trainer.studio.muted) == (False, True)
            await press_row(pilot, trainer, "Wait after a right answer")
            await until(pilot, trainer, "Wait after a right answer: yes")
            assert trainer.studio.wishes.hold
            await to_row(pilot, trainer, "Audio output")
            await pilot.press("right")
            await until(pilot, trainer, "from the next start on")

    play(scenario())
    assert real.wishes().theme is Theme.LIGHT


def test_a_value_is_typed_and_a_mistake_is_told(real: RealHouse, trainer: Trainer) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await settings(pilot, trainer)
            await to_row(pilot, trainer, "Volume")
            await pilot.press("enter", "ctrl+u", *"0.2", "enter")
            await until(pilot, trainer, "Volume: 20 %")
            assert trainer.studio.wishes.volume == 0.2
            await pilot.press("enter", "ctrl+u", *"7", "enter")
            await until(pilot, trainer, "expected a volume, 0 to 1")
            assert trainer.studio.wishes.volume == 0.2
            await pilot.press("enter", *"9", "escape")
            await until(pilot, trainer, "20 %")
            await press_row(pilot, trainer, "Kinds of prompt")
            await until(pilot, trainer, "as the deck says", "1 chosen")
            await pilot.press("down", "tab", "down", "tab", "enter")
            await until(pilot, trainer, "Kinds of prompt: next cell, cell on a degree")

    play(scenario())
    kinds = real.wishes()
    assert kinds.volume == 0.2


def test_every_setting_has_words_for_itself_and_its_values(real: RealHouse) -> None:
    for own in FIELDS:
        assert own.name in LABELS
        assert setting_label(own.name) != own.name
        for word in own.words or ():
            value = setting_value(own.name, word.value)
            assert value
        if own.shape is Shape.FLAG:
            assert setting_value(own.name, "true") != "true"
            assert setting_value(own.name, "false") != "false"
    assert set(KINDS) == set(KINDS_SHORT)
    rows = {row.name: row for row in SettingsFile(real.house.places, {}, {}).settings()}
    assert rows["horn"].value == "alto_sax"
    assert "flute" in rows["horn"].choices
    assert set(rows["practice.kinds"].words) <= set(KINDS)
    assert rows["practice.again"].choices == ("deck", "true", "false")
    assert setting_value("practice.prompts", "0") == "no limit"
    assert setting_value("practice.prompts", "deck") == "as the deck says"
    assert setting_value("a4", "442") == "442 hertz"


def test_keys_that_would_clash_are_refused_there_as_by_the_command(real: RealHouse) -> None:
    """So that no row shows a key that the screens do not grant."""
    desk = SettingsFile(real.house.places, {}, {})
    assert "the key g belongs to typing notes" in desk.put("keys.mute", "g")
    assert "there is no action" in desk.put("keys.nope", "x")
    assert not [row for row in desk.settings() if row.name.startswith("keys.")]
    assert desk.put("keys.mute", "f7") == ""
    assert [row.value for row in desk.settings() if row.name == "keys.mute"] == ["f7"]
