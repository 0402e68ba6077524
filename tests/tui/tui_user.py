"""A user at the keys of the screens: presses keys and waits for what the screen is to show.

Its calls are plain ones.  The program runs while one of them waits, and stands still between them.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import AsyncExitStack, contextmanager
from dataclasses import dataclass
from typing import Any, TypeVar

import pytest
from tui_desk import golden, text_of

from drill.practice.effects import Prompt
from drill.tui.screens.stand import StandScreen
from drill.tui.sheet import Sheet
from drill.tui.trainer import Trainer

S = TypeVar("S")
T = TypeVar("T")
Sees = str | tuple[str, ...]
"""What a screen shows in the end, wherever lines break; an empty tuple waits for nothing."""

SMALL = pytest.mark.parametrize("size", [(60, 20)], ids=["60x20"])
BOTH = pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=["80x24", "60x20"])
NAMES = {" ": "space", "#": "number_sign"}


@dataclass(frozen=True)
class User:
    """One user, at a terminal of ``size`` (columns, rows)."""

    trainer: Trainer
    size: tuple[int, int]
    pilot: Any
    runner: asyncio.Runner

    @property
    def shown(self) -> str:
        """What the page on top shows."""
        return text_of(self.on(Sheet).page.shown)

    def drawn(self, width: int, height: int) -> str:
        """The page on top, drawn for another terminal."""
        return text_of(self.on(Sheet).set_page(width, height))

    def on(self, screen: type[S]) -> S:
        """The screen on top, which is of that kind."""
        assert isinstance(self.trainer.screen, screen)
        return self.trainer.screen

    def does(self, call: Callable[..., T], *args: Any) -> T:
        """Something done to the program itself, within its loop."""

        async def done() -> T:
            return call(*args)

        return self.runner.run(done())

    def pause(self, seconds: float) -> None:
        self.runner.run(self.pilot.pause(seconds))

    def resize(self, width: int, height: int) -> None:
        self.runner.run(self.pilot.resize_terminal(width, height))

    def until(self, true: Callable[[], bool]) -> None:
        """Wait until something is so."""
        for _ in range(1000):
            if true():
                return
            self.pause(0.01)
        raise AssertionError(f"it never came to that; the screen shows\n{self.shown}")

    def see(self, *texts: str) -> str:
        """Wait until the screen shows all the texts, wherever lines break; what it shows then."""
        wanted = ["".join(text.split()) for text in texts]
        shown = ""

        def all_there() -> bool:
            nonlocal shown
            if self.trainer.screen.is_mounted and hasattr(self.trainer.screen, "page"):
                shown = self.shown
                flat = "".join(shown.split())  # a long path breaks anywhere
                return all(text in flat for text in wanted)
            return False

        self.pause(0.01)
        try:
            self.until(all_there)
        except AssertionError:
            raise AssertionError(f"{texts} never came; the screen shows\n{shown}") from None
        return shown

    def press(self, *keys: str, sees: Sees = ()) -> str:
        """Press keys; what the screen shows once it shows what it is to."""
        self.runner.run(self.pilot.press(*keys))
        return self.see(*(sees if isinstance(sees, tuple) else (sees,))) if sees else ""

    def type(self, text: str, *keys: str, sees: Sees = ()) -> str:
        """Type a text, then press keys."""
        return self.press(*(NAMES.get(sign, sign) for sign in text), *keys, sees=sees)

    def go(self, label: str, *keys: str, sees: Sees = ()) -> str:
        """Go to the row of a form that begins so, and press keys there."""
        shown = self.press("home", sees="▸")
        for _ in range(40):
            if f"▸ {label}" in shown or f"▸   {label}" in shown:
                return self.press(*keys, sees=sees)
            shown = self.press("down", sees="▸")
        raise AssertionError(f"no row {label}\n{shown}")

    def enter(self, label: str, text: str = "", sees: Sees = ()) -> str:
        """Press the row of a form that begins so; type what is asked for there."""
        return self.go(label, "enter", *text, *["enter"] * bool(text), sees=sees)

    def fill(self, label: str, text: str, sees: Sees = ()) -> str:
        """Put a text in the place of what a row of a form has."""
        return self.go(label, "enter", "ctrl+u", *text, "enter", sees=sees or text)

    def today(self, *keys: str, sees: Sees = ()) -> str:
        """Wait for Today, and press keys there."""
        self.see("Today", "due")
        return self.press(*keys, sees=sees)

    def desk(self, label: str = "", text: str = "", sees: Sees = ()) -> str:
        """From Today to the teacher's desk, and in at one of its rows."""
        shown = self.today("c", sees=("The teacher's desk", "Write a deck"))
        return self.enter(label, text, sees) if label else shown

    def golden(self, name: str, shown: str = "") -> None:
        """Compare a screen, by itself the one on top, with the one kept for this size."""
        golden(f"{name}-{self.size[0]}x{self.size[1]}", shown or self.shown)

    @property
    def prompt(self) -> Prompt:
        """What the Stand asks."""
        prompt = self.on(StandScreen).sitting.prompt
        assert prompt is not None
        return prompt

    @property
    def cell(self) -> str:
        """The right answer to what the Stand asks."""
        return " ".join(str(note.name) for note in self.prompt.cell.notes)

    def answer(self, text: str = "", sees: Sees = ()) -> str:
        """Hand in an answer on the Stand, by itself the right one."""
        return self.type(text or self.cell, "enter", sees=sees)


@contextmanager
def at_keys(trainer: Trainer, width: int = 80, height: int = 24) -> Iterator[User]:
    """A user of these screens; the program has ended, and its log is closed, after that."""
    with asyncio.Runner() as runner:
        open_ = AsyncExitStack()
        pilot = runner.run(open_.enter_async_context(trainer.run_test(size=(width, height))))
        try:
            yield User(trainer, (width, height), pilot, runner)
        finally:
            runner.run(open_.aclose())
            trainer.studio.close()


@pytest.fixture
def size() -> tuple[int, int]:
    """Columns and rows of the terminal; a test may have another (SMALL, BOTH)."""
    return 80, 24


@pytest.fixture
def user(trainer: Trainer, size: tuple[int, int]) -> Iterator[User]:
    """A user of the screens of a test."""
    with at_keys(trainer, *size) as made:
        yield made
