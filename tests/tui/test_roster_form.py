"""A roster made and changed in the screens, as the file that the commands read."""

from __future__ import annotations

from pathlib import Path

import pytest
from real_house import RealHouse
from tui_desk import (
    at_the_desk,
    choose,
    golden,
    play,
    press_row,
    screen_text,
    text_of,
    to_row,
    until,
)

from drill.commands.class_ import roster_of
from drill.tui.trainer import Trainer
from drill.wording.forms import LEAVE_UNKEPT


@pytest.fixture
def at_a_desk() -> bool:
    return True


def test_a_teacher_writes_a_roster_and_the_whole_desk_knows_it(
    real: RealHouse, trainer: Trainer, here: Path
) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "Write a roster")
            await until(pilot, trainer, "Write a roster", "roster.csv")
            await press_row(pilot, trainer, "Keep the roster")
            await until(pilot, trainer, "nobody is on this roster")
            await pilot.press("home", "enter", *"Mara Quill, alto sax", "enter")
            await until(pilot, trainer, "Mara Quill", "Alto saxophone")
            await pilot.press("enter", *"Bo Lark, kazzoo", "enter")
            shown = await until(pilot, trainer, "Bo Lark", "kazzoo")
            assert "▸ Add a student" in shown  # ready for the next
            await choose(pilot, trainer, "A column of yours", "level")
            await until(pilot, trainer, "each student has level now")
            await press_row(pilot, trainer, "Keep the roster")
            await until(pilot, trainer, "▸ Keep the roster", "there is no instrument")
            assert not (here / "roster.csv").exists()
            await to_row(pilot, trainer, "Bo Lark")
            golden("roster-80x24", screen_text(trainer))
            golden("roster-60x20", text_of(trainer.screen.set_page(60, 20)))  # type: ignore[attr-defined]
            await pilot.press("enter")
            await until(pilot, trainer, "Take off the roster")
            await to_row(pilot, trainer, "Horn")
            golden("student-60x20", text_of(trainer.screen.set_page(60, 20)))  # type: ignore[attr-defined]
            await pilot.press("enter", *"tuba", "enter")
            await until(pilot, trainer, "▸ Horn", "Tuba")
            await choose(pilot, trainer, "level", "b")
            await until(pilot, trainer, "level", "b")
            await pilot.press("escape")
            await press_row(pilot, trainer, "Keep the roster")
            await until(pilot, trainer, "2 on the roster roster.csv")
            await pilot.press("escape")
            await until(pilot, trainer, "The teacher's desk", "Roster", "roster.csv")

    play(scenario())
    people = roster_of(str(here / "roster.csv"))
    assert [(each.name, each.horn, each.value("level")) for each in people] == [
        ("Mara Quill", "alto_sax", ""),
        ("Bo Lark", "tuba", "b"),
    ]


def test_a_roster_with_faults_is_opened_to_mend_them(trainer: Trainer, here: Path) -> None:
    path = here / "band.csv"
    path.write_text(
        "# autumn\nNo;Name;Instrument\n1;Ada;alto\n1;Bo;tuba\n2;Cy;\n", encoding="utf-8"
    )

    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await at_the_desk(pilot, trainer)
            await choose(pilot, trainer, "Roster", "band")
            await until(pilot, trainer, "Roster: band.csv")
            await press_row(pilot, trainer, "Bo")
            await to_row(pilot, trainer, "Id")
            await until(pilot, trainer, "✗", 'the id "1" is Ada')
            await pilot.press("enter", "ctrl+u", "7", "enter", "escape")
            await press_row(pilot, trainer, "Cy")
            await press_row(pilot, trainer, "Take off the roster")
            await until(pilot, trainer, "Cy is off the roster")
            await pilot.press("escape")
            await until(pilot, trainer, *LEAVE_UNKEPT[0].split())
            await pilot.press("escape")
            await press_row(pilot, trainer, "Keep the roster")
            await until(pilot, trainer, "2 on the roster band.csv")
            await pilot.press("escape")
            await until(pilot, trainer, "Change the roster            band.csv")
            await press_row(pilot, trainer, "Change the roster")
            await until(pilot, trainer, "Roster: band.csv", "Alto saxophone in E♭")

    play(scenario())
    assert (
        path.read_text(encoding="utf-8") == "# autumn\nNo;Name;Instrument\n1;Ada;alto\n7;Bo;tuba\n"
    )


def test_another_roster_of_that_name_is_asked_for(trainer: Trainer, here: Path) -> None:
    (here / "roster.csv").write_text("name\nAda\n", encoding="utf-8")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "Write a roster")
            await pilot.press("enter", *"Bo", "enter")
            await press_row(pilot, trainer, "Keep the roster")
            await until(pilot, trainer, "roster.csv is there already")
            await pilot.press("enter", *"winds", "enter")
            await until(pilot, trainer, "1 on the roster winds.csv")

    play(scenario())
    assert (here / "roster.csv").read_text(encoding="utf-8") == "name\nAda\n"
    assert (here / "winds.csv").read_text(encoding="utf-8") == "name\nBo\n"
