"""Notices a terminal that is gone, where no hangup arrives.

A killed terminal program, or a broken remote shell in a session of its own, sends no signal:
what is left reads as an end of file for ever, and the program would spin.  A thread asks the
system twice a second whether the terminal still is one.
"""

from __future__ import annotations

import contextlib
import errno
import os
import threading
from collections.abc import Callable

from drill.errors import ExitCode

CODE = int(ExitCode.HUNG_UP)
_EVERY_S = 0.5
_PATIENCE_S = 1.0
_GONE = (errno.EIO, errno.ENXIO, errno.EBADF)


def is_gone(handle: int) -> bool:
    """Whether the terminal with this file number was taken away; False for what never was one."""
    try:
        import termios
    except ImportError:  # Windows ends the program itself
        return False
    try:
        termios.tcgetattr(handle)
    except (OSError, termios.error) as fault:
        return bool(fault.args) and fault.args[0] in _GONE
    return False


class HangupWatch:
    """Calls ``leave`` when the terminal is gone, and ends the process where that leads nowhere.

    Every answer whose verdict was shown is in the log by then.
    """

    def __init__(
        self,
        handle: int,
        leave: Callable[[], object],
        *,
        end: Callable[[int], object] = os._exit,
        gone: Callable[[int], bool] = is_gone,
        every_s: float = _EVERY_S,
        patience_s: float = _PATIENCE_S,
    ) -> None:
        self._handle, self._leave, self._end, self._gone = handle, leave, end, gone
        self._every_s, self._patience_s = every_s, patience_s
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._watch, name="hangup", daemon=True)

    def __enter__(self) -> HangupWatch:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()

    def _watch(self) -> None:
        while not self._over.wait(self._every_s):
            if self._gone(self._handle):
                leaving = threading.Thread(target=self._go, daemon=True)  # it may wait for ever
                leaving.start()
                if not self._over.wait(self._patience_s):
                    self._end(CODE)
                return

    def _go(self) -> None:
        with contextlib.suppress(Exception):
            self._leave()
