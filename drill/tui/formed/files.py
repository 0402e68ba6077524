"""Choosing a file or folder: what lies in a folder, narrowed by typing; a path can be typed."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from drill.decks.load import SUFFIX, listing
from drill.files import file_name
from drill.shown import harmless
from drill.tui.seats import glance
from drill.tui.views.pick import Choice, Pick
from drill.tui.ways import Program, ToPick
from drill.wording.desk import (
    A_DECK,
    A_FILE,
    ABOVE,
    ALL_OF_FOLDER,
    THIS_FOLDER,
    WHICH_DECK,
    folder_about,
    new_told,
    unread_told,
)

HERE = "."
"""The id of the folder itself."""
_UP = ".."
_NEW = "new:"
_ELSEWHERE = "/"
_MOST = 2000
"""Names of one folder that are listed."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What kind of file is chosen."""

    title: str
    suffixes: tuple[str, ...]
    """Endings of files that are shown, with their dots."""
    folder: bool = False
    """True where a folder will do."""
    new: bool = False
    """True where a name can be typed that is not there yet."""
    files: bool = True
    """False shows folders alone."""
    here: bool = False
    """True where only a name in the folder is asked for, and no other folder."""


def file_list(
    program: Program,
    wanted: Wanted,
    folder: Path,
    done: Callable[[Path], str | None],
    suggested: str = "",
) -> ToPick:
    """The list of a folder; ``done`` is told the path, and says why where it will not do.

    ``suggested`` is a new name that Enter takes while nothing is typed; empty for none.
    """

    def entries(search: str) -> tuple[Choice, ...]:
        text = search.strip() or suggested
        if wanted.here:
            text = file_name(text)
        elif os.sep in text or text.startswith("~"):
            return _typed(folder, text, wanted)
        rows = listed(folder, wanted)
        if wanted.new and text:
            name = _named(text, wanted)
            new = Choice(_NEW + name, name, new_told(folder=not wanted.files))
            return (new, *(row for row in rows if row.label != name))
        return rows

    def took(ids: tuple[str, ...]) -> str | None:
        if ids[0].startswith(_NEW):
            return done(folder / ids[0].removeprefix(_NEW))
        path = folder / ids[0]
        if ids[0] == HERE:
            return done(folder)
        if os.path.isdir(path):
            there = path.resolve() if ids[0] == _UP else path
            program.go(file_list(program, wanted, there, done), instead=True)
            return None
        return done(path)

    about = folder_about(harmless(str(folder)))
    pick = Pick(wanted.title, entries(""), about)
    return ToPick(pick, took, typed=entries)


def _typed(folder: Path, text: str, wanted: Wanted) -> tuple[Choice, ...]:
    """What lies where a typed path leads, each called by the path so far."""
    whole = text.endswith(os.sep)
    head = text if whole else text[: text.rfind(os.sep) + 1]
    base = folder / os.path.expanduser(head or text)
    rows = [row for row in listed(base, wanted) if row.id != _UP]
    named = [
        Choice(str(base / row.id), head if row.id == HERE else head + row.label, row.more)
        for row in rows
    ]
    if wanted.new and not whole:
        name = _named(text[len(head) :], wanted)
        told = new_told(folder=not wanted.files, there=True)
        new = Choice(_NEW + str(base / name), head + name, told)
        named.insert(0, new)
    return tuple(named)


def _named(text: str, wanted: Wanted) -> str:
    """A file's name with its ending."""
    known = any(text.lower().endswith(suffix) for suffix in wanted.suffixes)
    return text if known or not wanted.suffixes else text + wanted.suffixes[0]


def listed(folder: Path, wanted: Wanted) -> tuple[Choice, ...]:
    """What of a folder is shown: itself where it will do, the one above, folders, files."""
    told = THIS_FOLDER if wanted.new else ALL_OF_FOLDER
    rows = [Choice(HERE, *told)] if wanted.folder else []
    rows += [] if wanted.here else [Choice(_UP, "..", ABOVE)]
    try:
        names = sorted(os.listdir(folder))[:_MOST]
    except OSError as error:
        return (*rows, Choice(HERE, unread_told(error.strerror)))
    plain = [name for name in names if not name.startswith(".")]
    folders = [name for name in plain if os.path.isdir(folder / name)]
    files = [name for name in plain if _shown(name, wanted.suffixes) and name not in folders]
    rows += [] if wanted.here else [Choice(name, harmless(name) + os.sep) for name in folders]
    if not wanted.files:
        return tuple(rows)
    return (*rows, *(Choice(name, harmless(name)) for name in files))


def _shown(name: str, suffixes: Sequence[str]) -> bool:
    return not suffixes or any(name.lower().endswith(suffix) for suffix in suffixes)


def deck_list(program: Program, done: Callable[[Path], str | None]) -> ToPick:
    """The decks, to choose one; a file elsewhere can be chosen too."""
    paths = {path.stem: path for path in listing(program.studio.context.folders)}
    studio, files = program.studio, tuple(paths.values())
    known = studio.known(
        files, {each: glance(each) for each in files if each not in studio.tallies}
    )
    choices = [Choice(tally.path.stem, tally.title, tally.path.stem) for tally in known]
    choices.append(Choice(_ELSEWHERE, *A_FILE))

    def took(ids: tuple[str, ...]) -> str | None:
        if ids[0] != _ELSEWHERE:
            return done(paths[ids[0]])
        program.go(file_list(program, Wanted(A_DECK, (SUFFIX,)), Path.cwd(), done), instead=True)
        return None

    return ToPick(Pick(WHICH_DECK, tuple(choices)), took)
