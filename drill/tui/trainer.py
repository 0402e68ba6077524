"""The program with screens, wired together; nothing is decided here."""

from __future__ import annotations

import asyncio
import contextlib
import errno
import gc
import signal
import threading
from typing import TYPE_CHECKING, Any

from textual.app import App
from textual.screen import Screen

from drill.settings.values import Settings, Theme
from drill.tui.actions import Place
from drill.tui.context import Context
from drill.tui.doors import first_door, open_door
from drill.tui.edges import EndingApp
from drill.tui.looks import Looks
from drill.tui.studio import Studio
from drill.tui.themes import TERMINAL, look, variables
from drill.wording.crash import crash_told
from drill.wording.screens import KEPT, LEAVE, UNKEPT

if TYPE_CHECKING:
    from drill.tui.ways import Way

_SIGNALS = {"SIGTERM": 143, "SIGHUP": 129, "SIGINT": 130}


_RESTED_S = 1.0
"""The start is over by then, and the collector of garbage may work."""


_NO_RETURN = (Place.OPENING, Place.START)
"""Screens that are over once another took their place; the lowest stays, beneath it."""

_OVER = (Place.HELP, Place.CONFIRM)
"""Screens that lie over another for a moment, whatever it is."""


def _collect_again() -> None:
    """Let garbage be collected again, without looking through what the start has brought: it
    stays, and a look through all of it takes longer than a key may."""
    gc.freeze()
    gc.enable()


class Trainer(EndingApp, inherit_bindings=False):
    """The screens over one studio; what they ask for is ``ways.Program``."""

    CSS_PATH = "drill.tcss"
    TITLE = "drill"
    ENABLE_COMMAND_PALETTE = False
    ESCAPE_TO_MINIMIZE = False

    def __init__(self, context: Context, looks: Looks, wishes: Settings | None = None) -> None:
        """``wishes`` are the settings in force; None reads them."""
        super().__init__()
        self.studio = Studio(context, looks, wishes or context.wishes())
        self._colours(looks.theme)

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """The terminal's own colours, until a theme is taken."""
        return variables(Theme.TERMINAL)

    def _colours(self, theme: Theme) -> None:
        """Take a theme before anything is styled; changing it later styles all of it twice."""
        if theme is Theme.TERMINAL:
            if self.theme != TERMINAL:  # else it was in force from the beginning
                self.theme = TERMINAL
            return
        colours = look(theme)
        self.register_theme(colours)
        self.set_reactive(App.theme, colours.name)
        self.stylesheet.set_variables(self.get_css_variables())

    def get_default_screen(self) -> Screen[Any]:
        """The screen of the start."""
        return first_door(self)

    def on_mount(self) -> None:
        self.set_keymap(self.studio.wishes.keymap)
        # A terminal that comes back from the background has an empty screen.
        self.app_resume_signal.subscribe(self, lambda _: self.refresh(repaint=True, layout=True))
        loop = asyncio.get_running_loop()
        loop.set_exception_handler(
            lambda _, lost: self._report(lost.get("exception") or RuntimeError(lost["message"]))
        )
        threading.excepthook = self._lost_in_thread
        if not gc.isenabled():
            self.set_timer(_RESTED_S, _collect_again)
        for name, code in _SIGNALS.items():
            number = getattr(signal, name, None)
            with contextlib.suppress(NotImplementedError, RuntimeError, ValueError):
                if number is not None:
                    loop.add_signal_handler(number, self.leave, code)

    def on_unmount(self) -> None:
        threading.excepthook = threading.__excepthook__

    # What the screens may ask for.

    def go(self, way: Way, *, instead: bool = False) -> None:
        screen = open_door(way, self)
        if instead and len(self.screen_stack) > 1:
            self.switch_screen(screen)
        else:  # the lowest stays, beneath it
            self.push_screen(screen)

    def back(self) -> None:
        from drill.tui.ways import ToToday  # no start waits for the ways

        stack = self.screen_stack
        if len(stack) == 1:
            self.go(ToToday())
        elif _place(stack[-2]) in _NO_RETURN and _place(self.screen) not in _OVER:
            self.go(ToToday(), instead=True)
        else:
            self.pop_screen()

    def ask_to_quit(self) -> None:
        if _place(self.screen) is Place.CONFIRM:
            # Both keys came in one burst: the second was on its way to the screen beneath.
            self.leave(130)
            return
        from drill.tui.ways import ToQuestion

        unkept = any(getattr(screen, "unkept", False) for screen in self.screen_stack)
        more = UNKEPT if unkept else KEPT
        self.go(ToQuestion(LEAVE, more, lambda: self.leave(0), ("leave", "stay")))

    def follow(self) -> None:
        before = self.studio.looks.theme
        self.studio.follow()
        self.set_keymap(self.studio.wishes.keymap)
        theme = self.studio.looks.theme
        if theme is not before:
            colours = None if theme is Theme.TERMINAL else look(theme)
            if colours is not None:
                self.register_theme(colours)
            self.ansi_color = colours is None
            self.theme = colours.name if colours else TERMINAL

    def to_background(self) -> None:
        self.action_suspend_process()

    # Errors in the program itself.

    def told(self, error: BaseException) -> str:

        return crash_told(type(error).__name__, self._report(error))

    def _report(self, error: BaseException) -> Any:
        """Keep an error for a report: its file, None where it cannot be written."""
        from drill.tui import crash

        return crash.report(self.studio.context.log, error, self.studio.context.utc_now())

    def _lost_in_thread(self, lost: threading.ExceptHookArgs) -> None:
        error = lost.exc_value
        gone = isinstance(error, OSError) and error.errno == errno.EIO
        if error is not None and not gone:  # a terminal that is gone is no fault of ours
            self._report(error)


def _place(screen: Screen[Any]) -> Place | None:
    return getattr(screen, "PLACE", None)
