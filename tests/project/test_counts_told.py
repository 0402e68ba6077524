"""What README.md counts is what there is."""

from __future__ import annotations

import re
from pathlib import Path

from drill.theory.chords import CHORDS
from drill.theory.instruments import INSTRUMENTS
from drill.theory.patterns import PATTERNS
from drill.theory.scales import SCALES


def test_the_readme_counts_the_tables(checkout: Path) -> None:
    text = (checkout / "README.md").read_text(encoding="utf-8")
    told = {word: int(number) for number, word in re.findall(r"(\d+) (\w+)(?: types)?[ ,]", text)}
    assert told["patterns"] == len(PATTERNS)
    assert told["scales"] == len(SCALES)
    assert told["chord"] == len(CHORDS)
    assert told["instruments"] == len(INSTRUMENTS)
