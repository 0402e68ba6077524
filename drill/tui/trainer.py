"""The program with screens, wired together; nothing is decided here."""

from __future__ import annotations

import asyncio
import contextlib
import errno
import signal
import threading
from pathlib import Path
from typing import Any

from rich.text import Text
from textual.app import App
from textual.screen import Screen

from drill.tui.context import Context, Theme
from drill.tui.looks import Looks
from drill.tui.screens.base import Sheet
from drill.tui.screens.opening import OpeningScreen
from drill.tui.screens.today import TodayScreen
from drill.tui.studio import Studio
from drill.tui.themes import TERMINAL, look, variables

_SIGNALS = {"SIGTERM": 143, "SIGHUP": 129, "SIGINT": 130}


class Trainer(App[None], inherit_bindings=False):
    """The screens over one studio."""

    CSS_PATH = "drill.tcss"
    TITLE = "drill"
    ENABLE_COMMAND_PALETTE = False
    ESCAPE_TO_MINIMIZE = False

    def __init__(self, context: Context, looks: Looks) -> None:
        super().__init__()
        self.studio = Studio(context, looks)
        self._ended_by_error = False
        self._colours(looks.theme)

    def get_theme_variable_defaults(self) -> dict[str, str]:
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
        deck = self.studio.context.deck
        return OpeningScreen(deck) if deck is not None else TodayScreen()

    def on_mount(self) -> None:
        self.set_keymap(dict(self.studio.context.keymap))
        # A terminal that comes back from the background has an empty screen.
        self.app_resume_signal.subscribe(self, lambda _: self.refresh(repaint=True, layout=True))
        loop = asyncio.get_running_loop()
        loop.set_exception_handler(self._lost)
        threading.excepthook = self._lost_in_thread
        for name, code in _SIGNALS.items():
            number = getattr(signal, name, None)
            with contextlib.suppress(NotImplementedError, RuntimeError, ValueError):
                if number is not None:
                    loop.add_signal_handler(number, self.leave, code)

    def on_unmount(self) -> None:
        threading.excepthook = threading.__excepthook__

    # Going from screen to screen.

    def back(self) -> None:
        """Leave a screen; Today is beneath all of them."""
        stack = self.screen_stack
        if len(stack) == 1:
            self.push_screen(TodayScreen())
        elif isinstance(stack[-2], OpeningScreen):
            self.switch_screen(TodayScreen())
        else:
            self.pop_screen()

    def replace_screen(self, screen: Screen[None]) -> None:
        """Put a screen in the place of the top one; the lowest stays, beneath it."""
        if len(self.screen_stack) == 1:
            self.push_screen(screen)
        else:
            self.switch_screen(screen)

    def open_decks(self, chosen: Path | None) -> None:
        from drill.tui.screens.decks import DecksScreen

        self.push_screen(DecksScreen(chosen))

    def open_map(self, deck: Path) -> None:
        from drill.tui.screens.map import MapScreen

        self.push_screen(MapScreen(deck))

    def open_settings(self) -> None:
        desk = self.studio.context.settings
        if desk is not None:
            from drill.tui.screens.settings import SettingsScreen

            self.push_screen(SettingsScreen(desk))

    def ask_to_quit(self) -> None:
        """Ask whether to leave; asked twice, leave at once."""
        from drill.tui.screens.asking import ConfirmScreen

        if isinstance(self.screen, ConfirmScreen):
            # Both keys came in one burst: the second was on its way to the screen beneath.
            self.leave(130)
            return
        self.push_screen(
            ConfirmScreen(
                "Leave drill?",
                "Every answer that was marked is kept.",
                lambda: self.leave(0),
                ("leave", "stay"),
            )
        )

    def leave(self, code: int) -> None:
        """End the program with an exit code."""
        self.exit(return_code=code)

    # Errors in the program itself.

    def crashed(self, error: Exception) -> None:
        """End the program over an error, with a short word and a report."""
        self._handle_exception(error)

    def _fatal_error(self) -> None:
        """Say it shortly and keep the trace in a file; Textual's own prints the whole of it with
        every local variable."""
        error = self._exception
        if error is None or self._ended_by_error:  # the first one is the cause of the others
            return
        self._ended_by_error = True
        from drill.tui import crash

        context = self.studio.context
        self.panic(Text(crash.told(error, crash.report(context.log, error, context.utc_now()))))

    def _lost(self, loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
        """An error that nobody waits for: kept for a report, and the drill goes on."""
        error = context.get("exception") or RuntimeError(str(context.get("message")))
        self._report(error)

    def _report(self, error: BaseException) -> None:
        from drill.tui import crash

        crash.report(self.studio.context.log, error, self.studio.context.utc_now())

    def _lost_in_thread(self, lost: threading.ExceptHookArgs) -> None:
        error = lost.exc_value
        gone = isinstance(error, OSError) and error.errno == errno.EIO
        if error is not None and not gone:  # a terminal that is gone is no fault of ours
            self._report(error)


__all__ = ["Sheet", "Trainer"]
