"""A few of each fault of the torture bench; its figures are printed by the bench itself."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="forks, and mounts where it may")
def test_a_few_of_each_fault(checkout: Path) -> None:
    bench = checkout / "tests" / "bench" / "bench_torture.py"
    done = subprocess.run(
        [sys.executable, str(bench), "--quick"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.splitlines()[-1] == "14 of 14 good"
    assert "missing 0, doubled 0" in done.stdout
