"""The screens of the real program: points 21, 26 to 30, 33 and 35 of the checklist."""

from __future__ import annotations

import os
import re
import signal
import termios
from collections.abc import Callable
from pathlib import Path

import pytest
from program import DECK
from pty_screen import PtyScreen

from drill.cli import main
from drill.memory.store import FILE_NAME, Store

Start = Callable[..., PtyScreen]


def practice(start: Start, *options: str, **environment: str) -> PtyScreen:
    screen = start("--deck", DECK, "--mute", "--seed", "3", *options, **environment)
    screen.wait_for("enter answer")
    return screen


def restored(screen: PtyScreen) -> bool:
    """Main screen, cursor, mouse, keyboard and line mode as they were."""
    mode = termios.tcgetattr(screen.child.child_fd)[3]
    pairs = ((b"\x1b[?1049h", b"\x1b[?1049l"), (b"\x1b[?25l", b"\x1b[?25h"))
    return (
        all(screen.raw.rfind(off) > screen.raw.rfind(on) for on, off in pairs)
        and screen.raw.rfind(b"\x1b[<u") >= screen.raw.rfind(b"\x1b[>1u")
        and b"\x1b[?1003h" not in screen.raw.rpartition(b"\x1b[?1003l")[2]
        and bool(mode & termios.ECHO)
        and bool(mode & termios.ICANON)
    )


@pytest.mark.slow
@pytest.mark.parametrize(
    ("sent", "read"),
    [
        (b"F# Bb", "F# Bb"),
        (b"f# bb", "f# bb"),
        ("F♯ B♭".encode(), "F# Bb"),
        (b"Fx Ebb", "Fx Ebb"),
        (b"\x1b[200~F# A\x1b[201~", "F# A"),
        (b"f\x1b[35;2u a", "f# a"),
        (b"f\x1b[51;2;35u a", "f# a"),
        (b"f\x1b[A b\x1b[B", "f# bb"),
    ],
)
def test_bytes_that_keyboards_send_give_the_spelling(start: Start, sent: bytes, read: str) -> None:
    """Plain keys, signs, a bracketed paste, the newer keyboard's reports, and the arrows."""
    screen = practice(start)
    screen.send(sent)
    typed = re.compile(rf": +{re.escape(read)}\b|: +{re.escape(read)}$", re.MULTILINE)
    screen.wait_until(
        lambda shown: typed.search(shown.replace("♯", "#").replace("♭", "b")), what=read
    )


@pytest.mark.slow
def test_keys_of_the_player_s_own_and_a_warning_for_what_is_none(
    start: Start, tmp_path: Path
) -> None:
    home = tmp_path / "drill"
    home.mkdir()
    (home / "settings.toml").write_text(
        '[keys]\nmute = "f2"\nmutee = "f3"\nshow = "enter"\n', encoding="utf-8"
    )
    screen = practice(start)
    said = screen.raw.partition(b"\x1b[?1049h")[0].decode()
    assert "settings.toml:3:1: " in said
    assert "mutee" in said
    assert "settings.toml:4:8: " in said
    before = screen.text
    assert "f2 sound" in before.lower()
    screen.send(b"\x1bOQ")  # F2
    screen.wait_until(lambda shown: shown != before, what="another screen")


@pytest.mark.slow
def test_escape_goes_back_a_level_and_ctrl_c_asks(start: Start) -> None:
    screen = start("--mute", DRILL_HORN="alto_sax")
    screen.wait_for("Today", "enter begin")
    screen.send("d")
    screen.wait_for("Returning cells, all major keys", "deck ")
    screen.send("?")
    screen.wait_for("Show this help")
    screen.send("\x1b")
    screen.wait_for("Returning cells, all major keys", "deck ")
    screen.send("\x1b")
    screen.wait_for("Today")
    screen.send("\x03")
    screen.wait_for("Leave drill?")
    screen.send("\x1b")
    screen.wait_for("enter begin")
    screen.send("q")
    assert screen.end() == 0
    assert restored(screen)


@pytest.mark.slow
@pytest.mark.parametrize("where", ["today", "stand"])
def test_two_interrupts_in_one_burst_leave_at_once(start: Start, where: str) -> None:
    screen = practice(start) if where == "stand" else start("--mute", DRILL_HORN="alto_sax")
    screen.wait_for("Today" if where == "today" else ":")
    screen.send("\x03\x03")
    assert screen.end() == 130
    assert restored(screen)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130)]
)
def test_signals_to_the_real_program(start: Start, number: signal.Signals, code: int) -> None:
    screen = practice(start)
    screen.send("c c c c\r")
    screen.wait_for("✗")
    os.kill(screen.child.pid, number)
    assert screen.end() == code
    assert restored(screen)


@pytest.mark.slow
def test_a_kill_loses_no_answer_that_was_marked(start: Start, tmp_path: Path) -> None:
    screen = practice(start)
    screen.send("c c c c\r")
    screen.wait_for("✗ wrong")
    os.kill(screen.child.pid, signal.SIGKILL)
    screen.read(0.2)
    with Store.open(tmp_path / "drill" / FILE_NAME) as store:
        assert [answer.typed for answer in store.answers()] == ["c c c c"]


@pytest.mark.slow
def test_without_a_sound_device_there_is_one_notice_and_the_drill_goes_on(start: Start) -> None:
    screen = start(
        "--deck", DECK, "--seed", "3", PULSE_SERVER="/nowhere", ALSA_CONFIG_PATH="/dev/null"
    )
    screen.wait_for("enter answer")
    screen.send("c c c c\r")
    screen.wait_for("✗ wrong")
    screen.wait_for("No sound")
    assert screen.text.count("No sound") == 1
    screen.send("\x15c\r")
    screen.wait_for("✗")
    assert screen.child.isalive()


def test_a_fault_of_ours_in_a_command_is_short_and_reported(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    import drill.commands.decks

    def broken(*_: object) -> None:
        raise RuntimeError("broken on purpose")

    monkeypatch.setenv("DRILL_HOME", str(tmp_path))
    monkeypatch.setattr(drill.commands.decks, "run", broken)
    assert main(["decks"]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert "RuntimeError" in err
    assert "Traceback" not in err
    (report,) = (tmp_path / "log").glob("error-*.txt")
    assert str(report) in err
    assert "broken on purpose" in report.read_text(encoding="utf-8")
