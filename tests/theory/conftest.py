"""One engine for all tests of theory: a scale is spelled once."""

from __future__ import annotations

import pytest

from drill.theory.engine import Engine


@pytest.fixture(scope="session")
def engine() -> Engine:
    return Engine()
