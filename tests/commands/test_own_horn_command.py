"""One assignment in concert keys: every player opens it on the horn of his settings."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from drill import cli

DECK = """\
title = "Warm-up"
instrument = "own"
patterns = ["1-2-3-1"]
concert_keys = ["Bb"]
directions = ["up"]
"""


@pytest.fixture
def deck(tmp_path: Path) -> str:
    path = tmp_path / "warm-up.toml"
    path.write_text(DECK, encoding="utf-8")
    return str(path)


@pytest.mark.parametrize(("horn", "first"), [("alto_sax", "G4"), ("horn_f", "F4"), ("tuba", "Bb1")])
def test_the_horn_of_the_settings_gives_the_written_keys(
    horn: str, first: str, deck: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["config", "set", "horn", horn]) == 0
    assert cli.main(["deck", "show", deck]) == 0
    out = capsys.readouterr().out
    assert first.rstrip("0123456789") in out
    assert cli.main(["sheet", deck, "--musicxml", "-"]) in (0, 2)  # a terminal takes no bytes


def test_without_a_horn_a_practice_says_how_to_name_one(
    deck: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["--plain", "--deck", deck, "--prompts", "1"]) == 2
    assert capsys.readouterr().err == (
        "drill: the deck 'Warm-up' is for your own horn: name it in Settings, or by drill config "
        "set horn alto_sax\n"
    )


def test_a_practice_asks_the_written_key(
    deck: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DRILL_HORN", "alto_sax")
    monkeypatch.setattr("sys.stdin", io.StringIO("G A B G\n"))
    assert cli.main(["--plain", "--mute", "--deck", deck, "--prompts", "1", "--seed", "1"]) == 0
    assert "G major" in capsys.readouterr().out
