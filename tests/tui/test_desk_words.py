"""What the desk's screens say is to be done on the screens, and never by an option of a shell."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from real_house import RealHouse, errands
from tui_desk import at_the_desk, play, press_row, until

from drill.tui.trainer import Trainer

_SHELL = re.compile(r"--[a-z]|\bdrill (deck|config|take-in|log|restore|merge|class|sheet)\b")
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


@pytest.fixture
def at_a_desk() -> bool:
    return True


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

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "Take in an assignment")
            await pilot.press(*"spring", "enter")
            await until(pilot, trainer, "added to your decks as spring", "stands on Today")
            await pilot.press("escape", "escape")
            await until(pilot, trainer, "Today", "▸ Spring")
            await pilot.press("c")
            await until(pilot, trainer, "The teacher's desk")
            await press_row(pilot, trainer, "Hand in my answers")
            shown = await until(pilot, trainer, "spring", "Mara Quill")
            assert "mara-quill-spring" in shown

    play(scenario())


def test_a_selection_that_the_hand_made_stays(
    trainer: Trainer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "spring.toml").write_text(GIVEN, encoding="utf-8")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "Today", "due")
            await pilot.press("down")
            await pilot.pause(0.05)
            here = trainer.studio.chosen
            await at_the_desk(pilot, trainer)
            await press_row(pilot, trainer, "Take in an assignment")
            await pilot.press(*"spring", "enter")
            await until(pilot, trainer, "added to your decks as spring")
            await pilot.press("escape", "escape")
            await until(pilot, trainer, "Today", "Spring")
            assert trainer.studio.chosen == here

    play(scenario())


def test_the_name_of_the_last_hand_in_is_offered(
    real: RealHouse, trainer: Trainer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            for told in ("Your name –", "Your name Bo Lark"):
                await at_the_desk(pilot, trainer)
                await press_row(pilot, trainer, "Hand in my answers")
                await until(pilot, trainer, told)
                if "–" in told:
                    await press_row(pilot, trainer, "Your name")
                    await pilot.press(*"Bo Lark", "enter")
                    await press_row(pilot, trainer, "Write it")
                    await until(pilot, trainer, "there are no answers")
                    await pilot.press("escape", "escape", "escape")

    play(scenario())
    assert 'student = "Bo Lark"' in real.house.places.settings.read_text(encoding="utf-8")
