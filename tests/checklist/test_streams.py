"""What goes where: points 9 to 14 of the checklist."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from program import COMMAND, DECK, LINES, environment, on_terminal, run
from pty_screen import PtyScreen

from drill.cli import main
from drill.errors import ExitCode
from drill.memory.store import FILE_NAME, Store

LISTS: dict[str, set[str]] = {
    "decks --json": {"decks"},
    "spell 1-2-3-1 --key G --json": {"runs"},
    "config show --json": {"settings", "faults"},
    "paths --json": {
        "answers", "decks", "shipped decks", "settings", "cache", "error reports",
    },
    "check ../decks/first-year.toml --json": {"file", "good", "title", "runs", "faults"},
    "help codes --json": {"0", "1", "2", "65", "129", "130", "143"},
}  # fmt: skip
"""Every list that is one object of JSON, with its fields: programs rely on them."""


@pytest.fixture(scope="module")
def practised(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home with a few answers in its log."""
    home = tmp_path_factory.mktemp("practised")
    run(home, *LINES, typed=b"C D E C\nnext\nshow\nnext\nquit\n", code=0)
    return home


@pytest.fixture
def answered(practised: Path, tmp_path: Path) -> Path:
    """A copy of that home for each test."""
    shutil.copytree(practised, tmp_path, dirs_exist_ok=True)
    return tmp_path


def count_of(home: Path) -> int:
    """The answers in the log of a home."""
    with Store.open(home / "drill" / FILE_NAME) as store:
        return store.count()


@pytest.mark.parametrize("words", LISTS)
def test_a_list_as_json_has_fields_that_stay(
    words: str, checkout: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(checkout / "tests")
    assert main(words.split()) == 0
    out, err = capsys.readouterr()
    assert set(json.loads(out)) == LISTS[words]
    assert err == ""


def test_the_log_as_json_passes_a_reader_of_its_own(answered: Path) -> None:
    done = run(answered, "log", "--json", code=0)
    assert done.stderr == b""
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(rows) == count_of(answered) > 1
    assert set(rows[0]) == {
        "uuid", "at", "day", "deck", "fingerprint", "item", "tonic", "scale", "shape",
        "direction", "degree", "help", "typed", "right", "outcomes", "slip", "hypotheses",
        "seconds", "keystrokes", "again", "tempo",
    }  # fmt: skip
    # The results of a class go through the reader of JSON that comes with Python.
    run(answered, "hand-in", "--name", "Mara Quill", "--out", "mara.drill", code=0)
    (results,) = answered.glob("mara.drill*")
    report = run(answered, "class", str(results), "--json", code=0)
    tool = [sys.executable, "-m", "json.tool"]
    subprocess.run(tool, input=report.stdout, capture_output=True, check=True)
    assert json.loads(report.stdout)["asked"] == 2


def test_data_and_messages_are_apart(answered: Path) -> None:
    (answered / "bad.toml").write_text("title = 1\n")
    (answered / "good.toml").write_text(
        'title = "T"\ninstrument = "flute"\npatterns = ["return3"]\nkeys = ["G"]\n'
    )
    done = run(answered, "check", "bad.toml", "good.toml", code=ExitCode.BAD_DATA)
    assert done.stdout == b"good.toml: good; T, 2 runs\n"
    assert done.stderr.count(b"bad.toml:1:") == 3


@pytest.mark.parametrize("words", ["spell thirds --key all", "decks", "help keys", "--help"])
def test_a_reader_that_goes_after_a_line_is_no_fault(tmp_path: Path, words: str) -> None:
    going = subprocess.Popen(
        [*COMMAND, *words.split()], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        env=environment(tmp_path), bufsize=0,
    )  # fmt: skip
    assert going.stdout is not None
    assert going.stderr is not None
    going.stdout.read(1)
    going.stdout.close()
    said = going.stderr.read()
    assert going.wait(timeout=60) == 0
    assert said == b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("words", ["decks", "--plain --mute --json"])
def test_an_output_that_is_full_is_one_message(tmp_path: Path, words: str) -> None:
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [*COMMAND, *words.split()], stdout=full, stderr=subprocess.PIPE,
            stdin=subprocess.DEVNULL, env=environment(tmp_path), timeout=60, check=False,
        )  # fmt: skip
    assert done.returncode == ExitCode.FAILURE
    assert done.stderr == b"drill: standard output: No space left on device\n"


@pytest.mark.parametrize(
    "words",
    [
        "--help", "spell --help", "help keys", "decks", "spell 1-2-3-1 --key F#", "config show",
        "paths", "log", "check nowhere.toml", "spell --zzz", "completion fish",
    ],
)  # fmt: skip
def test_what_is_redirected_has_no_escape(answered: Path, words: str) -> None:
    wish: dict[str, Any] = {"FORCE_COLOR": "1", "CLICOLOR_FORCE": "1", "TERM": "xterm-256color"}
    done = run(answered, *words.split(), **wish)
    assert done.stdout or done.stderr
    assert b"\x1b" not in done.stdout + done.stderr


def in_bash(folder: Path, line: str) -> PtyScreen:
    """A line that bash runs in a folder, on a terminal."""
    command = ["bash", "--norc", "-c", f"cd '{folder}' && {line}"]
    return PtyScreen(folder, command=command, environment={"DRILL_HOME": str(folder / "drill")})


@pytest.mark.slow
@pytest.mark.parametrize(("tail", "works"), [("| cat", True), ("2>log.txt", False)])
def test_a_redirected_screen(tmp_path: Path, tail: str, works: bool) -> None:
    line = f"{' '.join(COMMAND)} --deck {DECK} --mute {tail}; echo code ${{PIPESTATUS[0]}}"
    screen = in_bash(tmp_path, line)
    try:
        if works:
            screen.wait_for("enter answer")
            screen.send("\x03")
            screen.wait_for("Leave drill?")
            screen.send("\x03")
            screen.wait_for("code 130")
            return
        screen.wait_for("code 2")
    finally:
        screen.close()
    said = (tmp_path / "log.txt").read_text(encoding="utf-8")
    assert "standard error" in said
    assert "--plain" in said
    assert "\x1b" not in said


UNASKED = pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("restore backup.db", ExitCode.USAGE, "add --yes"),
        ("hand-in --deck major-returning-cells", ExitCode.USAGE, "under which name?"),
        ("deck new", ExitCode.BAD_DATA, "title"),
        ("", ExitCode.USAGE, "drill --plain"),
    ],
)


@UNASKED
def test_nothing_is_asked_where_nobody_sits(
    answered: Path, words: str, code: int, said: str
) -> None:
    run(answered, "backup", "backup.db", code=0)
    done = run(answered, *words.split(), typed=b"yes\n" * 9, code=code)
    assert said in done.stderr.decode()
    assert done.stdout == b""


@UNASKED
def test_no_input_asks_nothing_on_a_terminal_either(
    answered: Path, words: str, code: int, said: str
) -> None:
    run(answered, "backup", "backup.db", code=0)
    screen = in_bash(answered, f"{' '.join(COMMAND)} {words} --no-input")
    try:
        assert screen.end() == code
        assert said in screen.text
    finally:
        screen.close()


def test_a_restore_with_yes_goes_through_and_keeps_a_copy(answered: Path) -> None:
    run(answered, "backup", "backup.db", code=0)
    done = run(answered, "restore", "backup.db", "--yes", code=0)
    assert f"holds the {count_of(answered)} answers".encode() in done.stderr
    assert list((answered / "drill").glob("answers.db.before-restore-*"))


def test_the_terminal_helper_is_the_real_program(tmp_path: Path) -> None:
    screen = on_terminal(tmp_path, "paths")
    try:
        assert screen.end() == 0
        assert "answers:" in screen.text
    finally:
        screen.close()
