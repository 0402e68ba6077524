"""The teacher's desk in the screens: assigning, planning, what goes wrong, answers kept safe."""

from __future__ import annotations

import re
from collections.abc import Sequence
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from real_house import RealHouse, errands
from tui_desk import (
    MORNING,
    at_the_desk,
    choose,
    golden,
    play,
    press_row,
    screen_text,
    to_row,
    until,
)

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


@pytest.fixture
def at_a_desk() -> bool:
    return True


@pytest.fixture
def work(tmp_path: Path, real: RealHouse, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The teacher's own folder, with a roster; her deck is among her decks."""
    folder = tmp_path / "band"
    folder.mkdir()
    (folder / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (real.house.deck_folders[0] / "monday.toml").write_text(DECK, encoding="utf-8")
    monkeypatch.chdir(folder)
    return folder


async def type_row(pilot: Any, trainer: Trainer, label: str, text: str) -> None:
    await press_row(pilot, trainer, label)
    await pilot.press("ctrl+u", *text, "enter")
    await until(pilot, trainer, text)


async def choose_deck(pilot: Any, trainer: Trainer, name: str) -> None:
    await press_row(pilot, trainer, "Deck")
    await until(pilot, trainer, "Which deck?")
    await pilot.press(*name, "enter")
    await until(pilot, trainer, "▸ Deck", name)


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20)])
def test_the_forms_as_they_are_drawn(
    real: RealHouse, trainer: Trainer, work: Path, width: int, height: int
) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(width, height)) as pilot:
            await at_the_desk(pilot, trainer)
            golden(f"teacher-{width}x{height}", screen_text(trainer))
            trainer.studio.desk["roster"] = work / "roster.csv"
            forms: dict[str, AssignForm | TrickyForm | PlanForm | BackupForm] = {
                "assign": AssignForm(
                    trainer, errands(real), real.house.deck_folders[0] / "monday.toml"
                ),
                "tricky": TrickyForm(trainer, errands(real)),
                "plan": PlanForm(trainer, errands(real)),
                "backup": BackupForm(trainer),
            }
            for name, form in forms.items():
                trainer.go(ToForm(form))
                shown = await until(pilot, trainer, form.title, "▸")
                if name == "backup":
                    await pilot.press("down")  # off the row that tells the folder
                    shown = await until(pilot, trainer, "▸ Write the backup")
                golden(f"desk-{name}-{width}x{height}", shown)
                await pilot.press("escape")
                await until(pilot, trainer, "The teacher's desk")

    play(scenario())


def test_a_deck_is_assigned_to_one_level_with_its_day(trainer: Trainer, work: Path) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "Assign a deck")
            await until(pilot, trainer, "A file for")
            await choose_deck(pilot, trainer, "monday")
            await press_row(pilot, trainer, "Write the assignments")
            await until(pilot, trainer, "choose the roster first")
            await press_row(pilot, trainer, "Roster")
            await until(pilot, trainer, "A roster", "roster.csv")
            await pilot.press(*"roster", "enter")
            await until(pilot, trainer, "roster.csv (3)")
            await to_row(pilot, trainer, "A file for")
            for word in ("each group", "each horn", "each level", "each student"):
                await pilot.press("right")
                await until(pilot, trainer, word)
            await press_row(pilot, trainer, "Given to")
            await until(pilot, trainer, "level 1", "2 of 3", "everybody on the roster")
            await pilot.press(*"level 1", "enter")
            await until(pilot, trainer, "▸ Given to", "level 1")
            await type_row(pilot, trainer, "To be known by", "15 March")
            await until(pilot, trainer, "expected a day such as")
            await press_row(pilot, trainer, "Write the assignments")
            await until(pilot, trainer, "Write the assignments", "expected a day such as")
            await type_row(pilot, trainer, "To be known by", "2026-03-15")
            await type_row(pilot, trainer, "A line to them", "Slowly at first.")
            await type_row(pilot, trainer, "Called", "week-3")
            await until(pilot, trainer, "monday-2026-03-15")
            await press_row(pilot, trainer, "Write the assignments")
            await until(pilot, trainer, "2 files for 2 students")

    play(scenario())
    files = sorted((work / "monday-2026-03-15").iterdir())
    assert [each.name for each in files] == ["7-ada-finch-monday.toml", "9-cy-wren-monday.toml"]
    deck = load(files[0])
    given = deck.assignment
    assert given is not None
    assert (given.id, given.name, given.line) == ("week-3", "Ada Finch", "Slowly at first.")
    assert str(deck.due) == "2026-03-15"


def test_a_file_for_each_value_of_a_column(trainer: Trainer, work: Path) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await choose(pilot, trainer, "Roster", "roster")
            await until(pilot, trainer, "The teacher's desk", "3 on the roster roster.csv")
            await press_row(pilot, trainer, "Assign a deck")
            await choose_deck(pilot, trainer, "monday")
            await to_row(pilot, trainer, "A file for")
            await pilot.press("left")
            await until(pilot, trainer, "each level")
            await press_row(pilot, trainer, "Folder")
            await until(pilot, trainer, "Where to")
            await pilot.press(*"march", "enter")
            await until(pilot, trainer, "▸ Folder", "march")
            await press_row(pilot, trainer, "Write the assignments")
            await until(pilot, trainer, "2 files for 3 students")

    play(scenario())
    names = [each.name for each in (work / "march").iterdir()]
    assert sorted(names) == ["level-1-monday.toml", "level-2-monday.toml"]


def test_a_roster_with_faults_is_opened_or_told_and_not_kept(trainer: Trainer, work: Path) -> None:
    (work / "bad.csv").write_text("id,name\n1,Ada\n1,Bo\n", encoding="utf-8")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await choose(pilot, trainer, "Roster", "bad")
            await until(pilot, trainer, "Roster: bad.csv", 'the id "1"')  # where it can be mended
            await pilot.press("escape")
            await press_row(pilot, trainer, "Assign a deck")
            await choose(pilot, trainer, "Roster", "bad")
            await until(pilot, trainer, "bad.csv:3")
            assert "roster" not in trainer.studio.desk
            await press_row(pilot, trainer, "Write the assignments")
            await until(pilot, trainer, "choose the roster first")

    play(scenario())


def test_the_plan_of_a_folder_says_who_is_missing(real: RealHouse, work: Path) -> None:
    run = errands(real).run
    words = ("assign", "monday", "--roster=roster.csv", "--due=2026-03-04", "--out-dir=week-1")
    assert run(words).good
    (work / "week-1" / "roster.csv").write_text(ROSTER, encoding="utf-8")
    trainer = real.trainer(errands=errands(real))

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "The plan")
            await press_row(pilot, trainer, "Show the plan")
            await until(pilot, trainer, "choose the folder first")
            await press_row(pilot, trainer, "Folder")
            shown = await until(pilot, trainer, "Assignments", "week-1/")
            assert "roster.csv" not in shown
            await pilot.press(*"week-1", "enter")
            await until(pilot, trainer, "this folder", "/week-1:")
            await pilot.press("enter")
            await until(pilot, trainer, "▸ Folder", "week-1", "Roster  roster.csv of the folder")
            await press_row(pilot, trainer, "Show the plan")
            golden("plan-80x24", await until(pilot, trainer, "Week by week", "monday", "due"))
            await pilot.press("tab")
            await until(pilot, trainer, "Who is missing", "Ada Finch")
            await pilot.press("escape", "escape")
            (work / "week-1" / "broken.toml").write_text("keys = [", encoding="utf-8")
            await press_row(pilot, trainer, "The plan")
            await until(pilot, trainer, "▸ Folder", "week-1")
            await press_row(pilot, trainer, "Show the plan")
            shown = await until(pilot, trainer, "Week by week", "monday")
            assert "broken.toml:1" in "".join(shown.split())
        trainer.studio.close()

    play(scenario())


def test_nothing_was_answered_so_nothing_is_tricky(trainer: Trainer, work: Path) -> None:
    del work

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "A deck of what goes wrong")
            await to_row(pilot, trainer, "Answers")
            await pilot.press("right", "right")
            await until(pilot, trainer, "another file or folder", "Which")
            await press_row(pilot, trainer, "Write it")
            await until(pilot, trainer, "choose the results file or folder first")
            await to_row(pilot, trainer, "Answers")
            await pilot.press("left")
            shown = await until(pilot, trainer, "my own answers")
            assert "Decks  " not in shown
            await press_row(pilot, trainer, "Write it")
            await until(pilot, trainer, "there are no answers yet")

    play(scenario())


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
    trainer = real.trainer(errands=errands(real))

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "A deck of what goes wrong")
            await to_row(pilot, trainer, "Answers")
            await pilot.press("right")
            await until(pilot, trainer, "my own answers")
            await to_row(pilot, trainer, "Keys ")
            await pilot.press(*["left"] * 3)
            await press_row(pilot, trainer, "Horn")
            await until(pilot, trainer, "that of the answers")
            await pilot.press("escape")
            await type_row(pilot, trainer, "A note to them", "Signature first.")
            await press_row(pilot, trainer, "Write it")
            shown = await until(pilot, trainer, "tricky-keys.toml is there already")
            shown = re.sub(r"In /[^▸]*?\.\n", "In /home/ada.\n", shown)
            golden("taken-80x24", shown.rstrip())
            assert mine.read_text(encoding="utf-8") == DECK
            await pilot.press("enter")  # another name comes first: Enter alone overwrites nothing
            await until(pilot, trainer, "Where to")
            await pilot.press(*"mine", "enter")
            await until(pilot, trainer, "mine.toml written")
            await pilot.press("escape")
            await until(pilot, trainer, "A deck of what goes wrong", "Signature first.")
            await press_row(pilot, trainer, "Write it")
            await until(pilot, trainer, "is there already")
            await pilot.press("down", "down", "enter")
            await until(pilot, trainer, "A deck of what goes wrong", "Write it")
            assert mine.read_text(encoding="utf-8") == DECK
            await press_row(pilot, trainer, "Write it")
            await until(pilot, trainer, "is there already")
            await pilot.press("down", "enter")
            await until(pilot, trainer, "tricky-keys.toml", "written")
        trainer.studio.close()

    play(scenario())
    for path in (mine, mine.parent / "mine.toml"):
        made = load(path)
        assert made.title == "Tricky keys"
        assert made.note == "Signature first."
        assert len(made.concert_keys or made.keys) <= 2


def test_answers_are_backed_up_brought_back_and_added(real: RealHouse, work: Path) -> None:
    (real.house.deck_folders[0] / "monday.toml").write_text(DECK, encoding="utf-8")
    practise_badly(real)
    trainer = real.trainer(errands=errands(real))

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "Back up my answers")
            await until(pilot, trainer, "answers-2026-03-02.db")
            await press_row(pilot, trainer, "Write the backup")
            await until(pilot, trainer, "6 answers copied")
            await pilot.press("escape")
            await press_row(pilot, trainer, "Write the backup")
            shown = await until(pilot, trainer, "is there already", "leave it as it is")
            assert "write over it" not in shown  # a backup may be all that is left
            await pilot.press("enter")
            await pilot.press(*"second", "enter")
            await until(pilot, trainer, "6 answers copied")
            await pilot.press("escape", "escape")
            await until(pilot, trainer, "The teacher's desk")
            practise_badly(real)
            await choose(pilot, trainer, "Bring a backup back", "second")
            await until(pilot, trainer, "Put this backup in the place of your answers?")
            await pilot.press("escape")
            await until(pilot, trainer, "The teacher's desk")
            assert count(real) == 12
            await choose(pilot, trainer, "Bring a backup back", "second")
            await until(pilot, trainer, "Put this backup in the place of your answers?")
            await pilot.press("enter")
            await until(pilot, trainer, "holds the 6 answers of")
            assert count(real) == 6
            await pilot.press("escape")
            await until(pilot, trainer, "The teacher's desk")
            await choose(pilot, trainer, "Add another log's answers", "second")
            await until(pilot, trainer, "0 answers taken in", "already;", "holds 6")
            await pilot.press("escape", "escape")
            await until(pilot, trainer, "Today", "due")
        trainer.studio.close()

    play(scenario())
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

    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "Print a page")
            await choose_deck(pilot, trainer, "monday")
            await to_row(pilot, trainer, "As")
            await pilot.press("right", "right")
            await press_row(pilot, trainer, "Print it")
            await until(pilot, trainer, "monday.musicxml is there already", "Nothing was written")
            assert page.read_text(encoding="utf-8") == "my own"
            await pilot.press("escape")
            await until(pilot, trainer, "Print it")
            await press_row(pilot, trainer, "Print it")
            await until(pilot, trainer, "is there already")
            await pilot.press("enter")
            await pilot.press(*"other", "enter")
            await until(pilot, trainer, "other.musicxml")
            for _ in range(300):
                await pilot.pause(0.02)
                if "wrote" in screen_text(trainer):
                    break
            assert page.read_text(encoding="utf-8") == "my own"
            await pilot.press("escape")
            await press_row(pilot, trainer, "Print it")
            await until(pilot, trainer, "is there already")
            await pilot.press("down", "enter")
            await until(pilot, trainer, "wrote")

    play(scenario())
    assert "<score-partwise" in (work / "other.musicxml").read_text(encoding="utf-8")
    assert "<score-partwise" in page.read_text(encoding="utf-8")


def test_a_report_is_written_to_give_away(real: RealHouse, work: Path) -> None:
    practise_badly(real)
    handed = ("hand-in", "--deck=monday", "--name=Ada Finch", "--out=ada.drill-results")
    assert errands(real).run(handed).good
    assert errands(real).run(("take-in", "ada.drill-results")).good
    old = work / "class-2026-03-02.html"
    old.write_text("an older one", encoding="utf-8")
    trainer = real.trainer(errands=errands(real))

    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "A report to give away")
            shown = await until(pilot, trainer, "class-2026-03-02.html", "with names")
            golden("desk-report-60x20", shown)
            await to_row(pilot, trainer, "Students")
            await pilot.press("right")
            await until(pilot, trainer, "with initials alone")
            await press_row(pilot, trainer, "Write it")
            await until(pilot, trainer, "class-2026-03-02.html is there already")
            await pilot.press("enter")
            await pilot.press(*"wall", "enter")
            shown = await until(pilot, trainer, "wall.html written")
            assert "By heart" not in shown  # what is in it is not printed too
            await pilot.press("escape")
            await to_row(pilot, trainer, "What")
            await pilot.press("right")
            await until(pilot, trainer, "a row a student", "class-2026-03-02.csv")
            await to_row(pilot, trainer, "Students")
            await pilot.press("left")
            await press_row(pilot, trainer, "Write it")
            await until(pilot, trainer, "class-2026-03-02.csv written")
            await pilot.press("escape")
            await to_row(pilot, trainer, "What")
            await pilot.press("right")
            await until(pilot, trainer, "a page for each student", "Folder")
            await press_row(pilot, trainer, "Write it")
            await until(pilot, trainer, "1 page, and all.html")
            await pilot.press("escape")
            await press_row(pilot, trainer, "Write it")
            await until(pilot, trainer, "all.html is there already")
        trainer.studio.close()

    play(scenario())
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

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "Print a page")
            await choose_deck(pilot, trainer, "monday")
            await to_row(pilot, trainer, "For")
            for word in ("each horn on the roster", "each student, by name"):
                await pilot.press("right")
                await until(pilot, trainer, word, "Roster")
            golden("desk-print-80x24", screen_text(trainer))
            await press_row(pilot, trainer, "Print it")
            await until(pilot, trainer, "choose the roster first")
            await choose(pilot, trainer, "Roster", "roster")
            await until(pilot, trainer, "roster.csv")
            await press_row(pilot, trainer, "Print it")
            await until(pilot, trainer, "3 pages for 3 parts")
            await pilot.press("escape")
            await to_row(pilot, trainer, "As")
            await pilot.press("left")
            shown = await until(pilot, trainer, "MIDI")
            assert "each student" not in shown  # a file of sound is of one horn
            assert "Paper" not in shown
            await press_row(pilot, trainer, "Print it")
            await until(pilot, trainer, "3 pages for 3 parts")

    play(scenario())
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
    trainer = real.trainer(errands=errands(real))

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "Hand in my answers")
            await choose_deck(pilot, trainer, "monday")
            await choose(pilot, trainer, "Your name", "Ada")
            await press_row(pilot, trainer, "Write it")
            await until(pilot, trainer, "ada-monday.drill-results is there already")
            assert file.read_text(encoding="utf-8") == "another's"
            await pilot.press("enter")
            await pilot.press(*"second", "enter")
            await until(pilot, trainer, "second.drill-results written")
            await pilot.press("escape", "escape")
            await choose(pilot, trainer, "Take in an assignment", "monday")
            await until(pilot, trainer, "monday.toml is there already")
            await pilot.press("enter")
            await until(pilot, trainer, "Take in an assignment", "type to")
            await pilot.press(*"theirs", "enter")
            await until(pilot, trainer, "added to your decks as theirs")
        trainer.studio.close()

    play(scenario())
    own = real.house.deck_folders[0]
    assert file.read_text(encoding="utf-8") == "another's"
    assert load(own / "monday.toml").title == "Monday"
    assert load(own / "theirs.toml").title == "Other"


def test_a_deck_of_ones_own_over_another_can_be_named_otherwise(
    real: RealHouse, trainer: Trainer, work: Path
) -> None:
    del work
    own = real.house.deck_folders[0]

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "Write a deck")
            await type_row(pilot, trainer, "Name", "Monday")
            await press_row(pilot, trainer, "Keep it as a deck")
            await until(pilot, trainer, "monday.toml is there already")
            await pilot.press("down", "down", "enter")
            await until(pilot, trainer, "Keep it as a deck")
            assert (own / "monday.toml").read_text(encoding="utf-8") == DECK
            await press_row(pilot, trainer, "Keep it as a deck")
            await until(pilot, trainer, "is there already")
            await pilot.press("enter")
            await pilot.press(*"mine", "enter")
            await until(pilot, trainer, "kept as mine")
            assert (own / "monday.toml").read_text(encoding="utf-8") == DECK

    play(scenario())
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
