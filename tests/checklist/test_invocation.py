"""How the program is called: points 1 to 8 of the checklist."""

from __future__ import annotations

import contextlib
import json
import re
import signal
import subprocess
from pathlib import Path

import pytest
from program import COMMAND, LINES, environment, run

from drill import __version__
from drill.cli import main
from drill.commands.table import COMMANDS, EXIT_CODES, every_part
from drill.errors import ExitCode
from drill.tui.actions import ACTIONS

PARTS = [" ".join(part.words) for part in every_part()]


@pytest.mark.parametrize("option", ["--version", "-V"])
def test_the_version(option: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([option]) == 0
    assert capsys.readouterr() == (f"drill {__version__}\n", "")


@pytest.mark.parametrize("part", ["", *PARTS])
@pytest.mark.parametrize("option", ["-h", "--help"])
def test_help_has_its_examples_first_and_fits(
    part: str, option: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    assert main([*part.split(), option]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    lines = out.splitlines()
    assert lines[0].startswith(f"usage: drill {part}".rstrip())
    assert max(map(len, lines)) <= 80
    heads = [line for line in lines if line in ("examples:", "options:")]
    assert heads[0] == "examples:"
    assert "\x1b" not in out


def test_the_overview_names_every_command_and_exit_code(capsys: pytest.CaptureFixture[str]) -> None:
    main(["--help"])
    out = capsys.readouterr().out
    for command, purpose in COMMANDS.items():
        assert f"  {command} " in out
        assert purpose in out
    said = " ".join(out.split())
    for code, words in EXIT_CODES.items():
        assert f"{int(code)} {words}" in said


def test_every_example_is_a_command_line_that_is_understood() -> None:
    """The options in the examples exist, so that an example never goes stale."""
    parts = {part.words: part.parser for part in every_part()}
    seen = 0
    for (name, *_), parser in parts.items():
        for line in re.findall(r"^  drill (.*?)(?:  .*)?$", parser.description or "", re.MULTILINE):
            words = line.split()
            owner = parts.get(tuple(words[:2])) or parts.get(tuple(words[:1]))
            if owner is None:  # drill alone
                owner = parts["practise",]
            for option in re.findall(r"(?<!\S)--[a-z-]+", line):
                assert option in owner._option_string_actions, f"{name}: {line}"
                seen += 1
    assert seen > 20


def test_alone_without_a_terminal_it_says_how_and_ends(tmp_path: Path) -> None:
    done = run(tmp_path, code=ExitCode.USAGE)
    assert done.stdout == b""
    assert b"drill --plain" in done.stderr
    assert b"drill --help" in done.stderr
    assert b"\x1b" not in done.stderr


@pytest.mark.parametrize(
    ("words", "near"),
    [
        ("chek deck.toml", "did you mean check?"),
        ("spell --kye G", "did you mean --key?"),
        ("deck new --titel X", "did you mean --title?"),
        ("config show --orign", "did you mean --origin?"),
        ("--plian", "did you mean --plain?"),
        ("--zzz", "(try drill --help)"),
        ("help kyes", "did you mean keys?"),
        ("spell 1-2-3 --step=x", "(try drill spell --help)"),
        ("spell 1-2-3 --tempo\x1b[31m 3", "there is no option"),
    ],
)
def test_what_is_mistyped_is_one_line_with_the_nearest(
    words: str, near: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words.split(" ")) == ExitCode.USAGE
    out, err = capsys.readouterr()
    assert out == ""
    assert near in err
    assert err.count("\n") == 1
    assert "\x1b" not in err


DECK_TEXT = 'title = "T"\ninstrument = "alto_sax"\npatterns = ["return3"]\nkeys = ["G"]\n'


def test_a_hyphen_is_standard_input(tmp_path: Path) -> None:
    good = run(tmp_path, "check", "-", typed=DECK_TEXT.encode(), code=ExitCode.OK)
    assert good.stdout == b"-: good; T, 2 runs\n"
    bad = run(tmp_path, "check", "-", typed=b"\xef\xbb\xbftitle = 3\n", code=ExitCode.BAD_DATA)
    assert b"-:1:9: title: expected" in bad.stderr


def test_a_hyphen_is_standard_output(tmp_path: Path) -> None:
    done = run(tmp_path, "hear", "1-2-3-1", "--midi", "-", code=ExitCode.OK)
    assert done.stdout.startswith(b"MThd")


def test_after_two_hyphens_everything_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "--json").write_text(DECK_TEXT)
    done = run(tmp_path, "check", "--", "--json", code=ExitCode.OK)
    assert done.stdout.startswith(b"--json: good")


@pytest.mark.parametrize(
    "words",
    [
        ("spell", "1-2-3-1", "--key", "G", "--json"),
        ("spell", "--json", "--key", "G", "1-2-3-1"),
        ("--json", "spell", "--key=G", "1-2-3-1"),
    ],
)
def test_options_stand_in_any_order(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words) == 0
    (found,) = json.loads(capsys.readouterr().out)["runs"]
    assert found["written_key"] == "G major"


def test_a_value_is_never_taken_for_a_command(capsys: pytest.CaptureFixture[str]) -> None:
    """A deck may be called as a command is."""
    assert main(["--plain", "--deck", "check"]) == ExitCode.USAGE
    assert 'no deck "check"' in capsys.readouterr().err


# The exit codes, one by one.


def test_exit_0_1_2_and_65(tmp_path: Path) -> None:
    run(tmp_path, "paths", code=0)
    (tmp_path / "file").write_text("")
    run(tmp_path, *LINES, DRILL_HOME=str(tmp_path / "file" / "below"), code=1)
    run(tmp_path, "spell", code=2)
    (tmp_path / "bad.toml").write_text("title = ")
    run(tmp_path, "check", "bad.toml", code=65)


@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGINT, ExitCode.INTERRUPTED), (signal.SIGTERM, 143)]
)
def test_exit_130_and_143_as_a_shell_tells_them(
    tmp_path: Path, number: signal.Signals, code: int
) -> None:
    going = subprocess.Popen(
        [*COMMAND, *LINES, "--json"], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, env=environment(tmp_path),
    )  # fmt: skip
    assert going.stdout is not None
    going.stdout.readline()
    for _ in range(20):  # a signal in the instant before the system's read is heard with the next
        going.send_signal(number)
        with contextlib.suppress(subprocess.TimeoutExpired):
            going.wait(timeout=3)
            break
    _, err = going.communicate(timeout=60)
    ended = going.returncode
    assert (ended if ended >= 0 else 128 - ended) == code
    assert b"Traceback" not in err


def test_help_on_codes_is_their_one_table(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["help", "codes", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found == {str(int(code)): said for code, said in EXIT_CODES.items()}
    assert set(EXIT_CODES) == set(ExitCode)


def test_help_on_keys_is_the_screens_own_table(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DRILL_HOME", str(tmp_path))
    (tmp_path / "settings.toml").write_text('[keys]\nmute = "f2"\n')
    assert main(["help", "keys"]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80
    said = " ".join(out.split())
    for action in ACTIONS:
        assert f"({action.id}" in said
        assert action.help in said
    assert re.search(r"f2 +Turn the sound off", out)
    assert "from the user file" in said
    assert main(["help", "keys", "--json"]) == 0
    rows = {row["action"]: row for row in json.loads(capsys.readouterr().out)}
    assert rows.keys() == {action.id for action in ACTIONS}
    assert rows["mute"]["keys"] == ["f2"]


def test_help_on_a_command_is_its_own_help(capsys: pytest.CaptureFixture[str]) -> None:
    main(["deck", "new", "--help"])
    own = capsys.readouterr().out
    assert main(["help", "deck", "new"]) == 0
    assert capsys.readouterr().out == own
