"""A file that is there already: it is written over, named otherwise, or left, as is said."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path

from drill.errors import DrillError
from drill.shown import harmless
from drill.tui.formed.files import Wanted, file_list
from drill.tui.forms import Formed
from drill.tui.views.pick import Choice, Pick
from drill.tui.ways import Program, ToErrand, ToPick
from drill.wording.desk import ANOTHER, LEAVE, NOTHING_YET, OVER, THERE, in_folder


def taken_list(
    program: Program,
    path: Path,
    over: Callable[[], object] | None,
    another: Callable[[], object] | None,
) -> ToPick:
    """What to do about a file that is there; nothing is done before a choice is taken.

    ``over`` and ``another`` take this list's place with what follows, and are None where that
    cannot be; leaving goes back to where one came from.
    """
    ways: dict[str, tuple[str, Callable[[], object] | None]] = {
        "another": (ANOTHER, another),
        "over": (OVER, over),
        "leave": (LEAVE, program.back),
    }
    choices = tuple(Choice(name, word) for name, (word, way) in ways.items() if way is not None)

    def done(ids: tuple[str, ...]) -> None:
        way = ways[ids[0]][1]
        if way is not None:
            way()

    about = in_folder(NOTHING_YET, harmless(str(path.parent.absolute())))
    return ToPick(Pick(f"{harmless(path.name)} {THERE}", choices, about), done)


def keep(
    form: Formed, program: Program, path: Path, mine: Path | None, write: Callable[[Path], str]
) -> str | None:
    """Write what a form keeps, or ask what to do about another file that is there; what to say.

    ``mine`` is the file that is changed: it is written over unasked.
    """
    if not os.path.exists(path) or path == mine:  # where that cannot be told, writing will tell
        return _said(write, path)

    def over() -> None:
        form.said = _said(write, path)
        program.back()

    def another() -> None:
        def done(other: Path) -> None:
            program.back()
            form.said = keep(form, program, other, mine, write) or form.said

        wanted = Wanted(ANOTHER, (path.suffix,), new=True, here=True)
        program.go(file_list(program, wanted, path.parent, done), instead=True)

    program.go(taken_list(program, path, over, another))
    return None


def _said(write: Callable[[Path], str], path: Path) -> str:
    try:
        return write(path)
    except DrillError as error:
        return str(error)


def over_errand(program: Program, wanted: ToErrand, path: Path) -> ToPick:
    """The same for what a command would have written."""
    again = ToErrand(wanted.title, (*wanted.words, wanted.over))

    def over() -> None:
        program.go(again, instead=True)

    return taken_list(program, path, over if wanted.over else None, wanted.another)


def rename(
    program: Program, wanted: Wanted, folder: Path, words: Callable[[Path], ToErrand]
) -> Callable[[], None]:
    """Asks for another name, and does with it what ``words`` make of it."""

    def ask() -> None:
        def done(path: Path) -> None:
            program.go(words(path), instead=True)

        program.go(file_list(program, wanted, folder, done), instead=True)

    return ask


def errand(
    program: Program, title: str, words: Sequence[str], option: str, to: Path, wanted: Wanted
) -> ToErrand:
    """A command whose option says where to; under another name, if that one is taken."""

    def renamed(path: Path) -> ToErrand:
        return errand(program, title, words, option, path, wanted)

    again = rename(program, wanted, to.parent, renamed)
    return ToErrand(title, (*words, f"{option}={to}"), another=again)
