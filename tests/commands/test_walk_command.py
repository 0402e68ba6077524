"""``drill walk`` in lines: which run, what is kept, and what cannot be walked."""

from __future__ import annotations

import argparse
import io
from datetime import UTC
from pathlib import Path

import pytest
from desk_tools import NOW

from drill.commands import walk
from drill.errors import TheoryError, UsageError
from drill.memory.store import Store
from drill.opening.house import House
from drill.opening.tools import Tools
from drill.places import places

DECK = """
title = "Two keys"
instrument = "alto_sax"
patterns = ["return3"]
keys = ["G", "Bb"]
"""


def walked(folder: Path, *words: str, typed: str = "quit\n") -> str:
    path = folder / "two-keys.toml"
    path.write_text(DECK, encoding="utf-8")
    house = House(places({"DRILL_HOME": str(folder)}), UTC)
    out = io.StringIO()
    tools = Tools(house, io.StringIO(typed), out, io.StringIO(), lambda: NOW, {})

    parser = argparse.ArgumentParser()
    walk.arguments(parser)
    walk.run(parser.parse_args(["--deck", str(path), "--mute", *words]), tools)
    return out.getvalue()


def test_the_run_is_named_by_key_and_way(tmp_path: Path) -> None:
    said = walked(tmp_path, "--key", "Bb", "--down")
    assert "walk 1 of 3, the whole run, to be read: Bb major, 1-2-3-1, coming down" in said
    # Coming down mirrored from 8: 8-7-6-8, by hand.
    assert "cell 1 of 7: the cell on 8: Bb A G Bb" in said
    for key in ("bb", "B♭"):  # as other commands read a key
        assert "Bb major, 1-2-3-1, going up" in walked(tmp_path, "--key", key)
    said = walked(tmp_path)
    assert "G major, 1-2-3-1, going up" in said


def test_what_is_typed_is_kept(tmp_path: Path) -> None:
    assert "right" in walked(tmp_path, typed="G A B G\nquit\n")
    with Store.open(places({"DRILL_HOME": str(tmp_path)}).answers) as store:
        assert [(row.kind, row.right, row.teaches) for row in store.answers()] == [
            ("walk", True, False)
        ]


def test_a_run_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="'Two keys' has no run with C#, up"):
        walked(tmp_path, "--key", "C#")
    with pytest.raises(TheoryError, match="kx"):
        walked(tmp_path, "--key", "kx")
