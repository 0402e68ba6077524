"""A file is written whole or not at all."""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

import pytest

from drill.errors import DrillError
from drill.paper import files
from drill.paper.files import write_whole

posix = pytest.mark.skipif(sys.platform == "win32", reason="POSIX permissions and links")


def test_a_new_file_and_a_replaced_one(tmp_path: Path) -> None:
    path = tmp_path / "page.pdf"
    write_whole(path, b"one")
    write_whole(path, b"two")
    assert path.read_bytes() == b"two"
    assert os.listdir(tmp_path) == ["page.pdf"]


@posix
def test_permissions_are_those_of_any_new_file(tmp_path: Path) -> None:
    mask = os.umask(0o022)
    try:
        write_whole(tmp_path / "new", b"")
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "new").stat().st_mode) == 0o644
    (tmp_path / "new").chmod(0o600)
    write_whole(tmp_path / "new", b"again")
    assert stat.S_IMODE((tmp_path / "new").stat().st_mode) == 0o600


def test_a_failure_keeps_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "page.pdf"
    path.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(DrillError, match=r"page\.pdf cannot be written: no space left on device"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["page.pdf"]


@pytest.mark.parametrize(
    ("place", "reason"),
    [("", "it is a folder"), ("no/such/page.pdf", "no such file"), ("a\0b", "null")],
)
def test_a_place_that_cannot_be_written_to(tmp_path: Path, place: str, reason: str) -> None:
    with pytest.raises(DrillError, match=f"cannot be written: .*{reason}"):
        write_whole(tmp_path / place, b"x")


@posix
def test_a_read_only_file_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "page.pdf"
    path.write_bytes(b"old")
    # The tests may run as root, whom no permission stops.
    monkeypatch.setattr(files.os, "access", lambda *_: False)
    with pytest.raises(DrillError, match="it is read-only"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"


@posix
def test_a_link_is_followed_and_a_pipe_is_written_to(tmp_path: Path) -> None:
    (tmp_path / "real").write_bytes(b"old")
    (tmp_path / "link").symlink_to(tmp_path / "real")
    write_whole(tmp_path / "link", b"new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_bytes() == b"new"
    os.mkfifo(tmp_path / "pipe")
    end = os.open(tmp_path / "pipe", os.O_RDONLY | os.O_NONBLOCK)
    try:
        write_whole(tmp_path / "pipe", b"through")
        assert os.read(end, 100) == b"through"
    finally:
        os.close(end)


def test_a_hostile_name_is_printed_harmless(tmp_path: Path) -> None:
    with pytest.raises(DrillError, match=r"\\x1b\[31m"):
        write_whole(tmp_path / "no" / "\x1b[31m", b"x")
