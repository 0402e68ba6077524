"""One thread for the slow work on the room: opening it, spelling decks, counting.

Jobs run one after the other and never two at a time, so that the room is touched by
one of them only.  The thread ends with the program and keeps nobody waiting.
"""

from __future__ import annotations

import asyncio
import contextlib
import threading
from collections.abc import Callable
from queue import SimpleQueue
from typing import Any, TypeVar

T = TypeVar("T")

_Job = tuple[Callable[[], Any], "asyncio.Future[Any]", asyncio.AbstractEventLoop]


class Backroom:
    """Runs jobs in a thread of its own and hands back what they gave or raised."""

    def __init__(self) -> None:
        self._jobs: SimpleQueue[_Job] = SimpleQueue()
        self._started = False
        self.busy = False
        """Whether a job is being done now."""

    async def do(self, job: Callable[[], T]) -> T:
        """What a job gives, once its turn has come; what it raises is raised here.

        A job whose caller was cancelled before its turn is not run.
        """
        loop = asyncio.get_running_loop()
        future: asyncio.Future[T] = loop.create_future()
        self._jobs.put((job, future, loop))
        if not self._started:
            self._started = True
            threading.Thread(target=self._work, name="backroom", daemon=True).start()
        return await future

    def _work(self) -> None:
        while True:
            job, future, loop = self._jobs.get()
            if future.cancelled():
                continue
            self.busy = True
            try:
                result, error = job(), None
            except BaseException as raised:
                result, error = None, raised
            self.busy = False
            with contextlib.suppress(RuntimeError):  # the loop has ended: nobody listens
                loop.call_soon_threadsafe(_settle, future, result, error)


def _settle(future: asyncio.Future[Any], result: object, error: BaseException | None) -> None:
    if future.done():
        return
    if error is not None:
        future.set_exception(error)
    else:
        future.set_result(result)
