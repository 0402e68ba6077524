"""What was typed or changed in a form and is kept nowhere yet is not lost by a key too many."""

from __future__ import annotations

import asyncio
import threading
from pathlib import Path

import pytest
from real_house import RealHouse
from textual import events
from tui_user import SMALL, User

from drill.decks.load import load
from drill.tui.screens.form import FormScreen
from drill.tui.screens.pick import PickScreen
from drill.tui.widgets.answer import AnswerPage

AT_A_DESK = True
CHARACTERS = {"enter": "\r", "escape": "\x1b"}


@pytest.fixture(autouse=True)
def elsewhere(here: Path) -> Path:
    """The folder in which the program was started, with nothing of ours in it."""
    return here


def burst(user: User, *keys: str) -> None:
    """Keys that arrive in one read of the terminal, as of a key that is held down."""

    def arrive() -> None:
        for key in keys:
            user.trainer.post_message(events.Key(key, CHARACTERS.get(key)))

    user.does(arrive)


def own(user: User) -> None:
    """To a practice of one's own."""
    user.today("o", sees="A practice of your own")


def depth(user: User) -> int:
    return len(user.trainer.screen_stack)


def test_a_second_enter_in_one_burst_is_for_the_screen_that_the_first_led_to(user: User) -> None:
    own(user)
    user.enter("Horn", sees="type to search")
    burst(user, "enter", "enter")
    user.until(lambda: isinstance(user.trainer.screen, PickScreen))
    user.see("type to search")  # the list again, for its row was pressed again
    user.press("escape", sees="A practice of your own")
    assert depth(user) == 2


def test_a_student_is_taken_off_once(user: User) -> None:
    user.desk("Write a roster", sees="Keep the roster")
    user.enter("Add a student", "Ada", sees="Ada")
    user.enter("Add a student", "Bo", sees="Bo")
    user.enter("Ada", sees="Take off the roster")
    user.press("end")
    burst(user, "enter", "enter")
    user.see("Bo", "Take off the roster")  # Bo is next in the list, and was opened
    user.press("escape", sees=("▸ Bo", "Keep the roster"))


def test_a_second_escape_in_one_burst_asks_before_a_roster_is_left(user: User) -> None:
    user.desk("Write a roster", sees="Keep the roster")
    user.enter("Add a student", "Ada", sees="Ada")
    user.enter("Ada", sees="Take off the roster")
    burst(user, "escape", "escape")
    user.see("Leave it without keeping it?")
    user.press("escape", sees=("Ada", "Keep the roster"))


@pytest.mark.parametrize("over", ["f1", "ctrl+c"])
def test_what_is_being_typed_stays_under_another_screen(user: User, over: str) -> None:
    own(user)
    user.enter("Name")
    shown = user.press(*"zzz", sees="zzz")
    user.press(over)
    user.until(lambda: not isinstance(user.trainer.screen, FormScreen))
    user.press("escape")
    user.until(lambda: isinstance(user.trainer.screen, FormScreen))
    user.pause(0.1)
    assert user.shown == shown
    user.press("enter", sees="zzz")


def test_leaving_the_program_says_that_a_form_is_not_kept(user: User) -> None:
    own(user)
    user.press("ctrl+c", sees="Leave drill?")
    assert "not kept yet" not in user.shown
    user.press("escape", sees="A practice of your own")
    user.enter("Prompts", "5")
    user.press("ctrl+c", sees=("Leave drill?", "not kept yet"))


def test_a_long_note_of_many_lines_is_whole_after_a_look_and_after_a_change(
    real: RealHouse, user: User
) -> None:
    words = " ".join(["word"] * 150)
    path = real.house.deck_folders[0] / "long.toml"
    head = 'title = "Long"\ninstrument = "tuba"\npatterns = ["return3"]\nkeys = ["C"]\n'
    text = f'{head}note = """one\n{words}\nend"""\n'
    path.write_text(text, encoding="utf-8")
    user.desk("Change a deck", "long", sees="Deck: Long")
    user.enter("Note")
    user.press("enter", "escape", sees="The teacher's desk")  # unchanged, so nothing is asked
    user.enter("Change a deck", "long", sees="Deck: Long")
    user.enter("Note")
    user.press("!", sees="end!")
    user.press("enter")
    user.enter("Keep it as a deck", sees="kept as long")
    assert load(path).note == f"one {words} end!"


@SMALL
def test_the_end_of_what_is_typed_is_seen(user: User) -> None:
    own(user)
    user.enter("Name")
    page = user.on(FormScreen).answer
    user.does(page.on_paste, events.Paste("x" * 10_000))
    user.press(*"abc", sees="x")
    assert len(page.draft.text) == 2000
    user.press(*["backspace"] * 3, *"abc", sees="xabc")
    user.press("enter", sees="at most 100 characters, found 2000")
    user.press("escape", "enter")
    user.today("o", sees="A practice of your own")
    user.enter("Patterns", sees="type to search")
    search = user.on(PickScreen).answer
    assert isinstance(search, AnswerPage)
    user.does(search.on_paste, events.Paste("x" * 300))
    user.press(*"abc", sees=("xabc", "nothing is called that"))


def test_kept_is_said_once(user: User) -> None:
    own(user)
    user.enter("Keep it as a deck", sees="kept as my-own-practice")
    user.enter("Prompts", "5")
    user.press("question_mark", sees="F1")
    user.press("escape", sees="A practice of your own")
    user.pause(0.1)
    assert "kept as" not in user.shown


def test_a_name_that_no_system_takes_is_told(user: User) -> None:
    user.desk("Write a roster", sees="Keep the roster")
    user.enter("Add a student", "Ada", sees="Ada")
    user.enter("File", sees="Where to")
    user.does(user.on(PickScreen).answer.on_paste, events.Paste("x" * 300))
    user.press("enter", sees="Keep the roster")
    user.enter("Keep the roster", sees="too long")


def test_a_choice_that_the_horn_cannot_play_is_told_where_it_is_to_be_heard(
    real: RealHouse, user: User
) -> None:
    """C up to the sharp eleventh above the seventh is wider than a tuba's usual range."""
    path = real.house.deck_folders[0] / "low.toml"
    text = 'title = "Low"\ninstrument = "tuba"\npatterns = ["return3"]\nkeys = ["C"]\n'
    path.write_text(text, encoding="utf-8")
    user.desk("Change a deck", "low", sees="Deck: Low")
    user.enter("Patterns", "", sees="type to search")
    user.type("chord-maj7#11", sees="does not fit")
    user.press("right")
    assert user.shown.count("does not fit") == 2


def test_a_file_that_is_there_is_asked_about_after_a_look_at_the_help(
    here: Path, user: User
) -> None:
    (here / "answers-2026-03-02.db").write_text("another", encoding="utf-8")
    user.desk("Back up my answers", sees="Write the backup")
    done, backroom = threading.Event(), user.trainer.studio.backroom
    waiting = user.does(lambda: asyncio.ensure_future(backroom.do(lambda: done.wait(20))))
    user.enter("Write the backup", sees="working")
    user.press("question_mark", sees="F1")
    done.set()
    user.until(waiting.done)
    user.pause(0.3)
    user.see("F1")
    user.press("escape", sees="answers-2026-03-02.db is there already")
    user.press("escape", sees="Write the backup")
