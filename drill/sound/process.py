"""One helper process, as the drill's side holds it: started, written to, read from, ended.

Two threads serve its pipes, so that neither a full pipe nor a silent helper can hold
up anybody else.
"""

from __future__ import annotations

import contextlib
import os
import queue
import subprocess
import sys
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from drill.errors import DrillError
from drill.sound.protocol import (
    Bye,
    Order,
    Reply,
    encode,
    receive,
)


def helper_command(skip: tuple[str, ...] = ()) -> list[str]:
    """The command line of the helper; ``skip`` names backends that it leaves out."""
    return [sys.executable, "-P", "-m", "drill.sound.helper", *skip]


def _environment(base: Mapping[str, str]) -> dict[str, str]:
    """The helper's environment: it finds the same ``drill`` as we did."""
    root = str(Path(__file__).resolve().parents[2])
    known = base.get("PYTHONPATH", "")
    path = root if not known else os.pathsep.join((known, root))
    return {**base, "PYTHONPATH": path} if Path(root).name != "site-packages" else dict(base)


class HelperProcess:
    """One helper process with the two threads that serve its pipes."""

    def __init__(
        self,
        command: list[str],
        environment: Mapping[str, str],
        log: Path | None,
        heard: Callable[[HelperProcess, Reply | None], None],
    ) -> None:
        with contextlib.ExitStack() as stack:
            errors = stack.enter_context(log.open("ab")) if log else subprocess.DEVNULL
            self._popen = subprocess.Popen(
                command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=errors,
                env=_environment(environment),
                start_new_session=True,  # the terminal's signals are not for it
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
                bufsize=0,
            )
        self._heard = heard
        self._outbox: queue.SimpleQueue[Order | None] = queue.SimpleQueue()
        for work in (self._write, self._read):
            threading.Thread(target=work, daemon=True, name=f"sound {work.__name__}").start()

    @property
    def pid(self) -> int:
        """Its number in the system."""
        return self._popen.pid

    def send(self, order: Order) -> None:
        """Put an order on its way; nothing is waited for."""
        self._outbox.put(order)

    def end(self, wait_s: float = 0.0) -> None:
        """End the process, after ``wait_s`` by force."""
        if wait_s:
            self._outbox.put(Bye())
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._popen.wait(wait_s)
        self._outbox.put(None)
        with contextlib.suppress(OSError):
            self._popen.kill()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._popen.wait(2.0)

    def _write(self) -> None:
        pipe = self._popen.stdin
        assert pipe is not None
        with contextlib.suppress(OSError, ValueError):
            while (order := self._outbox.get()) is not None:
                data = memoryview(encode(order))
                while data:
                    data = data[pipe.write(data) or 0 :]
        with contextlib.suppress(OSError):
            pipe.close()

    def _read(self) -> None:
        pipe = self._popen.stdout
        assert pipe is not None
        with contextlib.suppress(OSError, ValueError, DrillError):
            while (reply := receive(pipe)) is not None:
                if isinstance(reply, Reply):
                    self._heard(self, reply)
        self._heard(self, None)
        with contextlib.suppress(OSError):
            pipe.close()


@dataclass(frozen=True, slots=True)
class Replied:
    """A reply, and who gave it; None: that helper's pipe has ended."""

    process: HelperProcess
    reply: Reply | None
