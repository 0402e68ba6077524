"""What listens to real time runs alone and last, on however many cores."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

LOUD = """
import time
import pytest

@pytest.mark.parametrize("n", range(8))
def test_loud(n):
    time.sleep(1.0 if n == 0 else 0.0)  # one worker is long at it
    print("loud", flush=True, file=open({told!r}, "a"))
"""
QUIET = """
import time
import pytest

@pytest.mark.quiet
@pytest.mark.parametrize("n", range(4))
def test_quiet(n):
    for word in ("quiet", "over"):
        print(word, flush=True, file=open({told!r}, "a"))
        time.sleep(0.1)
"""


@pytest.mark.parametrize("cores", ["0", "2"])
def test_quiet_tests_begin_when_the_others_are_over(
    checkout: Path, tmp_path: Path, cores: str
) -> None:
    told = tmp_path / "told.txt"
    for name, text in (("test_a.py", QUIET), ("test_b.py", LOUD)):
        (tmp_path / name).write_text(text.format(told=str(told)), encoding="utf-8")
    for name in ("tests/conftest.py", "pyproject.toml"):
        shutil.copy(checkout / name, tmp_path)
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-n", cores, "-p", "no:cacheprovider",
         "-o", "pythonpath=", "-o", f"testpaths={tmp_path}"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert told.read_text(encoding="utf-8").split() == ["loud"] * 8 + ["quiet", "over"] * 4
