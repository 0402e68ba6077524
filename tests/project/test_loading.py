"""What a start loads: the cheap commands stay clear of the costly libraries."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

COSTLY = {
    "music21",
    "matplotlib",
    "textual",
    "rich",
    "numpy",
    "miniaudio",
    "simpleaudio",
    "asyncio",
}

SHOW = """
import sys
from drill.cli import main
try:
    code = main(sys.argv[1:])
except SystemExit as ended:
    code = ended.code or 0
print("loaded", *{name.partition(".")[0] for name in sys.modules}, file=sys.stderr)
sys.exit(code)
"""


def loaded(
    checkout: Path, *arguments: str, environment: dict[str, str] | None = None
) -> tuple[subprocess.CompletedProcess[str], set[str]]:
    """A run of the command line in a clean interpreter, and the packages it loaded."""
    run = subprocess.run(
        [sys.executable, "-c", SHOW, *arguments],
        cwd=checkout,
        env=environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    return run, set(run.stderr.splitlines()[-1].split()[1:])


@pytest.mark.parametrize("option", ["--version", "--help"])
def test_cheap_commands_load_no_costly_library(checkout: Path, option: str) -> None:
    run, modules = loaded(checkout, option)
    assert (run.returncode, run.stdout != "") == (0, True)
    assert "drill" in modules
    assert modules & COSTLY == set()


RESTS = """
import gc, runpy, sys
from drill import cli
from drill.commands import decks

def telling(call):
    def told(*values, **named):
        seen.append(gc.isenabled())
        return call(*values, **named)
    return told

seen = []
cli.parser_of, decks.run = telling(cli.parser_of), telling(decks.run)
sys.argv = ["drill", "decks"]
try:
    {start}
except SystemExit:
    print(*seen, gc.isenabled(), file=sys.stderr)
"""


@pytest.mark.parametrize(
    "start", ["sys.exit(cli.main())", "runpy.run_module('drill', run_name='__main__')"]
)
def test_the_collector_rests_until_a_command_works_however_it_is_started(
    checkout: Path, start: str
) -> None:
    """By the script of an installed program, and as a module."""
    run = subprocess.run(
        [sys.executable, "-c", RESTS.format(start=start)],
        cwd=checkout, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert run.stderr.splitlines()[-1] == "False True True"


def test_version_is_the_package_s(checkout: Path) -> None:
    from drill import __version__

    run, _ = loaded(checkout, "--version")
    assert run.stdout == f"drill {__version__}\n"


def test_the_look_would_see_a_costly_library(printed_by: Callable[..., str]) -> None:
    assert COSTLY & set(printed_by("import sys, numpy; print(*sys.modules)").split()) >= {"numpy"}


def test_a_later_start_adds_few_modules(checkout: Path) -> None:
    """The set-up's own files are on the way of every start from a clone: they load next to nothing,
    and what makes an environment stays away."""
    code = (
        "import sys; before = set(sys.modules); from drill import setup_env; "
        "print(*sorted(set(sys.modules) - before))"
    )
    run = subprocess.run(
        [sys.executable, "-I", "-c", f"import sys; sys.path.insert(0, {str(checkout)!r}); {code}"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout.split() == ["__future__", "drill", "drill.setup_env", "drill.setup_state"]


def home(folder: Path) -> dict[str, str]:
    """An environment in which a player with a horn has never practised."""
    (folder / "settings.toml").write_text('horn = "alto_sax"\n', encoding="utf-8")
    return {**os.environ, "DRILL_HOME": str(folder)}


def test_the_first_prompt_in_lines_waits_for_no_costly_library(
    checkout: Path, tmp_path: Path
) -> None:
    asked = ("--plain", "--prompts", "1", "--mute", "--deck", "major-returning-cells")
    run, modules = loaded(checkout, *asked, environment=home(tmp_path))
    assert " 1. " in f" {run.stdout}"
    assert modules & COSTLY == set()
    more, modules = loaded(checkout, *asked, "--ask", "play", environment=home(tmp_path))
    assert modules & COSTLY >= {"numpy"}, more  # the look would see it


def test_a_run_is_spelled_without_the_log(checkout: Path, tmp_path: Path) -> None:
    run, modules = loaded(checkout, "spell", "thirds", "--key", "G", environment=home(tmp_path))
    assert (run.returncode, run.stdout != "") == (0, True)
    assert modules & (COSTLY | {"sqlite3", "zipfile", "json"}) == set()


SEATED = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from drill.opening.plan import deck_plan
from drill.decks.load import load
from drill.opening.house import house
from drill.settings.values import Settings
from drill.tui import screens
from drill.tui.screens import stand
from drill.tui.seats import Seats
from drill.tui.practices import ToPractice

now = datetime(2026, 1, 5, 18, tzinfo=UTC)
home = house({"DRILL_HOME": sys.argv[1]}, now)
class Context:
    folders, seed, utc_now = home.deck_folders, 1, lambda: now
    new_id = opened = staticmethod(lambda deck=None: deck)
room = home.room(Settings().names, now)
plan = lambda deck, now: deck_plan(deck, now, Settings(), None)
seat = Seats(Context, room).sit(ToPractice("major-returning-cells"), plan, silent=True)
assert seat.effects
print(*{name.partition(".")[0] for name in sys.modules})
"""


def test_the_first_prompt_on_the_screens_waits_for_no_arrays(
    printed_by: Callable[..., str], tmp_path: Path
) -> None:
    """What reckons with many cells, and what hears a horn, is loaded when it is needed."""
    assert set(printed_by(SEATED, tmp_path).split()) & COSTLY == {"textual", "rich", "asyncio"}


def test_little_is_loaded_before_the_first_screen_is_drawn(
    printed_by: Callable[..., str], tmp_path: Path
) -> None:
    """The model, the log, the decks and numpy wait until something is on the screen."""
    program = (
        "import sys\n"
        "import drill.commands.practise, drill.tui.app, drill.tui.trainer\n"
        "import drill.tui.screens.today, drill.commands.errands, drill.tui.desk_settings\n"
        "import drill.opening.onscreens, drill.opening.tools\n"
        "from drill.places import places\n"
        "from drill.settings.load import load\n"
        "home = {'DRILL_HOME': sys.argv[1]}\n"
        "assert not load(places(home), {'DRILL_SOUND': 'silent'}).faults\n"
        "print(*sorted(sys.modules))\n"
    )
    (tmp_path / "settings.toml").write_text('horn = "alto_sax"\n', encoding="utf-8")
    loaded = set(printed_by(program, tmp_path).split())
    late = (
        "decks.build", "decks.load", "decks.locate", "decks.schema", "decks.unread", "hearing",
        "lines", "marking", "memory.items", "memory.model", "memory.state", "memory.store",
        "paper", "practice", "reports", "sound.player", "sound.take",
        "theory.runs", "theory.scales", "tui.draft", "tui.formed", "tui.outside", "tui.practices",
        "tui.screens.stand", "tui.tally", "tui.ways", "tui.widgets.answer", "wording.sentence",
    )  # fmt: skip
    early = {each for each in loaded for room in late if f"{each}.".startswith(f"drill.{room}.")}
    assert early == set()
    assert loaded.isdisjoint(("numpy", "sqlite3", "music21", "hashlib", "json"))
    assert "drill.tui.views.today" in loaded
