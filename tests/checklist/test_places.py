"""Files, settings and the network: points 39 to 45 of the checklist, on the real program."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from program import DECK, LINES, run
from pty_screen import PtyScreen

from drill.errors import ExitCode
from drill.memory.store import FILE_NAME, Store

TYPED = b"C D E C\nshow\nquit\n"


def names(folder: Path, done: bytes) -> str:
    rows = json.loads(done)["settings"]
    return next(f"{row['value']} {row['origin']}" for row in rows if row["name"] == "names")


def test_a_flag_before_the_environment_before_the_files(tmp_path: Path) -> None:
    drill = tmp_path / "drill"
    show = ("config", "show", "--json")
    assert names(tmp_path, run(tmp_path, *show).stdout) == "english default"
    drill.mkdir()
    (drill / "settings.toml").write_text('names = "german"\n')
    assert names(tmp_path, run(tmp_path, *show).stdout) == "german user file"
    (tmp_path / "drill.toml").write_text('names = "dutch"\n')
    assert names(tmp_path, run(tmp_path, *show).stdout) == "dutch project file"
    said = run(tmp_path, *show, DRILL_NAMES="solfege").stdout
    assert names(tmp_path, said) == "solfege environment"
    spoken = run(
        tmp_path, *LINES, "--names", "german", typed=b"quit\n", code=0, DRILL_NAMES="solfege"
    )
    assert b"Fis" in spoken.stdout  # the first keys asked have a sharp or two, or a flat
    origins = run(tmp_path, "config", "show", "--origin", code=0).stdout.decode()
    assert "project file drill.toml:1:9" in origins


def test_only_the_system_s_own_folders_are_written(tmp_path: Path) -> None:
    """The XDG base directory specification: config, data, state and cache apart."""
    home = tmp_path / "home"
    home.mkdir()
    folders = {name: tmp_path / name for name in ("CONFIG", "DATA", "STATE", "CACHE")}
    places: dict[str, Any] = {f"XDG_{name}_HOME": str(folder) for name, folder in folders.items()}
    work = tmp_path / "work"
    work.mkdir()
    for words in (LINES, ("decks",), ("log",), ("config", "set", "names", "german"), ("paths",)):
        run(home, *words, typed=TYPED, cwd=work, code=0, DRILL_HOME="", **places)
    assert list(home.rglob("*")) == []
    assert list(work.rglob("*")) == []
    assert (folders["DATA"] / "drill" / FILE_NAME).exists()
    assert (folders["CONFIG"] / "drill" / "settings.toml").exists()
    for folder in folders.values():
        assert [path.name for path in folder.iterdir()] in ([], ["drill"]) if folder.exists() else 1
    said = run(home, "paths", code=0, DRILL_HOME="", **places).stdout.decode()
    for name in ("CONFIG", "DATA", "CACHE"):
        assert str(folders[name]) in said


def test_a_settings_file_that_cannot_be_read_is_named_and_the_drill_goes_on(
    tmp_path: Path,
) -> None:
    drill = tmp_path / "drill"
    drill.mkdir()
    for bad, said in (
        (b'names = "klingon"\nnmaes = "x"\n', b"settings.toml:1:9: names: expected"),
        (b"names = \n", b"settings.toml:1:"),
        (b"\xff\xfe\x00", b"UTF-16"),
        (b"x" * 2_000_000, b"larger than a file of settings may be"),
    ):
        (drill / "settings.toml").write_bytes(bad)
        done = run(tmp_path, *LINES, typed=TYPED, code=0)
        assert said in done.stderr, done.stderr
        assert b"end: 0 of 1 right" in done.stdout


def test_a_damaged_log_is_set_aside_and_the_drill_goes_on(tmp_path: Path) -> None:
    run(tmp_path, *LINES, typed=TYPED, code=0)
    file = tmp_path / "drill" / FILE_NAME
    with Store.open(file) as store:
        before = store.count()
    assert before
    data = bytearray(file.read_bytes())
    data[:64] = b"\0" * 64
    file.write_bytes(data)
    done = run(tmp_path, *LINES, typed=TYPED, code=0)
    assert done.stderr.count(b"set aside") == 1
    assert list((tmp_path / "drill").glob("answers.db.damaged-*"))
    with Store.open(file) as store:
        assert store.count() == 2 * before, "what was read from it, and what came after"


def test_a_newer_log_is_refused_untouched(tmp_path: Path) -> None:
    run(tmp_path, *LINES, typed=TYPED, code=0)
    file = tmp_path / "drill" / FILE_NAME
    data = bytearray(file.read_bytes())
    data[60:64] = (99).to_bytes(4)  # user_version, section 1.3 of the SQLite file format
    file.write_bytes(data)
    done = run(tmp_path, *LINES, typed=TYPED, code=ExitCode.FAILURE)
    assert b"update the program" in done.stderr
    assert done.stderr.count(b"\n") == 1
    assert file.read_bytes() == data


@pytest.mark.skipif(os.name != "posix", reason="permissions as on Unix")
def test_a_folder_that_cannot_be_written_is_one_message(tmp_path: Path) -> None:
    home = tmp_path / "drill"
    home.mkdir()
    home.chmod(0o500)
    try:
        if os.access(home, os.W_OK):  # root writes everywhere: a file in the folder's place
            home.rmdir()
            home.write_text("")
        done = run(tmp_path, *LINES, typed=TYPED, code=ExitCode.FAILURE)
        lines = done.stderr.decode().splitlines()
        assert lines[-1].endswith("make its folder writable, or set DRILL_HOME to another folder")
        assert len(lines) <= 2  # where a file stands in its place, the settings are named as well
        assert b"set DRILL_HOME to another folder" in done.stderr
        assert done.stdout == b""
    finally:
        home.chmod(0o700)


def test_every_fault_of_a_deck_at_once_with_its_place(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text(
        'titel = "T"\ninstrument = "alto_saxx"\npatterns = ["1-2-q"]\nkeys = ["H"]\n'
    )
    done = run(tmp_path, "check", "bad.toml", code=ExitCode.BAD_DATA)
    lines = done.stderr.decode().splitlines()
    places = {line.split(": ")[0] for line in lines}
    assert {"bad.toml:1:1", "bad.toml:2:14", "bad.toml:3:13", "bad.toml:4:9"} <= places
    assert any("did you mean title" in line for line in lines)
    as_json = run(tmp_path, "check", "bad.toml", "--json", code=ExitCode.BAD_DATA)
    assert len(json.loads(as_json.stdout)["faults"]) == len(lines)


def test_paths_with_spaces_and_letters_beyond_ascii(tmp_path: Path, checkout: Path) -> None:
    home = tmp_path / "Übung für Saxophon · 練習"
    home.mkdir()
    deck = home / "Été à deux.toml"
    shutil.copy(checkout / "decks" / "first-year.toml", deck)
    options = ("--plain", "--mute", "--deck", str(deck))
    run(home, *options, typed=TYPED, code=0)
    with Store.open(home / "drill" / FILE_NAME) as store:
        before = store.count()
    run(home, "check", deck.name, code=0)
    run(home, "deck", "add", deck.name, code=0)
    assert "été-à-deux" in run(home, "decks", code=0).stdout.decode()
    run(home, "backup", "Sicherung 1.db", code=0)
    done = run(home, "merge", "Sicherung 1.db", code=0)
    assert "Sicherung 1.db" in done.stderr.decode()
    with Store.open(home / "drill" / FILE_NAME) as store:
        assert store.count() == before > 0


GUARD = """
import os, sys

def guard(event, arguments):
    if event in ("socket.connect", "socket.bind", "socket.sendto", "socket.getaddrinfo",
                 "socket.gethostbyname"):
        family = getattr(arguments[0], "family", None) if arguments else None
        # A library that music21 loads tries whether it may bind to this machine's own address.
        probe = event == "socket.bind" and arguments[1] == ("::1", 0)
        if not probe and (family is None or int(family) != 1):  # AF_UNIX stays here too
            with open(os.environ["GUARD_LOG"], "a") as log:
                log.write(f"{event} {arguments!r}\\n")
            raise PermissionError("no network in this test")

sys.addaudithook(guard)
"""


@pytest.fixture
def guarded(tmp_path: Path, checkout: Path) -> dict[str, str]:
    """An environment in which every use of the network fails and is noted."""
    folder = tmp_path / "guard"
    folder.mkdir()
    (folder / "sitecustomize.py").write_text(GUARD)
    return {"PYTHONPATH": f"{folder}:{checkout}", "GUARD_LOG": str(tmp_path / "network.txt")}


def test_line_mode_and_commands_without_network(tmp_path: Path, guarded: dict[str, Any]) -> None:
    run(tmp_path, *LINES, typed=TYPED, code=0, **guarded)
    sounding = tuple(word for word in LINES if word != "--mute")
    run(tmp_path, *sounding, typed=TYPED, code=0, **guarded)
    for words in (
        "spell 1-2-3-1 --key G",
        "decks",
        "log",
        "config",
        "help keys",
        "hand-in --name M",
    ):
        run(tmp_path, *words.split(), code=0, **guarded)
    assert not (tmp_path / "network.txt").exists()


@pytest.mark.slow
def test_the_screens_without_network(
    start: Callable[..., PtyScreen], tmp_path: Path, guarded: dict[str, Any]
) -> None:
    screen = start("--deck", DECK, **guarded)
    screen.wait_for("enter answer")
    screen.send("c c c c\r")
    screen.wait_for("✗")
    assert not (tmp_path / "network.txt").exists()


def test_the_guard_sees_the_network(tmp_path: Path, guarded: dict[str, Any]) -> None:
    """Else the two tests before could not fail."""
    import subprocess
    import sys

    code = "import socket; socket.create_connection(('192.0.2.1', 9), 0.1)"
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, **guarded},
        capture_output=True,
        check=False,
    )
    assert b"PermissionError" in done.stderr
    assert (tmp_path / "network.txt").read_text().startswith("socket.")
