"""A file is written whole or not at all."""

from __future__ import annotations

import ast
import os
import stat
import sys
from pathlib import Path

import pytest

from drill import files
from drill.errors import DrillError, UsageError
from drill.files import file_name_of, make_folder, whole, write_whole

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

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DrillError, match=r"page\.pdf: cannot be written: no space left on device"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["page.pdf"]


@pytest.mark.parametrize(
    ("place", "reason"),
    [
        ("", "it is a folder"),
        ("no/such/page.pdf", "there is no folder .*such: make it first"),
        ("a\0b", "null"),
    ],
)
def test_a_place_that_cannot_be_written_to(tmp_path: Path, place: str, reason: str) -> None:
    with pytest.raises(DrillError, match=f"cannot be written: .*{reason}"):
        write_whole(tmp_path / place, b"x")


@posix
def test_a_read_only_file_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "page.pdf"
    path.write_bytes(b"old")
    # The tests may run as root, whom no permission stops.
    monkeypatch.setattr(os, "access", lambda *_: False)
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


# -- each of these failed before there was one writer


@posix
def test_a_private_file_is_its_owner_s_and_stays_what_it_was(tmp_path: Path) -> None:
    mask = os.umask(0o022)
    try:
        for private, mode in ((True, 0o600), (False, 0o644)):
            path = tmp_path / f"{private}"
            write_whole(path, b"new", private=private)
            assert stat.S_IMODE(path.stat().st_mode) == mode
            path.chmod(0o640)
            write_whole(path, b"again", private=private)
            assert stat.S_IMODE(path.stat().st_mode) == 0o640
    finally:
        os.umask(mask)


@posix
def test_private_folders_are_their_owner_s(tmp_path: Path) -> None:
    mask = os.umask(0o022)
    try:
        make_folder(tmp_path / "a" / "b", private=True)
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "a" / "b").stat().st_mode) == 0o700
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o700
    make_folder(tmp_path / "a" / "b")
    assert stat.S_IMODE((tmp_path / "a" / "b").stat().st_mode) == 0o700


def test_no_folder_is_made_of_a_mistyped_path(tmp_path: Path) -> None:
    with pytest.raises(DrillError, match=r"there is no folder .*reprots: make it first"):
        write_whole(tmp_path / "reprots" / "page.pdf", b"x")
    assert os.listdir(tmp_path) == []


def test_a_file_without_leave_to_replace_it(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    write_whole(path, b"one", replace=False)
    with pytest.raises(UsageError, match="exists already"):
        write_whole(path, b"two", replace=False)
    if sys.platform != "win32":
        (tmp_path / "dangling").symlink_to(tmp_path / "nowhere")
        with pytest.raises(UsageError, match="exists already"):
            write_whole(tmp_path / "dangling", b"two", replace=False)
    assert path.read_bytes() == b"one"


def test_who_took_the_name_meanwhile_keeps_it(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"

    def write() -> None:
        with whole(path, replace=False) as part:
            part.write_bytes(b"ours")
            path.write_bytes(b"theirs")

    with pytest.raises(UsageError, match="exists already"):
        write()
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == {"x.toml": b"theirs"}


def test_nobody_s_file_is_met_by_a_temporary_name(tmp_path: Path) -> None:
    theirs = [tmp_path / name for name in ("page.part", "page.new", "page.tmp", ".page.new")]
    for each in theirs:
        each.write_bytes(b"theirs")
    write_whole(tmp_path / "page", b"ours")
    assert all(each.read_bytes() == b"theirs" for each in theirs)
    assert len(os.listdir(tmp_path)) == len(theirs) + 1


@pytest.mark.parametrize("fault", [KeyboardInterrupt, SystemExit, MemoryError, OSError])
def test_whatever_ends_the_writing_leaves_no_trace(
    tmp_path: Path, fault: type[BaseException]
) -> None:
    path = tmp_path / "page"
    path.write_bytes(b"old")

    def write() -> None:
        with whole(path) as part:
            part.write_bytes(b"half")
            raise fault

    with pytest.raises((fault, DrillError)):
        write()
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == {"page": b"old"}


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device that is always full")
def test_a_full_device_is_named(tmp_path: Path) -> None:
    with pytest.raises(DrillError, match=r"/dev/full: cannot be written: no space left on device"):
        write_whole(Path("/dev/full"), b"x")


@posix
def test_links_in_a_circle_are_one_message(tmp_path: Path) -> None:
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    with pytest.raises(DrillError, match="a: cannot be written: too many levels"):
        write_whole(tmp_path / "a", b"x")


NOT_BY_FILES = {
    "files.py": "the writer itself",
    "setup_make.py": "standard library only, and no rooms: it runs before anything is installed",
    "sound/process.py": "a helper's own messages, added to as they come",
}


def writes(source: str) -> list[str]:
    """What in a source opens a file to write it, or makes one."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        called = ast.unparse(node.func)
        name = called.rpartition(".")[2]
        modes = [each.value for each in (*node.args, *(key.value for key in node.keywords))
                 if isinstance(each, ast.Constant) and isinstance(each.value, str)]  # fmt: skip
        opens = name in ("open", "NamedTemporaryFile") and called != "wave.open"
        if opens and any(set(mode) & set("wax+") and len(mode) < 4 for mode in modes):
            found.append(ast.unparse(node))
        if name in ("write_text", "write_bytes", "mkstemp", "NamedTemporaryFile"):
            found.append(ast.unparse(node))
    return found


def test_nobody_else_writes_a_file() -> None:
    room = Path(files.__file__).parent
    others = [path for path in sorted(room.rglob("*.py"))
              if path.relative_to(room).as_posix() not in NOT_BY_FILES]  # fmt: skip
    assert len(others) > 100
    assert {str(path): found for path in others if (found := writes(path.read_text("utf-8")))} == {}
    for name in NOT_BY_FILES:
        assert writes((room / name).read_text("utf-8")), f"{name} writes no file: take it out"
    assert (
        len(writes('open(p, "w"); p.open("wb"); open(p); p.write_text("x"); p.open(mode="x")')) == 4
    )


def test_a_file_of_a_person_s_bears_the_name_once() -> None:
    named = {
        ("Bo Lark", "bo-lark-week-3"): "bo-lark-week-3",
        ("Bo Lark", "03-bo-lark-week-3"): "03-bo-lark-week-3",
        ("Bo Lark", "week-3"): "bo-lark-week-3",
        ("Bo", "border-keys"): "bo-border-keys",
        ("Bo", "bo"): "bo",
        ("", "week-3"): "week-3",
        ("Bo", "?"): "bo",
    }
    assert {each: file_name_of(*each) for each in named} == named
