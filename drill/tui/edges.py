"""The one place where something of Textual's own is taken over, with the reason for each.

* ``_fatal_error``: Textual prints the whole trace with every local variable, which may be
  hundreds of lines; a player reads a short word, and the trace goes to a file.
* ``_handle_exception``: the only way to end an app over an error that was caught elsewhere.
* the decoder of ``linux_driver``: a byte that is no UTF-8 would end the program.
"""

from __future__ import annotations

import codecs
import functools
import os

from rich.text import Text
from textual.app import App


class EndingApp(App[None], inherit_bindings=False):
    """An app that ends over an error with one short text."""

    _ended_by_error = False

    def told(self, error: BaseException) -> str:
        """What to say of an error; it may write a report on the way."""
        raise NotImplementedError

    def crashed(self, error: Exception) -> None:
        """End over an error, with the short text."""
        self._handle_exception(error)

    def close(self) -> None:
        """Take the screen on top away."""
        self.pop_screen()

    def leave(self, code: int) -> None:
        """End with an exit code."""
        self.exit(return_code=code)

    def _fatal_error(self) -> None:
        error = self._exception
        if error is None or self._ended_by_error:  # the first one is the cause of the others
            return
        self._ended_by_error = True
        self.panic(Text(self.told(error)))


def forgive_bad_bytes() -> None:
    """Let a byte that is no UTF-8 become a replacement sign.

    A terminal, or a line to one, may send anything.
    """
    if os.name != "posix":
        return
    from textual.drivers import linux_driver

    if hasattr(linux_driver, "getincrementaldecoder"):

        def forgiving(encoding: str) -> functools.partial[codecs.IncrementalDecoder]:
            return functools.partial(codecs.getincrementaldecoder(encoding), errors="replace")

        linux_driver.getincrementaldecoder = forgiving
