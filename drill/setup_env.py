"""Starts ``python3 drill`` and ``python3 tests`` in the private environment of a clone.

``setup_state`` tells whether there is one that is whole; else ``setup_make`` makes it first.
Everything said goes to standard error; standard output is the program's.
"""

from __future__ import annotations

import os

from drill.setup_state import WINDOWS, EnvKind, SetupError, find, python_of, tell

TYPE_CHECKING = False  # importing typing for it would cost each start some milliseconds
if TYPE_CHECKING:
    from collections.abc import Sequence


def start(root: str, kind: EnvKind, arguments: Sequence[str]) -> int:
    """Starts the kind's module in its environment, made first if need be; the exit code.

    Where the system can, the process is replaced and nothing is returned.
    """
    try:
        env = ready(root, kind)
    except SetupError as error:
        tell(str(error))
        return error.code
    except KeyboardInterrupt:
        tell("set-up interrupted; the next start begins it again")
        return 130
    except OSError as error:
        tell(f"set-up failed: {error}")
        return 1
    try:
        return become([python_of(env), "-P", "-m", kind.module, *arguments])
    except OSError as error:
        tell(f"{error}: delete {env} and start again")
        return 1


def ready(root: str, kind: EnvKind) -> str:
    """The folder of the environment, which is made or brought up to date first if need be.

    Raises ``SetupError`` where it cannot be.
    """
    env = find(root, kind)
    if env is None:
        from drill.setup_make import make

        env = make(root, kind)
    return env


def become(command: list[str]) -> int:
    """Turns this process into the command; on Windows, which cannot, runs it: its exit code."""
    if not WINDOWS:
        os.execv(command[0], command)
    import subprocess

    with subprocess.Popen(command) as process:
        while True:
            try:
                return process.wait()
            except KeyboardInterrupt:  # the command got it as well, and decides
                continue
