"""``drill tour``: a teacher's weeks with a class that does not exist, from deck to report."""

from __future__ import annotations

import argparse
import importlib
import io
import shutil
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from types import ModuleType

from drill.commands import assign, class_, deck, hand_in, plan, take_in
from drill.commands.invented import STUDENTS, Invented, house_of, practise, roster
from drill.errors import DrillError, ExitCode, UsageError
from drill.files import file_name, make_folder, write_whole
from drill.opening.tools import Tools
from drill.reports.results import SUFFIX
from drill.shown import harmless
from drill.wording.squares import horn_text

EXAMPLES = """\
examples:
  drill tour                      everything in the new folder drill-tour
  drill tour --folder /tmp/demo
"""

FOLDER = "drill-tour"
_MARK = ".drill-tour"
"""The file that tells a tour's own folder, which a later tour may make anew."""
_SEED = 7
_DECK = "warm-up"


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
            self.tools.ask("\n(Enter goes on) ")

    def run(self, module: ModuleType, *words: str, home: Path | None = None) -> list[str]:
        """Run a command as the teacher, or a student with a home of their own, would; the lines
        that it says to them.  What it prints is printed."""
        said = io.StringIO()
        parser = argparse.ArgumentParser(exit_on_error=False)
        module.arguments(parser)
        house = house_of(home) if home else self.tools.house
        tools = replace(self.tools, house=house, source=io.StringIO(), err=said)
        module.run(parser.parse_args(words), tools)
        return said.getvalue().splitlines()

    def path(self, *names: str) -> str:
        """A file or folder of the tour."""
        return str(self.folder.joinpath(*names))

    def home(self, student: Invented) -> Path:
        """Where a student is at home."""
        return self.folder / "students" / file_name(student.name)


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """The whole tour; the player's own answers and decks are neither read nor touched.

    Raises UsageError where the folder holds something else.
    """
    folder = Path(args.folder)
    _make_folder(folder)
    home = house_of(folder / "teacher")
    tour = _Tour(folder, replace(tools, house=home), args.seed)
    tour.tell(
        f"An invented class, in the folder {harmless(str(folder))}.",
        "Nobody in it exists, your own answers and decks are not touched, and you may",
        "delete the folder at any time.",
    )
    for stop in (_deck, _assign, _practice, _hand_in, _report, _plan, _next_deck, _sheet):
        stop(tour)
        tour.wait()
    lies = harmless(str(folder))
    tour.tell("", f"That is all. Everything lies in {lies}; drill --help has the rest.")
    return ExitCode.OK


def _make_folder(folder: Path) -> None:
    """An empty folder with the tour's mark; one of an earlier tour is made anew."""
    try:
        if folder.is_dir() and any(folder.iterdir()) and not (folder / _MARK).is_file():
            raise UsageError(
                f"{harmless(str(folder))} holds other files: name a new folder with --folder"
            )
        for name in ("students", "inbox", "teacher", "week-1", "pages"):
            if (folder / name).is_dir() and not (folder / name).is_symlink():
                shutil.rmtree(folder / name)
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "teacher").mkdir(exist_ok=True)
        write_whole(folder / _MARK, b"made by drill tour; may be deleted\n")
    except OSError as error:
        raise DrillError(f"{harmless(str(folder))}: cannot be made: {error.strerror}") from None


def _deck(tour: _Tour) -> None:
    """The teacher writes a deck."""
    path = tour.path(f"{_DECK}.toml")
    tour.stop(
        "1. One deck for every horn",
        "A deck says what to drill. This one is for everybody's own horn, in concert keys:",
        '  drill deck new --title "Band warm-up" --instrument own --concert-keys Bb,Eb,...',
        "",
    )
    tour.run(
        deck, "new", "--title", "Band warm-up", "--instrument", "own", "--patterns",
        "1-2-3-1,thirds", "--concert-keys", "Bb,Eb,F,Ab,Db", "--right", "60", "--prompts", "32",
        "--note", "Say the signature aloud before you type.", "--out", path, "--replace",
    )  # fmt: skip
    lines = Path(path).read_text(encoding="utf-8").splitlines()
    tour.tell(*(f"    {line}" for line in lines[2:10]))
    tour.tell("", "You may edit it by hand: drill check FILE names every mistake with its line.")


def _assign(tour: _Tour) -> None:
    """An assignment for each student of a roster."""
    write_whole(tour.folder / "roster.csv", roster().encode(), private=True)
    now = tour.tools.now()
    due, given = (str((now - timedelta(days=days)).date()) for days in (2, 9))
    said = tour.run(
        assign, tour.path(f"{_DECK}.toml"), "--roster", tour.path("roster.csv"), "--id", "week-1",
        "--given", given, "--due", due, "--line", "Slow first.", "--out-dir", tour.path("week-1"),
        "--replace",
    )  # fmt: skip
    tour.stop(
        "2. A roster, and an assignment for each student",
        *(f"    {line}" for line in roster().splitlines()[:4]),
        "    ...",
        "",
        f"drill assign {_DECK}.toml --roster roster.csv --id week-1 --due {due} --out-dir week-1",
        *(f"  {line}" for line in said),
    )


def _practice(tour: _Tour) -> None:
    """The students practise."""
    tour.stop("3. Practice", "Invented students take theirs in (drill deck add) and practise:", "")
    for student in STUDENTS:
        home = tour.home(student)
        file = f"{file_name(f'{student.id} {student.name} {_DECK}')}.toml"  # as drill assign says
        tour.run(deck, "add", tour.path("week-1", file), "--as", _DECK, home=home)
        done = "has not started"
        if student.practices:
            mine = house_of(home).deck(_DECK)
            kept = practise(student, mine, home, tour.tools.now(), tour.seed)
            done = f"{student.practices} days, {kept} answers"
        tour.tell(f"    {student.name:<14} {horn_text(student.horn):<22} {done}")


def _hand_in(tour: _Tour) -> None:
    """The students hand in, and the teacher takes in."""
    said: list[str] = []
    make_folder(tour.folder / "inbox")
    for student in STUDENTS:
        if not student.practices:
            continue
        file = tour.path("inbox", f"{student.id}{SUFFIX}")
        line = ["--line", "D flat is still slow."] if student.aptitude < 0.3 else []
        words = ("--deck", _DECK, "--out", file, *line)
        said = tour.run(hand_in, *words, home=tour.home(student))
    tour.stop(
        "4. Handing in, and taking in",
        f"Each runs  drill hand-in --deck {_DECK}  and reads:",
        "",
        *(f"  {line}" for line in said[:6]),
        "",
        "You run  drill take-in inbox  as often as you like; each file is read once:",
        "",
    )
    tour.run(take_in, tour.path("inbox"))


def _report(tour: _Tour) -> None:
    """The teacher reads who knows what."""
    page = tour.path("class.html")
    tour.stop(
        "5. The report: who knows what by heart",
        "drill class --roster roster.csv --html class.html --csv grades.csv --pages pages",
        "",
    )
    tour.run(
        class_, "--roster", tour.path("roster.csv"), "--html", page, "--csv",
        tour.path("grades.csv"), "--pages", tour.path("pages"),
    )  # fmt: skip
    tour.tell(
        "", f"The same as a page to print: {harmless(page)}; for a grade book: grades.csv;",
        "for each student: the folder pages.",
    )  # fmt: skip


def _plan(tour: _Tour) -> None:
    """Week by week."""
    tour.stop("6. The plan", "drill plan week-1 --roster roster.csv", "")
    tour.run(plan, tour.path("week-1"), "--roster", tour.path("roster.csv"))


def _next_deck(tour: _Tour) -> None:
    """The next assignment, from what went wrong."""
    path = tour.path("next-week.toml")
    tour.run(
        deck, "tricky", tour.path("inbox"), "--worst", "3", "--title", "Next week", "--out", path,
        "--replace",
    )  # fmt: skip
    lines = Path(path).read_text(encoding="utf-8").splitlines()
    end = next((at for at, line in enumerate(lines) if line.startswith("# Also")), len(lines))
    tour.stop(
        "7. The next deck",
        "drill deck tricky inbox --worst 3 --out next-week.toml",
        "chose, over all horns, with its reasons:",
        "",
        *(f"    {line}" for line in lines[:end]),
    )


def _sheet(tour: _Tour) -> None:
    """The page on paper."""
    pdf = tour.path("next-week.pdf")
    tour.stop(
        "8. The page",
        "drill sheet next-week.toml --horns roster --roster roster.csv --pdf next-week.pdf",
        "",
    )
    try:
        sheet = importlib.import_module("drill.commands.sheet")
        said = tour.run(
            sheet, tour.path("next-week.toml"), "--horns", "roster", "--roster",
            tour.path("roster.csv"), "--pdf", pdf,
        )  # fmt: skip
    except (DrillError, ImportError) as error:
        tour.tell(f"was not engraved here: {error}")
    else:
        pages = next((line for line in said if " page" in line), "")
        tour.tell(f"engraved a part for each horn: {harmless(pdf)} ({pages[7:]})")
