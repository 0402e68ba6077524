"""The stand on the horn: cells are played into a microphone of sampled saxophone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from horn_player import IN_E, KeyPort, Microphone, cell
from tui_desk import Setup
from tui_user import User, at_keys

from drill.memory.kinds import PLAYED
from drill.memory.store import FILE_NAME, Store
from drill.practice.course import Plan
from drill.sound.output import SoundError
from drill.tui.screens.stand import StandScreen


@pytest.fixture
def setup(home: Path) -> Iterator[Setup]:
    def short(plan: Plan) -> Plan:
        return replace(plan, prompts=2, kinds=("degree", PLAYED), missed_again=False)

    made = Setup(home, short)
    made.player.mute()  # nothing is listened to while the program sounds
    (made.home / "decks").mkdir(parents=True, exist_ok=True)
    (made.home / "decks" / "in-e.toml").write_text(IN_E, encoding="utf-8")
    yield made
    if made.room is not None:
        made.room.store.close()


def degree(user: User) -> int:
    return user.prompt.cell.degree - 1


def test_a_played_cell_is_marked_and_the_next_one_asked(setup: Setup) -> None:
    microphone = Microphone(blocks=8)
    with at_keys(setup.trainer(deck="in-e", microphone=lambda: microphone)) as user:
        user.see("microphone open", "play one long note first")
        user.press("enter", sees="The cell on")
        microphone.play(cell(degree(user)))
        user.see("✓ right", "prompt 2")
        assert "microphone open" in user.shown
        microphone.play(cell((degree(user) + 1) % 7))
        user.see("Once more")
        user.press("f1", sees="Hand in what is typed")
        user.pause(0.1)
        assert microphone.closed
    with Store.open(setup.home / FILE_NAME) as store:
        kept = [(answer.kind, answer.right) for answer in store.answers()]
    assert kept == [(PLAYED, True), (PLAYED, False)]


def test_what_was_not_heard_is_said_and_nothing_is_counted(setup: Setup) -> None:
    microphone = Microphone(blocks=8)
    with at_keys(setup.trainer(deck="in-e", microphone=lambda: microphone)) as user:
        user.see("microphone open")
        user.press("enter")
        microphone.play(cell(degree(user), notes=2))
        user.see("Not heard: the third and fourth notes.")
    with Store.open(setup.home / FILE_NAME) as store:
        assert not list(store.answers())
    assert microphone.closed


def test_a_cell_broken_off_on_midi_is_played_again(setup: Setup) -> None:
    port = KeyPort()
    with at_keys(setup.trainer(deck="in-e", midi=lambda: port)) as user:
        user.see("MIDI open", "The cell on")
        pitches = user.on(StandScreen).sitting.seat.desk.syllabus.sounding(
            user.prompt.question.run.key, user.prompt.cell
        )
        user.until(lambda: port.looked_at > 0)  # what was played before it listens is no answer
        port.play(pitches[:2])
        user.see("Not heard: the third and fourth note")
        port.play(pitches)
        user.see("✓ right")


def test_without_a_microphone_answers_are_typed(setup: Setup) -> None:
    def none() -> Microphone:
        raise SoundError("no microphone can be opened (no device)")

    with at_keys(setup.trainer(deck="in-e", microphone=none)) as user:
        user.see("no microphone can be opened", "answers are typed")
        user.type("ees")
        assert "microphone open" not in user.shown


def test_a_lost_microphone_is_one_line_and_the_practice_goes_on(setup: Setup) -> None:
    microphone = Microphone(blocks=8)
    trainer = setup.trainer(deck="in-e", microphone=lambda: microphone)

    def lost() -> None:
        raise SoundError("the microphone was lost")

    with at_keys(trainer) as user:
        user.see("microphone open")
        user.press("enter")
        microphone.take = lost  # type: ignore[method-assign,assignment]
        user.see("the microphone was lost; answers are typed")
        user.see("The cell on")


def test_today_begins_a_practice_on_the_horn(setup: Setup) -> None:
    microphone = Microphone(blocks=8)
    with at_keys(setup.trainer(microphone=lambda: microphone)) as user:
        user.see("Today", "In E")
        user.press("p", sees="microphone open")
