"""What every screen is: one page, its last line of keys, and what the keys of its place do."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.events import Key
from textual.screen import Screen
from textual.worker import Worker, WorkerState

from drill.errors import DrillError
from drill.tui.actions import Place, at, key_line, keys_of
from drill.tui.glyphs import Glyphs
from drill.tui.layout import cut
from drill.tui.studio import Studio
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line
from drill.tui.widgets.page import Page
from drill.wording.screens import too_small_told

if TYPE_CHECKING:
    from drill.tui.draft import Draft
    from drill.tui.ways import Program, Way

LEAST = (36, 10)
"""Columns and rows below which a screen shows only that it needs more."""
USABLE = (60, 20)

POLL_S = 0.5
"""How often the sound is asked for news."""

Acts = Mapping[str, Callable[[], object]]
"""What a screen does, by the actions' words (``Action.verb``)."""


def bindings(place: Place) -> list[BindingType]:
    """The bindings of a screen, from the table."""
    return [
        Binding(
            ",".join(action.keys), f"do('{action.verb}')", action.help, show=False, id=action.id
        )
        for action in at(place)
    ]


def too_small(width: int, height: int, least: tuple[int, int] = LEAST) -> Lines | None:
    """The notice for a terminal that is too small; None where it is not."""
    if width >= least[0] and height >= least[1]:
        return None
    text = too_small_told(USABLE, (width, height))
    row = cut(line(Stretch(text, Role.NOTICE)), width, "")
    return (*[BLANK] * ((height - 1) // 2), row, *[BLANK] * (height // 2))[: max(height, 1)]


def moved(verb: str, chosen: int, count: int) -> int:
    """The row stood on after ``up``, ``down``, ``first`` or ``last``; 0 where there is none."""
    wanted = {"up": chosen - 1, "down": chosen + 1, "first": 0, "last": count - 1}[verb]
    return max(0, min(wanted, count - 1))


class KeyedScreen(Screen[None]):
    """A screen whose keys are those of its place in the table."""

    PLACE: ClassVar[Place]

    def __init_subclass__(cls) -> None:
        cls.BINDINGS = bindings(cls.PLACE) if "PLACE" in vars(cls) else []
        super().__init_subclass__()

    def acts(self) -> Acts:
        """What this screen does; every word of its place in the table, and no other."""
        raise NotImplementedError

    def action_do(self, verb: str) -> None:
        """What a key was pressed for; a fault of the user's is shown."""
        try:
            self.acts()[verb]()
        except DrillError as error:
            self.say(str(error))

    def say(self, notice: str) -> None:
        """Show a sentence."""
        raise NotImplementedError


class Sheet(KeyedScreen):
    """A screen that is one page.  Subclasses say what stands on it and what its keys do."""

    _view: Any = None
    """What stands on it, where that is one value; subclasses say of which kind."""

    def __init__(self, program: Program) -> None:
        super().__init__()
        self.program = program
        self.page = self.make_page()
        self._keys: tuple[tuple[object, ...], Line] | None = None
        """The last line, and what it was made of: most keys change nothing of it."""
        self.following: Way | None = None
        """Where to go from here once nothing lies over this screen; None for nowhere."""

    def compose(self) -> ComposeResult:
        yield self.page

    def make_page(self) -> Page:
        """The page of this screen."""
        return Page(self.set_page)

    @property
    def studio(self) -> Studio:
        return self.program.studio

    @property
    def glyphs(self) -> Glyphs:
        """The signs that are drawn with."""
        return self.studio.glyphs

    def lines(self, width: int, height: int) -> Lines:
        """What stands above the last line, at most ``height`` lines."""
        raise NotImplementedError

    def words_instead(self) -> Mapping[str, str]:
        """Other words for actions in the last line, by action id."""
        return {}

    def set_page(self, width: int, height: int) -> Lines:
        """The whole page."""
        small = too_small(width, height)
        if small is not None:
            return small
        body = tuple(self.lines(width, height - 1))[: height - 1]
        fill = [BLANK] * (height - 1 - len(body))
        asked = width, self.glyphs, self.studio.wishes.keymap, self.words_instead()
        if self._keys is None or self._keys[0] != asked:
            self._keys = asked, key_line(self.PLACE, *asked)
        keys = self._keys[1]
        ellipsis = self.glyphs.ellipsis
        return (*(cut(row, width, ellipsis) for row in body), *fill, keys)

    def show(self, **changed: Any) -> None:
        """Show what has changed of the view."""
        self._view = replace(self._view, **changed)
        self.redraw()

    def redraw(self) -> None:
        """Show what has changed."""
        if self.is_mounted:
            self.page.update()

    def on_screen_resume(self) -> None:
        self.page.focus()
        self.redraw()
        following, self.following = self.following, None
        if following is not None:
            self.program.go(following, instead=True)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Slow work that failed: a fault of the user's is shown, ours ends the program."""
        if event.state is not WorkerState.ERROR:
            return
        error = event.worker.error
        if isinstance(error, DrillError):
            self.say(str(error))
        elif isinstance(error, Exception):
            self.program.crashed(error)

    def acts(self) -> Acts:
        """What this screen does; every word of its place in the table, and no other."""
        return {
            "help": self._help,
            "back": self.program.back,
            "quit_asked": self.program.ask_to_quit,
            "suspend": self.program.to_background,
            "mute": lambda: self.say(self.studio.toggle_mute()),
        }

    def _help(self) -> None:
        from drill.tui.ways import ToHelp  # no start waits for the ways

        self.program.go(ToHelp(self.PLACE))

    def say(self, notice: str) -> None:
        """Show a sentence, such as a fault that slow work met, where there is a place for it."""
        if self._view is not None:
            self.show(notice=notice)


def give_place(screen: Sheet, way: Way) -> None:
    """Let what slow work led to take a screen's place; where something lies over it, such as a
    question, once that is gone."""
    if screen.is_active:
        screen.program.go(way, instead=True)
    else:
        screen.following = way


def news(screen: Sheet) -> str | None:
    """What the sound has to tell, once, where the screen is in view; None for nothing."""
    player = screen.studio.player
    return player.poll() if player is not None and screen.app.screen is screen else None


def listen(screen: Sheet) -> None:
    """Have the screen say it."""
    if notice := news(screen):
        screen.say(notice)


class RowSheet(Sheet):
    """A screen with rows to stand on, the one stood on ``chosen`` in its view."""

    def row_count(self) -> int:
        """How many rows there are; 0 while none can be walked."""
        raise NotImplementedError

    def walk(self, verb: str) -> None:
        """Stand on another row: ``up``, ``down``, ``first`` or ``last``."""
        if count := self.row_count():
            self.show(chosen=moved(verb, self._view.chosen, count), notice="")

    def acts(self) -> Acts:
        rows = {verb: partial(self.walk, verb) for verb in ("up", "down", "first", "last")}
        return {**super().acts(), **rows}


class TypingSheet(Sheet):
    """A screen on which something is typed."""

    ANYTHING: ClassVar[bool] = False
    """True takes every character while the answer is open."""

    def make_page(self) -> Page:
        from drill.tui.widgets.answer import AnswerPage  # no first frame waits for it

        self.answer = AnswerPage(
            self.set_page, self.typed, self.act, lambda: self.is_active, anything=self.ANYTHING
        )
        return self.answer

    def act(self, names: list[str]) -> bool:
        """Do what a key is for here, at once; False where it is for nothing."""
        keymap = self.studio.wishes.keymap
        for action in at(self.PLACE):
            if not set(names).isdisjoint(keys_of(action, keymap)):
                self.action_do(action.verb)
                return True
        return False

    def typed(self, draft: Draft) -> None:
        """What to do with each new draft while the answer is open."""

    def on_key(self, event: Key) -> None:
        # The page stops what it takes: this is no key for typing, or one that came before the
        # page had the focus.
        self.answer.on_key(event)
