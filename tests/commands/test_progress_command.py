"""``drill progress``: nothing yet, the three forms, and what it prints can be run."""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from desk_tools import NOW, ran

from drill.commands import deck as deck_command
from drill.commands import progress
from drill.commands.table import COMMANDS
from drill.decks.load import find, load
from drill.decks.shipped import shipped_folder
from drill.errors import ExitCode, UsageError
from drill.memory.items import Answer, practice_day
from drill.memory.store import Store
from drill.places import places
from drill.practice.syllabus import build
from drill.practice.time.tempi import Kept

DECK = load(find("tricky-keys-tenor", (shipped_folder(),)))


def answers_of(home: Path) -> Iterator[tuple[Answer, object]]:
    """F sharp asked whole three times on three days, one cell always missed; B played in time."""
    syllabus = build(DECK)
    run = next(r for r in syllabus.runs if str(r.key.tonic) == "F#")
    own = [entry.item for entry in syllabus.entries.values() if entry.run is run]
    number = 0

    def made(item: object, right: bool, days: int, **more: object) -> tuple[Answer, object]:
        nonlocal number
        number += 1
        at = NOW - timedelta(days=20 - days) + timedelta(seconds=20 * number)
        fields: dict[str, object] = {
            "uuid": f"{number:08x}-0000-4000-8000-000000000000", "at": at,
            "day": practice_day(at), "item": item.id, "right": right,  # type: ignore[attr-defined]
            "deck": DECK.fingerprint, "deck_name": DECK.name, "kind": "run",
            "slip": None if right else "other-signature", "seconds": 3.0, "keystrokes": 8,
        }  # fmt: skip
        return Answer(**{**fields, **more}), item  # type: ignore[arg-type]

    for day in (0, 1, 2):
        for place, item in enumerate(own):
            yield made(item, place != 3, day)
    other = next(e for e in syllabus.entries.values() if str(e.run.key.tonic) == "B")
    for bout in range(3):
        kept = Kept(
            f"b{bout}", "p", other.item.shape, other.item.key, 0, 1, "locked in", True,
            4, 4, 0.0, 5.0, 0.0, 1.0, (0.0,) * 4,
        )  # fmt: skip
        yield made(other.item, True, 3, kind="time", tempo=66.0, details=kept.text())


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("player")
    log = places({"DRILL_HOME": str(folder)}).answers
    log.parent.mkdir(parents=True, exist_ok=True)
    with Store.open(log) as store:
        for each, item in answers_of(folder):
            store.append(each, item)  # type: ignore[arg-type]
    return folder


def test_without_a_log_it_says_so_and_nothing_is_made(tmp_path: Path) -> None:
    got = ran(progress, (), tmp_path / "none")
    assert (got.code, got.out) == (ExitCode.OK, "")
    assert got.err == f"drill: {progress.NO_LOG}\n"
    assert not (tmp_path / "none").exists()
    assert json.loads(ran(progress, ("--json",), tmp_path / "none").out) is None


def test_the_deck_practised_last_is_shown(home: Path) -> None:
    got = ran(progress, (), home)
    assert got.out.startswith(
        "Progress: Tricky keys, tenor (tricky-keys-tenor), 2031-03-14\ncells 210"
    )
    assert max(map(len, got.out.splitlines())) <= 80
    assert "not enough answers yet" in got.out  # B had three answers
    line = next(line for line in got.out.splitlines() if line.startswith("up on 4 "))
    assert line.split() == "up on 4 3 of 3 100 % 3 of 3 runs".split()


def test_the_figures_come_from_the_log(home: Path) -> None:
    data = json.loads(ran(progress, ("--json",), home).out)
    keys = {key["key"]: key for key in data["keys"]}
    assert (keys["F# major"]["answers"], keys["F# major"]["slips"]) == (21, 3)
    assert keys["F# major"]["error_rate"] == pytest.approx(1 / 7)
    assert (keys["B major"]["answers"], keys["B major"]["enough_answers"]) == (3, False)
    tempos = {
        (each["key"], each["pattern"], each["direction"]): each["locked_in_tempo"]
        for each in data["patterns"]
        if each["locked_in_tempo"] is not None
    }
    assert tempos == {("B major", "1-2-3-1", "up"): 66.0}
    assert data["forecast"]["practice_days"] == 4
    assert data["forecast"]["enough_days"] is False  # 24 answers are too few to tell a pace
    assert data["forecast"]["days"] is None
    assert (data["forecast"]["by_heart"], data["forecast"]["due"]["pace"]) == (0, None)
    assert (data["enough_for_today"], data["due_tomorrow"]) == (False, None)
    degrees = {(e["direction"], e["degree"]): e for e in data["trips"]["degrees"]}
    assert (degrees["up", "4"]["broke"], degrees["up", "4"]["whole_runs"]) == (3, 3)
    assert degrees["up", "5"]["whole_runs"] == 0


def test_the_page_is_written_or_printed(home: Path, tmp_path: Path) -> None:
    file = tmp_path / "p.html"
    got = ran(progress, ("--html", str(file)), home)
    assert got.err.endswith("p.html written\n")
    assert got.out.startswith("Progress: Tricky keys")
    printed = ran(progress, ("--html", "-"), home).out
    assert printed == file.read_text(encoding="utf-8")
    assert printed.startswith("<!DOCTYPE html>")
    with pytest.raises(UsageError, match="only one"):
        ran(progress, ("--html", "-", "--json"), home)
    thesis = tmp_path / "thesis.txt"
    thesis.write_text("mine", encoding="utf-8")
    with pytest.raises(UsageError, match="is not a page"):
        ran(progress, ("--html", str(thesis)), home)
    assert thesis.read_text(encoding="utf-8") == "mine"


def test_the_small_deck_can_be_made_as_printed(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = json.loads(ran(progress, ("--json",), home).out)
    make, practise = data["trips"]["mixed_keys_drill"]
    monkeypatch.chdir(tmp_path)
    words = shlex.split(make)
    assert words[:2] == ["drill", "deck"]
    assert ran(deck_command, words[2:], home).code is ExitCode.OK
    written = load(tmp_path / shlex.split(practise)[-1])
    assert [str(key.tonic) for key in written.keys] == ["F#"]
    assert [p.text for p in written.patterns] == [p.text for p in DECK.patterns]
    assert written.instrument == DECK.instrument


def test_it_is_a_command() -> None:
    assert {"progress", "why"} <= set(COMMANDS)
