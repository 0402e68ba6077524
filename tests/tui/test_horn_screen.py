"""The stand on the horn: cells are played into a microphone of sampled saxophone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from horn_player import Microphone, cell
from tui_desk import Setup, play, screen_text, until

from drill.memory.kinds import PLAYED
from drill.memory.store import FILE_NAME, Store
from drill.practice.course import Plan
from drill.sound.output import SoundError
from drill.theory.engine import Engine
from drill.tui.screens.stand import StandScreen
from drill.tui.trainer import Trainer

IN_E = """
title = "In E"
instrument = "alto_sax"
patterns = ["return3"]
keys = ["E"]
directions = ["up"]
"""


@pytest.fixture
def setup(home: Path, spelling_engine: Engine) -> Iterator[Setup]:
    def short(plan: Plan) -> Plan:
        return replace(plan, prompts=2, kinds=("degree", PLAYED), missed_again=False)

    made = Setup(home, spelling_engine, short)
    made.player.mute()  # nothing is listened to while the program sounds
    (made.home / "decks").mkdir(parents=True, exist_ok=True)
    (made.home / "decks" / "in-e.toml").write_text(IN_E, encoding="utf-8")
    yield made
    if made.room is not None:
        made.room.store.close()


def degree(trainer: Trainer) -> int:
    assert isinstance(trainer.screen, StandScreen)
    prompt = trainer.screen.sitting.state.prompt
    assert prompt is not None
    return prompt.cell.degree - 1


def test_a_played_cell_is_marked_and_the_next_one_asked(setup: Setup) -> None:
    microphone = Microphone(blocks=8)
    trainer = setup.trainer(deck="in-e", microphone=lambda: microphone)

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "microphone open", "play one long note first")
            await pilot.press("enter")
            await until(pilot, trainer, "The cell on")
            microphone.play(cell(degree(trainer)))
            await until(pilot, trainer, "✓ right", "prompt 2")
            assert "microphone open" in screen_text(trainer)
            microphone.play(cell((degree(trainer) + 1) % 7))
            await until(pilot, trainer, "Once more")
            await pilot.press("f1")
            await until(pilot, trainer, "Hand in what is typed")
            await pilot.pause(0.1)
            assert microphone.closed
        trainer.studio.close()

    play(scenario())
    with Store.open(setup.home / FILE_NAME) as store:
        kept = [(answer.kind, answer.right) for answer in store.answers()]
    assert kept == [(PLAYED, True), (PLAYED, False)]


def test_what_was_not_heard_is_said_and_nothing_is_counted(setup: Setup) -> None:
    microphone = Microphone(blocks=8)
    trainer = setup.trainer(deck="in-e", microphone=lambda: microphone)

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "microphone open")
            await pilot.press("enter")
            microphone.play(cell(degree(trainer), notes=2))
            await until(pilot, trainer, "Not heard: the third and fourth note")
        trainer.studio.close()

    play(scenario())
    with Store.open(setup.home / FILE_NAME) as store:
        assert not list(store.answers())
    assert microphone.closed


def test_without_a_microphone_answers_are_typed(setup: Setup) -> None:
    def none() -> Microphone:
        raise SoundError("no microphone can be opened (no device)")

    trainer = setup.trainer(deck="in-e", microphone=none)

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "no microphone can be opened", "answers are typed")
            await pilot.press(*"ees")
            assert "microphone open" not in screen_text(trainer)
        trainer.studio.close()

    play(scenario())


def test_a_lost_microphone_is_one_line_and_the_practice_goes_on(setup: Setup) -> None:
    microphone = Microphone(blocks=8)
    trainer = setup.trainer(deck="in-e", microphone=lambda: microphone)

    def lost() -> None:
        raise SoundError("the microphone was lost")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "microphone open")
            await pilot.press("enter")
            microphone.take = lost  # type: ignore[method-assign,assignment]
            await until(pilot, trainer, "the microphone was lost; answers are typed")
            await until(pilot, trainer, "The cell on")
        trainer.studio.close()

    play(scenario())


def test_today_begins_a_practice_on_the_horn(setup: Setup) -> None:
    microphone = Microphone(blocks=8)
    trainer = setup.trainer(microphone=lambda: microphone)

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "Today", "In E")
            await pilot.press("p")
            await until(pilot, trainer, "microphone open")
        trainer.studio.close()

    play(scenario())
