"""The pictures in README.md are the screens as they are drawn."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from tui_desk import GOLDEN, golden, prompt_of, text_of

from drill.memory.levels import Level
from drill.practice.effects import Judge
from drill.terms import Direction, Key, Name
from drill.theory.language import Language
from drill.theory.scales import name_of_fifths
from drill.tui.charts import Chart, ChartRow, MapSquare
from drill.tui.draft import Draft
from drill.tui.glyphs import UNICODE
from drill.tui.views.map import Map, map_lines
from drill.tui.views.stand import stand
from drill.tui.views.verdict import Stand
from drill.tui.words import Words
from drill.wording.slips import marker as marker_of

ROOT = Path(__file__).resolve().parents[2]
WORDS = Words(Language.ENGLISH, UNICODE)
PICTURES = ("start-keys-80x24", "stand-slip-80x24", "trips-80x24", "map-known-80x24")


def test_the_stand_after_a_slip() -> None:
    """F in G: the signature of G has F sharp (common practice)."""
    prompt = prompt_of("G", 4)
    marker = marker_of()
    judge = Judge(prompt, marker.mark(prompt.question, "D E F D"))
    copy = replace(prompt, again=True, copies=1, given=prompt.cell.notes)
    view = Stand(
        "My practice",
        copy,
        Key(Name("B", -1), "major"),
        Draft("D E"),
        marker.read("D E"),
        last=judge,
        asked=12,
        right=9,
        planned=" of 20",
    )
    shown = text_of(stand(view, WORDS, 80, 23))
    golden("stand-slip-80x24", shown)
    assert "♮" in shown


def test_the_map_of_one_who_has_practised() -> None:
    up, down = (ChartRow("1-2-3-1", "returning cell", way, "major") for way in Direction)
    columns = tuple(range(-4, 5))
    squares = {}
    for place, row in enumerate((up, down)):
        for at, fifths in enumerate(columns):
            far = abs(fifths) + place
            recall = max(0.3, 1.0 - 0.11 * far)
            level = (
                Level.BY_HEART if far < 2 else Level.HOLDING if far < 4 else Level.SHAKY
                if far < 5 else Level.UNTRIED
            )  # fmt: skip
            asked = 0 if level is Level.UNTRIED else 30 - 5 * far
            key = Key(name_of_fifths(fifths), "major")
            cells = tuple(f"{fifths}{place}{n}" for n in range(7))
            squares[place, at] = MapSquare(
                key, row, cells, asked, far * asked // 9, recall, level, 7 if asked else 0,
                96.0 - 8 * far if far < 3 else None,
            )  # fmt: skip
    view = Map(Chart("My practice", (up, down), columns, squares), 0, 6)
    golden("map-known-80x24", text_of(map_lines(view, WORDS, 80, 23)))


def test_readme_shows_the_screens_as_they_are() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert len(readme.splitlines()) < 250
    for name in PICTURES:
        assert f"```\n{picture(name)}\n```" in readme, name


def picture(name: str) -> str:
    """A golden screen without its blank lines at the end, and no two blank ones together."""
    text = (GOLDEN / f"{name}.txt").read_text(encoding="utf-8").rstrip()
    return (
        re.sub(r"\n{2,}", "\n", text)
        if name != "stand-slip-80x24"
        else re.sub(r"\n{3,}", "\n\n", text)
    )
