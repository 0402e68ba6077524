"""Keys pressed while something runs, twice, or over another screen: no screen is left astray."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial

import pytest
from horn_player import Microphone
from tui_desk import DECK, Setup, StuckRoom
from tui_user import SMALL, User, at_keys

from drill.errors import StoreError
from drill.memory.kinds import PLAYED
from drill.tui.screens.stand import StandScreen
from drill.tui.sheet import listen
from drill.tui.trainer import Trainer
from drill.wording.keys import TYPING


@contextmanager
def busy(user: User) -> Iterator[None]:
    """The backroom is at work, so that nothing else comes out of it."""
    done, backroom = threading.Event(), user.trainer.studio.backroom
    waiting = user.does(lambda: asyncio.ensure_future(backroom.do(lambda: done.wait(20))))
    try:
        yield
    finally:
        done.set()
        user.until(waiting.done)


@pytest.fixture
def trainer(setup: Setup) -> Trainer:
    """The screens of three decks, from Today."""
    folder = setup.home / "decks"
    folder.mkdir(parents=True)
    for name in ("a-first", "b-second"):
        text = DECK.replace("Two keys", name.replace("-", " "))
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return setup.trainer(first_deck="two-keys")


@SMALL
def test_the_sound_is_turned_off_at_the_end_of_a_practice(setup: Setup, user: User) -> None:
    setup.plan = lambda plan: replace(plan, prompts=1, missed_again=False)
    user.see("28")
    user.press("enter", sees="prompt 1")
    user.answer(sees=("z mute", "1 of 1 right"))
    user.press("z", sees=("sound off", "z sound on"))
    assert setup.player.muted


def test_a_square_asked_for_before_it_is_counted_does_not_stop_the_counting(user: User) -> None:
    user.see("28")
    with busy(user):
        user.press("m", sees="counting")
        user.press("o")
    user.see("none asked yet")


def test_an_open_square_is_still_open_after_a_look_at_the_help(user: User) -> None:
    user.see("28")
    user.press("m", sees="none asked yet")
    opened = user.press("o", sees="on 7")
    user.press("question_mark", sees="F1")
    user.press("escape", sees="Map")
    user.until(lambda: not user.trainer.workers)
    assert user.shown == opened


def test_a_map_of_a_deck_that_has_lost_rows_stands_on_one_that_is_there(
    setup: Setup, user: User
) -> None:
    user.see("28")
    user.press("m", sees="none asked yet")
    user.press("end", sees="returning cell, down")
    one_way = DECK.replace('["up", "down"]', '["up"]')
    (setup.home / "decks" / "two-keys.toml").write_text(one_way, encoding="utf-8")
    user.press("question_mark", sees="F1")
    user.press("escape", sees="returning cell, up")


def test_each_press_is_a_deck_on_however_fast(user: User) -> None:
    user.see("28")
    user.press("d", sees="run 1 of 2")
    user.press("home", sees=("a first", "deck 1 of 3"))
    with busy(user):
        user.press("down", "down")
    user.see("Two keys", "deck 3 of 3")


def test_a_deck_that_is_left_already_is_not_opened_to_change(user: User) -> None:
    user.see("28")
    user.press("d", sees="run 1 of 2")
    user.press("home", sees=("a first", "deck 1 of 3"))
    with busy(user):
        user.press("down", "e", sees="deck 1 of 3")  # and no form of the first
    user.see("b second", "deck 2 of 3")
    user.press("e", sees="Deck: b second")


@pytest.mark.parametrize("prompts", [2, 1])  # in the middle, and with the verdict that is the last
def test_a_practice_ended_over_a_held_verdict_is_over(setup: Setup, prompts: int) -> None:
    setup.plan = lambda plan: replace(plan, prompts=prompts, missed_again=False)
    with at_keys(setup.trainer(deck="two-keys", hold=True)) as user:
        user.see("prompt 1")
        user.answer(sees="enter goes on")
        user.press("escape", sees="End the practice?")
        user.press("enter", sees="1 of 1 right")


def test_no_microphone_is_open_under_another_screen(setup: Setup) -> None:
    setup.plan = lambda plan: replace(plan, kinds=("degree", PLAYED), missed_again=False)
    setup.player.mute()  # nothing is listened to while the program sounds
    made: list[Microphone] = []

    def opened() -> Microphone:
        made.append(Microphone(blocks=8))
        return made[-1]

    with at_keys(setup.trainer(deck="two-keys", microphone=opened)) as user:
        user.see("microphone open", "play one long note first")
        user.press("enter", sees="The cell on")
        user.press("f1", sees="Hand in what is typed")
        user.pause(0.2)
        assert all(each.closed for each in made)
        user.press("escape", sees="microphone open")


def test_what_the_sound_has_to_say_is_said_on_the_screen_that_is_seen(setup: Setup) -> None:
    """A walk lies over the practice that it was begun in, and both ask the player."""
    with at_keys(setup.trainer(deck="two-keys")) as user:
        user.see("prompt 1")
        beneath = user.on(StandScreen)
        user.press("ctrl+r")
        user.until(lambda: user.trainer.screen not in (beneath, None))
        user.see("prompt 1 of", "esc end")
        setup.player.news.append("the device is gone")
        user.does(partial(listen, beneath))
        assert setup.player.news
        user.see("the device is gone")


def test_a_question_stays_though_the_deck_is_open_meanwhile(user: User) -> None:
    user.see("28")
    with busy(user):
        user.press("enter", sees="opening the deck")
        user.press("ctrl+c", sees="Leave drill?")
    user.pause(0.3)
    user.see("Leave drill?")
    user.press("escape", sees="prompt 1")
    user.press("escape", sees="Today")


def test_what_is_spelled_where_no_log_can_be_opened_needs_none(setup: Setup) -> None:
    def closed() -> StuckRoom:
        raise StoreError("answers.sqlite: cannot be opened")

    with at_keys(setup.trainer(open_room=closed)) as user:
        user.see("cannot be opened")
        user.press("o", sees="A practice of your own")
        user.enter("Patterns", sees=("in C major", "returning cell"))


def test_all_of_a_long_help_is_read_on_a_small_screen(setup: Setup) -> None:
    with at_keys(setup.trainer(deck="two-keys"), 60, 20) as user:
        user.see("prompt 1")
        shown = user.press("f1", sees=("Stand", "lines 1 to 17 of", "more lines"))
        assert "Notes are letters" not in shown
        user.press("end", sees=TYPING.splitlines()[-1])
        user.press("home", sees="lines 1 to 17 of")
        user.resize(80, 40)
        shown = user.see(TYPING)
        assert "lines" not in shown.splitlines()[0]
