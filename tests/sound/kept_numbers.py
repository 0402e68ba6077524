"""Figures that are kept beside a test as they were measured, and held against those of now.

``DRILL_GOLDEN=write`` writes them anew: look at the difference before it is committed, and say
there what moved and why.  They tell what is, not what is right.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

import pytest


def check(file: Path, name: str, lines: Iterable[str], within: float) -> None:
    """Hold lines against those kept under a name: words to the letter, numbers within so much,
    for another machine counts a little otherwise."""
    now, parts = list(lines), _parts(file)
    if os.environ.get("DRILL_GOLDEN") == "write":
        if "PYTEST_XDIST_WORKER" in os.environ:
            pytest.fail(f"{file.name} is one file for many tests: write it with -n 0")
        parts[name] = now
        text = "".join(f"# {each}\n" + "\n".join(kept) + "\n" for each, kept in parts.items())
        file.write_text(text, encoding="utf-8")
    moved = [
        (new, old) for new, old in zip(now, parts[name], strict=True) if apart(new, old, within)
    ]
    assert moved == []


def _parts(file: Path) -> dict[str, list[str]]:
    if not file.exists():
        return {}
    parts = file.read_text(encoding="utf-8").split("# ")[1:]
    return {rows[0]: rows[1:] for rows in map(str.splitlines, parts)}


def apart(one: str, other: str, within: float) -> bool:
    """Whether two lines differ."""
    new, old = one.split(), other.split()
    return len(new) != len(old) or any(map(lambda a, b: _differ(a, b, within), new, old))


def _differ(one: str, other: str, within: float) -> bool:
    try:
        return one != other and not abs(float(one) - float(other)) <= within  # NaN is near nothing
    except ValueError:
        return True
