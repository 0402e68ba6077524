"""What a terminal sees: signals, odd bytes, colours, sizes, and what is left behind.

Each test runs the screens on a pty.  Most are marked slow: a start takes half a second
and more.
"""

from __future__ import annotations

import os
import re
import signal
import termios
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import mean

import pytest
from pty_screen import LAUNCH, PtyScreen
from tui_desk import DECK as TWO_KEYS

from drill.decks.load import loads
from drill.memory.store import FILE_NAME, Store
from drill.practice.syllabus import Entry, build

Start = Callable[..., PtyScreen]

DECK = "major-returning-cells"
COLOUR = re.compile(rb"\x1b\[[0-9;]*\b(?:3[0-7]|4[0-7]|9[0-7]|10[0-7]|[34]8;[25];[0-9;]+)[0-9;]*m")
"""A sequence that sets a colour (ECMA-48 and the common 256-colour and true-colour forms)."""


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Start]:
    """Start a program; all of them are ended after the test."""
    started: list[PtyScreen] = []

    def begin(*arguments: str, command: list[str] | None = None, **environment: str) -> PtyScreen:
        screen = PtyScreen(tmp_path, *arguments, command=command, environment=environment)
        started.append(screen)
        return screen

    yield begin
    for screen in started:
        screen.close()


def logged(home: Path) -> list[str]:
    """The answers in the log, as they were typed."""
    with Store.open(home / FILE_NAME) as store:
        return [answer.typed for answer in store.answers()]


def answer_of(screen: PtyScreen, text: str) -> str:
    """Type an answer and hand it in; the screen with its verdict."""
    screen.send(text + "\r")
    return screen.wait_for("cell  ")


def restored(screen: PtyScreen) -> bool:
    """Whether the terminal was given back as it was: main screen, cursor, cooked mode."""
    mode = termios.tcgetattr(screen.child.child_fd)[3]
    return (
        screen.raw.rfind(b"\x1b[?1049l") > screen.raw.rfind(b"\x1b[?1049h")
        and screen.raw.rfind(b"\x1b[?25h") > screen.raw.rfind(b"\x1b[?25l")
        and bool(mode & termios.ECHO)
        and bool(mode & termios.ICANON)
    )


def test_a_practice_in_a_terminal(start: Start, tmp_path: Path) -> None:
    """Typed ahead, answered, muted, ended; the log has the answer."""
    screen = start(DECK)
    screen.send("c c")  # before there is a program to read it
    screen.wait_for("cell on")
    shown = answer_of(screen, " c c")
    assert "you   C" in shown
    screen.send("z")
    screen.wait_for("z sound on")
    screen.send("\x1b")
    screen.wait_for("End the practice?")
    screen.send("\r")
    screen.wait_for("0 of 1 right", "Missed")
    screen.send("q")
    screen.wait_for("Today")
    screen.send("q")
    assert screen.end() == 0
    assert restored(screen)
    assert logged(tmp_path) == ["c c c c"]


@pytest.mark.slow
def test_a_burst_of_keys_is_taken_in_its_order(start: Start, tmp_path: Path) -> None:
    """A slow line delivers an answer, its Enter, and the next answer at once."""
    screen = start(DECK)
    screen.wait_for("cell on")
    screen.send("c d e c\rf\x1b[A g\x1b[B f\x1b[A\rd e f d\r")
    screen.wait_for("Once more", "D", "E")
    wanted = ["c d e c", "f♯ g♭ f♯", "d e f d"]
    screen.wait_until(lambda _: logged(tmp_path)[-1] == wanted[-1], what="the last of them")
    assert logged(tmp_path) == wanted


@pytest.mark.slow
@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130)]
)
def test_a_signal_ends_it_and_gives_the_terminal_back(
    start: Start, number: signal.Signals, code: int
) -> None:
    screen = start(DECK)
    screen.wait_for("cell on")
    os.kill(screen.child.pid, number)
    assert screen.end() == code
    assert restored(screen)


@pytest.mark.slow
def test_a_byte_that_is_no_utf8_ends_nothing(start: Start) -> None:
    screen = start(DECK)
    screen.wait_for("cell on")
    screen.send(b"c \xf6\x80")
    screen.read(0.5)
    screen.send(b"\x15d e")
    screen.wait_for(":  d e")


@pytest.mark.slow
def test_the_newer_keyboard_s_sharp_and_a_bracketed_paste(start: Start) -> None:
    screen = start(DECK)
    screen.wait_for("cell on")
    screen.send(b"f\x1b[35;2u ")
    screen.send(b"\x1b[200~F# A\x1b[201~")
    screen.wait_for(":  f# F# A")


@pytest.mark.slow
def test_no_color_has_no_colour_and_an_empty_one_has(start: Start) -> None:
    """no-color.org: present and not empty."""
    plain = start(DECK, NO_COLOR="1")
    plain.wait_for("cell on")
    plain.send("c c c c\r")
    plain.wait_for("✗")
    assert COLOUR.search(plain.raw) is None
    coloured = start(DECK, NO_COLOR="")
    coloured.wait_for("cell on")
    assert COLOUR.search(coloured.raw) is not None


@pytest.mark.slow
def test_few_colours_draw_the_same_text(start: Start) -> None:
    shown = []
    for term, truecolour in (
        ("xterm-256color", "truecolor"),
        ("xterm-256color", ""),
        ("linux", ""),
    ):
        screen = start(DECK, TERM=term, COLORTERM=truecolour)
        screen.wait_for("cell on", "esc end")
        shown.append(screen.text)
    assert shown[0] == shown[1] == shown[2]


@pytest.mark.slow
@pytest.mark.parametrize(
    "environment", [{"PYTHONIOENCODING": "latin-1"}, {"LAUNCH_SIGNS": "ascii"}]
)
def test_a_terminal_without_unicode_gets_none(start: Start, environment: dict[str, str]) -> None:
    screen = start(DECK, **environment)
    screen.wait_for("cell on")
    screen.send("c c c c\r")
    screen.wait_for("cell  ")
    assert max(screen.raw) < 0x80


@pytest.mark.slow
def test_an_error_of_ours_is_short_and_reported(start: Start, tmp_path: Path) -> None:
    screen = start(LAUNCH_BREAK="room")
    assert screen.end() == 1
    after = screen.raw.rpartition(b"\x1b[?1049l")[2]
    assert b"an error in the program ended it (RuntimeError)" in after
    assert b"Traceback" not in screen.raw
    assert restored(screen)
    (report,) = (tmp_path / "log").glob("error-*.txt")
    assert "Traceback" in report.read_text(encoding="utf-8")


def cpu_seconds(pid: int) -> float:
    """Processor time that a process has used."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="needs /proc")
@pytest.mark.parametrize("size", [(1, 1), (2, 2), (40, 12)])
def test_a_tiny_terminal_is_told_and_costs_nothing(start: Start, size: tuple[int, int]) -> None:
    screen = start(DECK)
    screen.wait_for("cell on")
    screen.resize(*size)
    screen.read(0.5)
    before = cpu_seconds(screen.child.pid)
    screen.read(2.0)
    assert cpu_seconds(screen.child.pid) - before < 0.1  # 5 per cent of two seconds
    if size == (40, 12):
        assert "cell on" in screen.text
    screen.resize(80, 24)
    screen.wait_for("cell on", "esc end")
    screen.send("c")
    screen.wait_for(":  c")


@pytest.mark.slow
def test_back_from_the_background_it_is_drawn_again(start: Start, tmp_path: Path) -> None:
    import sys

    screen = start(command=["/bin/bash", "--norc", "-i"], PS1="ready ")
    screen.wait_for("ready")
    screen.send(f"{sys.executable} {LAUNCH} {DECK}\n")
    screen.wait_for("cell on")
    screen.send("\x1a")
    screen.wait_for("Stopped")
    screen.send("fg\n")
    screen.wait_for("cell on", "esc end", seconds=5)


@pytest.mark.slow
def test_killed_right_after_a_verdict_nothing_is_lost(start: Start, tmp_path: Path) -> None:
    screen = start(DECK)
    screen.wait_for("cell on")
    screen.send("c c c c\r")
    screen.wait_for("you   C")
    os.kill(screen.child.pid, signal.SIGKILL)
    screen.read(0.1)
    assert logged(tmp_path) == ["c c c c"]


class Player:
    """Reads the stand as a person does: the key, the cell's degree, the way; and knows it all."""

    def __init__(self, screen: PtyScreen) -> None:
        self.screen = screen
        syllabus = build(loads(TWO_KEYS, "two-keys.toml"))
        self.cells = {
            (str(entry.run.key.tonic), entry.cell.label, entry.cell.direction.value): entry
            for entry in syllabus.entries.values()
        }

    def asked(self) -> Entry:
        """The cell that is asked for, from what the screen shows."""
        title, pattern, run = self.screen.text.splitlines()[:3]
        tonic = title.split()[0].replace("♭", "b").replace("♯", "#")
        way = "down" if "coming down" in pattern else "up"
        return self.cells[tonic, run.partition("[")[2].partition("]")[0], way]

    def answer(self, number: int, *, right: bool = True) -> str:
        """Answer a prompt, and type a missed cell once more; the item asked."""
        self.screen.wait_for(f"prompt {number} of")
        entry = self.asked()
        notes = [str(note.name) for note in entry.cell.notes]
        typed = notes if right else [notes[1], *notes[1:]]
        self.screen.send(" ".join(typed) + "\r")
        if not right:
            self.screen.wait_for("Once more", "✗")
            self.screen.send(" ".join(notes) + "\r")
        return entry.item.id


@pytest.mark.slow
def test_what_went_wrong_comes_back_sooner(start: Start, tmp_path: Path) -> None:
    """Ten prompts with two slips, both named; muted, left, started again."""
    (tmp_path / "decks").mkdir()
    (tmp_path / "decks" / "two-keys.toml").write_text(TWO_KEYS, encoding="utf-8")
    screen = start("two-keys", LAUNCH_PROMPTS="60", LAUNCH_KINDS="degree")
    player = Player(screen)
    screen.wait_for("prompt 1 of")
    screen.send("z")
    screen.wait_for("z sound on")
    first = [player.answer(number, right=number not in (3, 6)) for number in range(1, 11)]
    screen.wait_for("prompt 11 of")
    screen.send("\x1b")
    screen.wait_for("End the practice?")
    screen.send("\r")
    shown = screen.wait_for("8 of 10 right", "Slips", "Missed")
    assert shown.count("✗") == 2
    screen.send("q")
    screen.wait_for("Today")
    screen.send("q")
    assert screen.end() == 0

    again = start("two-keys", LAUNCH_PROMPTS="60", LAUNCH_KINDS="degree")
    player = Player(again)
    order = [player.answer(number) for number in range(1, 41)]
    wait = {item: order.index(item) if item in order else len(order) for item in first}
    missed = mean(wait[first[place]] for place in (2, 5))
    beside = mean(wait[first[place]] for place in (1, 3, 4, 6))
    assert missed < beside / 2
