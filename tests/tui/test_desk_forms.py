"""The teacher's desk in the screens: assigning, planning, what goes wrong, answers kept safe."""

from __future__ import annotations

import re
from collections.abc import Sequence
from io import StringIO
from pathlib import Path

import pytest
from real_house import RealHouse, errands
from tui_desk import (
    MORNING,
)
from tui_user import BOTH, User, at_keys

from drill.commands.errands import CommandErrands
from drill.commands.table import module_of, parser_of
from drill.decks.load import load
from drill.memory.store import Store
from drill.opening.tools import Tools
from drill.tui.formed.assigning import AssignForm
from drill.tui.formed.files import Wanted, listed
from drill.tui.formed.keeping import BackupForm
from drill.tui.formed.planning import PlanForm
from drill.tui.formed.tricky import TrickyForm
from drill.tui.outside import Done
from drill.tui.trainer import Trainer
from drill.tui.ways import ToForm
from drill.wording.desk import ASSIGN_ROWS, BACKUP_ROWS, PLAN_ROWS, ROWS, TRICKY_ROWS

DECK = """title = "Monday"
instrument = "own"
patterns = ["return3"]
concert_keys = ["Bb", "F"]
"""
ROSTER = """id,name,group,horn,level
7,Ada Finch,Reeds,alto_sax,1
8,Bo Lark,Reeds,tenor_sax,2
9,Cy Wren,Brass,trumpet_bb,1
"""


AT_A_DESK = True


@pytest.fixture
def work(tmp_path: Path, real: RealHouse, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The teacher's own folder, with a roster; her deck is among her decks."""
    folder = tmp_path / "band"
    folder.mkdir()
    (folder / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (real.house.deck_folders[0] / "monday.toml").write_text(DECK, encoding="utf-8")
    monkeypatch.chdir(folder)
    return folder


def choose_deck(user: User, name: str) -> None:
    user.enter("Deck", sees="Which deck?")
    user.type(name, "enter", sees=("▸ Deck", name))


@BOTH
def test_the_forms_as_they_are_drawn(real: RealHouse, work: Path, user: User) -> None:
    user.desk()
    user.golden("teacher")
    user.trainer.studio.desk["roster"] = work / "roster.csv"
    forms: dict[str, AssignForm | TrickyForm | PlanForm | BackupForm] = {
        "assign": AssignForm(user.trainer, real.house.deck_folders[0] / "monday.toml"),
        "tricky": TrickyForm(user.trainer, errands(real)),
        "plan": PlanForm(user.trainer, errands(real)),
        "backup": BackupForm(user.trainer),
    }
    for name, form in forms.items():
        user.does(user.trainer.go, ToForm(form))
        shown = user.see(form.title, "▸")
        if name == "backup":
            user.press("down")  # off the row that tells the folder
            shown = user.see("▸ Write the backup")
        user.golden(f"desk-{name}", shown)
        user.press("escape", sees="The teacher's desk")


def test_a_deck_is_assigned_to_one_level_with_its_day(work: Path, user: User) -> None:
    user.desk("Assign a deck", sees="A file for")
    choose_deck(user, "monday")
    user.enter("Write the assignments", sees="choose the roster first")
    user.enter("Roster", sees=("A roster", "roster.csv"))
    user.type("roster", "enter", sees="roster.csv (3)")
    user.go("A file for")
    for word in ("each group", "each horn", "each level", "each student"):
        user.press("right", sees=word)
    user.enter("Given to", sees=("level 1", "2 of 3", "everybody on the roster"))
    user.type("level 1", "enter", sees=("▸ Given to", "level 1"))
    user.fill("To be known by", "15 March", sees="expected a day such as")
    user.enter("Write the assignments", sees=("Write the assignments", "expected a day such as"))
    user.fill("To be known by", "2026-03-15")
    user.fill("A line to them", "Slowly at first.")
    user.fill("Called", "week-3", sees="monday-2026-03-15")
    user.enter("Write the assignments", sees="2 files for 2 students")
    files = sorted((work / "monday-2026-03-15").iterdir())
    assert [each.name for each in files] == ["7-ada-finch-monday.toml", "9-cy-wren-monday.toml"]
    deck = load(files[0])
    given = deck.assignment
    assert given is not None
    assert (given.id, given.name, given.line) == ("week-3", "Ada Finch", "Slowly at first.")
    assert str(deck.due) == "2026-03-15"


def test_the_deck_s_own_day_stands_where_none_is_typed(
    real: RealHouse, work: Path, user: User
) -> None:
    deck = real.house.deck_folders[0] / "dated.toml"
    deck.write_text(f"due = 2026-04-02\n{DECK}".replace("Monday", "Dated"), encoding="utf-8")
    user.trainer.studio.desk["roster"] = work / "roster.csv"
    user.desk("Assign a deck", sees="A file for")
    choose_deck(user, "dated")
    user.go("To be known by", sees=("2026-04-02", "empty for the deck's own"))
    user.enter("Write the assignments", sees="3 files for 3 students")
    (folder,) = (each for each in work.iterdir() if each.is_dir())
    assert {str(load(each).due) for each in folder.iterdir()} == {"2026-04-02"}


def test_a_file_for_each_value_of_a_column(work: Path, user: User) -> None:
    user.desk("Roster", "roster", sees=("The teacher's desk", "3 on the roster roster.csv"))
    user.enter("Assign a deck")
    choose_deck(user, "monday")
    user.go("A file for", "left", sees="each level")
    user.enter("Folder", sees="Where to")
    user.type("march", "enter", sees=("▸ Folder", "march"))
    user.enter("Write the assignments", sees="2 files for 3 students")
    names = [each.name for each in (work / "march").iterdir()]
    assert sorted(names) == ["level-1-monday.toml", "level-2-monday.toml"]


def test_a_roster_with_faults_is_opened_or_told_and_not_kept(trainer: Trainer, work: Path) -> None:
    (work / "bad.csv").write_text("id,name\n1,Ada\n1,Bo\n", encoding="utf-8")

    with at_keys(trainer) as user:
        user.desk("Roster", "bad")
        user.see("Roster: bad.csv", 'the id "1"')  # where it can be mended
        user.press("escape")
        user.enter("Assign a deck")
        user.enter("Roster", "bad", sees="bad.csv:3")
        assert "roster" not in trainer.studio.desk
        user.enter("Write the assignments", sees="choose the roster first")


def test_the_plan_of_a_folder_says_who_is_missing(real: RealHouse, work: Path) -> None:
    run = errands(real).run
    words = ("assign", "monday", "--roster=roster.csv", "--due=2026-03-04", "--out-dir=week-1")
    assert run(words).good
    (work / "week-1" / "roster.csv").write_text(ROSTER, encoding="utf-8")
    with at_keys(real.trainer(errands=errands(real))) as user:
        user.desk("The plan")
        user.enter("Show the plan", sees="choose the folder first")
        shown = user.enter("Folder", sees=("Assignments", "week-1/"))
        assert "roster.csv" not in shown
        user.type("week-1", "enter", sees=("this folder", "/week-1:"))
        user.press("enter", sees=("▸ Folder", "week-1", "Roster  roster.csv of the folder"))
        user.enter("Show the plan")
        user.golden("plan", user.see("Week by week", "monday", "due"))
        user.press("tab", sees=("Who is missing", "Ada Finch"))
        user.press("escape", "escape")
        (work / "week-1" / "broken.toml").write_text("keys = [", encoding="utf-8")
        user.enter("The plan", sees=("▸ Folder", "week-1"))
        shown = user.enter("Show the plan", sees=("Week by week", "monday"))
        assert "broken.toml:1" in "".join(shown.split())


@pytest.mark.usefixtures("work")
def test_nothing_was_answered_so_nothing_is_tricky(user: User) -> None:
    user.desk("A deck of what goes wrong")
    user.go("Answers", "right", "right", sees=("another file or folder", "Which"))
    user.enter("Write it", sees="choose the results file or folder first")
    shown = user.go("Answers", "left", sees="my own answers")
    assert "Decks  " not in shown
    user.enter("Write it", sees="there are no answers yet")


def practise_badly(real: RealHouse) -> None:
    """Six wrong answers to the monday, in line mode."""
    typed = StringIO("C C C C\n" * 6)
    tools = Tools(real.house, typed, StringIO(), StringIO(), lambda: MORNING, {})
    module = module_of("practise")
    words = "--plain --deck monday --prompts 6 --no-again --no-missed-again --mute --seed 1"
    module.run(parser_of("practise", module).parse_args(words.split()), tools)


def test_a_deck_is_made_of_ones_own_wrong_answers_and_over_another_is_asked(
    real: RealHouse, work: Path
) -> None:
    practise_badly(real)
    mine = real.house.deck_folders[0] / "tricky-keys.toml"
    mine.write_text(DECK, encoding="utf-8")
    with at_keys(real.trainer(errands=errands(real))) as user:
        user.desk("A deck of what goes wrong")
        user.go("Answers", "right", sees="my own answers")
        user.go("Keys ", *["left"] * 3)
        user.enter("Horn", sees="that of the answers")
        user.press("escape")
        user.fill("A note to them", "Signature first.")
        shown = user.enter("Write it", sees="tricky-keys.toml is there already")
        shown = re.sub(r"In /[^▸]*?\.\n", "In /home/ada.\n", shown)
        user.golden("taken", shown.rstrip())
        assert mine.read_text(encoding="utf-8") == DECK
        user.press("enter")  # another name comes first: Enter alone overwrites nothing
        user.see("Where to")
        user.type("mine", "enter", sees="mine.toml written")
        user.press("escape", sees=("A deck of what goes wrong", "Signature first."))
        user.enter("Write it", sees="is there already")
        user.press("down", "down", "enter", sees=("A deck of what goes wrong", "Write it"))
        assert mine.read_text(encoding="utf-8") == DECK
        user.enter("Write it", sees="is there already")
        user.press("down", "enter", sees=("tricky-keys.toml", "written"))
    for path in (mine, mine.parent / "mine.toml"):
        made = load(path)
        assert made.title == "Tricky keys"
        assert made.note == "Signature first."
        assert len(made.concert_keys or made.keys) <= 2


def test_answers_are_backed_up_brought_back_and_added(real: RealHouse, work: Path) -> None:
    (real.house.deck_folders[0] / "monday.toml").write_text(DECK, encoding="utf-8")
    practise_badly(real)
    with at_keys(real.trainer(errands=errands(real))) as user:
        user.desk("Back up my answers", sees="answers-2026-03-02.db")
        user.enter("Write the backup", sees="6 answers copied")
        user.press("escape")
        shown = user.enter("Write the backup", sees=("is there already", "leave it as it is"))
        assert "write over it" not in shown  # a backup may be all that is left
        user.press("enter", *"second", "enter", sees="6 answers copied")
        user.press("escape", "escape", sees="The teacher's desk")
        practise_badly(real)
        user.enter(
            "Bring a backup back", "second", sees="Put this backup in the place of your answers?"
        )
        user.press("escape", sees="The teacher's desk")
        assert count(real) == 12
        user.enter(
            "Bring a backup back", "second", sees="Put this backup in the place of your answers?"
        )
        user.press("enter", sees="holds the 6 answers of")
        assert count(real) == 6
        user.press("escape", sees="The teacher's desk")
        user.enter(
            "Add another log's answers",
            "second",
            sees=("0 answers taken in", "already;", "holds 6"),
        )
        user.press("escape", "escape", sees=("Today", "due"))
    assert sorted(each.name for each in work.glob("*.db")) == ["answers-2026-03-02.db", "second.db"]


def count(real: RealHouse) -> int:
    store = Store.open(real.house.log)
    try:
        return store.count()
    finally:
        store.close()


def test_a_page_that_is_there_is_not_printed_over_without_a_yes(
    trainer: Trainer, work: Path
) -> None:
    page = work / "monday.musicxml"
    page.write_text("my own", encoding="utf-8")

    with at_keys(trainer, 60, 20) as user:
        user.desk("Print a page")
        choose_deck(user, "monday")
        user.go("As", "right", "right")
        user.enter("Print it", sees=("monday.musicxml is there already", "Nothing was written"))
        assert page.read_text(encoding="utf-8") == "my own"
        user.press("escape", sees="Print it")
        user.enter("Print it", sees="is there already")
        user.press("enter", *"other", "enter", sees="other.musicxml")
        user.see("wrote")
        assert page.read_text(encoding="utf-8") == "my own"
        user.press("escape")
        user.enter("Print it", sees="is there already")
        user.press("down", "enter", sees="wrote")
    assert "<score-partwise" in (work / "other.musicxml").read_text(encoding="utf-8")
    assert "<score-partwise" in page.read_text(encoding="utf-8")


def test_a_report_is_written_to_give_away(real: RealHouse, work: Path) -> None:
    practise_badly(real)
    handed = ("hand-in", "--deck=monday", "--name=Ada Finch", "--out=ada.drill-results")
    assert errands(real).run(handed).good
    assert errands(real).run(("take-in", "ada.drill-results")).good
    old = work / "class-2026-03-02.html"
    old.write_text("an older one", encoding="utf-8")
    with at_keys(real.trainer(errands=errands(real)), 60, 20) as user:
        user.golden(
            "desk-report",
            user.desk("A report to give away", sees=("class-2026-03-02.html", "with names")),
        )
        user.go("Students", "right", sees="with initials alone")
        user.enter("Write it", sees="class-2026-03-02.html is there already")
        shown = user.press("enter", *"wall", "enter", sees="wall.html written")
        assert "By heart" not in shown  # what is in it is not printed too
        user.press("escape")
        user.go("What", "right", sees=("a row a student", "class-2026-03-02.csv"))
        user.go("Students", "left")
        user.enter("Write it", sees="class-2026-03-02.csv written")
        user.press("escape")
        user.go("What", "right", sees=("a page for each student", "Folder"))
        user.enter("Write it", sees="1 page, and all.html")
        user.press("escape")
        user.enter("Write it", sees="all.html is there already")
    assert old.read_text(encoding="utf-8") == "an older one"
    assert "Ada Finch" not in (work / "wall.html").read_text(encoding="utf-8")
    assert "Ada Finch" in (work / "class-2026-03-02.csv").read_text(encoding="utf-8")
    pages = work / "class-2026-03-02"
    assert sorted(each.name for each in pages.iterdir()) == ["ada-finch.html", "all.html"]


def test_a_page_for_each_horn_or_student_of_the_roster(
    real: RealHouse, trainer: Trainer, work: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[str, ...]] = []

    def run(self: CommandErrands, words: Sequence[str]) -> Done:
        del self
        asked.append(tuple(words))
        return Done(True, "3 pages for 3 parts\n")

    monkeypatch.setattr(CommandErrands, "run", run)  # engraving takes seconds
    del real

    with at_keys(trainer) as user:
        user.desk("Print a page")
        choose_deck(user, "monday")
        user.go("For")
        for word in ("each horn on the roster", "each student, by name"):
            user.press("right", sees=(word, "Roster"))
        user.golden("desk-print")
        user.enter("Print it", sees="choose the roster first")
        user.enter("Roster", "roster", sees="roster.csv")
        user.enter("Print it", sees="3 pages for 3 parts")
        user.press("escape")
        shown = user.go("As", "left", sees="MIDI")
        assert "each student" not in shown  # a file of sound is of one horn
        assert "Paper" not in shown
        user.enter("Print it", sees="3 pages for 3 parts")
    pages, sound = asked
    assert "--horns=students" in pages
    assert f"--roster={work / 'roster.csv'}" in pages
    assert not any(word.startswith(("--horns", "--roster")) for word in sound)


def test_answers_handed_in_and_assignments_taken_in_replace_nothing_unasked(
    real: RealHouse, work: Path
) -> None:
    practise_badly(real)
    file = work / "ada-monday.drill-results"
    file.write_text("another's", encoding="utf-8")
    (work / "monday.toml").write_text(DECK.replace("Monday", "Other"), encoding="utf-8")
    with at_keys(real.trainer(errands=errands(real))) as user:
        user.desk("Hand in my answers")
        choose_deck(user, "monday")
        user.enter("Your name", "Ada")
        user.enter("Write it", sees="ada-monday.drill-results is there already")
        assert file.read_text(encoding="utf-8") == "another's"
        user.press("enter", *"second", "enter", sees="second.drill-results written")
        user.press("escape", "escape")
        user.enter("Take in an assignment", "monday", sees="monday.toml is there already")
        user.press("enter", sees=("Take in an assignment", "type to"))
        user.type("theirs", "enter", sees="added to your decks as theirs")
    own = real.house.deck_folders[0]
    assert file.read_text(encoding="utf-8") == "another's"
    assert load(own / "monday.toml").title == "Monday"
    assert load(own / "theirs.toml").title == "Other"


def test_a_deck_of_ones_own_over_another_can_be_named_otherwise(
    real: RealHouse, trainer: Trainer, work: Path
) -> None:
    del work
    own = real.house.deck_folders[0]

    with at_keys(trainer) as user:
        user.desk("Write a deck")
        user.fill("Name", "Monday")
        user.enter("Keep it as a deck", sees="monday.toml is there already")
        user.press("down", "down", "enter", sees="Keep it as a deck")
        assert (own / "monday.toml").read_text(encoding="utf-8") == DECK
        user.enter("Keep it as a deck", sees="is there already")
        user.press("enter", *"mine", "enter", sees="kept as mine")
        assert (own / "monday.toml").read_text(encoding="utf-8") == DECK
    assert load(own / "mine.toml").title == "Monday"


def test_every_row_has_words() -> None:
    for rows in (ROWS, ASSIGN_ROWS, TRICKY_ROWS, PLAN_ROWS, BACKUP_ROWS):
        for label, told in rows.values():
            assert label
            assert not told or told.endswith(".")
            assert len(label) <= 30


def test_a_folder_is_chosen_among_folders(tmp_path: Path) -> None:
    (tmp_path / "sub").mkdir()
    (tmp_path / "a.csv").write_text("", encoding="utf-8")
    found = [each.label for each in listed(tmp_path, Wanted("", (), folder=True, files=False))]
    assert found == ["this folder", "..", "sub/"]
