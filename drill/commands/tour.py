"""``drill tour``: deck, practice, hand-in, report and sheet, with a class that does not exist."""

from __future__ import annotations

import argparse
import importlib
import io
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import ModuleType

from drill.commands import class_, deck, hand_in
from drill.commands.invented import STUDENTS, house_of, practise
from drill.decks.load import load
from drill.errors import DrillError, ExitCode, UsageError
from drill.files import file_name, write_whole
from drill.opening.tools import Tools
from drill.reports.results import SUFFIX
from drill.shown import harmless

EXAMPLES = """\
examples:
  drill tour                      everything in the new folder drill-tour
  drill tour --folder /tmp/demo
"""

FOLDER = "drill-tour"
_MARK = ".drill-tour"
"""The file that tells a tour's own folder, which a later tour may make anew."""
_SEED = 7
_DECK = "returning-cells"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The folder and the seed."""
    add = parser.add_argument
    add("--folder", metavar="FOLDER", default=FOLDER, help=f"where (default {FOLDER})")
    add("--seed", type=int, default=_SEED, metavar="N", help="another invented class")


@dataclass(frozen=True, slots=True)
class _Tour:
    """What every stop of the tour works with."""

    folder: Path
    tools: Tools
    seed: int

    def tell(self, *lines: str) -> None:
        """Lines to the teacher."""
        for line in lines:
            self.tools.out.write(f"{line}\n")
        self.tools.out.flush()

    def stop(self, title: str, *lines: str) -> None:
        """The beginning of a stop; on a terminal, Enter goes on."""
        self.tell("", title, "=" * len(title), *lines)

    def wait(self) -> None:
        """Enter goes on, where a person sits at a terminal."""
        if self.tools.source.isatty() and self.tools.out.isatty():
            self.tools.err.write("\n(Enter goes on) ")
            self.tools.err.flush()
            self.tools.source.readline()

    def command(self, module: ModuleType, words: Sequence[str], tools: Tools) -> ExitCode:
        """Run a command of the program as a teacher or student would."""
        parser = argparse.ArgumentParser(exit_on_error=False)
        module.arguments(parser)
        run: Callable[[argparse.Namespace, Tools], ExitCode] = module.run
        return run(parser.parse_args(list(words)), tools)

    def shown(self, path: Path) -> str:
        return harmless(str(path))


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """The whole tour; the player's own answers and decks are neither read nor touched.

    Raises UsageError where the folder holds something else.
    """
    folder = Path(args.folder)
    _make_folder(folder)
    home = house_of(folder / "teacher")
    tour = _Tour(folder, replace(tools, house=home), args.seed)
    tour.tell(
        f"An invented class, in the folder {tour.shown(folder)}.",
        "Nobody in it exists, your own answers and decks are not touched, and you may",
        "delete the folder at any time.",
    )
    for stop in (_deck, _practice, _hand_in, _report, _next_deck, _sheet):
        stop(tour)
        tour.wait()
    tour.tell(
        "", f"That is all. Everything lies in {tour.shown(folder)}; drill --help has the rest."
    )
    return ExitCode.OK


def _make_folder(folder: Path) -> None:
    """An empty folder with the tour's mark; one of an earlier tour is made anew."""
    try:
        if folder.is_dir() and any(folder.iterdir()) and not (folder / _MARK).is_file():
            raise UsageError(
                f"{harmless(str(folder))} holds other files: name a new folder with --folder"
            )
        for name in ("students", "results", "teacher"):
            if (folder / name).is_dir() and not (folder / name).is_symlink():
                shutil.rmtree(folder / name)
        folder.mkdir(parents=True, exist_ok=True)
        for name in ("results", "teacher"):
            (folder / name).mkdir(exist_ok=True)
        (folder / _MARK).write_text("made by drill tour; may be deleted\n", encoding="utf-8")
    except OSError as error:
        raise DrillError(f"{harmless(str(folder))}: cannot be made: {error.strerror}") from None


def _quiet(tools: Tools) -> Tools:
    """The same tools, with nothing said and nobody to ask."""
    return replace(tools, source=io.StringIO(), out=io.StringIO(), err=io.StringIO())


def _deck(tour: _Tour) -> None:
    """The teacher writes a deck."""
    path = tour.folder / f"{_DECK}.toml"
    words = [
        "new", "--title", "Returning cells, all major keys", "--instrument", "alto_sax",
        "--patterns", "1-2-3-1,1-3-5-3", "--keys", "all", "--right", "85", "--prompts", "60",
        "--note", "Say the signature aloud before you type.", "--out", str(path), "--replace",
    ]  # fmt: skip
    tour.stop(
        "1. The deck",
        "A deck says what to drill. This one was written by",
        '  drill deck new --title "..." --instrument alto_sax --patterns 1-2-3-1 ...',
        "and begins so:",
        "",
    )
    tour.command(deck, words, _quiet(tour.tools))
    lines = path.read_text(encoding="utf-8").splitlines()
    tour.tell(*(f"    {line}" for line in lines[2:12]))
    tour.tell(
        "",
        "Give the file to your students; each takes it in with  drill deck add FILE.",
        "You may edit it by hand: drill check FILE names every mistake with its line.",
    )


def _practice(tour: _Tour) -> None:
    """The students practise."""
    engine = tour.tools.house.engine()
    given = tour.folder / f"{_DECK}.toml"
    tour.stop("2. Practice", f"Invented students practise with  drill --deck {_DECK}:", "")
    for student in STUDENTS:
        home = tour.folder / "students" / file_name(student.name)
        theirs = replace(_quiet(tour.tools), house=house_of(home))
        tour.command(deck, ["add", str(given)], theirs)
        if not student.practices:
            tour.tell(f"    {student.name:<14} has not started")
            continue
        mine = load(home / "decks" / given.name)
        kept = practise(student, mine, home, engine, tour.tools.now(), tour.seed)
        tour.tell(f"    {student.name:<14} {student.practices} days, {kept} answers")


def _hand_in(tour: _Tour) -> None:
    """The students hand in."""
    said = io.StringIO()
    for student in STUDENTS:
        if not student.practices:
            continue
        home = tour.folder / "students" / file_name(student.name)
        path = tour.folder / "results" / f"{file_name(student.name)}{SUFFIX}"
        said = io.StringIO()
        theirs = replace(tour.tools, house=house_of(home), err=said, source=io.StringIO())
        words = ["--deck", _DECK, "--name", student.name, "--out", str(path)]
        tour.command(hand_in, words, theirs)
    names = "".join(f"{student.name}\n" for student in STUDENTS)
    write_whole(tour.folder / "roster.txt", names.encode())
    tour.stop(
        "3. Handing in",
        f'Each runs  drill hand-in --deck {_DECK} --name "..."  and reads:',
        "",
        *(f"  {line}" for line in said.getvalue().splitlines()),
    )


def _report(tour: _Tour) -> None:
    """The teacher reads who knows what."""
    page, table = tour.folder / "class.html", tour.folder / "class.csv"
    roster = tour.folder / "roster.txt"
    tour.stop(
        "4. The report",
        f"You run  drill class {tour.shown(tour.folder / 'results')} --roster roster.txt "
        "--html class.html",
        "",
    )
    words = [
        str(tour.folder / "results"), "--roster", str(roster), "--html", str(page),
        "--csv", str(table),
    ]  # fmt: skip
    tour.command(class_, words, replace(tour.tools, err=io.StringIO()))
    tour.tell(
        "", f"The same as a page to print: {tour.shown(page)}; for a spreadsheet: {table.name}."
    )


def _next_deck(tour: _Tour) -> None:
    """The next assignment, from what went wrong."""
    path = tour.folder / "next-week.toml"
    words = [
        "tricky", str(tour.folder / "results"), "--worst", "4", "--title", "Next week",
        "--out", str(path), "--replace",
    ]  # fmt: skip
    tour.command(deck, words, _quiet(tour.tools))
    lines = path.read_text(encoding="utf-8").splitlines()
    end = next((at for at, line in enumerate(lines) if line.startswith("# Also")), len(lines))
    tour.stop(
        "5. The next deck",
        "drill deck tricky results --worst 4 --out next-week.toml",
        "chose, with its reasons:",
        "",
        *(f"    {line}" for line in lines[:end]),
    )


def _sheet(tour: _Tour) -> None:
    """The page on paper."""
    pdf = tour.folder / "next-week.pdf"
    tour.stop("6. The page", "drill sheet next-week.toml --pdf next-week.pdf", "")
    try:
        sheet = importlib.import_module("drill.commands.sheet")
        words = [str(tour.folder / "next-week.toml"), "--pdf", str(pdf)]
        tour.command(sheet, words, replace(tour.tools, err=io.StringIO()))
    except (DrillError, ImportError) as error:
        tour.tell(f"was not engraved here: {error}")
    else:
        tour.tell(f"engraved the runs of that deck: {tour.shown(pdf)}")
