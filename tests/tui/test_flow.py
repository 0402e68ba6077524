"""The screens at work, through Textual's own test driver: keys in, text out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from textual import events
from tui_desk import DECK, MORNING, Setup, golden, play, screen_text, until

from drill.decks.load import loads
from drill.memory.items import Answer
from drill.memory.kinds import Kind
from drill.memory.model import replay
from drill.memory.store import FILE_NAME, Store
from drill.practice.course import Plan
from drill.practice.effects import Prompt
from drill.practice.syllabus import build
from drill.sound.take import Take
from drill.theory.engine import Engine
from drill.tui.screens.stand import StandScreen
from drill.tui.trainer import Trainer
from drill.tui.ways import ToDecks
from drill.tui.widgets.answer import AnswerPage
from drill.wording.slips import marker as marker_of


@pytest.fixture
def setup(home: Path, spelling_engine: Engine) -> Iterator[Setup]:
    def short(plan: Plan) -> Plan:
        return replace(plan, prompts=10, kinds=(Kind.DEGREE,))

    made = Setup(home, spelling_engine, short)
    yield made
    if made.room is not None:
        made.room.store.close()


def open_prompt(trainer: Trainer) -> Prompt:
    assert isinstance(trainer.screen, StandScreen)
    prompt = trainer.screen.sitting.prompt
    assert prompt is not None
    return prompt


def cell_of(trainer: Trainer) -> str:
    return " ".join(str(note.name) for note in open_prompt(trainer).cell.notes)


async def type_in(pilot: Any, text: str) -> None:
    names = {" ": "space", "#": "number_sign"}
    await pilot.press(*(names.get(sign, sign) for sign in text))


def test_a_practice_from_today_to_its_end(setup: Setup) -> None:
    trainer = setup.trainer()

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            shown = await until(pilot, trainer, "Two keys", "untried", "28")
            golden("today-80x24", shown)
            await pilot.press("enter")
            await until(pilot, trainer, "The cell on")
            missed = open_prompt(trainer).item.id
            await type_in(pilot, "c c c c")
            await pilot.press("enter")
            shown = await until(pilot, trainer, "Once more", "✗")
            assert "you   C" in shown
            await type_in(pilot, cell_of(trainer))
            await pilot.press("enter")
            for turn in range(8):
                # A copy that is right leaves no word under the next prompt.
                shown = await until(pilot, trainer, "The cell on", *["✓ right"] * (turn > 0))
                assert ("✓ right" in shown) == (turn > 0)
                await type_in(pilot, cell_of(trainer))
                await pilot.press("enter")
            await until(pilot, trainer, "Missed before")
            assert open_prompt(trainer).item.id == missed
            await type_in(pilot, cell_of(trainer))
            await pilot.press("enter")
            shown = await until(pilot, trainer, "8 of 9 right", "Missed, and when")
            assert "✓ " in shown
            assert "1 min" in shown  # the clock stands still; less than a minute is called one
            await pilot.press("escape")
            await until(pilot, trainer, "Today", "1 ")
        trainer.studio.close()

    play(scenario())
    with Store.open(setup.home / FILE_NAME) as store:
        kept = [(answer.right, answer.again) for answer in store.answers()]
    assert kept == [(False, False), (True, True), *[(True, False)] * 9]


def test_a_clock_behind_the_newest_answer_is_told_on_the_stand(setup: Setup) -> None:
    item = build(loads(DECK, "two-keys.toml"), setup.engine).items[0]
    with Store.open(setup.home / FILE_NAME) as store:
        at = MORNING + timedelta(days=400)
        store.append(Answer("a", at, "2027-04-06", item.id, right=True), item)
    trainer = setup.trainer(deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell on", "clock says 2026-03-02", "2027-04-06")
            await type_in(pilot, "c")
            assert "clock" not in screen_text(trainer)
        trainer.studio.close()

    play(scenario())


def test_enough_for_today_is_said_on_today_and_at_the_end(setup: Setup) -> None:
    items = build(loads(DECK, "two-keys.toml"), setup.engine).items
    with Store.open(setup.home / FILE_NAME) as store:
        for n in range(2 * len(items)):  # every cell, twice, this very morning
            at, item = MORNING - timedelta(minutes=80 - n), items[n % len(items)]
            row = Answer(f"{n}", at, "2026-03-02", item.id, right=True, seconds=3.0, keystrokes=7)
            store.append(row, item)
    trainer = setup.trainer()

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            shown = await until(pilot, trainer, "Enough for today", "10 prompts")
            assert "To go on all the same" in " ".join(shown.split())
            await pilot.press("enter")
            await until(pilot, trainer, "The cell on")
            await type_in(pilot, cell_of(trainer))
            await pilot.press("enter", "escape", "enter")
            await until(pilot, trainer, "Enough for today", "1 of 1 right")
            shown = await until(pilot, trainer, "0 of 28 cells by heart")
            assert "1 such day so far" in " ".join(shown.split())
        trainer.studio.close()

    play(scenario())


def test_a_device_that_is_lost_is_told_on_today(setup: Setup) -> None:
    trainer = setup.trainer()

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "Two keys", "untried")
            trainer.studio.wake_player()
            setup.player.news.append("no sound: the device is gone")
            await until(pilot, trainer, "no sound: the device is gone", "Two keys")

    play(scenario())


def test_decks_asked_for_before_they_are_listed_open_on_the_suggestion(setup: Setup) -> None:
    trainer = setup.trainer(first_deck="two-keys")
    other = setup.home / "decks" / "another.toml"
    other.write_text(DECK.replace("Two keys", "Another"), encoding="utf-8")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            trainer.go(ToDecks(None))
            await until(pilot, trainer, "Two keys", "deck 2 of 2")

    play(scenario())


def test_a_resize_and_a_look_at_the_help_keep_what_is_typed(setup: Setup) -> None:
    trainer = setup.trainer(deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell on")
            await type_in(pilot, "c d#")
            await pilot.resize_terminal(60, 20)
            await until(pilot, trainer, ":  c d#")
            await pilot.press("question_mark")
            await until(pilot, trainer, "Hand in what is typed")
            await pilot.press("escape")
            await until(pilot, trainer, ":  c d#")
            await pilot.resize_terminal(30, 5)
            await until(pilot, trainer, "needs 60x20, this is 30x5")
            await pilot.resize_terminal(80, 24)
            await until(pilot, trainer, ":  c d#")

    play(scenario())


def test_what_is_not_plain_is_asked_and_chosen_by_a_digit(setup: Setup) -> None:
    trainer = setup.trainer(deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell on")
            await type_in(pilot, "ceb")
            await pilot.press("enter")
            shown = await until(pilot, trainer, "not read, and not marked")
            digit = "1" if "1 C E♭" in shown else "2"
            await pilot.press(digit)
            await until(pilot, trainer, ":  C Eb")

    play(scenario())
    assert setup.room is not None


def test_arrows_a_paste_and_the_kitty_keyboard_write_accidentals(setup: Setup) -> None:
    trainer = setup.trainer(deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell on")
            await type_in(pilot, "f")
            await pilot.press("up", "space", "b", "down", "space")
            page = trainer.screen.query_one(AnswerPage)
            page.post_message(events.Paste("F# A\n"))
            page.post_message(events.Key("f", "f"))
            page.post_message(events.Key("shift+number_sign", None))
            await until(pilot, trainer, ":  f♯ b♭ F# A f#")
            marker = marker_of(setup.engine)
            names = [str(note.name) for note in marker.read(page.draft.text).notes]
            assert names == ["F#", "Bb", "F#", "A", "F#"]

    play(scenario())


def test_the_cell_sounds_after_the_verdict_and_never_before(setup: Setup) -> None:
    """Concert pitch: alto saxophone sounds a major sixth lower (common practice)."""
    trainer = setup.trainer(deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell on")
            cell = open_prompt(trainer).cell
            await type_in(pilot, cell_of(trainer))
            assert setup.player.played == []
            await pilot.press("enter")
            await until(pilot, trainer, "✓ right")
            (take,) = setup.player.played
            assert isinstance(take, Take)
            assert [e.midi for e in take.events] == [note.midi - 9 for note in cell.notes]
            await pilot.press("z")
            await until(pilot, trainer, "sound off", "z sound on")
            await type_in(pilot, cell_of(trainer))
            await pilot.press("enter")
            await until(pilot, trainer, "2 right")
            assert len(setup.player.played) == 1
            setup.player.news.append("no sound: the device is gone")
            await until(pilot, trainer, "no sound: the device is gone")

    play(scenario())


def test_a_prompt_by_ear_sounds_with_the_prompt_and_again_on_demand(setup: Setup) -> None:
    setup.plan = lambda plan: replace(plan, kinds=(Kind.EAR,))
    trainer = setup.trainer(deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell you hear")
            assert len(setup.player.played) == 1
            await pilot.press("full_stop")
            await until(pilot, trainer, "heard 2 times")
            assert len(setup.player.played) == 2

    play(scenario())


def test_an_answer_that_cannot_be_kept_is_not_shown_as_marked(setup: Setup) -> None:
    trainer = setup.trainer(deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell on")
            assert setup.room is not None
            setup.room.full = True
            before = open_prompt(trainer)
            await type_in(pilot, cell_of(trainer))
            await pilot.press("enter")
            shown = await until(pilot, trainer, "the disk is full")
            assert "✓" not in shown
            assert open_prompt(trainer) is before
            setup.room.full = False
            await pilot.press("enter")
            await until(pilot, trainer, "✓ right")
            # What was not kept was not learned from either: the log alone makes the model.
            store = setup.room.store
            assert store.count() == 1
            alone = replay(store.answers(), store.items())
            item = next(iter(store.items().values()))
            assert setup.room.memory.record(item) == alone.record(item)
            assert setup.room.memory.record(item).asked == 1

    play(scenario())


def test_a_held_verdict_waits_for_enter(setup: Setup) -> None:
    trainer = setup.trainer(deck="two-keys", hold=True)

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell on")
            first = open_prompt(trainer)
            await type_in(pilot, cell_of(trainer))
            await pilot.press("enter")
            await until(pilot, trainer, "enter goes on", "✓ right")
            assert open_prompt(trainer) is first
            await pilot.press("enter")
            await until(pilot, trainer, "prompt 2 of 10")

    play(scenario())


def test_looking_through_decks_and_the_map(setup: Setup) -> None:
    trainer = setup.trainer()

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "28")
            await pilot.press("d")
            shown = await until(pilot, trainer, "run 1 of 2")
            golden("decks-80x24", shown)
            await pilot.press("space")
            await until(pilot, trainer, "down", "on 8   G F♯ E G")
            await pilot.press("m")
            shown = await until(pilot, trainer, "none asked yet")
            golden("map-80x24", shown)
            await pilot.press("down")
            await until(pilot, trainer, "1-2-3-1 returning cell, down")
            await pilot.press("up")
            await until(pilot, trainer, "1-2-3-1 returning cell, up")
            await pilot.press("o")
            await until(pilot, trainer, "on 7")
            await pilot.press("escape", "enter")
            await until(pilot, trainer, "The cell on")
            key = open_prompt(trainer).question.run.key
            await pilot.press("escape")
            shown = await until(pilot, trainer, "Map")
            assert f"{key.tonic} major" in shown.replace("♭", "b")

    play(scenario())


def test_leaving_is_asked_and_twice_is_at_once(setup: Setup) -> None:
    trainer = setup.trainer()

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "28")
            await pilot.press("ctrl+c")
            await until(pilot, trainer, "Leave drill?")
            await pilot.press("escape")
            await until(pilot, trainer, "Today")
            await pilot.press("ctrl+c", "ctrl+c")

    play(scenario())
    assert trainer.return_code == 130


def test_a_deck_that_is_not_there_is_said(setup: Setup) -> None:
    trainer = setup.trainer(deck="three-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await until(pilot, trainer, "there is no deck", "two-keys")
            await pilot.press("escape")
            shown = await until(pilot, trainer, "28")
            golden("today-60x20", shown)

    play(scenario())


def test_an_error_of_ours_ends_with_a_short_word_and_a_report(setup: Setup) -> None:
    def broken() -> None:
        raise RuntimeError("broken on purpose")

    trainer = setup.trainer(make_player=broken)

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            for _ in range(50):
                await pilot.pause(0.02)

    with pytest.raises(RuntimeError, match="on purpose"):
        play(scenario())
    assert trainer.return_code == 1
    (report,) = (setup.home / "log").glob("error-*.txt")
    assert "broken on purpose" in report.read_text(encoding="utf-8")


def test_screen_text_is_what_the_page_shows(setup: Setup) -> None:
    """The helper of these tests does look at the page."""
    trainer = setup.trainer(deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell on")
            assert len(screen_text(trainer).splitlines()) == 24

    play(scenario())


def test_a_key_of_the_player_s_own_takes_the_place_of_ours(setup: Setup) -> None:
    trainer = setup.trainer(deck="two-keys", keymap={"mute": "f2"})

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "The cell on", "f2 mute")
            await pilot.press("f2")
            await until(pilot, trainer, "sound off")

    play(scenario())


def test_of_two_errors_the_first_is_told_once(
    setup: Setup, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first one is the cause of the others."""
    trainer = setup.trainer()

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "Today")
            trainer.crashed(RuntimeError("the first"))
            trainer.crashed(ValueError("the second"))
            await pilot.pause(0.05)

    with pytest.raises(RuntimeError, match="the first"):
        play(scenario())
    reports = [file.read_text(encoding="utf-8") for file in (setup.home / "log").glob("error-*")]
    assert len(reports) == 1
    assert "the first" in reports[0]
    assert trainer.return_code == 1


def test_decks_open_from_today_before_they_are_listed(setup: Setup) -> None:
    trainer = setup.trainer(first_deck="two-keys")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await pilot.press("d")
            await until(pilot, trainer, "Two keys", "deck 1 of 1")

    play(scenario())
