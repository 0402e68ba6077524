"""The screens at work, through Textual's own test driver: keys in, text out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from textual import events
from tui_desk import DECK, MORNING, Setup
from tui_user import User, at_keys

from drill.decks.load import loads
from drill.memory.items import Answer
from drill.memory.kinds import Kind
from drill.memory.model import replay
from drill.memory.store import FILE_NAME, Store
from drill.practice.course import Plan
from drill.practice.effects import Prompt
from drill.practice.syllabus import build
from drill.settings.values import Remap
from drill.sound.take import Take
from drill.tui.screens.stand import StandScreen
from drill.tui.trainer import Trainer
from drill.tui.ways import ToDecks
from drill.tui.widgets.answer import AnswerPage
from drill.wording.slips import marker as marker_of


@pytest.fixture
def setup(home: Path) -> Iterator[Setup]:
    def short(plan: Plan) -> Plan:
        return replace(plan, prompts=10, kinds=(Kind.DEGREE,))

    made = Setup(home, short)
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


def test_a_practice_from_today_to_its_end(setup: Setup) -> None:
    with at_keys(setup.trainer()) as user:
        user.golden("today", user.see("Two keys", "untried", "28"))
        user.press("enter", sees="The cell on")
        missed = user.prompt.item.id
        shown = user.type("c c c c", "enter", sees=("Once more", "✗"))
        assert "you   C" in shown
        user.answer()
        for turn in range(8):
            # A copy that is right leaves no word under the next prompt.
            shown = user.see("The cell on", *["✓ right"] * (turn > 0))
            assert ("✓ right" in shown) == (turn > 0)
            user.answer()
        user.see("Missed before")
        assert user.prompt.item.id == missed
        shown = user.answer(sees=("8 of 9 right", "Missed, and when"))
        assert "✓ " in shown
        assert "1 min" in shown  # the clock stands still; less than a minute is called one
        user.press("escape", sees=("Today", "1 "))
    with Store.open(setup.home / FILE_NAME) as store:
        kept = [(answer.right, answer.again) for answer in store.answers()]
    assert kept == [(False, False), (True, True), *[(True, False)] * 9]


def test_a_clock_behind_the_newest_answer_is_told_on_the_stand(setup: Setup) -> None:
    item = build(loads(DECK, "two-keys.toml")).items[0]
    with Store.open(setup.home / FILE_NAME) as store:
        at = MORNING + timedelta(days=400)
        store.append(Answer("a", at, "2027-04-06", item.id, right=True), item)
    with at_keys(setup.trainer(deck="two-keys")) as user:
        user.see("The cell on", "clock says 2026-03-02", "2027-04-06")
        user.type("c")
        assert "clock" not in user.shown


def test_enough_for_today_is_said_on_today_and_at_the_end(setup: Setup) -> None:
    items = build(loads(DECK, "two-keys.toml")).items
    with Store.open(setup.home / FILE_NAME) as store:
        for n in range(2 * len(items)):  # every cell, twice, this very morning
            at, item = MORNING - timedelta(minutes=80 - n), items[n % len(items)]
            row = Answer(f"{n}", at, "2026-03-02", item.id, right=True, seconds=3.0, keystrokes=7)
            store.append(row, item)
    with at_keys(setup.trainer()) as user:
        shown = user.see("Enough for today", "10 prompts")
        assert "To go on all the same" in " ".join(shown.split())
        user.press("enter", sees="The cell on")
        user.type(user.cell, "enter", "escape", "enter", sees=("Enough for today", "1 of 1 right"))
        shown = user.see("0 of 28 cells by heart")
        assert "1 such day so far" in " ".join(shown.split())


def test_a_device_that_is_lost_is_told_on_today(setup: Setup) -> None:
    trainer = setup.trainer()
    with at_keys(trainer) as user:
        user.see("Two keys", "untried")
        user.does(trainer.studio.wake_player)
        setup.player.news.append("no sound: the device is gone")
        user.see("no sound: the device is gone", "Two keys")


def test_decks_asked_for_before_they_are_listed_open_on_the_suggestion(setup: Setup) -> None:
    trainer = setup.trainer(first_deck="two-keys")
    other = setup.home / "decks" / "another.toml"
    other.write_text(DECK.replace("Two keys", "Another"), encoding="utf-8")

    with at_keys(trainer) as user:
        user.does(trainer.go, ToDecks(None))
        user.see("Two keys", "deck 2 of 2")


def test_a_resize_and_a_look_at_the_help_keep_what_is_typed(setup: Setup) -> None:
    with at_keys(setup.trainer(deck="two-keys")) as user:
        user.see("The cell on")
        user.type("c d#")
        user.resize(60, 20)
        user.see(":  c d#")
        user.press("question_mark", sees="Hand in what is typed")
        user.press("escape")
        user.see(":  c d#")
        user.resize(30, 5)
        user.see("needs 60x20, this is 30x5")
        user.resize(80, 24)
        user.see(":  c d#")


def test_what_is_not_plain_is_asked_and_chosen_by_a_digit(setup: Setup) -> None:
    with at_keys(setup.trainer(deck="two-keys")) as user:
        user.see("The cell on")
        shown = user.type("ceb", "enter", sees="not read, and not marked")
        digit = "1" if "1 C E♭" in shown else "2"
        user.press(digit, sees=":  C Eb")
    assert setup.room is not None


def test_arrows_a_paste_and_the_kitty_keyboard_write_accidentals(setup: Setup) -> None:
    trainer = setup.trainer(deck="two-keys")
    with at_keys(trainer) as user:
        user.see("The cell on")
        user.type("f", "up", "space", "b", "down", "space")
        page = trainer.screen.query_one(AnswerPage)
        page.post_message(events.Paste("F# A\n"))
        page.post_message(events.Key("f", "f"))
        page.post_message(events.Key("shift+number_sign", None))
        user.see(":  f♯ b♭ F# A f#")
        marker = marker_of()
        names = [str(note.name) for note in marker.read(page.draft.text).notes]
        assert names == ["F#", "Bb", "F#", "A", "F#"]


def test_the_cell_sounds_after_the_verdict_and_never_before(setup: Setup) -> None:
    """Concert pitch: alto saxophone sounds a major sixth lower (common practice)."""
    with at_keys(setup.trainer(deck="two-keys")) as user:
        user.see("The cell on")
        cell = user.prompt.cell
        user.type(user.cell)
        assert setup.player.played == []
        user.press("enter", sees="✓ right")
        (take,) = setup.player.played
        assert isinstance(take, Take)
        assert [e.midi for e in take.events] == [note.midi - 9 for note in cell.notes]
        user.press("z", sees=("sound off", "z sound on"))
        user.answer(sees="2 right")
        assert len(setup.player.played) == 1
        setup.player.news.append("no sound: the device is gone")
        user.see("no sound: the device is gone")


def test_a_prompt_by_ear_sounds_with_the_prompt_and_again_on_demand(setup: Setup) -> None:
    setup.plan = lambda plan: replace(plan, kinds=(Kind.EAR,))
    with at_keys(setup.trainer(deck="two-keys")) as user:
        user.see("The cell you hear")
        assert len(setup.player.played) == 1
        user.press("full_stop", sees="heard 2 times")
        assert len(setup.player.played) == 2


def test_an_answer_that_cannot_be_kept_is_not_shown_as_marked(setup: Setup) -> None:
    with at_keys(setup.trainer(deck="two-keys")) as user:
        user.see("The cell on")
        assert setup.room is not None
        setup.room.full = True
        before = user.prompt
        shown = user.answer(sees="the disk is full")
        assert "✓" not in shown
        assert user.prompt is before
        setup.room.full = False
        user.press("enter", sees="✓ right")
        # What was not kept was not learned from either: the log alone makes the model.
        store = setup.room.store
        assert store.count() == 1
        alone = replay(store.answers(), store.items())
        item = next(iter(store.items().values()))
        assert setup.room.memory.record(item) == alone.record(item)
        assert setup.room.memory.record(item).asked == 1


def test_a_held_verdict_waits_for_enter(setup: Setup) -> None:
    with at_keys(setup.trainer(deck="two-keys", hold=True)) as user:
        user.see("The cell on")
        first = user.prompt
        user.answer(sees=("enter goes on", "✓ right"))
        assert user.prompt is first
        user.press("enter", sees="prompt 2 of 10")


def test_looking_through_decks_and_the_map(setup: Setup) -> None:
    with at_keys(setup.trainer()) as user:
        user.see("28")
        user.golden("decks", user.press("d", sees="run 1 of 2"))
        user.press("space", sees=("down", "on 8   G F♯ E G"))
        user.golden("map", user.press("m", sees="none asked yet"))
        user.press("down", sees="1-2-3-1 returning cell, down")
        user.press("up", sees="1-2-3-1 returning cell, up")
        user.press("o", sees="on 7")
        user.press("escape", "enter", sees="The cell on")
        key = user.prompt.question.run.key
        shown = user.press("escape", sees="Map")
        assert f"{key.tonic} major" in shown.replace("♭", "b")


def test_leaving_is_asked_and_twice_is_at_once(setup: Setup) -> None:
    trainer = setup.trainer()
    with at_keys(trainer) as user:
        user.see("28")
        user.press("ctrl+c", sees="Leave drill?")
        user.press("escape", sees="Today")
        user.press("ctrl+c", "ctrl+c")
    assert trainer.return_code == 130


def test_a_deck_that_is_not_there_is_said(setup: Setup) -> None:
    with at_keys(setup.trainer(deck="three-keys"), 60, 20) as user:
        user.see("there is no deck", "two-keys")
        user.golden("today", user.press("escape", sees="28"))


def test_an_error_of_ours_ends_with_a_short_word_and_a_report(setup: Setup) -> None:
    def broken() -> None:
        raise RuntimeError("broken on purpose")

    trainer = setup.trainer(make_player=broken)

    with pytest.raises(RuntimeError, match="on purpose"), at_keys(trainer) as user:
        user.until(lambda: trainer.return_code == 1)
    assert trainer.return_code == 1
    (report,) = (setup.home / "log").glob("error-*.txt")
    assert "broken on purpose" in report.read_text(encoding="utf-8")


def test_screen_text_is_what_the_page_shows(setup: Setup) -> None:
    """The helper of these tests does look at the page."""
    with at_keys(setup.trainer(deck="two-keys")) as user:
        user.see("The cell on")
        assert len(user.shown.splitlines()) == 24


def test_a_key_of_the_player_s_own_takes_the_place_of_ours(setup: Setup) -> None:
    with at_keys(setup.trainer(deck="two-keys", keys=(Remap("mute", ("f2",)),))) as user:
        user.see("The cell on", "f2 mute")
        user.press("f2", sees="sound off")


def test_of_two_errors_the_first_is_told_once(
    setup: Setup, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first one is the cause of the others."""
    trainer = setup.trainer()

    def crashed_twice(user: User) -> None:
        user.see("Today")
        user.does(trainer.crashed, RuntimeError("the first"))
        user.does(trainer.crashed, ValueError("the second"))

    with pytest.raises(RuntimeError, match="the first"), at_keys(trainer) as user:
        crashed_twice(user)
    reports = [file.read_text(encoding="utf-8") for file in (setup.home / "log").glob("error-*")]
    assert len(reports) == 1
    assert "the first" in reports[0]
    assert trainer.return_code == 1


def test_decks_open_from_today_before_they_are_listed(setup: Setup) -> None:
    with at_keys(setup.trainer(first_deck="two-keys")) as user:
        user.press("d", sees=("Two keys", "deck 1 of 1"))
