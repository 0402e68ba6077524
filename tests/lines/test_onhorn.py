"""Line mode on the horn: cells are played into a microphone, words are typed."""

from __future__ import annotations

import io
import json
import threading
from dataclasses import replace
from datetime import UTC, timedelta
from functools import partial
from itertools import count
from pathlib import Path

import numpy as np
from horn_player import Microphone, cell
from lines_of import START, deck
from silent_player import SilentPlayer

from drill.clock import monotonic
from drill.decks.schema import Deck
from drill.lines.onhorn import HornLines
from drill.memory.items import Answer
from drill.memory.kinds import PLAYED, WALK
from drill.memory.store import Store
from drill.practice.machine import plan_for
from drill.practice.playing import Horn
from drill.practice.room import Room
from drill.sound.output import SoundError


class Player(Microphone):
    """Plays the cell of each prompt that stands in the output, then leaves."""

    def __init__(self, out: io.StringIO, last: int) -> None:
        super().__init__()
        self._out, self._last, self._seen = out, last, 0

    def take(self) -> np.ndarray:
        asked = [line for line in self._out.getvalue().splitlines() if "E major (" in line]
        if len(asked) > self._seen:
            self._seen = len(asked)
            label = asked[-1].rpartition(" on ")[2].rstrip(":")
            self.play(cell(int(label) - 1))
        return super().take()


def on_horn(
    folder: Path, of: Deck, hand: io.StringIO, out: io.StringIO, microphone: Microphone
) -> list[Answer]:
    """Three prompts by degree, answered by playing; the answers in the log."""
    clock, numbers = count(), count()
    plan = replace(plan_for(of, START), prompts=3, kinds=("degree", PLAYED), missed_again=False)
    with Store.open(folder / "answers.db") as store:
        room = Room(store, zone=UTC)
        desk = room.desk(room.syllabus(of, plan.kinds), plan, 1, lambda: f"{next(numbers):06}")
        lines = HornLines(
            room, desk, hand, out, partial(print, file=out), SilentPlayer(muted=True),
            lambda: START + timedelta(seconds=next(clock)), lambda: float(next(clock)),
        )  # fmt: skip
        lines.horn = Horn(lambda: microphone, desk.syllabus, microphone.clock, lambda: False)
        lines.run()
        return list(store.answers())


def test_prompts_are_answered_by_playing(tmp_path: Path) -> None:
    of = deck(keys='["E"]', more='directions = ["up"]')
    out = io.StringIO()
    microphone = Player(out, 3)
    rows = on_horn(tmp_path, of, Typed("\n"), out, microphone)
    said = out.getvalue()
    assert [row.kind for row in rows] == [PLAYED] * 3, said
    assert all(row.right for row in rows), said
    assert said.count("heard: ") == 3
    assert "microphone open" in said
    assert "end: 3 of 3 right" in said
    assert microphone.closed


class Halting(Player):
    """Breaks the first cell off after two notes, and plays it once more when it is asked to."""

    def __init__(self, out: io.StringIO) -> None:
        super().__init__(out, 3)
        self._broken = False

    def play(self, samples: np.ndarray, after_s: float = 0.4) -> None:
        if self._seen == 1 and not self._broken:
            self._broken = True
            self._whole, samples = samples, samples[: len(samples) // 2]
        super().play(samples, after_s)

    def take(self) -> np.ndarray:
        if self._broken and "Play the cell again." in self._out.getvalue() and len(self._whole):
            again, self._whole = self._whole, self._whole[:0]
            self.play(again)
        return super().take()


def test_notes_that_were_not_heard_are_told_and_the_prompt_stands(tmp_path: Path) -> None:
    of = deck(keys='["E"]', more='directions = ["up"]')
    out = io.StringIO()
    rows = on_horn(tmp_path, of, Typed("\n"), out, Halting(out))
    said = out.getvalue()
    assert said.count("Not heard: the third and fourth notes. Play the cell again.") == 1, said
    assert [row.right for row in rows] == [True] * 3, said
    assert said.count("\nheard: ") == 3


class Typed(io.StringIO):
    """Typed lines, then a person who sits there and types nothing."""

    def readline(self, size: int = -1) -> str:  # type: ignore[override]
        line = super().readline(size)
        if not line:
            threading.Event().wait(20)
        return line


def test_quit_before_the_long_note_ends_it(tmp_path: Path) -> None:
    of = deck(keys='["E"]')
    out, microphone = io.StringIO(), Microphone()
    with Store.open(tmp_path / "answers.db") as store:
        room = Room(store, zone=UTC)
        desk = room.desk(room.syllabus(of), plan_for(of, START), 1, lambda: "id")
        lines = HornLines(
            room, desk, io.StringIO("quit\n"), out, partial(print, file=out),
            SilentPlayer(muted=True), lambda: START, lambda: 0.0,
        )  # fmt: skip
        lines.horn = Horn(lambda: microphone, desk.syllabus, microphone.clock, lambda: False)
        lines.run()
    assert "end: 0 of 0 right" in out.getvalue()
    assert microphone.closed


class Failing(Player):
    """Is lost when its second prompt stands; from then on somebody types."""

    def __init__(self, out: io.StringIO, hand: Hand) -> None:
        super().__init__(out, 3)
        self._hand = hand

    def take(self) -> np.ndarray:
        if self._out.getvalue().count("heard: ") == 1:
            self._hand.begin.set()
            raise SoundError("the microphone was lost")
        return super().take()


class Hand(io.StringIO):
    """Types the cell of each prompt that stands, once it may begin."""

    def __init__(self, out: io.StringIO) -> None:
        super().__init__()
        self._out, self.begin, self._answered = out, threading.Event(), 1
        self._first = True

    def readline(self, size: int = -1) -> str:  # type: ignore[override]
        if self._first:
            self._first = False
            return "\n"  # no long note
        self.begin.wait(20)
        while True:
            asked = [line for line in self._out.getvalue().splitlines() if "E major (" in line]
            if len(asked) > self._answered:
                self._answered = len(asked)
                scale = "E F# G# A B C# D# E F#".split()
                at = int(asked[-1].rpartition(" on ")[2].rstrip(":")) - 1
                return " ".join([*scale[at : at + 3], scale[at]]) + "\n"
            threading.Event().wait(0.01)


def test_a_lost_microphone_loses_nothing_and_the_practice_goes_on(tmp_path: Path) -> None:
    of = deck(keys='["E"]', more='directions = ["up"]')
    out = io.StringIO()
    hand = Hand(out)
    microphone = Failing(out, hand)
    rows = on_horn(tmp_path, of, hand, out, microphone)
    said = out.getvalue()
    assert [row.kind for row in rows] == [PLAYED, "degree", "degree"], said
    assert all(row.right for row in rows), said
    assert len({row.item for row in rows}) == 3, said
    assert said.count("the microphone was lost; answers are typed") == 1
    assert "end: 3 of 3 right" in said
    assert microphone.closed


def test_without_a_microphone_the_same_practice_is_typed(tmp_path: Path) -> None:
    def absent() -> Microphone:
        raise SoundError("no microphone can be opened (no device)")

    of = deck(keys='["E"]', more='directions = ["up"]')
    out, clock = io.StringIO(), count()
    with Store.open(tmp_path / "answers.db") as store:
        room = Room(store, zone=UTC)
        plan = plan_for(of, START)
        plan = replace(plan, prompts=2, again=False, kinds=("degree", PLAYED), missed_again=False)
        desk = room.desk(room.syllabus(of, plan.kinds), plan, 1, lambda: f"{next(clock):06}")
        lines = HornLines(
            room, desk, io.StringIO("show\nshow\n"), out, partial(print, file=out),
            SilentPlayer(muted=True),
            lambda: START + timedelta(seconds=next(clock)), lambda: float(next(clock)), json=True,
        )  # fmt: skip
        lines.horn = Horn(absent, desk.syllabus, lambda: 0.0, lambda: False)
        lines.run()
        assert len(list(store.answers())) == 2
    first = json.loads(out.getvalue().splitlines()[0])
    assert first == {
        "kind": "microphone",
        "say": "no microphone can be opened (no device); answers are typed",
    }


def test_a_deck_that_lets_nothing_new_in_says_so_on_the_horn_too(tmp_path: Path) -> None:
    of = deck(keys='["E"]', more="practice = { new_cells = 0 }")
    out, microphone = io.StringIO(), Microphone()
    assert on_horn(tmp_path, of, Typed("\n"), out, microphone) == []
    assert "nothing to ask: no cell of this deck was asked before" in out.getvalue()


def test_a_walk_is_played_too_and_the_end_of_the_input_ends_it_all(tmp_path: Path) -> None:
    """Its first cell is played; then whoever typed is gone, and nothing waits for them."""
    of = deck(keys='["E"]', more='directions = ["up"]')
    out = io.StringIO()
    microphone = Walker(out)
    rows = on_horn(tmp_path, of, Leaving("\nwalk\n", out), out, microphone)
    assert [(row.kind, row.right) for row in rows] == [(WALK, True)], out.getvalue()
    assert [out.getvalue().count(end) for end in ("end of the walk: 1 of 1", "end: 0 of 0")] == [
        1,
        1,
    ]
    assert microphone.closed


class Walker(Microphone):
    """Plays the first cell of a walk."""

    def __init__(self, out: io.StringIO) -> None:
        super().__init__()
        self._out, self._played = out, False

    def take(self) -> np.ndarray:
        if not self._played and "cell 1 of 7" in self._out.getvalue():
            self._played = True
            self.play(cell(0))
        return super().take()


class Leaving(io.StringIO):
    """Types, and leaves once a cell was heard."""

    def __init__(self, typed: str, out: io.StringIO) -> None:
        super().__init__(typed)
        self._out = out

    def readline(self, size: int = -1) -> str:  # type: ignore[override]
        line = super().readline(size)
        until = monotonic() + 20
        while not line and "heard: " not in self._out.getvalue() and monotonic() < until:
            threading.Event().wait(0.01)
        return line
