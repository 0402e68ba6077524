"""The drill goes on whatever happens to its sound helper: real processes, real signals."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path
from time import sleep
from typing import Any

import pytest
from alsa_file import environment, file_device, need, need_alsa, no_device, until
from silent_player import SilentPlayer

from drill.clock import monotonic
from drill.sound.player import RETRY_S, Player
from drill.sound.take import Event, Take, verdict_take

ROOT = Path(__file__).parents[2]
CELL = verdict_take((60, 62, 64, 60))
LONG = Take((Event(60, 0.0, 60.0),), 60.0, bpm=120.0, first_beat_s=2.0)

posix = pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX systems")


def alive(pid: int) -> bool:
    """Whether a process runs; one that waits to be reaped does not."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()[0]
    except OSError:
        return False
    return state != "Z"


@pytest.fixture
def silent(tmp_path: Path) -> Iterator[Player]:
    """A player whose helper is a real process with the silent output."""
    player = Player(environment=environment(tmp_path, DRILL_SOUND="silent"))
    yield player
    player.close()


def sounding(player: Player) -> bool:
    return until(lambda: player.playing() is not None)


def helper_of(player: Player) -> int:
    """The helper's process, once a long take sounds in it."""
    assert player.play(LONG, stale_s=0)
    assert sounding(player)
    assert player.pid is not None
    return player.pid


def test_nothing_starts_before_it_is_needed(silent: Player) -> None:
    assert silent.pid is None
    silent.stop()
    silent.mute()
    assert not silent.play(CELL)
    assert silent.pid is None
    silent.unmute()
    assert silent.play(CELL)
    assert sounding(silent)
    assert silent.state.backend == "silent"


def test_the_beat_comes_from_the_audio_clock(silent: Player) -> None:
    before = monotonic()
    silent.play(LONG, stale_s=0)
    assert sounding(silent)
    playing = silent.playing()
    assert playing is not None
    assert before < playing.at < monotonic()
    assert LONG.beat_at(playing.seconds(playing.at)) == -4
    assert LONG.beat_at(playing.seconds(playing.at + 3.0)) == 2
    silent.stop()
    assert silent.playing() is None
    assert until(lambda: silent.idle)


def test_muting_silences_at_once(silent: Player) -> None:
    silent.play(LONG)
    assert sounding(silent)
    silent.mute()
    assert silent.playing() is None
    assert not silent.play(CELL)
    assert until(lambda: silent.idle)


def test_muting_before_the_helper_is_up_leaves_nothing_to_sound(silent: Player) -> None:
    silent.play(LONG, stale_s=0)
    silent.mute()
    assert until(lambda: silent.idle)
    assert until(lambda: silent.ready)
    assert silent.playing() is None
    assert silent.beginning is None


@posix
def test_a_killed_helper_is_started_once_more_and_nobody_is_troubled(silent: Player) -> None:
    first = helper_of(silent)
    os.kill(first, signal.SIGKILL)
    assert until(lambda: silent.pid != first)
    assert helper_of(silent) != first
    assert silent.poll() is None


@posix
@pytest.mark.parametrize("deaths", [1, 2])
def test_a_take_in_which_the_helper_died_was_cut_off(silent: Player, deaths: int) -> None:
    """Whoever plays along with it must not be judged by a click that nobody heard."""
    for _ in range(deaths):
        silent.play(LONG, stale_s=0)
        assert sounding(silent)
        assert not silent.cut_off(LONG)
        pid = silent.pid
        assert pid is not None
        os.kill(pid, signal.SIGKILL)
        assert until(lambda: silent.cut_off(LONG))
    assert until(lambda: silent.idle)
    assert silent.failed is (deaths == 2)


@posix
def test_a_helper_that_dies_again_gives_one_notice_then_silence(silent: Player) -> None:
    for _ in range(2):
        pid = helper_of(silent)
        os.kill(pid, signal.SIGKILL)
        assert until(lambda: silent.pid != pid)  # noqa: B023 - asked at once
    assert until(lambda: silent.failed)
    assert silent.poll() == ("No sound: the sound helper ended. The drill goes on without it.")
    assert silent.poll() is None
    assert not silent.play(CELL)
    assert silent.poll() is None
    silent.unmute()  # another go
    assert silent.play(LONG, stale_s=0)
    assert sounding(silent)


@posix
def test_a_hung_helper_is_replaced(silent: Player) -> None:
    first = helper_of(silent)
    os.kill(first, signal.SIGSTOP)
    silent.play(LONG, stale_s=0)
    assert until(lambda: silent.pid not in {None, first})
    assert sounding(silent)
    assert not alive(first)
    assert silent.poll() is None
    second = silent.pid
    assert second is not None
    os.kill(second, signal.SIGSTOP)
    silent.play(LONG, stale_s=0)
    assert until(lambda: silent.failed)
    assert silent.poll() == "No sound: the sound helper hung. The drill goes on without it."
    assert until(lambda: not alive(second))


@posix
def test_a_helper_that_hangs_before_it_is_up_is_given_up(tmp_path: Path) -> None:
    player = Player(
        environment=environment(tmp_path),
        command=lambda skip: [sys.executable, "-c", "import time; time.sleep(600)"],
        start_patience_s=0.5,
    )
    player.play(CELL)
    assert until(lambda: player.failed)
    assert player.poll() == "No sound: the sound helper hung. The drill goes on without it."
    player.close()


def test_a_helper_that_cannot_be_started(tmp_path: Path) -> None:
    player = Player(command=lambda skip: [str(tmp_path / "no-such-program")])
    assert player.play(CELL)
    assert until(lambda: player.failed)
    notice = player.poll()
    assert notice is not None
    assert notice.startswith("No sound: the helper cannot be started (No such file")
    player.close()


class Watched(Player):
    """A player that keeps, for each time something asked for was over, whether it had failed and
    what it had to say just then."""

    def __init__(self, **more: Any) -> None:
        self.seen: list[tuple[bool, str | None]] = []
        super().__init__(**more)

    def __setattr__(self, name: str, value: object) -> None:
        super().__setattr__(name, value)
        if name == "_finished" and value:
            self.seen.append((self.failed, self._notice))


def test_when_nothing_sounds_any_more_it_is_known_why(tmp_path: Path) -> None:
    """``drill hear`` waits until nothing is to be sounded, then asks what there is to say."""
    player = Watched(command=lambda skip: [str(tmp_path / "no-such-program")])
    player.play(CELL)
    assert until(lambda: player.idle)
    ((failed, notice),) = player.seen
    assert failed
    assert notice is not None
    assert notice.startswith("No sound: the helper cannot be started")
    player.close()


def test_a_helper_that_talks_nonsense_is_given_up(tmp_path: Path) -> None:
    player = Player(
        environment=environment(tmp_path),
        command=lambda skip: [sys.executable, "-c", "print('hello, all of you out there')"],
    )
    player.play(CELL)
    assert until(lambda: player.failed)
    assert player.poll() == "No sound: the sound helper ended. The drill goes on without it."
    player.close()


def test_while_it_is_tried_again_it_counts_as_given_up(tmp_path: Path) -> None:
    """Else a prompt by ear would be taken for heard in that second."""
    leap = 0.0
    player = Player(
        lambda: monotonic() + leap,
        environment=environment(tmp_path),
        command=lambda skip: [sys.executable, "-c", "print(1)"],
    )
    player.play(CELL)
    assert until(lambda: player.failed)
    assert not player.play(CELL)  # too soon
    leap = RETRY_S
    assert player.play(CELL)
    assert player.failed
    player.mute()
    player.unmute()
    assert until(lambda: not player.failed)  # it is tried anew
    player.close()


@posix
def test_a_short_stop_and_going_on_is_no_fault(silent: Player) -> None:
    """Both are stopped and go on, as when a machine sleeps."""
    pid = helper_of(silent)
    os.kill(pid, signal.SIGSTOP)
    os.kill(pid, signal.SIGCONT)
    silent.play(LONG, stale_s=0)
    assert sounding(silent)
    assert silent.pid == pid


def test_a_clock_that_leaps_while_the_machine_sleeps_is_forgiven(tmp_path: Path) -> None:
    leap, looks = 0.0, 0

    def clock() -> float:
        """The keeper looks at it at each tick, and at each reply."""
        nonlocal looks
        looks += 1
        return monotonic() + leap

    player = Player(
        clock,
        environment=environment(tmp_path, DRILL_SOUND="silent"),
        patience_s=1.0,
    )
    player.play(LONG, stale_s=0)
    assert until(lambda: player.playing() is not None)
    before = looks
    assert until(lambda: looks >= before + 2)
    sleep(0.2)  # it has answered; nothing is under way
    pid = player.pid
    before, leap = looks, 1000.0
    assert until(lambda: looks >= before + 6)
    assert player.pid == pid
    assert player.poll() is None
    player.close()


def test_no_device_gives_one_notice(tmp_path: Path) -> None:
    need_alsa()
    no_device(tmp_path)
    player = Player(environment=environment(tmp_path), log=tmp_path / "sound.log")
    player.play(CELL, stale_s=0)
    assert until(lambda: player.failed)
    notice = player.poll()
    assert notice is not None
    assert notice.startswith("No sound: ")
    assert "device" in notice
    assert notice.endswith("The drill goes on without it.")
    assert player.poll() is None
    player.close()


@posix
def test_a_crash_in_the_library_falls_to_the_other_library(tmp_path: Path) -> None:
    """A simpleaudio that crashes the process, as on Python 3.12: miniaudio sounds instead."""
    need_alsa()
    need("miniaudio")
    if sys.version_info >= (3, 12):
        pytest.skip("simpleaudio is not used there at all")
    file_device(tmp_path)
    library = tmp_path / "library"
    library.mkdir()
    (library / "simpleaudio.py").write_text(
        "import os, signal\ndef play_buffer(*data):\n    os.kill(os.getpid(), signal.SIGSEGV)\n",
        encoding="ascii",
    )
    player = Player(environment=environment(tmp_path, PYTHONPATH=str(library)))
    player.play(CELL, stale_s=0)
    assert sounding(player)
    assert player.state.backend == "miniaudio"
    assert player.poll() is None
    player.close(5.0)


PARENT = """
    import os, sys, time
    from drill.sound.player import Player
    from drill.sound.take import Event, Take
    player = Player()
    player.play(Take((Event(60, 0.0, 60.0),), 60.0), stale_s=0)
    while player.playing() is None and not {hangs}:
        time.sleep(0.01)
    while not player.pid or ({hangs} and not os.path.exists(os.environ["HOME"] + "/hung")):
        time.sleep(0.01)
    print(player.pid, flush=True)
    time.sleep(600)
"""


@posix
@pytest.mark.parametrize("hangs", [False, True])
def test_the_helper_dies_with_a_killed_drill(tmp_path: Path, hangs: bool) -> None:
    """Even when the audio library hangs it in the middle of a call."""
    (tmp_path / "simpleaudio.py").write_text(
        textwrap.dedent("""
            import os, time
            def play_buffer(*data):
                open(os.environ["HOME"] + "/hung", "w").close()
                time.sleep(600)
        """),
        encoding="ascii",
    )
    backend = "simpleaudio" if hangs else "silent"
    parent = subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(PARENT.format(hangs=hangs))],
        cwd=ROOT,
        env=environment(tmp_path, DRILL_SOUND=backend, PYTHONPATH=str(tmp_path)),
        stdout=subprocess.PIPE,
        text=True,
    )
    assert parent.stdout is not None
    helper = int(parent.stdout.readline())
    assert alive(helper)
    parent.kill()
    parent.wait()
    parent.stdout.close()
    assert until(lambda: not alive(helper))


@posix
def test_the_helper_has_neither_the_terminal_nor_its_signals(
    tmp_path: Path, silent: Player
) -> None:
    pid = helper_of(silent)
    assert os.getsid(pid) != os.getsid(0)
    if Path("/proc/self/fd").exists():
        assert os.readlink(f"/proc/{pid}/fd/2") == os.devnull
        assert os.readlink(f"/proc/{pid}/fd/0").startswith("pipe:")


def test_what_a_library_prints_does_not_disturb(tmp_path: Path) -> None:
    (tmp_path / "simpleaudio.py").write_text(
        textwrap.dedent("""
            import os
            print("a banner"); os.write(1, b"and noise from C")
            class Sound:
                def stop(self): pass
                def is_playing(self): return True
            def play_buffer(*data):
                print("playing", flush=True)
                return Sound()
        """),
        encoding="ascii",
    )
    log = tmp_path / "sound.log"
    player = Player(
        environment=environment(tmp_path, DRILL_SOUND="simpleaudio", PYTHONPATH=str(tmp_path)),
        log=log,
    )
    player.play(LONG, stale_s=0)
    assert sounding(player)
    player.close()
    assert "noise from C" in log.read_text(encoding="utf-8")


def test_closing_ends_the_helper(tmp_path: Path) -> None:
    player = Player(environment=environment(tmp_path, DRILL_SOUND="silent"))
    player.play(LONG, stale_s=0)
    assert sounding(player)
    pid = player.pid
    assert pid is not None
    player.close()
    assert player.pid is None
    assert until(lambda: not alive(pid))
    assert not player.play(CELL)
    player.close()


def test_the_silent_player_has_the_same_face() -> None:
    now = 0.0
    player = SilentPlayer(lambda: now)
    player.warm()
    assert player.play(CELL)
    assert player.playing() is not None
    now = 3.0
    assert player.playing() is None
    player.mute()
    assert player.muted
    assert not player.play(CELL)
    player.unmute()
    assert player.play(LONG)
    playing = player.playing()
    assert playing is not None
    assert LONG.beat_at(playing.seconds(5.0)) == 0
    player.stop()
    assert player.playing() is None
    assert player.poll() is None
    assert player.played == [CELL, LONG]
    player.close()
