"""A take recorded in the screens: the microphone, the meter, what is said, and what is kept."""

from __future__ import annotations

import re
import threading
import wave
from collections.abc import Iterator
from io import StringIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from kept_takes import one, read_recording
from real_house import RealHouse
from silent_player import SilentPlayer
from tui_desk import MORNING, golden, play, screen_text, text_of, until

from drill.commands.errands import CommandErrands
from drill.memory.kinds import PLAYED_IN_TIME
from drill.opening.tools import Tools
from drill.practice.recording import BEATS, QUIET_S, Recording, RecordingStage
from drill.reports.takes import kept_takes
from drill.sound.capture import RATE, Samples, level_of
from drill.sound.output import SoundError
from drill.theory.engine import Engine
from drill.tui.glyphs import ASCII
from drill.tui.screens.take import TakeScreen
from drill.tui.trainer import Trainer
from drill.tui.views.take import take_lines
from drill.tui.words import Words

IN_E = """title = "In E"
instrument = "alto_sax"
patterns = ["return3"]
keys = ["E"]
directions = ["up"]
tempo = 100
"""
STEP_S = 0.25


class Heard:
    """A microphone that hears a quiet room through the count-in, then a take, then the room.

    Each look is ``step_s`` later, by itself a quarter of a second.
    """

    def __init__(
        self,
        sound: Samples,
        *,
        lost_after: float = 1e9,
        room: float = 1e-3,
        step_s: float = STEP_S,
    ) -> None:
        self.again(sound)
        self._rng = np.random.default_rng(1)
        self._lost_after, self._room, self._step_s = lost_after, room, step_s
        self.now = 0.0
        self.zero_s = 0.0
        self.closed = False

    def again(self, sound: Samples) -> None:
        """Hear a take from its count-in on."""
        lead = np.zeros(round((BEATS * 0.6 + 4 * STEP_S) * RATE), np.float32)
        self._waiting = np.concatenate([lead, sound])

    def clock(self) -> float:
        return self.now

    def take(self) -> Samples:
        self.now += self._step_s
        if self.now > self._lost_after:
            raise SoundError("the microphone was lost")
        count = round(self._step_s * RATE)
        block, self._waiting = self._waiting[:count], self._waiting[count:]
        quiet = self._rng.normal(0, self._room, count).astype(np.float32)
        quiet[: len(block)] += block
        return quiet

    def close(self) -> None:
        self.closed = True


SLIPS = read_recording(one("alto-slips").path)
CLEAN = read_recording(one("alto-clean").path)


@pytest.fixture
def real(home: Path, spelling_engine: Engine) -> RealHouse:
    house = RealHouse(home, spelling_engine)
    (home / "decks").mkdir(parents=True)
    (home / "decks" / "in-e.toml").write_text(IN_E, encoding="utf-8")
    return house


def with_microphone(real: RealHouse, opened: Any, clock: Any) -> Trainer:
    streams = StringIO(), StringIO(), StringIO()
    errands = CommandErrands(Tools(real.house, *streams, lambda: MORNING, {}))
    return real.trainer(errands=errands, microphone=opened, monotonic=clock, first_deck="in-e")


@pytest.fixture
def microphone() -> Heard:
    return Heard(SLIPS)


@pytest.fixture
def trainer(real: RealHouse, microphone: Heard) -> Iterator[Trainer]:
    made = with_microphone(real, lambda: microphone, microphone.clock)
    yield made
    made.studio.close()


def was_closed(microphone: Heard) -> bool:
    return microphone.closed


async def at_the_run(pilot: Any, trainer: Trainer) -> None:
    await until(pilot, trainer, "▸ In E", "untried")
    await pilot.press("d")
    await until(pilot, trainer, "In E", "E major", "run 1 of 1")
    await pilot.press("r")
    await until(pilot, trainer, "E major", "Enter opens the microphone", "One bar at 100")


@pytest.mark.parametrize(("width", "height"), [(80, 24), (60, 20)])
def test_a_take_is_recorded_told_and_marked(
    trainer: Trainer, microphone: Heard, width: int, height: int
) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(width, height)) as pilot:
            await at_the_run(pilot, trainer)
            golden(f"take-ready-{width}x{height}", screen_text(trainer))
            assert "microphone open" not in screen_text(trainer)
            await pilot.press("enter")
            await until(pilot, trainer, "count-in", "microphone open", "break off")
            shown = await until(pilot, trainer, "recording  0:0", "microphone open", "end the take")
            assert re.search(r"\[█* *\] +-\d+ dB", shown)
            assert not microphone.closed
            shown = await until(pilot, trainer, "25 of 29 notes heard as asked.", "once more")
            assert was_closed(microphone)
            assert "microphone open" not in shown
            flat = " ".join(shown.split())
            assert "Cell on 2: G for G sharp" in flat
            assert "cell on 7: G for F sharp" in flat
            golden(f"take-told-{width}x{height}", shown)
            if "✗" not in shown:
                await pilot.press("tab")
            # The first cell with a slip stands first: 2 is F sharp G sharp A F sharp.
            shown = await until(pilot, trainer, "F♯✓", "G♯✗", "A✓", "notes 5 to")
            golden(f"take-staff-{width}x{height}", shown)
            await pilot.press("right")
            await until(pilot, trainer, "notes 9 to", "G♯✓")
            await pilot.press("left", "left")
            await until(pilot, trainer, "notes 1 to", "E✓")
            screen = trainer.screen
            assert isinstance(screen, TakeScreen)
            words = Words(trainer.studio.wishes.names, ASCII)
            assert text_of(take_lines(screen._view, words, width, height)).isascii()

    play(scenario())


def test_a_take_is_kept_only_where_the_player_says_so(
    real: RealHouse, trainer: Trainer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "takes"
    folder.mkdir()
    monkeypatch.chdir(folder)
    (folder / "mine.wav").write_text("another", encoding="utf-8")

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_run(pilot, trainer)
            await pilot.press("enter")
            await until(pilot, trainer, "25 of 29 notes")
            assert [each.name for each in folder.iterdir()] == ["mine.wav"]
            assert not kept_takes(real.house.places.takes)
            await pilot.press("s")
            await until(pilot, trainer, "Keep the take as", "a new file here")
            await pilot.press(*"mine", "enter")
            await until(pilot, trainer, "mine.wav is there already")
            await pilot.press("enter")
            await until(pilot, trainer, "Keep the take as", "1-2-3-1-in-e-major-up.wav")
            await pilot.press("enter")
            await until(pilot, trainer, "kept: ", "25 of 29 notes")
            await pilot.press("s")
            await pilot.press(*"mine", "enter")
            await until(pilot, trainer, "mine.wav is there already")
            await pilot.press("down", "enter")
            await until(pilot, trainer, "kept: ", "mine.wav")
            await pilot.press("r")
            shown = await until(pilot, trainer, "kept for the next hand-in")
            assert "for the teacher" not in shown
            await pilot.press("r")  # one take is one

    play(scenario())
    for name in ("1-2-3-1-in-e-major-up.wav", "mine.wav"):
        with wave.open(str(folder / name)) as file:
            assert file.getframerate() == RATE
            assert 8 < file.getnframes() / RATE < 20
    kept = (folder / "1-2-3-1-in-e-major-up.wav").stat()
    assert kept.st_mode & 0o077 == 0
    (result,) = kept_takes(real.house.places.takes)
    assert (result.notes, result.right) == (29, 25)


def test_the_tempo_of_the_next_take_is_set_on_the_take(trainer: Trainer) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_run(pilot, trainer)
            await pilot.press("up")
            await until(pilot, trainer, "One bar at 104")
            await pilot.press("down")
            await until(pilot, trainer, "One bar at 100")
            await pilot.press("enter")
            await until(pilot, trainer, "25 of 29 notes", "next take is counted in at 100")
            await pilot.press("up", "up")
            await until(pilot, trainer, "25 of 29 notes", "next take is counted in at 108")
            screen = trainer.screen
            assert isinstance(screen, TakeScreen)
            await pilot.press("enter")
            await until(pilot, trainer, "microphone open")
            assert screen._view.tempo == 108
            await pilot.press("escape")
            await until(pilot, trainer, "broken off")

    play(scenario())


def test_tempi_are_kept_as_on_the_horn_where_the_player_says_so(
    real: RealHouse, trainer: Trainer, microphone: Heard
) -> None:
    def on_the_horn() -> list[float | None]:
        with real.house.reading() as store:
            return [each.tempo for each in store.answers() if each.kind == PLAYED_IN_TIME]

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_run(pilot, trainer)
            await pilot.press("enter")
            await until(pilot, trainer, "25 of 29 notes")
            assert on_the_horn() == []
            await pilot.press("t")
            await until(pilot, trainer, "Tempi are kept", "25 of 29 notes")
            microphone.again(CLEAN)
            await pilot.press("enter")
            shown = await until(pilot, trainer, "All 29 notes", "Kept on the horn, E major, up")
            assert "a step faster is next" not in shown
            await pilot.press("t")
            await until(pilot, trainer, "not kept from now on")

    play(scenario())
    kept = on_the_horn()
    assert len(kept) == 7
    assert set(kept) == {100.0}


def test_the_player_ends_a_take_breaks_it_off_and_sets_it(
    trainer: Trainer, microphone: Heard
) -> None:
    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await at_the_run(pilot, trainer)
            await pilot.press("left", "k")
            await until(pilot, trainer, "One bar at 96", "wear headphones")
            await pilot.press("right", "k")
            await until(pilot, trainer, "One bar at 100", "stops after the count-in")
            await pilot.press("s", "r", "tab")  # there is no take yet
            await pilot.press("enter")
            await until(pilot, trainer, "recording  0:02")
            await pilot.press("escape")
            await until(pilot, trainer, "broken off: nothing is kept", "record")
            assert microphone.closed
            microphone.closed = False
            await pilot.press("enter")
            await until(pilot, trainer, "recording  0:05")
            await pilot.press("enter")
            await until(pilot, trainer, "notes heard as asked", "once more")
            assert microphone.closed
            microphone.closed = False
            await pilot.press("enter")
            await until(pilot, trainer, "microphone open")
            await pilot.press("question_mark")  # another screen: the microphone is closed
            await until(pilot, trainer, "Open the microphone and record")
            await pilot.pause(0.2)
            assert microphone.closed
            await pilot.press("escape")
            await until(pilot, trainer, "broken off")
            await pilot.press("escape")
            await until(pilot, trainer, "run 1 of 1")

    play(scenario())


def refused() -> Heard:
    raise SoundError("no microphone can be opened (nothing there)")


@pytest.mark.parametrize(
    ("opened", "told"),
    [
        (refused, "no microphone can be opened"),
        (lambda: Heard(SLIPS, lost_after=6.0), "the microphone was lost"),
        (
            lambda: Heard(np.zeros(10, np.float32), room=0.0, step_s=2.0),
            "nothing was recorded: the microphone",
        ),
    ],
)
def test_what_goes_wrong_is_one_line(real: RealHouse, opened: Any, told: str) -> None:
    made: list[Heard] = []

    def kept() -> Heard:
        made.append(opened())
        return made[-1]

    trainer = with_microphone(real, kept, lambda: made[-1].now if made else 0.0)

    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await at_the_run(pilot, trainer)
            await pilot.press("enter")
            shown = await until(pilot, trainer, told, "record")
            assert "microphone open" not in shown
            assert all(each.closed for each in made)
        trainer.studio.close()

    play(scenario())


def test_without_a_microphone_to_open_it_is_said(real: RealHouse) -> None:
    trainer = with_microphone(real, None, lambda: 0.0)

    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await at_the_run(pilot, trainer)
            await pilot.press("enter")
            await until(pilot, trainer, "there is no microphone to open here")
        trainer.studio.close()

    play(scenario())


# The recording itself.


def test_a_recording_waits_counts_in_and_ends_after_a_silence() -> None:
    heard = Heard(SLIPS)
    player = SilentPlayer(heard.clock)
    taking = Recording(heard, player, heard.clock, 100.0, volume=0.5)
    stages = [taking.stage]
    while not taking.tick():
        if taking.stage is not stages[-1]:
            stages.append(taking.stage)
        if taking.stage is RecordingStage.COUNT_IN:
            assert 1 <= taking.beat <= BEATS
    assert stages == [RecordingStage.WAITING, RecordingStage.COUNT_IN, RecordingStage.PLAYING]
    assert len(player.played) == 1
    length = len(SLIPS) / RATE
    assert length + QUIET_S - 2 <= taking.seconds <= length + QUIET_S + 2
    assert len(taking.samples()) == round(taking.seconds * RATE)
    taking.close()
    assert heard.closed


def test_the_level_is_in_decibels_below_full_scale() -> None:
    sine = np.sin(np.arange(RATE) * 0.1).astype(np.float32)
    assert level_of(sine) == pytest.approx(-3.01, abs=0.02)  # root of one half
    assert level_of(sine / 10) == pytest.approx(-23.01, abs=0.02)
    assert level_of(np.zeros(0, np.float32)) == -120.0


def test_asked_anew_while_it_opens_no_microphone_is_left_open(real: RealHouse) -> None:
    """Enter, Esc, Enter within the moment that an opening takes: the first one is let go."""
    opened: list[Heard] = []
    gates = [threading.Event(), threading.Event()]

    def slow() -> Heard:
        gate = gates[len(opened)]
        opened.append(Heard(SLIPS))
        mine = opened[-1]
        gate.wait(20)
        return mine

    trainer = with_microphone(real, slow, lambda: opened[-1].now if opened else 0.0)

    async def scenario() -> None:
        async with trainer.run_test(size=(60, 20)) as pilot:
            await at_the_run(pilot, trainer)
            await pilot.press("enter")
            while len(opened) < 1:
                await pilot.pause(0.01)
            await pilot.press("escape", "enter")
            while len(opened) < 2:
                await pilot.pause(0.01)
            gates[0].set()
            for _ in range(300):
                await pilot.pause(0.01)
                if was_closed(opened[0]):
                    break
            assert was_closed(opened[0])
            gates[1].set()
            await until(pilot, trainer, "recording")
            assert not was_closed(opened[1])
            await pilot.press("escape")
            await until(pilot, trainer, "broken off")
            assert was_closed(opened[1])
        trainer.studio.close()

    play(scenario())
