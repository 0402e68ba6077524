"""Makes the private environment of a clone, or brings it up to date: see ``setup_state``.

Standard library only; it is loaded where there is something to make.

* The checkout reaches the environment's path by a *relative* path file, so a
  checkout may be moved or copied with its environment.
* One set-up at a time: the others wait for a lock that ends with the process
  and its children, so a killed set-up leaves nothing to clear by hand.
* When only ``pyproject.toml`` changed, the environment is brought up to date;
  when anything else is amiss, it is made anew.
* What is installed is what the lock says: exact versions, each file by its SHA-256 and from
  wherever pip is told to look.  ``python3 tests --lock`` renews it; where it was made for
  other requirements than those of ``pyproject.toml``, these are taken as they stand.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Sequence

from drill.setup_state import (
    HEADER,
    STAMP,
    WINDOWS,
    EnvKind,
    SetupError,
    lock_line,
    python_of,
    python_tag,
    read_project,
    spare_folder,
    state,
    tell,
    wanted_state,
)

Say = Callable[[str], None]
Run = Callable[[list[str], Say | None], tuple[int, str]]
"""Runs a command: its exit code and all it printed; each line also goes to the second argument
as it comes, unless that is None."""

OFFLINE = 69
"""Exit code: the packages could not be fetched (``EX_UNAVAILABLE``)."""
NO_VENV = 72
"""Exit code: this Python has no ``venv`` or ``ensurepip`` (``EX_OSFILE``)."""
NO_ROOM = 73
"""Exit code: no folder for the environment can be written (``EX_CANTCREAT``)."""
# An old Python is exit code 78 (EX_CONFIG), in __main__.py: it cannot read this file.

LOG = "set-up.log"
SIMPLEAUDIO_BEFORE = (3, 12)
"""From this Python on, simpleaudio ends the process when a sound ends."""
CACHES = "LOCALAPPDATA" if WINDOWS else "XDG_CACHE_HOME" if sys.platform != "darwin" else "HOME"
"""Where the system is told another folder for caches."""
LOST = "connection broken by"
"""In the warnings that pip gives when an index or a download cannot be reached."""
ANOTHER = "DO NOT MATCH THE HASHES"
"""In what it says of a package that is not the one that the lock names."""


def make(root: str, kind: EnvKind, say: Say = tell) -> str:
    """Makes the environment, or brings it up to date; its folder.

    Raises ``SetupError`` with one of the exit codes above.
    """
    for env in (os.path.join(root, kind.folder), spare_folder(root, kind)):
        try:
            os.makedirs(os.path.dirname(env), exist_ok=True)
            held = os.open(env + ".lock", os.O_RDWR | os.O_CREAT, 0o644)
        except OSError:
            continue
        try:
            wait_for(held, say)
            build(root, env, kind, runner(held), say)
        finally:
            os.close(held)
        return env
    raise SetupError(
        f"neither {root} nor {os.path.dirname(env)} can be written: copy the folder to a place of "
        f"your own and start it there, or set {CACHES} to a folder that can be written",
        NO_ROOM,
    )


def wait_for(held: int, say: Say) -> None:
    """Takes the lock on an open file, waiting for whoever has it; where none can be, goes on."""
    if sys.platform == "win32":
        import msvcrt

        while True:
            try:
                return msvcrt.locking(held, msvcrt.LK_LOCK, 1)
            except OSError:  # after ten tries, one a second
                say("another set-up is at work; waiting for it")
    import fcntl

    try:
        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        say("another set-up is at work; waiting for it")
        fcntl.flock(held, fcntl.LOCK_EX)
    except OSError:
        pass  # a file system without locks


def build(root: str, env: str, kind: EnvKind, run: Run, say: Say) -> None:
    """Makes the environment whole, from whatever state it is in, and stamps it."""
    project = read_project(root)
    want = wanted_state(root, kind)
    found = state(env, want)
    if found == "whole":  # made by the set-up that was waited for
        return
    wanted, extra, engraver = requirements(project, kind.groups)
    mark = os.path.join(env, STAMP)
    if found == "dated":
        say(f"pyproject.toml has changed: bringing {env} up to date")
        os.replace(mark, mark + ".old")
    else:
        say(f"making a private environment in {env} (once; a minute or two)")
        create(env, run)
    locked = sections(root, kind, [*wanted, *extra, *engraver])
    if not locked and lock_line(root, kind):
        say(f"{kind.lock} is for other requirements; taking what pyproject.toml asks for")
    try:
        install(env, wanted, run, say, locked.get("all", ""))
    except SetupError as error:
        if found == "dated" and error.code == OFFLINE:  # pip fetches all before it changes any
            os.replace(mark + ".old", mark)
        raise
    link(root, env, run)
    add_simpleaudio(env, extra, run, say, locked=locked)
    add_engraver(env, engraver, run, say, locked.get("print", ""))
    run([python_of(env), "-I", "-m", "compileall", "-q", os.path.join(root, "drill")], None)
    stamp(env, want)


def requirements(project: bytes, groups: tuple[str, ...]) -> tuple[list[str], ...]:
    """What ``pyproject.toml`` asks for: always, for simpleaudio, to engrave (``dev`` has it)."""
    try:
        table = tomllib.loads(project.decode())
        wanted = list(table["project"]["dependencies"])
        for group in groups:
            wanted += table["dependency-groups"][group]
        extras = table["project"]["optional-dependencies"]
        return wanted, extras["simpleaudio"], [] if groups else extras.get("print", [])
    except ValueError as error:
        raise SetupError(f"pyproject.toml cannot be read: {error}") from None
    except KeyError as error:
        raise SetupError(f"pyproject.toml has no {error}") from None


def fingerprint(requirements: Sequence[str]) -> str:
    """A name for a set of requirements, as the first line of a lock holds it."""
    return hashlib.sha256("\n".join(sorted(requirements)).encode()).hexdigest()


def sections(root: str, kind: EnvKind, requirements: Sequence[str]) -> dict[str, str]:
    """The parts of the lock by name, as pip reads them; empty where it is for others."""
    try:
        with open(os.path.join(root, *kind.lock.split("/")), encoding="utf-8") as file:
            first, *parts = file.read().split("# -- ")
    except (OSError, ValueError):
        return {}
    if fingerprint(requirements) not in first:
        return {}
    return {name.strip(): text for name, _, text in (part.partition("\n") for part in parts)}


def this_python() -> str:
    """The interpreter to make environments with: the one under any environment that runs now.

    Without a ``PATH`` Python may not know its own file; then the system is asked.
    """
    known = getattr(sys, "_base_executable", "") or sys.executable
    if known:
        return str(known)
    try:
        return os.readlink("/proc/self/exe")
    except OSError:
        raise SetupError("cannot tell which Python runs this; start it by its full path") from None


def create(env: str, run: Run) -> None:
    """An empty environment with pip, whatever was in the folder."""
    advice = "add them (Debian, Ubuntu: apt install python3-venv) and start again"
    if not (importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip")):
        raise SetupError(f"this Python lacks venv or ensurepip; {advice}", NO_VENV)
    code, printed = run([this_python(), "-I", "-m", "venv", "--clear", env], None)
    if code:
        if "ensurepip" in printed:
            raise SetupError(f"this Python's ensurepip does not work; {advice}", NO_VENV)
        raise SetupError(f"no environment could be made in {env}: {last_line(printed)}")


def install(env: str, wanted: list[str], run: Run, say: Say, locked: str = "") -> None:
    """Installs the requirements with pip, which compiles them to byte code.

    ``locked`` are exact versions with their hashes; without them pip chooses.
    """
    names = {canonical(requirement) for requirement in wanted}

    def heard(line: str) -> None:
        if line.startswith("Collecting ") and canonical(line.split()[1]) in names:
            say(f"fetching {canonical(line.split()[1])}")
        elif line.startswith("Installing collected packages:"):
            say(f"installing {line.count(',') + 1} packages")

    what = by_hash(env, "all", locked) if locked else wanted
    code, printed = run([*pip(env, "install"), "--compile", *what], heard)
    log = keep(env, printed, "w")
    if code and LOST in printed:
        raise SetupError(f"the packages could not be fetched: is there a network? ({log})", OFFLINE)
    if code and ANOTHER in printed:
        raise SetupError(
            f"a package is not the one that the lock names: nothing of it is run ({log})"
        )
    if code:
        raise SetupError(f"pip failed: {last_line(printed)} ({log})")


def by_hash(env: str, name: str, locked: str) -> list[str]:
    """The part of a lock as arguments for pip, which then takes nothing else."""
    path = os.path.join(env, f"locked-{name}.txt")
    with open(path, "w", encoding="utf-8") as file:
        file.write(locked)
    return ["--require-hashes", "-r", path]


def keep(env: str, printed: str, mode: str) -> str:
    """Writes (``w``) or adds (``a``) what a command printed to the log of the set-up: its path."""
    log = os.path.join(env, LOG)
    with open(log, mode, encoding="utf-8") as file:
        file.write(printed)
    return log


def pip(env: str, verb: str) -> list[str]:
    """A pip command that asks nothing and gives up on a dead network after seconds."""
    quiet = ["--no-input", "--no-color", "--disable-pip-version-check", "--retries", "2"]
    return [python_of(env), "-I", "-m", "pip", verb, *quiet]


def canonical(requirement: str) -> str:
    """The package's name in a requirement, lower case: ``textual`` of ``textual>=8.2,<9``."""
    return re.split(r"[^A-Za-z0-9._-]", requirement, maxsplit=1)[0].lower().replace("_", "-")


def last_line(printed: str) -> str:
    """The last line that says what failed: pip's last ``ERROR``, else the last one of all."""
    lines = [line.strip() for line in printed.splitlines() if line.strip()] or ["nothing was said"]
    return ([line for line in lines if line.startswith("ERROR:")] or lines)[-1]


def link(root: str, env: str, run: Run) -> None:
    """Puts the checkout on the environment's path, relative to it where it lies inside."""
    ask = "import sysconfig; print(sysconfig.get_path('purelib'))"
    code, printed = run([python_of(env), "-I", "-c", ask], None)
    site = printed.strip()
    if code or not os.path.isdir(site):
        raise SetupError(f"the environment in {env} does not start: {last_line(printed)}")
    inside = os.path.dirname(env) == root
    with open(os.path.join(site, "drill-checkout.pth"), "w", encoding="utf-8") as file:
        file.write((os.path.relpath(root, site) if inside else root) + "\n")


def add_simpleaudio(
    env: str,
    extra: list[str],
    run: Run,
    say: Say,
    version: tuple[int, ...] = sys.version_info[:2],
    locked: dict[str, str] | None = None,
) -> None:
    """Adds simpleaudio where it is safe and builds; else says in one line what is used instead."""
    if version >= SIMPLEAUDIO_BEFORE:
        say("without simpleaudio, which is not safe on this Python: sound goes through miniaudio")
        return
    code, printed, what = 0, "", extra
    if locked:  # it is built from its source, with the builder that the lock names
        builder = by_hash(env, "builder", locked["builder"])
        code, printed = run([*pip(env, "install"), *builder], None)
        what = ["--no-build-isolation", *by_hash(env, "simpleaudio", locked["simpleaudio"])]
    if not code:
        code, more = run([*pip(env, "install"), "--compile", *what], None)
        printed += more
    log = keep(env, printed, "a")
    if not code:
        code, printed = run([python_of(env), "-I", "-c", "import simpleaudio"], None)
        if not code:
            return
        keep(env, printed, "a")
        run([*pip(env, "uninstall"), "--yes", "simpleaudio"], None)
    why = why_not(printed, "does not build here")
    say(f"without simpleaudio, which {why} ({log}): sound goes through miniaudio")


def why_not(printed: str, otherwise: str) -> str:
    """Why pip did not install what can be done without."""
    if ANOTHER in printed:
        return "is not the one that the lock names"
    return "could not be fetched" if LOST in printed else otherwise


def add_engraver(env: str, extra: list[str], run: Run, say: Say, locked: str = "") -> None:
    """Adds what engraves pages where there is a wheel of it; else says in one line what is lost.

    Nothing is compiled: that takes a compiler and half an hour.
    """
    if not extra:
        return
    say("fetching what engraves pages (some 45 MB)")
    what = by_hash(env, "print", locked) if locked else extra
    command = [*pip(env, "install"), "--compile", "--only-binary", ":all:", *what]
    code, printed = run(command, None)
    log = keep(env, printed, "a")
    if code:
        why = why_not(printed, "is not made for this machine")
        say(f"without the engraver, which {why} ({log}): pages come as MusicXML, not as PDF")


def stamp(env: str, project: bytes) -> None:
    """Marks the environment as whole: the last thing done, and all at once."""
    path = os.path.join(env, STAMP)
    with open(path + ".new", "wb") as file:
        file.write(b"\n".join((HEADER, python_tag(), os.fsencode(this_python()), project)))
    os.replace(path + ".new", path)


def runner(held: int) -> Run:
    """Runs commands that keep the lock ``held`` for as long as they live."""
    foreign = ("PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PIP_REQUIRE_VIRTUALENV")
    surroundings = {name: value for name, value in os.environ.items() if name not in foreign}
    surroundings["PIP_USER"] = "0"
    surroundings["PATH"] = os.environ.get("PATH") or os.defpath  # a compiler looks for its linker

    def run(command: list[str], heard: Say | None) -> tuple[int, str]:
        printed = []
        with subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            env=surroundings,
            text=True,
            encoding="utf-8",
            errors="replace",
            pass_fds=() if WINDOWS else (held,),
        ) as process:
            assert process.stdout is not None  # a pipe was asked for
            for line in process.stdout:
                printed.append(line)
                if heard is not None:
                    heard(line)
        return process.returncode, "".join(printed)

    return run
