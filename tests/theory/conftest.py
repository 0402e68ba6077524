"""One engine for all tests of theory: music21 is asked once for each interval."""

from __future__ import annotations

import pytest

from drill.theory.engine import Engine


@pytest.fixture(scope="session")
def engine() -> Engine:
    return Engine()
