"""The locks: exact versions and hashes of what is installed, and a set-up that keeps to them."""

from __future__ import annotations

import hashlib
import importlib.metadata
import os
import random
import re
import signal
import subprocess
import sys
import zipfile
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.markers import default_environment
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from drill import setup_make, setup_state
from drill.clock import sleep
from drill.setup_state import PROGRAM, TESTS, EnvKind

TARGETS: list[dict[str, str]] = [
    {
        **{name: str(value) for name, value in default_environment().items()},
        "python_version": f"3.{minor}",
        "python_full_version": f"3.{minor}.0", "sys_platform": platform, "os_name": os_name,
        "platform_system": system, "implementation_name": "cpython",
        "platform_python_implementation": "CPython", "platform_machine": "x86_64", "extra": "",
    }
    for minor in (11, 12, 13, 14)
    for platform, os_name, system in (
        ("linux", "posix", "Linux"), ("darwin", "posix", "Darwin"), ("win32", "nt", "Windows"),
    )
]  # fmt: skip
"""Every Python on every system that a lock is for, as PEP 508 names their marks."""


def asked(checkout: Path, kind: EnvKind) -> tuple[list[str], ...]:
    return setup_make.requirements(setup_state.read_project(str(checkout)), kind.groups)


def parts(checkout: Path, kind: EnvKind) -> dict[str, str]:
    asks = [each for part in asked(checkout, kind) for each in part]
    return setup_make.sections(str(checkout), kind, asks)


def lines(part: str) -> Iterator[tuple[Requirement, list[str]]]:
    """Each pinned requirement with its hashes."""
    for entry in part.replace("\\\n", " ").splitlines():
        said, *hashes = entry.split(" --hash=")
        yield Requirement(said), [each.strip() for each in hashes]


@pytest.mark.parametrize("kind", [PROGRAM, TESTS], ids=["program", "tests"])
def test_a_lock_is_for_the_project_as_it_stands(checkout: Path, kind: EnvKind) -> None:
    """Where this fails, pyproject.toml was changed: ``python3 tests --lock`` renews the locks."""
    print_too = {"print"} if kind is PROGRAM else set()
    assert set(parts(checkout, kind)) == {"all", "builder", "simpleaudio"} | print_too
    first, _, body = (checkout / kind.lock).read_text(encoding="utf-8").partition("\n")
    assert first.split()[-1] == hashlib.sha256(body.encode()).hexdigest()


@pytest.mark.parametrize("kind", [PROGRAM, TESTS], ids=["program", "tests"])
def test_a_lock_holds_names_versions_and_hashes_alone(checkout: Path, kind: EnvKind) -> None:
    text = (checkout / kind.lock).read_text(encoding="utf-8")
    assert not re.search(r"://|@|index|find-links|host|\.org|\.com|\.whl|\.tar", text)
    for part in parts(checkout, kind).values():
        for requirement, hashes in lines(part):
            assert [each.operator for each in requirement.specifier] == ["=="]
            assert hashes
            assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", each) for each in hashes)


@pytest.mark.parametrize("kind", [PROGRAM, TESTS], ids=["program", "tests"])
def test_every_python_on_every_system_gets_one_version_of_all_that_is_asked_for(
    checkout: Path, kind: EnvKind
) -> None:
    wanted, *_ = asked(checkout, kind)
    locked = list(lines(parts(checkout, kind)["all"]))
    for target in TARGETS:
        chosen: dict[str, list[str]] = {}
        for requirement, _ in locked:
            if requirement.marker is None or requirement.marker.evaluate({**target}):
                (pin,) = requirement.specifier
                chosen.setdefault(canonicalize_name(requirement.name), []).append(pin.version)
        assert all(len(versions) == 1 for versions in chosen.values())
        for each in map(Requirement, wanted):
            if each.marker is None or each.marker.evaluate({**target}):
                (version,) = chosen[canonicalize_name(each.name)]
                assert version in each.specifier


def test_what_is_installed_needs_nothing_that_is_not_locked(checkout: Path) -> None:
    names = {canonicalize_name(each.name) for each, _ in lines(parts(checkout, TESTS)["all"])}
    for name in sorted(names):
        try:
            needed = importlib.metadata.requires(name) or []
        except importlib.metadata.PackageNotFoundError:
            continue  # of another system
        for each in map(Requirement, needed):
            if each.marker is None or each.marker.evaluate({"extra": ""}):
                assert canonicalize_name(each.name) in names, f"{name} needs {each}"


def test_players_get_what_was_tested(checkout: Path) -> None:
    tested = {str(each) for each, _ in lines(parts(checkout, TESTS)["all"])}
    for name in ("all", "print"):
        assert {str(each) for each, _ in lines(parts(checkout, PROGRAM)[name])} <= tested


# -- a set-up that keeps to a lock, with a package of our own making


PROJECT = """
[project]
dependencies = ["tiny>=1"]
[project.optional-dependencies]
simpleaudio = []
[dependency-groups]
dev = []
"""
START = """
import sys
sys.path[:0] = [sys.argv[1]]
from drill.setup_env import start
from drill.setup_state import EnvKind
sys.exit(start(sys.argv[1], EnvKind(".drill-env", (), "tiny", "drill/locked.txt"), []))
"""


def record(name: str, data: bytes) -> str:
    digest = urlsafe_b64encode(hashlib.sha256(data).digest()).rstrip(b"=").decode()
    return f"{name},sha256={digest},{len(data)}\n"


@pytest.fixture
def clone(tmp_path: Path, checkout: Path) -> Path:
    """A checkout whose only package is a wheel of one module, locked."""
    wheel = tmp_path / "wheels" / "tiny-1.0-py3-none-any.whl"
    wheel.parent.mkdir()
    files = {
        "tiny.py": b"print('tiny')\n",
        "tiny-1.0.dist-info/METADATA": b"Metadata-Version: 2.1\nName: tiny\nVersion: 1.0\n",
        "tiny-1.0.dist-info/WHEEL": b"Wheel-Version: 1.0\nRoot-Is-Purelib: true\n"
        b"Tag: py3-none-any\n",
    }
    rows = "".join(record(name, data) for name, data in files.items())
    with zipfile.ZipFile(wheel, "w") as archive:
        for name, data in files.items():
            archive.writestr(name, data)
        archive.writestr("tiny-1.0.dist-info/RECORD", rows + "tiny-1.0.dist-info/RECORD,,\n")
    root = tmp_path / "a clone"
    (root / "drill").mkdir(parents=True)
    for name in ("__init__.py", "setup_env.py", "setup_make.py", "setup_state.py"):
        (root / "drill" / name).write_bytes((checkout / "drill" / name).read_bytes())
    (root / "pyproject.toml").write_text(PROJECT, encoding="utf-8")
    lock(root, hashlib.sha256(wheel.read_bytes()).hexdigest())
    return root


def lock(root: Path, digest: str) -> None:
    body = f"# -- all\ntiny==1.0 --hash=sha256:{digest}\n# -- builder\n# -- simpleaudio\n"
    (root / "drill" / "locked.txt").write_text(
        f"# locked for {setup_make.fingerprint(['tiny>=1'])} x\n{body}", encoding="utf-8"
    )


def begun(root: Path) -> subprocess.Popen[str]:
    """A start of the clone in a group of its own, with no package but ours to be had."""
    python = getattr(sys, "_base_executable", sys.executable)
    away = ("PIP_", "VIRTUAL_ENV", "PYTHON")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(away)}
    return subprocess.Popen(
        [python, "-c", START, str(root)],
        env={
            **kept, "PIP_NO_INDEX": "1", "PIP_FIND_LINKS": str(root.parent / "wheels"),
            "PIP_CONFIG_FILE": os.devnull,
        },
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip


@pytest.mark.slow
def test_what_is_not_the_locked_file_is_not_installed(clone: Path) -> None:
    lock(clone, "0" * 64)
    start = begun(clone)
    said = start.communicate()[1]
    assert start.returncode == 1
    assert "not the one that the lock names" in said.splitlines()[-1]


@pytest.mark.slow
def test_a_lock_for_other_requirements_is_passed_over_with_a_line(clone: Path) -> None:
    text = PROJECT.replace("tiny>=1", "tiny>=0.5")
    (clone / "pyproject.toml").write_text(text, encoding="utf-8")
    start = begun(clone)
    out, said = start.communicate()
    assert (start.returncode, out) == (0, "tiny\n")
    assert "drill/locked.txt is for other requirements" in said


@pytest.mark.slow
def test_two_set_ups_at_once_leave_one_whole_environment(clone: Path) -> None:
    both = [begun(clone) for _ in range(2)]
    said = [each.communicate() for each in both]
    assert [each.returncode for each in both] == [0, 0]
    assert [out for out, _ in said] == ["tiny\n", "tiny\n"]
    assert sum("making a private environment" in err for _, err in said) == 1


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="groups of processes")
def test_a_set_up_interrupted_at_any_instant_is_followed_by_a_whole_one(clone: Path) -> None:
    rng = random.Random(15)
    for attempt in range(15):
        start = begun(clone)
        sleep(rng.uniform(0.0, 6.0))
        how = signal.SIGKILL if attempt % 2 else signal.SIGINT
        os.killpg(start.pid, how)
        start.communicate()
        if attempt % 5 == 4:
            again = begun(clone)
            out, said = again.communicate()
            assert (again.returncode, out) == (0, "tiny\n"), said
            third = begun(clone)
            assert third.communicate() == ("tiny\n", "")
            (clone / ".drill-env" / setup_state.STAMP).unlink()


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="POSIX permissions")
def test_a_clone_that_cannot_be_written_says_where_it_is_made_instead(
    clone: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if os.getuid() == 0:
        pytest.skip("root may write anywhere")
    clone.chmod(0o555)
    monkeypatch.setenv("XDG_CACHE_HOME", str(clone.parent / "caches"))
    try:
        start = begun(clone)
        out, said = start.communicate()
    finally:
        clone.chmod(0o755)
    assert (start.returncode, out) == (0, "tiny\n")
    assert f"making a private environment in {clone.parent / 'caches'}" in said
