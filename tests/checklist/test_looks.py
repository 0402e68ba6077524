"""Colour, signs and motion: points 15 to 19 and 38 of the checklist, on the real program."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from program import DECK, LINES, run
from pty_screen import PtyScreen

from drill.decks.load import loads
from drill.opening.plan import wished
from drill.practice.machine import plan_for
from drill.settings.values import Settings

Start = Callable[..., PtyScreen]

COLOUR = re.compile(rb"\x1b\[[0-9;]*\b(?:3[0-7]|4[0-7]|9[0-7]|10[0-7]|[34]8;[25];[0-9;]+)[0-9;]*m")
"""A sequence that sets a colour (ECMA-48 and the common 256-colour and true-colour forms)."""
BLINK = re.compile(rb"\x1b\[(?:[0-9;]*;)?[56]m|\x1b\[\?12h|\x1b\[[13]? q")
"""Blinking text, and a blinking cursor asked for (ECMA-48 SGR 5 and 6; DECSCUSR)."""


def practice(start: Start, *options: str, **environment: str) -> PtyScreen:
    screen = start("--deck", DECK, "--mute", "--seed", "3", *options, **environment)
    screen.wait_for("enter answer")
    return screen


@pytest.mark.slow
@pytest.mark.parametrize(
    ("option", "environment", "coloured"),
    [
        ("never", {}, False),
        ("always", {"NO_COLOR": "1"}, True),
        ("auto", {"NO_COLOR": "1"}, False),
        ("auto", {"NO_COLOR": ""}, True),
    ],
)
def test_the_colour_option_goes_before_the_environment(
    start: Start, option: str, environment: dict[str, str], coloured: bool
) -> None:
    """no-color.org: NO_COLOR counts when it is present and not empty."""
    screen = practice(start, "--color", option, **environment)
    screen.send("c c c c\r")
    screen.wait_for("✗")
    assert bool(COLOUR.search(screen.raw)) is coloured


@pytest.mark.slow
def test_a_dumb_terminal_gets_line_mode(start: Start) -> None:
    screen = start("--deck", DECK, "--mute", TERM="dumb")
    screen.wait_for("TERM=dumb", "help shows")
    screen.send("show\n")
    screen.wait_for("not right: the cell is")
    assert b"\x1b" not in screen.raw
    screen.send("quit\n")
    assert screen.end() == 0


@pytest.mark.slow
@pytest.mark.parametrize("theme", ["dark", "light", "terminal", "high-contrast"])
def test_a_verdict_is_told_in_sign_and_word_in_every_theme(start: Start, theme: str) -> None:
    screen = practice(start, "--theme", theme)
    screen.send("c c c c\r")
    shown = screen.wait_for("✗", "Once more")
    assert "✗ wrong" in shown


def test_line_mode_with_ascii_has_no_other_byte(tmp_path: Path) -> None:
    typed = "F♯ A♭ 𝄪…\n“x”\nshow\nquit\n".encode()
    (tmp_path / "o.toml").write_text(
        'title = "Übung – ♯"\ninstrument = "flute"\npatterns = ["return3"]\nkeys = ["Db"]\n',
        encoding="utf-8",
    )
    options = ("--plain", "--mute", "--seed", "1", "--deck", "o.toml")
    spoken = run(tmp_path, *options, typed=typed, code=0)
    assert max(spoken.stdout) >= 0x80  # else the next line could not fail
    wishes: tuple[tuple[tuple[str, ...], dict[str, Any]], ...] = (
        (("--ascii",), {}),
        ((), {"DRILL_GLYPHS": "ascii"}),
        ((), {"PYTHONIOENCODING": "ascii"}),
    )
    for wish, environment in wishes:
        done = run(tmp_path, *options, *wish, typed=typed, code=0, **environment)
        assert max(done.stdout + done.stderr) < 0x80


def test_line_mode_in_latin_1_writes_what_it_can(tmp_path: Path) -> None:
    done = run(tmp_path, *LINES, typed="é♯\nquit\n".encode(), PYTHONIOENCODING="latin-1", code=0)
    assert b"not read" in done.stdout
    done.stdout.decode("latin-1")


@pytest.mark.slow
@pytest.mark.quiet
def test_at_rest_nothing_moves_and_nothing_blinks(start: Start) -> None:
    screen = practice(start)
    before = -1
    for _ in range(10):  # until all of it is drawn
        if before == len(screen.raw):
            break
        before = len(screen.raw)
        screen.read(1.0)
    screen.read(3.0)
    assert len(screen.raw) == before
    assert BLINK.search(screen.raw) is None


def test_no_limit_of_time_that_cannot_be_turned_off() -> None:
    """No plan has an end by the clock but where the deck or the player asks for it."""
    text = 'title = "T"\ninstrument = "flute"\npatterns = ["return3"]\nkeys = ["G"]\n'
    from datetime import UTC, datetime

    now = datetime(2031, 3, 14, tzinfo=UTC)
    assert plan_for(loads(text, "t.toml"), now).minutes is None
    limited = plan_for(loads(text + "[practice]\nminutes = 5\n", "t.toml"), now)
    assert limited.minutes == 5
    from dataclasses import replace

    from drill.settings.values import Overrides

    never = replace(Settings(), practice=replace(Overrides(), minutes=0))
    assert wished(limited, never, None).minutes is None
    in_time = plan_for(loads(text + '[practice]\nask = ["time", "degree"]\n', "t.toml"), now)
    assert "time" in in_time.kinds
    untimed = wished(in_time, replace(Settings(), in_time=False), None)
    assert "time" not in untimed.kinds
