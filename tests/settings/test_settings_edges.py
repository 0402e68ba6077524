"""A share that was meant as a percentage is told so, and a truth is none."""

from __future__ import annotations

from pathlib import Path

import pytest

from drill.errors import UsageError
from drill.places import places
from drill.settings.load import load


@pytest.mark.parametrize(
    ("value", "hint"),
    [("1.5", "1.5 percent is 0.015"), ("50", "50 percent is 0.5"), ("100", "100 percent is 1"),
     ("101", ""), ("-1", ""), ("true", "")],
)  # fmt: skip
def test_a_volume_that_reads_as_a_percentage_is_told(tmp_path: Path, value: str, hint: str) -> None:
    here = places({"DRILL_HOME": str(tmp_path)})
    here.settings.parent.mkdir(parents=True, exist_ok=True)
    here.settings.write_text(f"volume = {value}\n", encoding="utf-8")
    (fault,) = load(here, {}, {}, None).faults
    assert "volume: expected" in str(fault)
    assert ("percent is" in str(fault)) is bool(hint)
    assert hint in str(fault)


@pytest.mark.parametrize(("text", "hint"), [("yess", ""), ("noo", ""), ("ture", "true")])
def test_a_truth_is_offered_in_the_words_that_are_written(
    tmp_path: Path, text: str, hint: str
) -> None:
    """Yes and no are read as well, and are not what drill.toml has."""
    with pytest.raises(UsageError) as fault:
        load(places({"DRILL_HOME": str(tmp_path)}), {}, {"words": text}, None)
    assert ("did you mean" in str(fault.value)) is bool(hint)
    assert hint in str(fault.value)
