"""What the desk's screens say is to be done on the screens, and never by an option of a shell."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from real_house import RealHouse, errands
from tui_user import at_keys

from drill.commands.table import COMMANDS
from drill.tui.trainer import Trainer

_SHELL = re.compile(rf"--[a-z]|\bdrill ({'|'.join(COMMANDS)})\b")
OWN = 'title = "Band"\ninstrument = "own"\npatterns = ["return3"]\nkeys = "all"\n'
ROSTER = "name,horn\nAda,alto_sax\nBo,\n"
GIVEN = """title = "Spring"
instrument = "alto_sax"
patterns = ["return3"]
keys = ["G"]

[assignment]
id = "week-1"
name = "Mara Quill"
"""


AT_A_DESK = True


def test_no_errand_speaks_of_options(real: RealHouse, tmp_path: Path) -> None:
    folder = real.house.places.decks
    (folder / "band.toml").write_text(OWN, encoding="utf-8")
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (tmp_path / "---.toml").write_text(OWN, encoding="utf-8")
    real.house.places.settings.write_text("", encoding="utf-8")  # nobody's horn
    said = errands(real)
    where = f"--out-dir={tmp_path / 'week'}"
    roster = f"--roster={tmp_path / 'roster.csv'}"
    given = said.run(("assign", "band", roster, where))
    assert "who has no horn on the roster names it once in Settings" in given.said
    told = [
        given,
        said.run(("deck", "add", str(tmp_path / "---.toml"))),
        said.run(("deck", "add", str(tmp_path / "week" / "Ada.toml"))),
        said.run(("sheet", "band", f"--musicxml={tmp_path / 'band.musicxml'}")),
        said.run(
            ("assign", "band", f"--roster={tmp_path / 'roster.csv'}", "--only=horn=tuba", where)
        ),
    ]
    with pytest.raises(Exception, match="nothing was taken in yet") as nothing:
        said.class_results(())
    for each in (*(done.said for done in told), str(nothing.value)):
        assert each
        assert not _SHELL.search(each), each


def test_the_commands_keep_their_options(real: RealHouse, tmp_path: Path) -> None:
    (real.house.places.decks / "band.toml").write_text(OWN, encoding="utf-8")
    real.house.places.settings.write_text("", encoding="utf-8")
    tools = errands(real).tools
    from drill.wording.remedies import Remedy

    assert "--instrument" in tools.do(Remedy.PRINTED_HORN)
    assert "--instrument" not in replace(tools, on_screen=True).do(Remedy.PRINTED_HORN)


def test_an_assignment_that_was_taken_in_is_where_today_stands(
    real: RealHouse, trainer: Trainer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "spring.toml").write_text(GIVEN, encoding="utf-8")

    with at_keys(trainer) as user:
        user.desk("Take in an assignment")
        user.type("spring", "enter", sees=("added to your decks as spring", "stands on Today"))
        user.press("escape", "escape", sees=("Today", "▸ Spring"))
        user.press("c", sees="The teacher's desk")
        shown = user.enter("Hand in my answers", sees=("spring", "Mara Quill"))
        assert "mara-quill-spring" in shown


def test_a_selection_that_the_hand_made_stays(
    trainer: Trainer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "spring.toml").write_text(GIVEN, encoding="utf-8")

    with at_keys(trainer) as user:
        user.today("down")
        user.pause(0.05)
        here = trainer.studio.chosen
        user.desk("Take in an assignment")
        user.type("spring", "enter", sees="added to your decks as spring")
        user.press("escape", "escape", sees=("Today", "Spring"))
        assert trainer.studio.chosen == here


def test_the_name_of_the_last_hand_in_is_offered(
    real: RealHouse, trainer: Trainer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    with at_keys(trainer, 60, 20) as user:
        for told in ("Your name –", "Your name Bo Lark"):
            user.desk("Hand in my answers", sees=told)
            if "–" in told:
                user.enter("Your name", "Bo Lark")
                user.enter("Write it", sees="there are no answers")
                user.press("escape", "escape", "escape")
    assert 'student = "Bo Lark"' in real.house.places.settings.read_text(encoding="utf-8")
