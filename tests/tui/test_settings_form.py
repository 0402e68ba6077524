"""Settings: in a player's words, and in force at once."""

from __future__ import annotations

from real_house import RealHouse
from tui_user import BOTH, User

from drill.settings.catalogue import FIELDS, Shape
from drill.settings.values import Theme
from drill.theory.language import Language
from drill.tui.desk_settings import SettingsFile, about
from drill.tui.screens.stand import StandScreen
from drill.tui.themes import look
from drill.tui.ways import ToDecks
from drill.tui.widgets.page import Page
from drill.wording.settings import KINDS, KINDS_SHORT, LABELS, setting_label, setting_value


def settings(user: User) -> None:
    user.today("s", sees=("Settings", "Note names"))


@BOTH
def test_the_settings_as_they_are_drawn(user: User) -> None:
    settings(user)
    user.golden("settings")
    user.golden("help", user.press("question_mark", sees="Change, choose or do"))
    user.golden("question", user.press("escape", "ctrl+c", sees="Leave drill?"))


def test_note_names_are_read_and_shown_at_once(real: RealHouse, user: User) -> None:
    settings(user)
    user.enter("Note names", sees="▸ English")
    user.type("german", "enter", sees=("Settings", "Note names: German"))
    user.does(user.trainer.go, ToDecks(real.house.deck_folders[1] / "major-returning-cells.toml"))
    user.see("Returning cells", "run 1 of")
    shown = user.press(*["right"] * 2, sees=("F major", "one flat: B"))
    assert "B♭" not in shown.splitlines()[6:15]
    user.press("enter", sees="prompt 1")
    user.type("ces")
    assert [str(note.name) for note in user.on(StandScreen)._reading.notes] == ["Cb"]
    assert real.wishes().names is Language.GERMAN


def test_colours_sound_and_hold_change_at_once(real: RealHouse, user: User) -> None:
    settings(user)
    user.go("Colours", "right", sees="Colours: light")
    page = user.trainer.screen.query_one(Page)
    user.pause(0.05)
    assert page.styles.background.hex.lower() == look(Theme.LIGHT).background
    user.go("Sound")
    before = user.trainer.studio.muted
    user.press("enter", sees="Sound: off")
    assert (before, user.trainer.studio.muted) == (False, True)
    user.enter("Wait after a right answer", sees="Wait after a right answer: yes")
    assert user.trainer.studio.wishes.hold
    user.go("Audio output", "right", sees="from the next start on")
    assert real.wishes().theme is Theme.LIGHT


def test_a_value_is_typed_and_a_mistake_is_told(real: RealHouse, user: User) -> None:
    settings(user)
    user.go("Volume", "enter", "ctrl+u", *"0.2", "enter", sees="Volume: 20 %")
    assert user.trainer.studio.wishes.volume == 0.2
    user.press("enter", "ctrl+u", *"7", "enter", sees="expected a volume, 0 to 1")
    assert user.trainer.studio.wishes.volume == 0.2
    user.press("enter", *"9", "escape", sees="20 %")
    user.enter("Kinds of prompt", sees=("as the deck says", "1 chosen"))
    user.press(
        "down", "tab", "down", "tab", "enter", sees="Kinds of prompt: next cell, cell on a degree"
    )
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
    assert rows["horn"].shown == "alto_sax"
    assert "flute" in about("horn")[1]
    assert set(about("practice.kinds")[2]) <= set(KINDS)
    assert about("practice.again")[1] == ("deck", "true", "false")
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
    assert [row.shown for row in desk.settings() if row.name == "keys.mute"] == ["f7"]
