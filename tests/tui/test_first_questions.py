"""The first start: three questions, and then the first prompt of a deck of one's own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from real_house import RealHouse
from tui_user import SMALL, User, at_keys

from drill.decks.load import load
from drill.decks.mine import KnownKeys, my_practice
from drill.settings.at_hand import names_here
from drill.theory.language import Language
from drill.theory.scales import signature
from drill.tui.desk_settings import SettingsFile
from drill.tui.screens.stand import StandScreen
from drill.tui.trainer import Trainer


@pytest.fixture
def real(home: Path) -> RealHouse:
    return RealHouse(home)


@pytest.fixture
def trainer(real: RealHouse) -> Iterator[Trainer]:
    made = real.trainer(ask_first=True)
    yield made
    made.studio.close()


def tonics_asked(user: User) -> set[str]:
    deck = user.on(StandScreen).sitting.seat.desk.syllabus.deck
    return {str(key.tonic) for key in deck.keys}


def test_three_times_enter_begins_on_alto_in_four_keys(real: RealHouse, user: User) -> None:
    user.golden("start-horn", user.see("Your horn", "Alto saxophone"))
    user.golden("start-keys", user.press("enter", sees="The keys you know"))
    user.golden("start-names", user.press("enter", sees="Names of notes"))
    user.press("enter", sees=("Alto saxophone in E♭", "1-2-3-1", "prompt 1 of 20"))
    assert tonics_asked(user) == {"C", "G", "F", "D"}
    user.press("escape", sees=("Today", "▸ My practice"))
    deck = load(real.house.places.decks / "my-practice.toml")
    assert deck.own
    assert [pattern.text for pattern in deck.patterns] == ["1-2-3-1"]
    assert real.house.horn().id == "alto_sax"  # type: ignore[union-attr]


@SMALL
def test_a_horn_is_found_as_it_is_typed(real: RealHouse, user: User) -> None:
    user.see("Your horn")
    user.golden("start-horn", user.type("tenor s", sees="▸ Tenor saxophone in B♭"))
    user.press("enter", sees="The keys you know")
    user.press("down", "down", "enter", sees="Names of notes")
    user.press("down", "enter", sees=("prompt 1 of 20", "sounds in concert"))
    fifths = {signature(key) for key in my_practice(KnownKeys.FOUR).keys}
    assert fifths == set(range(-4, 5))
    assert len(tonics_asked(user)) == 9
    assert real.house.horn().id == "tenor_sax"  # type: ignore[union-attr]
    assert real.wishes().names is Language.GERMAN


def through(user: User, key: str) -> None:
    """Answer each question with one key, as far as the first prompt."""
    user.see("Your horn")
    for title in ("The keys you know", "Names of notes", "prompt 1 of 20"):
        user.press(key, sees=title)


def test_esc_skips_each_question_with_its_answer(real: RealHouse, user: User) -> None:
    through(user, "escape")
    assert real.house.horn().id == "alto_sax"  # type: ignore[union-attr]
    assert real.wishes().names is Language.ENGLISH


def test_nothing_found_is_said_and_takes_nothing(user: User) -> None:
    user.see("Your horn")
    user.type("xyz", "enter", sees=("nothing is called that", "choose one first"))
    user.press("ctrl+u", sees="Clarinet in B♭")


def test_the_questions_can_be_asked_again_and_keep_the_rest_of_the_deck(
    real: RealHouse, trainer: Trainer
) -> None:
    path = real.house.places.decks / "my-practice.toml"

    with at_keys(trainer) as user:
        through(user, "enter")
        user.press("escape", sees=("Today", "My practice"))
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace('["return3"]', '["thirds"]'), encoding="utf-8")
        user.press("s", sees=("Settings", "Note names"))
        user.press("end", "enter", sees=("Your horn", "▸ Alto saxophone"))
        user.type("flute", "enter", sees="The keys you know")
        user.press("down", "enter", "enter", sees=("Flute", "1-3", "prompt 1"))
        user.press("escape", sees="Settings")
    deck = load(path)
    assert [pattern.id for pattern in deck.patterns] == ["thirds"]
    assert len(deck.keys) == 5


@pytest.mark.parametrize(
    ("environment", "names"),
    [
        ({"LANG": "de_AT.UTF-8"}, Language.GERMAN),
        ({"LANG": "en_GB.UTF-8"}, Language.ENGLISH),
        ({"LANG": "nl_BE.UTF-8"}, Language.FLEMISH),
        ({"LANG": "nl_BE@euro"}, Language.FLEMISH),  # language_territory@modifier (POSIX)
        ({"LANG": "de@euro"}, Language.GERMAN),
        ({"LANG": "nl_NL"}, Language.DUTCH),
        ({"LC_ALL": "fr_FR.UTF-8", "LANG": "de_DE.UTF-8"}, Language.FRENCH),
        ({"LC_ALL": "", "LANG": "sv_SE"}, Language.SWEDISH),
        ({"LANG": "C"}, Language.ENGLISH),
        ({}, Language.ENGLISH),
    ],
)
def test_how_notes_are_called_comes_from_the_locale(
    environment: dict[str, str], names: Language
) -> None:
    """The order of the variables is that of POSIX; the names are common practice."""
    assert names_here(environment) is names


def test_the_locale_is_offered_first(real: RealHouse) -> None:
    with at_keys(real.trainer(ask_first=True, names_here=Language.GERMAN)) as user:
        user.see("Your horn")
        user.press("enter", sees="The keys")
        shown = user.press("enter", sees="Names of notes")
        assert "▸ German: H, B, Fis" in shown
        user.press("enter", sees="prompt 1")
        assert "prompt 1" in user.shown
    assert real.wishes().names is Language.GERMAN


def test_a_first_year_alto_player_spells_ten_cells_in_her_first_keys(
    real: RealHouse, trainer: Trainer
) -> None:
    tonics = set()

    with at_keys(trainer) as user:
        through(user, "enter")
        for number in range(10):
            user.see(f"prompt {number + 1} of 20")
            tonics.add(str(user.prompt.question.run.key.tonic))
            user.answer(user.cell.lower())
        user.see("prompt 11 of 20", "10 right")
    assert tonics <= {"C", "G", "F", "D"}
    assert len(tonics) > 1


def test_help_and_the_question_about_leaving_come_back_to_the_question(user: User) -> None:
    user.see("Your horn")
    user.press("f1")
    told = user.see("First start", "Take this row")
    assert "Mark this row" not in told  # one answer is taken here, and nothing sounds
    assert "Hear this row" not in told
    user.press("escape", sees=("Your horn", "Alto saxophone"))
    user.press("enter", sees="The keys you know")
    user.press("ctrl+c", sees="Leave drill?")
    user.press("escape", sees=("The keys you know", "up to two sharps"))
    user.press("f1", sees="First start")
    user.press("escape", sees=("The keys you know", "up to two sharps"))


def test_what_cannot_be_kept_is_told_also_where_the_last_question_is_skipped(
    monkeypatch: pytest.MonkeyPatch, user: User
) -> None:
    monkeypatch.setattr(SettingsFile, "put", lambda *_: "settings.toml cannot be written")
    user.press("escape", sees="The keys you know")
    user.press("escape", sees="Names of notes")
    user.press("escape", sees="settings.toml cannot be written")
