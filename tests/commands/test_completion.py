"""The completion scripts: shells parse them, and they offer what the parsers take."""

from __future__ import annotations

import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

from drill.cli import main
from drill.commands.completion import SHELLS
from drill.commands.table import COMMANDS, every_part, options_of


@pytest.fixture
def script(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], request: pytest.FixtureRequest
) -> Path:
    """The script for the shell that the test is about, in a file."""
    assert main(["completion", request.param]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    path = tmp_path / f"drill.{request.param}"
    path.write_text(out, encoding="utf-8")
    return path


@pytest.mark.parametrize("script", SHELLS, indirect=True)
def test_the_shell_parses_it(script: Path) -> None:
    shell = shutil.which(script.suffix[1:])
    if shell is None:
        pytest.skip(f"no {script.suffix[1:]} here")
    done = subprocess.run([shell, "-n", str(script)], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("script", SHELLS, indirect=True)
def test_it_names_every_command_and_option(script: Path) -> None:
    text = script.read_text(encoding="utf-8")
    for command in COMMANDS:
        assert command in text
    for part in every_part():
        for option in options_of(part.parser):
            assert option.lstrip("-") in text


@pytest.mark.parametrize("script", ["fish"], indirect=True)
def test_fish_goes_down_into_every_part_that_has_words_of_its_own(script: Path) -> None:
    """No fish may be here to ask: its script lists each."""
    lines = script.read_text(encoding="utf-8").splitlines()
    (listed,) = [line for line in lines if line.startswith("set -g _shtab_drill_commands ")]
    known = set(shlex.split(listed)[3:])
    assert known == {" ".join(part.words) for part in every_part() if part.words}


def offered(script: Path, *words: str) -> set[str]:
    """What bash offers for the last of the words."""
    line = " ".join(f"'{word}'" for word in words)
    code = (
        f"source '{script}'; COMP_WORDS=({line}); COMP_CWORD={len(words) - 1}; _shtab_drill; "
        'printf "%s\\n" "${COMPREPLY[@]}"'
    )
    done = subprocess.run(
        ["bash", "--norc", "-c", code],
        capture_output=True,
        text=True,
        check=True,
        cwd=script.parent,
    )
    return set(done.stdout.split())


bash_only = pytest.mark.skipif(shutil.which("bash") is None, reason="no bash here")


@bash_only
@pytest.mark.parametrize("script", ["bash"], indirect=True)
def test_what_bash_offers(script: Path) -> None:
    (script.parent / "mine.toml").write_text("")
    assert offered(script, "drill", "de") == {"deck", "decks"}
    assert offered(script, "drill", "--pla") == {"--plain"}
    assert offered(script, "drill", "deck", "ne") == {"new"}
    assert offered(script, "drill", "deck", "new", "--ti") == {"--title"}
    assert offered(script, "drill", "spell", "--descent", "re") == {
        "retrograde", "retrograde-inversion",
    }  # fmt: skip
    assert offered(script, "drill", "spell", "--names", "ger") == {"german"}
    assert offered(script, "drill", "spell", "--instrument", "bari") == {"baritone_sax"}
    assert offered(script, "drill", "--deck", "tricky") == {"tricky-keys-tenor"}
    assert offered(script, "drill", "check", "mine") == {"mine.toml"}
    assert offered(script, "drill", "--deck", "mine") == {"mine.toml"}
    assert offered(script, "drill", "help", "key") == {"keys"}
    assert offered(script, "drill", "help", "patt") == {"patterns"}
    assert offered(script, "drill", "help", "sp") == {"spell"}
    assert offered(script, "drill", "completion", "") >= set(SHELLS)


@pytest.mark.skipif(shutil.which("fish") is None, reason="no fish here")
@pytest.mark.parametrize("script", ["fish"], indirect=True)
def test_what_fish_offers(script: Path) -> None:
    code = f"source '{script}'; complete -C 'drill deck '"
    done = subprocess.run(["fish", "-N", "-c", code], capture_output=True, text=True, check=True)
    words = {line.partition("\t")[0] for line in done.stdout.splitlines()}
    assert words >= {"new", "tricky", "show", "add"}


def test_an_unknown_shell_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", "csh"]) == 2
    assert "bash" in capsys.readouterr().err
