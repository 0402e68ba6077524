"""Which private environment of a clone there is, and whether it is whole.

This is on the way of every start, so it takes as little as can be, of the standard library
alone: an environment is whole when its *stamp*, written last, says so, and the stamp holds
the very bytes of ``pyproject.toml``, so that looking is two small reads and a comparison.

A checkout that cannot be written keeps its environment in the user's caches.
"""

from __future__ import annotations

import os
import sys

WINDOWS = sys.platform == "win32"
STAMP = "drill-stamp"
HEADER = b"drill environment, form 1"
"""First line of a stamp; a change of it makes every environment anew."""


class SetupError(Exception):
    """A set-up that cannot go on; ``str()`` is one clear line."""

    def __init__(self, message: str, code: int = 1) -> None:
        super().__init__(message)
        self.code = code


class EnvKind:
    """One kind of environment: its folder, its dependency groups, the module it starts."""

    def __init__(self, folder: str, groups: tuple[str, ...], module: str, lock: str) -> None:
        self.folder = folder
        self.groups = groups
        self.module = module
        self.lock = lock


PROGRAM = EnvKind(".drill-env", (), "drill", "drill/locked.txt")
TESTS = EnvKind(".drill-env-tests", ("dev",), "pytest", "tests/locked.txt")


def tell(message: str) -> None:
    """One line to standard error."""
    print(f"drill: {message}", file=sys.stderr, flush=True)


def find(root: str, kind: EnvKind) -> str | None:
    """The environment that is whole and up to date, or None."""
    want = wanted_state(root, kind)
    here = os.path.join(root, kind.folder)
    if state(here, want) == "whole":
        return here
    if os.access(root, os.W_OK):
        return None
    spare = spare_folder(root, kind)
    return spare if state(spare, want) == "whole" else None


def read_project(root: str) -> bytes:
    """The bytes of ``pyproject.toml``; a ``SetupError`` where it cannot be read."""
    path = os.path.join(root, "pyproject.toml")
    try:
        with open(path, "rb") as file:
            return file.read()
    except OSError as error:
        raise SetupError(f"cannot read {path}: {error.strerror}") from None


def wanted_state(root: str, kind: EnvKind) -> bytes:
    """What a stamp must hold: the project file, and the first line of the lock, which names the
    rest of it."""
    return read_project(root) + lock_line(root, kind)


def lock_line(root: str, kind: EnvKind) -> bytes:
    """The first line of the lock; empty where there is none."""
    try:
        with open(os.path.join(root, *kind.lock.split("/")), "rb") as file:
            return file.readline()
    except OSError:
        return b""


def state(env: str, project: bytes) -> str:
    """``whole``, ``dated`` (only ``pyproject.toml`` differs) or ``none``."""
    try:
        with open(os.path.join(env, STAMP), "rb") as file:
            head, python, base, stamped = file.read().split(b"\n", 3)
    except (OSError, ValueError):
        return "none"
    if (head, python) != (HEADER, python_tag()):
        return "none"
    if not os.path.exists(os.fsdecode(base)) or not os.path.exists(python_of(env)):
        return "none"  # that Python was removed, or the environment belongs to another machine
    return "whole" if stamped == project else "dated"


def python_of(env: str) -> str:
    """The environment's interpreter."""
    return os.path.join(env, *(("Scripts", "python.exe") if WINDOWS else ("bin", "python")))


def python_tag() -> bytes:
    """The kind of Python that runs this, as its byte code names it: ``cpython-311``."""
    return str(sys.implementation.cache_tag).encode()


def spare_folder(root: str, kind: EnvKind) -> str:
    """Where the environment of a checkout that cannot be written lies: in the user's caches."""
    import hashlib

    name = f"{kind.folder[1:]}-{hashlib.sha256(os.fsencode(root)).hexdigest()[:12]}"
    home = os.path.expanduser("~")
    if WINDOWS:
        caches = os.environ.get("LOCALAPPDATA") or os.path.join(home, "AppData", "Local")
    elif sys.platform == "darwin":
        caches = os.path.join(home, "Library", "Caches")
    else:
        caches = os.environ.get("XDG_CACHE_HOME") or os.path.join(home, ".cache")
    return os.path.join(caches, "drill", name)
