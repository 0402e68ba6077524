"""The first start: three questions, and then the first prompt of a deck of one's own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from real_house import RealHouse
from tui_desk import golden, play, screen_text, until

from drill.decks.load import load
from drill.decks.mine import KnownKeys, my_practice
from drill.settings.at_hand import names_here
from drill.theory.engine import Engine
from drill.theory.language import Language
from drill.theory.scales import signature
from drill.tui.screens.stand import StandScreen
from drill.tui.trainer import Trainer


@pytest.fixture
def real(home: Path, spelling_engine: Engine) -> RealHouse:
    return RealHouse(home, spelling_engine)


@pytest.fixture
def trainer(real: RealHouse) -> Iterator[Trainer]:
    made = real.trainer(ask_first=True)
    yield made
    made.studio.close()


def tonics_asked(trainer: Trainer) -> set[str]:
    assert isinstance(trainer.screen, StandScreen)
    return {str(key.tonic) for key in trainer.screen.sitting.seat.desk.syllabus.deck.keys}


def test_three_times_enter_begins_on_alto_in_four_keys(real: RealHouse, trainer: Trainer) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            golden("start-horn-80x24", await until(pilot, trainer, "Your horn", "Alto saxophone"))
            await pilot.press("enter")
            golden("start-keys-80x24", await until(pilot, trainer, "The keys you know"))
            await pilot.press("enter")
            golden("start-names-80x24", await until(pilot, trainer, "Names of notes"))
            await pilot.press("enter")
            await until(pilot, trainer, "Alto saxophone in E♭", "1-2-3-1", "prompt 1 of 20")
            assert tonics_asked(trainer) == {"C", "G", "F", "D"}
            await pilot.press("escape")
            await until(pilot, trainer, "Today", "▸ My practice")

    play(scenario())
    deck = load(real.house.places.decks / "my-practice.toml")
    assert deck.own
    assert [pattern.text for pattern in deck.patterns] == ["1-2-3-1"]
    assert real.house.horn().id == "alto_sax"  # type: ignore[union-attr]


def test_a_horn_is_found_as_it_is_typed(real: RealHouse, trainer: Trainer) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await until(pilot, trainer, "Your horn")
            await pilot.press(*"tenor s")
            golden("start-horn-60x20", await until(pilot, trainer, "▸ Tenor saxophone in B♭"))
            await pilot.press("enter")
            await until(pilot, trainer, "The keys you know")
            await pilot.press("down", "down", "enter")
            await until(pilot, trainer, "Names of notes")
            await pilot.press("down", "enter")
            await until(pilot, trainer, "prompt 1 of 20", "sounds in concert")
            fifths = {signature(key) for key in my_practice(KnownKeys.FOUR).keys}
            assert fifths == set(range(-4, 5))
            assert len(tonics_asked(trainer)) == 9

    play(scenario())
    assert real.house.horn().id == "tenor_sax"  # type: ignore[union-attr]
    assert real.wishes().names is Language.GERMAN


async def through(pilot: Any, trainer: Trainer, key: str) -> None:
    """Answer each question with one key, as far as the first prompt."""
    await until(pilot, trainer, "Your horn")
    for title in ("The keys you know", "Names of notes", "prompt 1 of 20"):
        await pilot.press(key)
        await until(pilot, trainer, title)


def test_esc_skips_each_question_with_its_answer(real: RealHouse, trainer: Trainer) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await through(pilot, trainer, "escape")

    play(scenario())
    assert real.house.horn().id == "alto_sax"  # type: ignore[union-attr]
    assert real.wishes().names is Language.ENGLISH


def test_nothing_found_is_said_and_takes_nothing(trainer: Trainer) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "Your horn")
            await pilot.press(*"xyz", "enter")
            await until(pilot, trainer, "nothing is called that", "choose one first")
            await pilot.press("ctrl+u")
            await until(pilot, trainer, "Clarinet in B♭")

    play(scenario())


def test_the_questions_can_be_asked_again_and_keep_the_rest_of_the_deck(
    real: RealHouse, trainer: Trainer
) -> None:
    path = real.house.places.decks / "my-practice.toml"

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await through(pilot, trainer, "enter")
            await pilot.press("escape")
            await until(pilot, trainer, "Today", "My practice")
            text = path.read_text(encoding="utf-8")
            path.write_text(text.replace('["return3"]', '["thirds"]'), encoding="utf-8")
            await pilot.press("s")
            await until(pilot, trainer, "Settings", "Note names")
            await pilot.press("end", "enter")
            await until(pilot, trainer, "Your horn", "▸ Alto saxophone")
            await pilot.press(*"flute", "enter")
            await until(pilot, trainer, "The keys you know")
            await pilot.press("down", "enter", "enter")
            await until(pilot, trainer, "Flute", "1-3", "prompt 1")
            await pilot.press("escape")
            await until(pilot, trainer, "Settings")

    play(scenario())
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
    trainer = real.trainer(ask_first=True, names_here=Language.GERMAN)

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "Your horn")
            await pilot.press("enter")
            await until(pilot, trainer, "The keys")
            await pilot.press("enter")
            shown = await until(pilot, trainer, "Names of notes")
            assert "▸ German: H, B, Fis" in shown
            await pilot.press("enter")
            await until(pilot, trainer, "prompt 1")
            assert "prompt 1" in screen_text(trainer)
        trainer.studio.close()

    play(scenario())
    assert real.wishes().names is Language.GERMAN


def test_a_first_year_alto_player_spells_ten_cells_in_her_first_keys(
    real: RealHouse, trainer: Trainer
) -> None:
    names = {" ": "space", "#": "number_sign"}
    tonics = set()

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await through(pilot, trainer, "enter")
            for number in range(10):
                await until(pilot, trainer, f"prompt {number + 1} of 20")
                assert isinstance(trainer.screen, StandScreen)
                prompt = trainer.screen.sitting.prompt
                assert prompt is not None
                tonics.add(str(prompt.question.run.key.tonic))
                text = " ".join(str(note.name) for note in prompt.cell.notes).lower()
                await pilot.press(*(names.get(sign, sign) for sign in text), "enter")
            await until(pilot, trainer, "prompt 11 of 20", "10 right")

    play(scenario())
    assert tonics <= {"C", "G", "F", "D"}
    assert len(tonics) > 1


def test_help_and_the_question_about_leaving_come_back_to_the_question(trainer: Trainer) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "Your horn")
            await pilot.press("f1")
            told = await until(pilot, trainer, "First start", "Take this row")
            assert "Mark this row" not in told  # one answer is taken here, and nothing sounds
            assert "Hear this row" not in told
            await pilot.press("escape")
            await until(pilot, trainer, "Your horn", "Alto saxophone")
            await pilot.press("enter")
            await until(pilot, trainer, "The keys you know")
            await pilot.press("ctrl+c")
            await until(pilot, trainer, "Leave drill?")
            await pilot.press("escape")
            await until(pilot, trainer, "The keys you know", "up to two sharps")
            await pilot.press("f1")
            await until(pilot, trainer, "First start")
            await pilot.press("escape")
            await until(pilot, trainer, "The keys you know", "up to two sharps")

    play(scenario())
