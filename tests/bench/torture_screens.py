"""A player at the screens: types, and takes down the answers whose verdict was drawn."""

from __future__ import annotations

import os
import re
import time

import pyte
from torture_program import Child, Player

_KITTY = re.compile(rb"\x1b\[[<>=?][0-9;]*u")
_MARK = re.compile(r"^ *you +(.*)$", re.MULTILINE)


class ScreenPlayer(Player):
    """Answers on the Stand, one after another."""

    _screen: pyte.Screen
    _stream: pyte.ByteStream
    _fed: int
    pause_s: float = 0.0
    """Seconds that it thinks before each answer."""

    def play(self, child: Child, until: float, most: int | None = None) -> bool:
        del most
        self._screen = pyte.Screen(80, 24)
        self._stream = pyte.ByteStream(self._screen)
        self._fed = 0
        asked, ready = 0, 0.0
        while (now := time.perf_counter()) < until:
            going = child.take(min(max(0.02, ready - now), until - now))
            shown = self._look(child)
            prompt = re.search(r"prompt (\d+)", shown)
            if now < ready:
                pass
            elif prompt and int(prompt[1]) > asked and "enter answer" in shown:
                asked, ready = int(prompt[1]), now + self.pause_s
                os.write(child.source, f"{self.next()}\r".encode())
            if not going:
                return False
        return True

    def count(self, child: Child) -> None:
        self._look(child)

    def _look(self, child: Child) -> str:
        """The screen; a verdict on it is taken down, once."""
        self._stream.feed(_KITTY.sub(b"", child.read[self._fed :]))
        self._fed = len(child.read)
        shown = "\n".join(self._screen.display)
        if mark := _MARK.search(shown):
            typed = " ".join(re.findall(r"[A-G]", mark[1]))
            if typed in self.sent and typed not in self.acknowledged[-3:]:
                self.acknowledged.append(typed)
        return shown
