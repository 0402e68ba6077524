"""A run walked at the screens: offered at a pattern's first meeting, and from the Map."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tui_desk import Setup, play, screen_text, until

from drill.memory.kinds import WALK, Kind
from drill.memory.store import FILE_NAME, Store
from drill.practice.course import Plan
from drill.theory.engine import Engine
from drill.tui.screens.stand import StandScreen
from drill.tui.trainer import Trainer


@pytest.fixture
def setup(home, spelling_engine: Engine) -> Setup:  # type: ignore[no-untyped-def]
    def short(plan: Plan) -> Plan:
        return replace(plan, prompts=10, kinds=(Kind.DEGREE,))

    return Setup(home, spelling_engine, short)


def asked(trainer: Trainer) -> str:
    assert isinstance(trainer.screen, StandScreen)
    prompt = trainer.screen.sitting.prompt
    assert prompt is not None
    return " ".join(str(note.name) for note in prompt.cell.notes)


async def answer(pilot, trainer: Trainer) -> None:  # type: ignore[no-untyped-def]
    names = {" ": "space", "#": "number_sign"}
    await pilot.press(*(names.get(sign, sign) for sign in asked(trainer)), "enter")


def test_a_new_pattern_s_run_is_walked_from_the_stand_and_the_prompt_is_there_after(
    setup: Setup,
) -> None:
    trainer = setup.trainer(deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            shown = await until(pilot, trainer, "new: 1-2-3-1 going up; ctrl+r goes")
            assert "walk the run" in shown
            before = asked(trainer)
            await pilot.press("ctrl+r")
            shown = await until(pilot, trainer, "walk 1 of 3, the whole run, to be read", "1 of 21")
            assert "Read and spell the cell on 1" in shown
            assert "- - -" not in shown
            page = shown[shown.index("walk 1 of 3") : shown.index("Read and spell")]
            lines = page.strip().splitlines()
            assert len(lines) > 1
            assert all(line.rstrip().endswith("|") for line in lines[:-1])  # no cell is broken
            for _ in range(8):
                await answer(pilot, trainer)
            shown = await until(pilot, trainer, "walk 2 of 3, every other cell covered")
            assert "Covered: the cell on 2" in shown
            assert "- - -" in shown
            for _ in range(13):
                await answer(pilot, trainer)
            await until(pilot, trainer, "21 of 21 right")
            await pilot.press("escape")
            await until(pilot, trainer, "prompt 1 of 10")
            assert asked(trainer) == before
        trainer.studio.close()

    play(scenario())
    with Store.open(setup.home / FILE_NAME) as store:
        assert [(row.kind, row.right, row.teaches) for row in store.answers()] == [
            (WALK, True, False)
        ] * 21


def test_a_run_is_walked_from_the_map(setup: Setup) -> None:
    trainer = setup.trainer()

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "Two keys", "untried")
            await pilot.press("m")
            await until(pilot, trainer, "walk the run")
            await pilot.press("r")
            shown = await until(pilot, trainer, "walk 1 of 3", "cell on 1")
            assert "1 of 21" in shown
            assert "show" in screen_text(trainer)
        trainer.studio.close()

    play(scenario())


def test_at_a_copy_tab_goes_on(setup: Setup) -> None:
    trainer = setup.trainer(deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell on", "tab show")
            await pilot.press("tab")
            await until(pilot, trainer, "Once more", "tab go on")
            await pilot.press("c", "enter")
            await until(pilot, trainer, "Once more", "✗")  # held until it is right
            await pilot.press("tab")
            await until(pilot, trainer, "prompt 2 of 10")
        trainer.studio.close()

    play(scenario())
