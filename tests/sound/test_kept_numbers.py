"""Kept figures: what counts as moved, and that no part is lost when they are written."""

from __future__ import annotations

from pathlib import Path

import pytest
from kept_numbers import apart, check


@pytest.mark.parametrize(
    ("new", "old", "moved"),
    [
        ("on 1.0 2.2", "on 1.0 2.0", False),
        ("on 1.0 2.3", "on 1.0 2.0", True),
        ("on 1.0", "on 1.0 2.0", True),
        ("on -", "on 1.0", True),
        ("right 1", "wrong 1", True),
        ("on nan", "on 1.0", True),
        ("on 1.0", "on nan", True),
        ("on inf", "on inf", False),
    ],
)
def test_numbers_differ_beyond_what_is_allowed(new: str, old: str, moved: bool) -> None:
    assert apart(new, old, 0.25) is moved


@pytest.mark.parametrize("worker", ["", "gw1"])
def test_figures_are_written_by_one_process_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, worker: str
) -> None:
    kept = tmp_path / "kept.txt"
    kept.write_text("# one\nfigure 1\n# two\nfigure 2\n", encoding="utf-8")
    monkeypatch.setenv("DRILL_GOLDEN", "write")
    monkeypatch.delenv("PYTEST_XDIST_WORKER", raising=False)
    if worker:
        monkeypatch.setenv("PYTEST_XDIST_WORKER", worker)
        with pytest.raises(pytest.fail.Exception, match="kept.txt is one file .* -n 0"):
            check(kept, "two", ["figure 3"], 0.5)
        assert "figure 2" in kept.read_text(encoding="utf-8")
    else:
        check(kept, "two", ["figure 3"], 0.5)
        assert kept.read_text(encoding="utf-8") == "# one\nfigure 1\n# two\nfigure 3\n"
