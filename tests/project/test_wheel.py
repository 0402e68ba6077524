"""What is built to be installed: the program with its decks, and nothing else."""

from __future__ import annotations

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

from drill.decks.shipped import shipped_folder


@pytest.fixture(scope="module")
def built(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel and the source archive, built by the project's own backend."""
    folder = tmp_path_factory.mktemp("built")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-d", str(folder)],
        cwd=checkout,
        check=True,
        capture_output=True,
    )
    return folder


def names_in_wheel(built: Path) -> set[str]:
    (wheel,) = built.glob("*.whl")
    return set(zipfile.ZipFile(wheel).namelist())


def test_the_wheel_holds_every_deck_and_module(checkout: Path, built: Path) -> None:
    names = names_in_wheel(built)
    decks = {f"drill/decks_shipped/{file.name}" for file in (checkout / "decks").glob("*.toml")}
    modules = {str(file.relative_to(checkout)) for file in (checkout / "drill").rglob("*.py")}
    assert decks
    assert decks | modules <= names


def test_the_wheel_holds_nothing_else(built: Path) -> None:
    tops = {name.split("/")[0] for name in names_in_wheel(built)}
    assert tops == {"drill", next(top for top in tops if top.endswith(".dist-info"))}
    assert not [
        name
        for name in names_in_wheel(built)
        if "tests" in Path(name).parts or "__pycache__" in name
    ]


def test_the_wheel_starts_the_command_line(built: Path) -> None:
    (wheel,) = built.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        (entry,) = [name for name in archive.namelist() if name.endswith("entry_points.txt")]
        assert "drill = drill.cli:main" in archive.read(entry).decode()


def test_the_source_archive_is_enough_to_build_from(checkout: Path, built: Path) -> None:
    (archive,) = built.glob("*.tar.gz")
    with tarfile.open(archive) as tar:
        names = {name.partition("/")[2] for name in tar.getnames()}
    assert {"pyproject.toml", "README.md", "drill/__main__.py"} <= names
    assert {f"decks/{file.name}" for file in (checkout / "decks").glob("*.toml")} <= names
    assert {name.split("/")[0] for name in names} <= {
        "pyproject.toml", "README.md", "PKG-INFO", ".gitignore", "drill", "decks",
    }  # fmt: skip


def test_the_decks_are_found_in_the_checkout(checkout: Path) -> None:
    assert shipped_folder(checkout / "drill") == checkout / "decks"
    assert list(shipped_folder(checkout / "drill").glob("*.toml"))


def test_the_decks_are_found_when_installed(checkout: Path, built: Path, tmp_path: Path) -> None:
    (wheel,) = built.glob("*.whl")
    zipfile.ZipFile(wheel).extractall(tmp_path)
    code = "from drill.decks.shipped import shipped_folder; print(shipped_folder())"
    run = subprocess.run(
        [sys.executable, "-P", "-c", code],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        check=True,
    )
    found = Path(run.stdout.strip())
    assert found == tmp_path / "drill" / "decks_shipped"
    shipped = sorted(file.name for file in (checkout / "decks").glob("*.toml"))
    assert sorted(file.name for file in found.glob("*.toml")) == shipped
