"""A roster made and changed in the screens, as the file that the commands read."""

from __future__ import annotations

from pathlib import Path

from real_house import RealHouse
from tui_desk import golden
from tui_user import User, at_keys

from drill.reports.rosterfile import roster_of
from drill.tui.trainer import Trainer
from drill.wording.forms import LEAVE_UNKEPT

AT_A_DESK = True


def test_a_teacher_writes_a_roster_and_the_whole_desk_knows_it(
    real: RealHouse, here: Path, user: User
) -> None:
    user.desk("Write a roster", sees=("Write a roster", "roster.csv"))
    user.enter("Keep the roster", sees="nobody is on this roster")
    user.press(
        "home", "enter", *"Mara Quill, alto sax", "enter", sees=("Mara Quill", "Alto saxophone")
    )
    shown = user.press("enter", *"Bo Lark, kazzoo", "enter", sees=("Bo Lark", "kazzoo"))
    assert "▸ Add a student" in shown  # ready for the next
    user.enter("A column of yours", "level", sees="each student has level now")
    user.enter("Keep the roster", sees=("▸ Keep the roster", "there is no instrument"))
    assert not (here / "roster.csv").exists()
    user.go("Bo Lark")
    user.golden("roster")
    golden("roster-60x20", user.drawn(60, 20))
    user.press("enter", sees="Take off the roster")
    user.go("Horn")
    golden("student-60x20", user.drawn(60, 20))
    user.press("enter", *"tuba", "enter", sees=("▸ Horn", "Tuba"))
    user.enter("level", "b", sees=("level", "b"))
    user.press("escape")
    user.enter("Keep the roster", sees="2 on the roster roster.csv")
    user.press("escape", sees=("The teacher's desk", "Roster", "roster.csv"))
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

    with at_keys(trainer, 60, 20) as user:
        user.desk("Roster", "band", sees="Roster: band.csv")
        user.enter("Bo")
        user.go("Id", sees=("✗", 'the id "1" is Ada'))
        user.press("enter", "ctrl+u", "7", "enter", "escape")
        user.enter("Cy")
        user.enter("Take off the roster", sees="Cy is off the roster")
        user.press("escape")
        user.see(*LEAVE_UNKEPT[0].split())
        user.press("escape")
        user.enter("Keep the roster", sees="2 on the roster band.csv")
        user.press("escape", sees="Change the roster            band.csv")
        user.enter("Change the roster", sees=("Roster: band.csv", "Alto saxophone in E♭"))
    assert (
        path.read_text(encoding="utf-8") == "# autumn\nNo;Name;Instrument\n1;Ada;alto\n7;Bo;tuba\n"
    )


def test_another_roster_of_that_name_is_asked_for(trainer: Trainer, here: Path) -> None:
    (here / "roster.csv").write_text("name\nAda\n", encoding="utf-8")

    with at_keys(trainer) as user:
        user.desk("Write a roster")
        user.press("enter", *"Bo", "enter")
        user.enter("Keep the roster", sees="roster.csv is there already")
        user.press("enter", *"winds", "enter", sees="1 on the roster winds.csv")
    assert (here / "roster.csv").read_text(encoding="utf-8") == "name\nAda\n"
    assert (here / "winds.csv").read_text(encoding="utf-8") == "name\nBo\n"
