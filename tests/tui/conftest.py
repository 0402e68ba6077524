"""What the tests of the screens share: one engine, and a home for each test."""

from __future__ import annotations

from pathlib import Path

import pytest

from drill.theory.engine import Engine


@pytest.fixture(scope="session")
def spelling_engine() -> Engine:
    """One engine for all tests: spellings are worked out once."""
    return Engine()


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home"
