"""Readers and writers of whole files under odd input: merged logs, and files with odd titles.

What is written is read back by somebody else's reader: mido, lxml, and the first bytes of a PDF.
"""

from __future__ import annotations

import io
import os
import random
import shutil
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import replace
from functools import cache
from itertools import count
from pathlib import Path
from typing import Any

import fuzz_inputs as made
from torture_damage import ITEMS, given
from torture_hands import odd_row, put_rows

from drill.errors import DrillError
from drill.memory.exchange import merge
from drill.memory.schema import answer_row, item_row
from drill.memory.store import FILE_NAME, Store

MERGES_AT_ONCE = 500
"""Merges into one log before it is begun anew."""


class Merger:
    """A log that takes in one hurt log after another, and goes on."""

    def __init__(self, folder: Path, reasoned: Callable[..., str]) -> None:
        self._folder, self._reasoned = folder, reasoned
        self._numbers = count()
        self._store: Any = None

    def __call__(self, data: bytes) -> str:
        number = next(self._numbers)
        if number % MERGES_AT_ONCE == 0:
            self._begin()
        other = self._folder / "other.db"
        other.write_bytes(data)
        try:
            counts = merge(self._store, other)
        except DrillError as error:
            return self._reasoned(str(error))
        if counts.refused:
            self._reasoned(*counts.refused)
        return "read" if counts.added else "nothing new"

    def _begin(self) -> None:
        if self._store is not None:
            list(self._store.answers())
            assert set(self._store.items()) <= {item.id for item in ITEMS}
            self._store.close()
        shutil.rmtree(self._folder / "mine", ignore_errors=True)
        self._store = Store.open(self._folder / "mine" / FILE_NAME)
        row = given(10**6)
        self._store.append(row, next(item for item in ITEMS if item.id == row.item))


class Opener:
    """A player's own log of a few answers, hurt anywhere, opened as a start does."""

    def __init__(self, folder: Path, reasoned: Callable[..., str]) -> None:
        self._home, self._reasoned = folder / "own", reasoned
        path = folder / "own" / FILE_NAME
        with Store.open(path) as store:
            for number in range(12):
                row = given(number)
                item = next(item for item in ITEMS if item.id == row.item)
                store.append(row, item)
            self._whole = set(store.answers())
        self.sound = path.read_bytes()

    def make(self, rng: random.Random) -> bytes:
        return _hurt(self.sound, rng)

    def __call__(self, data: bytes) -> str:
        for left in self._home.iterdir():
            left.unlink()
        path = self._home / FILE_NAME
        path.write_bytes(data)
        try:
            with Store.open(path) as store:
                kept, said = set(store.answers()), store.notices
        except DrillError as error:
            assert path.read_bytes() == data, "refused, and yet changed"
            return self._reasoned(str(error))
        assert kept <= self._whole, "an answer that was never given"
        if said:
            self._reasoned(*said)
        elif kept != self._whole:
            raise AssertionError(f"{len(self._whole) - len(kept)} answers lost without a word")
        return "whole" if kept == self._whole else "part, told"


def _hurt(sound: bytes, rng: random.Random) -> bytes:
    """The bytes with some changed, or the end cut off."""
    data = bytearray(sound)
    for _ in range(rng.randint(1, 3)):
        begin = rng.randrange(min(100, len(data)) if rng.random() < 0.1 else len(data))
        if rng.random() < 0.7:
            data[begin] ^= rng.randint(1, 255)
        elif rng.random() < 0.8:
            scrap = rng.choice(made.ODD).encode(errors="surrogatepass")
            data[begin : begin + len(scrap)] = scrap
        else:
            data = data[: max(1, begin)]
    return bytes(data)


def logs(folder: Path) -> Callable[[random.Random], bytes]:
    """Logs of a few answers: odd values in sound rows, or bytes hurt anywhere, or both."""
    path = folder / "corpus" / FILE_NAME
    Store.open(path).close()
    empty = path.read_bytes()
    made_before: list[bytes] = []
    drawn_by: list[random.Random] = []

    def make(rng: random.Random) -> bytes:
        if drawn_by != [rng] or rng.random() < 0.1:  # the same whatever came before
            made_before[:], drawn_by[:] = [_log_of(empty, path, rng)], [rng]
        if rng.random() < 0.3:
            return made_before[0]
        return _hurt(made_before[0], rng)

    return make


def _log_of(empty: bytes, path: Path, rng: random.Random) -> bytes:
    """A log of a few rows, most of them with a value that nobody would write."""
    path.write_bytes(empty)
    rows = [odd_row(given(rng.randrange(10**6)), rng) for _ in range(rng.randint(1, 6))]
    with closing(sqlite3.connect(path)) as link:
        put_rows(link, "items", [item_row(item) for item in rng.sample(ITEMS, 3)])
        put_rows(link, "answers", [answer_row(row) for row in rows])
        link.commit()
    return path.read_bytes()


def titles(rng: random.Random) -> str:
    """Titles that nobody would give; one in a thousand is long."""
    if rng.random() < 0.001:
        return rng.choice(made.ODD) * rng.randint(100, 3000)
    return made.strung(rng, (*made.ODD, "Cells", "Flat keys ", "<b>", "#import", "]]>", "$x$"), 8,
                       ("", " ", "\n"))  # fmt: skip


def midi(title: str) -> str:
    import mido

    from drill.paper.midi import midi_bytes
    from drill.sound.take import verdict_take

    file = mido.MidiFile(file=io.BytesIO(midi_bytes(verdict_take((60, 62)), 65, title)))
    assert len(file.tracks) >= 2
    return "read"


@cache
def _section() -> Any:
    from paper_runs import one

    from drill.terms import Direction

    whole = one("1-3", "C", directions=(Direction.UP,))
    return replace(whole, bars=whole.bars[:1])


def musicxml(title: str) -> str:
    from lxml import etree

    from drill.paper.musicxml import musicxml_bytes
    from drill.paper.score import Score

    made_of = Score(title, None, (_section(),), note=title, teacher=title)
    assert etree.fromstring(musicxml_bytes(made_of)).tag == "score-partwise"
    return "read"


@cache
def _engraver() -> Any:
    from drill.paper.engrave import Engraver

    return Engraver()


def pdf(title: str) -> str:
    from drill.paper.score import Score

    made_of = Score(title, None, (_section(),), note=title, teacher=title)
    assert _engraver().pdf(made_of).startswith(b"%PDF-")
    return "read"


class CommandLines:
    """Hostile command lines, each in a process of its own, in an empty folder."""

    def __init__(self, folder: Path, codes: frozenset[int], run: Callable[..., Any]) -> None:
        self._folder, self._codes, self._run = folder, codes, run

    def __call__(self, words: Sequence[str]) -> str:
        home = self._folder / "commands"
        shutil.rmtree(home, ignore_errors=True)
        home.mkdir()
        code, _, err = self._run(home, *words, before=lambda: os.chdir(home))
        if code not in self._codes:
            raise RuntimeError(f"exit code {code}: {err[-300:]!r}")
        if "Traceback" in err or "error in the program" in err:
            raise RuntimeError(err[-300:])
        return f"code {code}"


def command_lines() -> Callable[[random.Random], list[str]]:
    """A command with some of its own options and of others', with values that fit or do not."""
    from drill.commands.table import COMMANDS, module_of, options_of, parser_of

    # The tour plays a class through some weeks: that takes a minute and is no reader.
    names = [name for name in COMMANDS if name != "tour"]
    known = {name: list(options_of(parser_of(name, module_of(name)))) for name in names}
    every = sorted({option for options in known.values() for option in options})
    # Nothing that leads out of the folder, and no zero byte, which no shell hands on.
    scraps = [scrap for scrap in made.ODD if not set(scrap) & set("/~\0$") and ".." not in scrap]
    values = [*scraps, *made.CELLS, *made.NOTES, *made.WORDS, "-", "--", "", "G,Eb", "major",
              "alto_sax", "9999-12-31", "0001-01-01", "2030-02-30", "1e308", "-1", "999999999999",
              "first-year", "major-returning-cells", "thirds", "x.toml", "x.db", "key"]  # fmt: skip

    def make(rng: random.Random) -> list[str]:
        name = rng.choice([*names, ""])
        words = [name] if name else []
        if rng.random() < 0.03:
            words = [rng.choice(values)]
        for _ in range(rng.randint(0, 5)):
            chance = rng.random()
            if chance < 0.55:
                words.append(rng.choice(known.get(name or "practise") or every))
            elif chance < 0.65:
                words.append(rng.choice(every))
            if rng.random() < 0.6:
                words.append(rng.choice(values))
        return words

    return make
