"""Figures of playing in time: ``python tests/bench/bench_in_time.py``.

Prints what judging a bout and rebuilding the tempi cost, and what a pseudo-terminal,
line mode and the screens add to keys that come evenly: the spread of a typist made by
arithmetic, beside the spread of that typist's own writes in the same run.
"""

from __future__ import annotations

import json
import os
import pty
import select
import struct
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from statistics import median

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent / "practice")]

from beat_players import (  # noqa: E402
    BEGAN,
    NOON,
    deck_of,
    desk_at,
    keep,
    room_at,
    steady,
    strokes,
    sung,
)
from timing import timed  # noqa: E402

from drill.decks.write import write  # noqa: E402
from drill.practice.time.bout import result_of  # noqa: E402
from drill.practice.time.course import begin, played  # noqa: E402
from drill.practice.time.tempi import book_of  # noqa: E402
from drill.sound.latency import robust_spread  # noqa: E402

DECK = write(replace(deck_of("C"), tempo=120))
LETTERS = "cdefgab"
RUN = [LETTERS[(at + step) % 7] for at in range(7) for step in (0, 1, 2, 0)]
"""C major, 1-2-3-1 going up: letters alone."""


def bench_judging() -> None:
    with tempfile.TemporaryDirectory() as folder:
        room = room_at(Path(folder))
        with closing(room.store):
            desk = desk_at(room, deck_of("Gb"))
            state, _ = begin(desk, NOON)
            assert state.bout is not None
            bout = state.bout
            notes = sung(bout, strokes(bout, steady(-0.02, 0.02, 1)))
            alone = median(timed(lambda: desk.marker.mark(bout.questions[0], "Gb Ab Bb Gb"), 200))
            judging = median(timed(lambda: result_of(bout, notes, BEGAN, desk.marker), 50))
            print(f"judge a bout of 28 notes: {judging * 1000:.2f} ms")
            print(f"  marking one cell {alone * 1000:.3f} ms, ratio {judging / alone:.0f}")
            begun = time.perf_counter()
            for _ in range(40):
                state, _ = keep(room, desk, played(desk, state, notes, BEGAN, NOON))
            whole = (time.perf_counter() - begun) / 40
            answers = list(room.answers())
            again = median(timed(lambda: book_of(answers), 3))
            print(f"play, log and learn: {whole * 1000:.1f} ms a bout; "
                  f"tempi from {len(answers)} answers: {again * 1000:.0f} ms")  # fmt: skip


class Hand:
    """Types evenly, and knows how evenly it did."""

    def __init__(self, keys: int) -> None:
        self.keys = keys
        self.written: list[float] = []
        self.due: list[float] = []

    def type(self, text: str, at: float) -> None:
        while (wait := at - time.monotonic()) > 0:
            time.sleep(min(wait, 0.05))
        os.write(self.keys, text.encode())
        self.written.append(time.monotonic())
        self.due.append(at)

    @property
    def spread_ms(self) -> float:
        pairs = zip(self.written, self.due, strict=True)
        return 1000 * robust_spread([wrote - due for wrote, due in pairs])


def home_with_deck(home: Path) -> dict[str, str]:
    (home / "deck.toml").write_text(DECK)
    return {
        **os.environ,
        "DRILL_HOME": str(home / "drill"),
        "DRILL_SOUND": "silent",
        "TERM": "xterm-256color",
        "PYTHONPATH": str(HERE.parents[1]),
    }


def command(home: Path, *words: str) -> list[str]:
    deck = str(home / "deck.toml")
    return [sys.executable, "-m", "drill", "--ask", "time", "--letters", "--deck", deck, *words]


def bench_lines() -> None:
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        keys, back = pty.openpty()
        program = subprocess.Popen(
            command(home, "--plain", "--json"),
            env=home_with_deck(home), stdin=back, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        os.close(back)
        assert program.stdout is not None
        bout = json.loads(program.stdout.readline())
        os.write(keys, b"\n")
        started = json.loads(program.stdout.readline())
        hand = Hand(keys)
        for name, due in zip(RUN, bout["due_s"], strict=True):
            hand.type(f"{name}\n", started["at"] + due)
            while select.select([keys], [], [], 0)[0]:
                os.read(keys, 4096)
        judged = started
        while judged["kind"] != "timing":
            judged = json.loads(program.stdout.readline())
        os.write(keys, b"quit\n")
        program.wait(20)
        os.close(keys)
    told("lines", judged["outcome"], judged["lead_ms"], judged["spread_ms"], hand)


def told(way: str, outcome: str, lead_ms: float, spread_ms: float, hand: Hand) -> None:
    print(f"{way}: {outcome}; lead {lead_ms:.1f} ms, spread {spread_ms:.2f} ms "
          f"(the hand itself {hand.spread_ms:.2f} ms)")  # fmt: skip


def bench_screens() -> None:
    """The screens on a pseudo-terminal; the hand begins where the first bar is shown."""
    import fcntl
    import termios

    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        keys, back = pty.openpty()
        fcntl.ioctl(back, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        environment = home_with_deck(home)
        program = subprocess.Popen(
            command(home), env=environment, stdin=back, stdout=back, stderr=back,
            start_new_session=True,
        )  # fmt: skip
        os.close(back)
        shown: list[bytes] = []

        def drain() -> None:
            while True:
                try:
                    shown.append(os.read(keys, 65536))
                except OSError:
                    return

        threading.Thread(target=drain, daemon=True).start()

        def wait_for(text: bytes, seconds: float = 30.0) -> None:
            limit = time.monotonic() + seconds
            while text not in b"".join(shown):
                if time.monotonic() > limit:
                    raise RuntimeError(f"{text!r} never came: {b''.join(shown)[-2000:]!r}")
                time.sleep(0.002)

        wait_for(b"Enter starts")
        os.write(keys, b"\r")
        wait_for(b"bar 1")
        begin_at = time.monotonic()
        hand = Hand(keys)
        for place, name in enumerate(RUN):
            hand.type(name, begin_at + place * 0.5)
        wait_for(b"played at")
        os.write(keys, b"\x1b")
        time.sleep(0.3)
        program.terminate()
        program.wait(20)
        store = details_of(home / "drill")
    told("screens", str(store["outcome"]), store["lead_ms"], store["spread_ms"], hand)


def details_of(home: Path) -> dict[str, float]:
    """The figures of the last bout in the log."""
    from drill.memory.store import FILE_NAME, Store

    (file,) = home.rglob(FILE_NAME)
    with Store.open(file) as store:
        *_, last = store.answers()
    found: dict[str, float] = json.loads(last.details)
    return found


if __name__ == "__main__":
    bench_judging()
    bench_lines()
    bench_screens()
