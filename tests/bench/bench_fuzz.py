"""Anything handed to the readers: no crash, no hang, no growth, and a reason for each refusal.

    python tests/bench/bench_fuzz.py [--inputs 1000000] [--from 0] [--seconds 0] [--seed 1]
                                     [--state FILE] [READER ...]

Twelve readers: cells, notes, settings, decks, results, lines; merges (a log that is merged),
logs (the player's own, damaged), midi, musicxml, pdf (odd titles, read back), commands
(forked processes; some 5,000 are meant).
Time is processor time of the one input, the slowest tried three times more and the least
taken; memory is the resident size after a tenth of what one process does, and at its end.
Ends with 1 where a reader crashed, an input took more than 50 ms (a page 5 s, a command 10 s),
memory grew by more than a twentieth, or a refusal had no reason or one that a terminal would
act on.

Inputs come in pieces of 10,000, each with a seed of its own: the same seed gives the same
inputs wherever one begins.  ``--from`` leaves out the inputs before it; ``--state`` keeps the
figures in a file after each piece, and the next run goes on from there.  What is read from
files lies in memory where the system has a folder for that: disks are no part of this.
"""

from __future__ import annotations

import argparse
import gc
import io
import json
import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, fields, replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [
    str(ROOT), str(Path(__file__).parent), str(ROOT / "tests" / "reports"),
    str(ROOT / "tests" / "paper"), str(ROOT / "tests" / "sound"),
]  # fmt: skip

import fuzz_files as odd  # noqa: E402
import fuzz_inputs as made  # noqa: E402
from torture_hands import CODES, ran  # noqa: E402
from torture_program import preload  # noqa: E402

from drill.decks.load import MOST_BYTES as DECK_BYTES  # noqa: E402
from drill.decks.load import loads  # noqa: E402
from drill.errors import DataError, DrillError, FaultsError  # noqa: E402
from drill.marking.read import read  # noqa: E402
from drill.reports.results import VERSION  # noqa: E402
from drill.settings.file import MOST_BYTES as SETTINGS_BYTES  # noqa: E402
from drill.settings.load import check_text  # noqa: E402
from drill.shown import first_harmful  # noqa: E402
from drill.terms import Key, Mode, Name  # noqa: E402
from drill.theory.cells import parse_cell  # noqa: E402
from drill.theory.language import Language  # noqa: E402
from drill.wording.reading import problem_told  # noqa: E402
from drill.wording.voice import Voice  # noqa: E402

NOW = datetime(2031, 3, 14, 18, 30, tzinfo=UTC)
SLOW_S = 0.050
SLOWER_S = {"pdf": 5.0, "commands": 10.0}
"""A page is engraved, a program begins: these are no readers of text."""
FEWER = {"pdf": 20_000, "commands": 5000}
"""Inputs where each takes long, at most."""
PIECE = 10_000
HANGS_S = 120
"""Seconds after which sixteen inputs that are not done are a hang."""
GROWTH = 0.05
LINES_AT_ONCE = 20_000


class BadReasonError(Exception):
    """A refusal without a reason, or with one that is not harmless."""


def reasoned(*messages: str) -> str:
    """``refused``, once every message is there and harmless."""
    for message in messages or ("",):
        if not message.strip() or first_harmful(message, "\n") is not None:
            raise BadReasonError(repr(message[:200]))
    return "refused"


class HungError(BaseException):
    """An input that does not end; no ``except Exception`` of a reader takes it."""


def _hung(*_: object) -> None:
    raise HungError(f"not done in {HANGS_S} s")


@dataclass(slots=True)
class Figures:
    """What came of one reader's inputs."""

    outcomes: Counter[str] = field(default_factory=Counter)
    crashes: list[str] = field(default_factory=list)
    worst_s: float = 0.0
    worst: str = ""
    slow: int = 0
    total_s: float = 0.0
    next: int = 0
    """The first input that was not tried yet."""
    grown: float = 0.0
    """Share by which the resident size grew, in the process where it grew most."""

    @property
    def number(self) -> int:
        return sum(self.outcomes.values())

    @property
    def good(self) -> bool:
        return not self.crashes and not self.slow and self.grown <= GROWTH

    def told(self, name: str) -> str:
        """The figures in a line, and one for each crash."""
        said = ", ".join(f"{word} {n}" for word, n in sorted(self.outcomes.items()))
        mean = 1e6 * self.total_s / max(1, self.number)
        told = (
            f"{name:<9} {self.number} inputs: {said}\n"
            f"  mean {mean:.0f} us, worst {1e3 * self.worst_s:.1f} ms ({self.worst}), "
            f"too slow: {self.slow}; memory {self.grown:+.1%}"
        )
        return "\n".join([told, *(f"  CRASH {crash}" for crash in self.crashes)])


Reader = Callable[[Any], str]
Maker = Callable[[random.Random], Any]


def resident() -> int:
    """Bytes of memory in use; 0 where the system does not say."""
    gc.collect()
    try:
        with open("/proc/self/statm", encoding="ascii") as file:
            return int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE")
    except OSError:
        return 0


def fuzz(
    read_one: Reader, make: Maker, inputs: int, seed: str, until: float,
    figures: Figures, slow_s: float = SLOW_S, keep: Callable[[], None] = lambda: None,
) -> None:  # fmt: skip
    """Hand a reader its inputs up to so many, or as many as the time allows, from ``next`` on."""
    begin, early = figures.next, 0
    signal.signal(signal.SIGALRM, _hung)
    while figures.next < inputs and time.perf_counter() < until:
        piece = figures.next // PIECE
        rng = random.Random(f"{seed} {piece}")
        for n in range(piece * PIECE, min((piece + 1) * PIECE, inputs)):
            given = make(rng)
            if n < figures.next:
                continue
            if n == begin + (inputs - begin) // 10:
                early = resident()
            if n % 16 == 0:
                signal.alarm(HANGS_S)
                if time.perf_counter() > until:
                    break
            figures.next = n + 1
            _weigh(read_one, given, figures, slow_s, f"{seed} input {n}")
        signal.alarm(0)
        if early:
            figures.grown = max(figures.grown, resident() / early - 1)
        keep()


def _weigh(read_one: Reader, given: Any, figures: Figures, slow_s: float, which: str) -> None:
    took = _once(read_one, given, figures, which)
    figures.total_s += took
    if took > max(figures.worst_s, slow_s / 4):
        took = min(took, *(_once(read_one, given, None, which) for _ in range(3)))
        if took > slow_s:
            figures.slow += 1
    if took > figures.worst_s:
        figures.worst_s, figures.worst = took, f"{which}, {len(given)} long, {given[:60]!r}"


def _once(read_one: Reader, given: Any, figures: Figures | None, which: str) -> float:
    began = time.process_time()
    try:
        outcome = read_one(given)
    except (Exception, HungError) as error:  # whatever it is, it is what is looked for
        outcome = "hung" if isinstance(error, HungError) else "crashed"
        if figures is not None and len(figures.crashes) < 20:
            said = f"{type(error).__name__}: {error}"[:200]
            figures.crashes.append(f"{which}: {said}" + f" for {given!r}"[:300])
    took = time.process_time() - began
    if figures is not None:
        figures.outcomes[outcome] += 1
    return took


# The readers.


def cell(text: str) -> str:
    try:
        parse_cell(text, Mode.ROOT if len(text) % 2 else Mode.KEY)
    except DrillError as error:
        return reasoned(str(error))
    return "read"


_LANGUAGES = tuple(Language)
_KEY = Key(Name("E", -1), "major")


def typed(text: str) -> str:
    """One of the languages of note names, by the text's length."""
    found = read(text, _LANGUAGES[len(text) % len(_LANGUAGES)], _KEY)
    if found.problem is None:
        return "read"
    language = _LANGUAGES[len(text) % len(_LANGUAGES)]
    return reasoned(Voice(language).text(problem_told(found.problem, language, _KEY)))


def settings(text: str) -> str:
    _, faults = check_text(text)
    return reasoned(*map(str, faults)) if faults else "read"


def deck(text: str) -> str:
    try:
        loads(text, "fuzzed.toml")
    except FaultsError as error:
        return reasoned(*map(str, error.faults))
    return "read"


def results(data: bytes) -> str:
    from drill.reports.reading import decode

    try:
        decode(data, NOW)
    except DataError as error:
        return reasoned(str(error))
    return "read"


def sound_results() -> tuple[bytes, ...]:
    from results_world import drawn
    from results_world import results as world

    from drill.reports.results import encode

    return tuple(encode(world(f"Mara Quill {seed}", drawn(seed, 8))) for seed in range(5))


class LineReader:
    """Line mode with a real room and log, a practice of many lines at a time."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._numbers = count()
        self._lines: Any = None
        self._state: Any = None
        self._store: Any = None

    def __call__(self, line: str) -> str:
        if next(self._numbers) % LINES_AT_ONCE == 0:
            self._begin()
        self._out.seek(0)
        self._out.truncate()
        self._state = self._lines._take(self._state, line)
        if self._state.over:
            self._begin()
        return reasoned(*self._out.getvalue().splitlines()) and "told"

    def _begin(self) -> None:
        from silent_player import SilentPlayer

        from drill.lines.lines import Lines
        from drill.memory.store import FILE_NAME, Store
        from drill.practice import machine
        from drill.practice.room import Room

        if self._store is not None:
            self._store.close()
        for old in self._folder.glob(f"{FILE_NAME}*"):
            old.unlink()
        clock, ids = count(), count()
        self._store = Store.open(self._folder / FILE_NAME)
        room = Room(self._store, Language.ENGLISH, UTC)
        of = loads((ROOT / "decks" / "concert-warm-up.toml").read_text("utf-8"), "d.toml")
        plan = replace(machine.plan_for(of, NOW), prompts=None, minutes=None)
        desk = room.desk(room.syllabus(of, plan.kinds), plan, 1, lambda: f"{next(ids):08}")
        self._out = io.StringIO()
        self._lines = Lines(
            room, desk, io.StringIO(), self._out, lambda text: None, SilentPlayer(muted=True),
            lambda: NOW + timedelta(seconds=next(clock)), lambda: float(next(clock)),
        )  # fmt: skip
        self._state = self._lines._carry_out(machine.begin(desk, NOW))


def readers(folder: Path) -> Iterator[tuple[str, Reader, Maker]]:
    """Each reader with what makes its inputs."""
    decks = [path.read_text("utf-8") for path in sorted((ROOT / "decks").glob("*.toml"))]
    decks += made.short_decks(random.Random("decks"), 20 * len(decks))
    files = [
        (
            'names = "german"\nglyphs = "ascii"\nvolume = 0.5\n'
            '[practice]\nprompts = 20\nkinds = ["ear"]\n'
        ),
        (
            'a4 = 442\ntheme = "light"\nstudent = "M"\n'
            '[keys]\nmute = "f2"\n"begin.today" = ["x", "y"]\n'
        ),
    ]
    header = sound_results()[0].partition(b" ")[0] + b" %d %%s\n" % VERSION
    yield "cells", cell, made.cells
    yield "notes", typed, made.notes
    yield "settings", settings, made.toml_texts(files, SETTINGS_BYTES)
    yield "results", results, made.results_files(sound_results(), header)
    yield "decks", deck, made.toml_texts(decks, DECK_BYTES, most=2)
    yield "lines", LineReader(folder), made.lines
    yield "merges", odd.Merger(folder, reasoned), odd.logs(folder)
    opener = odd.Opener(folder, reasoned)
    yield "logs", opener, opener.make
    yield "midi", odd.midi, odd.titles
    yield "musicxml", odd.musicxml, odd.titles
    yield "pdf", odd.pdf, odd.titles
    yield "commands", odd.CommandLines(folder, CODES, ran), odd.command_lines()


def _kept(state: Path | None) -> dict[str, Figures]:
    """The figures of the runs before, by reader."""
    if state is None or not state.exists():
        return {}
    kept = {name: Figures(**values) for name, values in json.loads(state.read_text()).items()}
    for figures in kept.values():
        figures.outcomes = Counter(figures.outcomes)
    return kept


@contextmanager
def in_memory() -> Iterator[Path]:
    """A folder for all files, those that the program makes for a moment too."""
    memory = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
    with tempfile.TemporaryDirectory(prefix="fuzz-", dir=memory) as folder:
        before, tempfile.tempdir = tempfile.tempdir, folder
        try:
            yield Path(folder)
        finally:
            tempfile.tempdir = before


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("readers", nargs="*", metavar="READER", help="all of them if left out")
    parser.add_argument("--inputs", type=int, default=1_000_000, help="inputs for each reader")
    parser.add_argument("--from", type=int, default=0, dest="begin", help="the first input")
    parser.add_argument("--seconds", type=float, default=0.0, help="most for each; 0 for no limit")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--state", type=Path, help="figures of the runs before, which go on")
    options = parser.parse_args(arguments)
    failed = []
    preload()
    all_found = _kept(options.state)

    def keep() -> None:
        if options.state is not None:
            text = json.dumps(
                {name: {field.name: getattr(found, field.name) for field in fields(found)}
                 for name, found in all_found.items()}
            )  # fmt: skip
            part = options.state.with_suffix(".part")
            part.write_text(text)
            part.replace(options.state)

    with in_memory() as folder:
        for name, reader, make in readers(folder):
            if options.readers and name not in options.readers:
                continue
            until = time.perf_counter() + (options.seconds or 1e9)
            inputs = min(options.inputs, FEWER.get(name, options.inputs))
            found = all_found.setdefault(name, Figures(next=options.begin))
            slow_s = SLOWER_S.get(name, SLOW_S)
            fuzz(reader, make, inputs, f"{options.seed} {name}", until, found, slow_s, keep)
            print(found.told(name), flush=True)
            if not found.good:
                failed.append(name)
    print("all good" if not failed else f"FAILED: {', '.join(failed)}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
