"""What commands print in a terminal of 80 and of 60 columns, and over a pipe."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

import pytest
from desk_tools import NOW, ran

from drill.commands import class_, hand_in, log, plan, progress, take_in
from drill.commands import deck as deck_command
from drill.commands.invented import Invented, house_of, practise
from drill.reports.widths import set_apart, width

DECK = """\
title = "Keys with two flats or more, in thirds and turns"
instrument = "alto_sax"
patterns = ["1-2-3-1", "thirds"]
keys = ["F#"]
due = 2031-03-20
[practice]
prompts = 30
"""


@dataclass(frozen=True, slots=True)
class Desk:
    """A student's home and what was handed in from it."""

    home: Path
    folder: Path

    def said(self, module: ModuleType, *words: object, columns: int | None) -> str:
        """What a command puts on a terminal of so many columns; None is a pipe."""
        return ran(module, [str(word) for word in words], self.home, columns=columns).out


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    folder = tmp_path_factory.mktemp("columns")
    made, home = Desk(folder / "home", folder), folder / "home"
    (folder / "flats.toml").write_text(DECK, encoding="utf-8")
    ran(deck_command, ["add", str(folder / "flats.toml"), "--as", "flats"], home)
    practise(Invented("x", 0.4, 3, "natural"), house_of(home).deck("flats"), home, NOW, 3)
    for name in ("Maximiliane Quintenzirkel-Septakkord", "Bo Barline"):
        line = f"{name} has something to say " * 3
        ran(hand_in, ["--deck", "flats", "--name", name, "--line", line, "--out",
                      str(folder / f"{name[:2]}.drill-results")], home)  # fmt: skip
    (folder / "roster.csv").write_text("name,group\nBo Barline,brass\nOtto Ottava,brass\n")
    return made


COMMANDS: dict[str, Callable[[Desk], tuple[ModuleType, *tuple[object, ...]]]] = {
    "class": lambda desk: (class_, desk.folder, "--roster", desk.folder / "roster.csv"),
    "progress": lambda desk: (progress, "--deck", "flats"),
    "plan": lambda desk: (plan, desk.folder, "--results", desk.folder),
    "log": lambda desk: (log,),
}


@pytest.mark.parametrize("name", COMMANDS)
def test_no_line_is_wider_than_the_terminal_and_nothing_is_lost(desk: Desk, name: str) -> None:
    """A table only stands in more blocks, with its names once more; a pipe is no terminal."""
    module, *words = COMMANDS[name](desk)
    piped, at_60, at_80 = (desk.said(module, *words, columns=each) for each in (None, 60, 80))
    if name == "log":
        assert all(line.count("\t") == 5 for line in piped.splitlines())
    else:
        assert piped == at_80
        assert piped != at_60
    for said, columns in ((at_60, 60), (at_80, 80)):
        assert all(width(line) < columns for line in said.splitlines())
        lost = set(re.findall(r"[\w.%#-]+", piped)) - set(re.findall(r"[\w.%#-]+", said))
        assert not [word for word in lost if "drill-results" not in word]  # a path no line holds


def test_what_is_taken_in_fits_as_well(desk: Desk) -> None:
    said = desk.said(take_in, desk.folder, columns=60)
    assert "2 new files" in said
    assert all(width(line) < 60 for line in said.splitlines())


def test_parts_stay_whole_and_follow_set_in() -> None:
    assert set_apart(("aa", "bb"), 10) == ["aa  bb"]
    assert set_apart(("aaaaaa", "bbb", "c"), 10) == ["aaaaaa", "    bbb  c"]
    assert set_apart(("a" * 12, "b"), 10) == ["a" * 10, "    aa  b"]
