"""``drill config``: show, set, path."""

from __future__ import annotations

import argparse
import io
import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from drill.commands import config
from drill.errors import ExitCode, UsageError
from drill.places import Places, places
from drill.settings.catalogue import FIELDS
from drill.settings.keymap import KnownAction
from drill.settings.load import load

ACTIONS = (KnownAction("mute", ("f2",)), KnownAction("hear", ("f3",)))


@pytest.fixture
def house(tmp_path: Path) -> Places:
    return places({"DRILL_HOME": str(tmp_path / "home")})


def shown(house: Places, **options: bool) -> tuple[str, str]:
    out, err = io.StringIO(), io.StringIO()
    loaded = load(house, {"DRILL_A4": "442"}, {"theme": "light"}, None, ACTIONS)
    config.show(loaded, out, err, **options)
    return out.getvalue(), err.getvalue()


def test_show_has_a_line_for_each_setting(house: Places) -> None:
    out, err = shown(house)
    lines = [line.split(maxsplit=1) for line in out.splitlines()]
    assert [line[0] for line in lines] == [own.name for own in FIELDS]
    found = {line[0]: line[1] for line in lines}
    assert (found["a4"], found["names"], found["student"]) == ("442", "english", "-")
    assert err == ""


def test_show_with_origin(house: Places) -> None:
    ran(house, "set", "names", "german")
    ran(house, "set", "keys.mute", "m f9")
    out, _ = shown(house, origin=True)
    found = {line.split()[0]: line.split(maxsplit=2)[2] for line in out.splitlines()}
    assert found["theme"] == "flag"
    assert found["a4"] == "environment DRILL_A4"
    assert found["names"] == f"user file {house.settings}:2:9"
    assert found["volume"] == "default"
    assert found["keys.mute"].split(maxsplit=1) == ["f9", f"user file {house.settings}:5:8"]
    assert not any(line != line.rstrip() for line in out.splitlines())


def test_show_as_json(house: Places) -> None:
    house.settings.parent.mkdir()
    house.settings.write_text("volume = 9\nhold = 2\n", encoding="utf-8")
    out, err = shown(house, as_json=True)
    assert out.count("\n") == 1
    data = json.loads(out)
    rows = {row["name"]: row for row in data["settings"]}
    assert rows["a4"] == {
        "name": "a4",
        "value": 442.0,
        "origin": "environment",
        "place": "DRILL_A4",
    }
    assert rows["hold"]["place"] == f"{house.settings}:2:8"
    assert rows["practice.minutes"]["value"] is None
    assert rows["theme"]["place"] is None
    assert data["faults"] == [
        {
            "file": str(house.settings),
            "line": 1,
            "column": 10,
            "message": "volume: expected a volume, 0 to 1, found 9",
            "hint": "9 percent is 0.09",
        }
    ]
    assert err == (
        f"drill: {house.settings}:1:10: volume: expected a volume, 0 to 1, found 9"
        " (9 percent is 0.09)\n"
    )


def test_set_is_seen_by_show(house: Places) -> None:
    assert ran(house, "set", "practice.kinds", "ear")[0] is ExitCode.OK
    out, _ = shown(house, as_json=True)
    rows = {row["name"]: row["value"] for row in json.loads(out)["settings"]}
    assert rows["practice.kinds"] == ["ear"]


def test_set_refuses(house: Places) -> None:
    with pytest.raises(UsageError, match="belongs to hear"):
        ran(house, "set", "keys.mute", "f3")
    assert not house.settings.exists()


def test_path_is_said_whether_there_is_a_file_or_not(house: Places) -> None:
    assert ran(house, "path") == (ExitCode.OK, f"{house.settings}\n")
    assert not house.config.exists()


def ran(house: Places, *arguments: str) -> tuple[ExitCode, str]:
    """The command as the command line calls it."""
    parser = argparse.ArgumentParser()
    config.arguments(parser)
    out = io.StringIO()
    tools: Any = SimpleNamespace(
        house=SimpleNamespace(places=house), out=out, err=io.StringIO(), environment={}
    )
    return config.run(parser.parse_args(arguments), tools, ACTIONS), out.getvalue()


def test_the_command_line(house: Places, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "drill.toml").write_text("a4 = 441\n", encoding="utf-8")
    assert ran(house, "set", "names", "dutch") == (ExitCode.OK, "")
    plain = ran(house)
    assert plain[0] is ExitCode.OK
    assert plain == ran(house, "show")
    found = {
        line.split()[0]: line.split(maxsplit=2)[2]
        for line in ran(house, "show", "--origin")[1].splitlines()
    }
    assert found["a4"] == "project file drill.toml:1:6"
    assert found["names"].startswith("user file ")
    assert json.loads(ran(house, "show", "--json")[1])["faults"] == []
