"""Choosing a file: what is offered for what was typed, and where it leads."""

from __future__ import annotations

import os
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from drill.tui.formed.files import HERE, Wanted, file_list
from drill.tui.formed.filling import RESULTS
from drill.tui.formed.teacher import TeacherForm
from drill.tui.ways import Program, ToErrand, ToPick

SAVED = Wanted("Save as", (".toml",), new=True)


class Way:
    """Where the list sent the player."""

    def __init__(self) -> None:
        self.gone: list[object] = []
        self.studio = SimpleNamespace()

    def go(self, to: object, *, instead: bool = False) -> None:
        self.gone.append(to)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "old.toml").write_text("", encoding="utf-8")
    (tmp_path / "notes.txt").write_text("", encoding="utf-8")
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / "thirds.toml").write_text("", encoding="utf-8")
    return tmp_path


def opened(folder: Path, wanted: Wanted) -> tuple[ToPick, list[Path], Way]:
    took: list[Path] = []
    way = Way()

    def done(path: Path) -> str:
        took.append(path)
        return ""

    return file_list(cast("Program", way), wanted, folder, done), took, way


def labels(made: ToPick, typed: str) -> list[str]:
    assert made.typed is not None
    return [choice.label for choice in made.typed(typed)]


def test_a_new_name_comes_first_and_gets_its_ending(folder: Path) -> None:
    made, took, _ = opened(folder, SAVED)
    assert labels(made, "mine")[0] == "mine.toml"
    assert labels(made, "old.toml").count("old.toml") == 1
    assert not any("notes" in label for label in labels(made, ""))
    assert made.typed is not None
    made.done((made.typed("mine")[0].id,))
    assert took == [folder / "mine.toml"]


def test_a_typed_path_offers_what_lies_there_and_a_new_name(folder: Path) -> None:
    made, took, _ = opened(folder, SAVED)
    inside = os.path.join("more", "")
    assert labels(made, inside)[0] != inside + ".toml"
    assert inside + "thirds.toml" in labels(made, inside)
    first, *rest = labels(made, inside + "mine")
    assert first == inside + "mine.toml"
    assert inside + "thirds.toml" in rest
    assert made.typed is not None
    made.done((made.typed(inside + "mine")[0].id,))
    assert took == [folder / "more" / "mine.toml"]


def test_where_a_file_must_be_there_no_new_name_is_offered(folder: Path) -> None:
    made, took, _ = opened(folder, Wanted("Open", (".toml",)))
    inside = os.path.join("more", "")
    assert inside + "mine.toml" not in labels(made, inside + "mine")
    assert "mine.toml" not in labels(made, "mine")
    assert made.typed is not None
    (there,) = [each for each in made.typed(inside) if each.label == inside + "thirds.toml"]
    made.done((there.id,))
    assert took == [folder / "more" / "thirds.toml"]


def test_a_folder_is_gone_into_and_not_taken(folder: Path) -> None:
    made, took, way = opened(folder, Wanted("Into which folder", (), folder=True))
    made.done(("more",))
    assert took == []
    (there,) = way.gone
    assert isinstance(there, ToPick)
    there.done((HERE,))
    assert took == [folder / "more"]


def test_results_chosen_at_the_desk_are_taken_in(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    name = f"mara{RESULTS.suffixes[0]}"
    (folder / name).write_text("", encoding="utf-8")
    way = Way()
    context = SimpleNamespace(errands=object())
    way.studio = SimpleNamespace(chosen="", desk={}, context=context)
    TeacherForm(cast("Program", way)).press("collect")
    (pick,) = way.gone
    assert isinstance(pick, ToPick)
    assert name in [choice.id for choice in pick.pick.choices]
    pick.done((name,))
    errand = way.gone[-1]
    assert isinstance(errand, ToErrand)
    assert errand.words == ("take-in", str(folder / name))
