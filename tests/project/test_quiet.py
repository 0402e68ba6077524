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


def run_in(folder: Path, checkout: Path, cores: str) -> subprocess.CompletedProcess[str]:
    """Run quiet and loud tests there; what they tell goes to ``told.txt``."""
    for name, text in (("test_a.py", QUIET), ("test_b.py", LOUD)):
        (folder / name).write_text(text.format(told=str(folder / "told.txt")), encoding="utf-8")
    shutil.copy(checkout / "pyproject.toml", folder)
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-n", cores, "-p", "no:cacheprovider",
         "-o", "pythonpath=", "-o", f"testpaths={folder}"],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("cores", ["0", "2"])
def test_quiet_tests_begin_when_the_others_are_over(
    checkout: Path, tmp_path: Path, cores: str
) -> None:
    shutil.copy(checkout / "tests/conftest.py", tmp_path)
    ran = run_in(tmp_path, checkout, cores)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    told = (tmp_path / "told.txt").read_text(encoding="utf-8").split()
    assert told == ["loud"] * 8 + ["quiet", "over"] * 4


@pytest.mark.skipif(sys.platform == "win32", reason="no lock there: see conftest.py")
def test_where_it_stays_loud_the_wait_has_an_end(checkout: Path, tmp_path: Path) -> None:
    import fcntl

    text = (checkout / "tests/conftest.py").read_text(encoding="utf-8")
    assert "WAIT_S = 900.0" in text
    rules = tmp_path / "conftest.py"
    rules.write_text(text.replace("WAIT_S = 900.0", "WAIT_S = 0.3"), encoding="utf-8")
    with rules.open() as stopped:
        fcntl.flock(stopped, fcntl.LOCK_SH)
        ran = run_in(tmp_path, checkout, "0")
    assert ran.returncode == 1
    assert "no quiet in 0.3 s: another process still runs" in ran.stdout
    told = (tmp_path / "told.txt").read_text(encoding="utf-8").split()
    assert told == ["loud"] * 8
