"""The teacher at the screens: a deck written, its page printed, a class's results read."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import pytest
from real_house import RealHouse, errands
from tui_desk import drawn, text_of
from tui_user import BOTH, SMALL, User, at_keys

from drill.commands.errands import CommandErrands
from drill.decks.load import load
from drill.errors import UsageError
from drill.reports.report import Column, Figure, Form, Report, Table
from drill.tui.formed.files import HERE, Wanted, listed
from drill.tui.glyphs import UNICODE
from drill.tui.trainer import Trainer
from drill.tui.views.report import Shown, report_lines

HORN = "tenor_sax"
AT_A_DESK = True


def test_a_teacher_writes_a_deck_and_prints_its_page(
    real: RealHouse, here: Path, user: User
) -> None:
    user.desk()
    user.golden("teacher")
    shown = user.enter("Write a deck", sees="Name               A new deck")
    assert "own practice" not in shown  # it is for others
    user.enter("Name")
    user.press("ctrl+u", *"Week 3", "enter", sees="Week 3")
    user.enter("Keep it as a deck", sees="kept as week-3")
    user.press("escape", sees="The teacher's desk")
    user.enter("Print a page", sees=("Print a page or a worksheet", "week-3.pdf"))
    user.enter("Deck", sees="Which deck?")
    assert "Week 3   week-3" in user.type("week", sees="Week 3")  # called as she called it
    user.press("ctrl+u")
    user.type("low-brass", "enter", sees=("▸ Deck", "low-brass.pdf"))
    user.enter("Deck", "week-3", sees=("▸ Deck", "week-3.pdf"))
    user.enter("As")
    user.enter("As", sees=("MusicXML", "week-3.musicxml"))
    user.enter("Print it", sees="week-3.musicxml")
    for _ in range(300):
        user.pause(0.02)
        if "working" not in user.shown:
            break
    user.press("escape", sees="Print a page")
    assert load(real.house.places.decks / "week-3.toml").title == "Week 3"
    assert "<score-partwise" in (here / "week-3.musicxml").read_text(encoding="utf-8")


def test_an_assignment_is_taken_in_and_answers_are_handed_in(
    real: RealHouse, trainer: Trainer, here: Path
) -> None:
    (here / "spring.toml").write_text(
        'title = "Spring"\ninstrument = "alto_sax"\npatterns = ["return3"]\nkeys = ["G"]\n',
        encoding="utf-8",
    )
    (here / "notes.txt").write_text("no deck", encoding="utf-8")

    with at_keys(trainer) as user:
        shown = user.desk("Take in an assignment", sees=("An assignment", "spring.toml"))
        assert "notes.txt" not in shown
        user.type("spring", "enter", sees=("Take in an assignment", "spring"))
        user.pause(0.1)
        user.see("Spring")
        user.press("escape", sees="The teacher's desk")
        user.enter("Hand in my answers", sees=("Hand in my answers", "Your name"))
        user.enter("Write it", sees="say your name first")
        user.enter("Your name", "Mara Quill", sees="mara-quill-")
        user.enter("Write it")
        # Nothing was practised: the command says so, and writes nothing.
        user.see("there are no answers to the deck")
    assert (real.house.places.decks / "spring.toml").exists()
    assert not list(here.glob("*.drill-results"))


@SMALL
def test_results_that_are_not_there_are_told(user: User) -> None:
    user.desk("Class results", sees=("Class results", "nothing was taken in yet"))
    user.press("escape", sees="The teacher's desk")


# The report's own screen.


@dataclass(frozen=True)
class Pupil:
    """One row of an invented class."""

    name: str
    by_heart: int
    share: float | None


PUPILS = (Pupil("Ada Finch", 12, 0.9), Pupil("Bo Lark", 3, 0.4), Pupil("Cy Wren", 7, None))
NAMED = Column("name", "Student", lambda each: each.name, Form.NAME)
CLASS = Report(
    "2026-03-02",
    "Class report",
    datetime(2026, 3, 2, tzinfo=UTC),
    (Figure("", "students", 3, Form.COUNT), Figure("", "recall", 0.62, Form.SHARE)),
    (
        Table(
            "students",
            "Students",
            (
                NAMED,
                Column("by_heart", "By heart", lambda each: each.by_heart, Form.COUNT),
                Column("recall", "Recall", lambda each: each.share, Form.SHARE),
                Column("drill", "Drill", lambda each: "drill --deck x", Form.COMMAND),
            ),
            PUPILS,
        ),
        Table(
            "slips",
            "Slips, student by student",
            (NAMED, Column("slip", "Slip", lambda each: f"slip of {each.name[:3]}")),
            PUPILS[::-1],
        ),
        Table("empty", "Nothing here", (NAMED,), ()),
    ),
)


@BOTH
def test_a_report_as_it_is_drawn(size: tuple[int, int]) -> None:
    draw = partial(report_lines, Shown("Class results", CLASS))
    assert "drill --deck" not in drawn("class", draw, size)


def names(view: Shown) -> list[str]:
    return [each.name.split()[0] for each in view.items]


def test_rows_are_sorted_by_a_column() -> None:
    assert names(Shown("", CLASS)) == ["Ada", "Bo", "Cy"]
    assert names(Shown("", CLASS, sort=0)) == ["Ada", "Bo", "Cy"]
    assert names(Shown("", CLASS, sort=1)) == ["Ada", "Cy", "Bo"]
    assert names(Shown("", CLASS, sort=2)) == ["Ada", "Bo", "Cy"]  # who was not asked comes last
    assert names(Shown("", CLASS, table=1)) == ["Cy", "Bo", "Ada"]


def test_a_report_is_walked_sorted_and_opened(real: RealHouse) -> None:
    class Invented(CommandErrands):
        def class_results(self, places: object, roster: object = None) -> Report:
            del places, roster
            return CLASS

    with at_keys(real.trainer(errands=Invented(errands(real).tools))) as user:
        user.desk("Class results", sees=("Students", "▸ Ada Finch", "table 1 of 2"))
        user.press("s", "s", sees="By heart↓")
        user.press("down", sees="▸ Cy Wren")
        shown = user.press("enter", sees=("Cy Wren", "By heart", "slip of Cy"))
        assert "Ada" not in shown
        user.press("escape", "tab", sees=("Slips, student by student", "table 2 of 2"))
        user.press("left", sees="table 1 of 2")


# Choosing files.


def test_a_folder_shows_what_is_wanted(tmp_path: Path) -> None:
    for name in ("a.toml", "b.TOML", "c.txt", ".hidden.toml"):
        (tmp_path / name).write_text("", encoding="utf-8")
    (tmp_path / "sub").mkdir()
    found = [each.label for each in listed(tmp_path, Wanted("Decks", (".toml",)))]
    assert found == ["..", "sub/", "a.toml", "b.TOML"]
    with_it = listed(tmp_path, Wanted("Results", (), folder=True))
    assert with_it[0].id == HERE
    assert {"c.txt", "a.toml"} <= {each.label for each in with_it}


def test_a_folder_that_cannot_be_read_says_so(tmp_path: Path) -> None:
    found = listed(tmp_path / "gone", Wanted("Decks", (".toml",)))
    assert "cannot be read" in found[-1].label


def test_a_command_s_fault_is_handed_back(real: RealHouse) -> None:
    bad = errands(real).run(("sheet", "no-such-deck", "--pdf", "x.pdf"))
    assert not bad.good
    assert "no-such-deck" in bad.said
    usage = errands(real).run(("sheet",))
    assert not usage.good
    with pytest.raises(UsageError):
        errands(real).class_results(())
    good = errands(real).run(("decks",))
    assert good.good
    assert "thirds" in good.said


def test_names_that_begin_alike_are_told_apart_and_what_is_cut_shows_it() -> None:
    heads = ("D major, Alto saxophone in Eb, 1-3 up", "D major, Alto saxophone in Eb, 1-3 down")
    pupils = tuple(Pupil(each, 1, 0.5) for each in heads)
    table = replace(CLASS.tables[0], items=pupils)
    report = Report("2026-03-02", "Class report", CLASS.made, (), (table,))
    wide = text_of(report_lines(Shown("", report), UNICODE, 80, 23))
    assert all(each in wide for each in heads)
    assert "By heart" in wide
    narrow = text_of(report_lines(Shown("", report), UNICODE, 40, 19))
    assert "…" in narrow
