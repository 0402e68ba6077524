"""What comes once the first prompt is in view: arrays, the sound's player, the collector."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from dataclasses import replace

import pytest
from tui_desk import Setup
from tui_user import at_keys

from drill.memory.kinds import Kind
from drill.memory.pool import Pool
from drill.tui import trainer as trainers
from drill.tui.practices import ToPractice
from drill.tui.sitting import Sitting


def test_the_arrays_are_made_after_the_first_prompt_and_before_the_answer(
    setup: Setup, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[str] = []
    make = Pool._made
    trainer = setup.trainer(deck="two-keys")

    def noted(pool: Pool) -> object:
        made.append(type(trainer.screen).__name__)
        return make(pool)

    monkeypatch.setattr(Pool, "_made", noted)

    with at_keys(trainer) as user:
        user.see("answer")
        user.until(lambda: bool(made) and trainer.studio.player is not None)
    assert made == ["StandScreen"]
    assert trainer.studio.player is setup.player


def test_a_first_prompt_that_is_heard_sounds_before_anybody_woke_the_player(setup: Setup) -> None:
    setup.plan = lambda plan: replace(plan, kinds=(Kind.EAR,))
    studio = setup.trainer().studio
    seats = studio.open_seats()
    assert studio.player is None
    assert not studio.muted  # as the settings have it
    Sitting(seats.sit(ToPractice("two-keys"), studio.plan, silent=studio.muted), studio)
    assert len(setup.player.played) == 1


def test_the_sound_that_the_settings_turn_off_is_off_before_there_is_a_player(
    setup: Setup,
) -> None:
    studio = setup.trainer(sound=False).studio
    assert studio.player is None
    assert studio.muted


@pytest.fixture
def collector() -> Iterator[None]:
    yield
    gc.unfreeze()
    gc.enable()


@pytest.mark.usefixtures("collector")
def test_the_collector_of_garbage_rests_until_the_start_is_over(
    setup: Setup, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trainers, "_RESTED_S", 0.05)
    trainer, before = setup.trainer(), gc.get_freeze_count()

    gc.disable()
    with at_keys(trainer) as user:
        user.until(gc.isenabled)
    assert gc.get_freeze_count() > before + 1000  # what the start has brought is looked at no more
