"""A take recorded in the screens: the microphone, the meter, what is said, and what is kept."""

from __future__ import annotations

import re
import threading
import wave
from collections.abc import Iterator
from dataclasses import replace
from io import StringIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from horn_player import IN_E
from kept_takes import one, read_recording
from real_house import RealHouse
from silent_player import SilentPlayer
from tui_desk import MORNING, text_of
from tui_user import BOTH, User, at_keys

from drill.commands.errands import CommandErrands
from drill.errors import StoreError
from drill.memory.kinds import PLAYED_IN_TIME
from drill.opening.tools import Tools
from drill.practice.effects import Log
from drill.practice.recording import BEATS, QUIET_S, Recording, RecordingStage
from drill.practice.room import Room
from drill.reports.takes import kept_takes
from drill.sound.capture import RATE, Samples, level_of
from drill.sound.output import SoundError
from drill.tui.glyphs import ASCII
from drill.tui.screens.take import TakeScreen
from drill.tui.trainer import Trainer
from drill.tui.views.take import take_lines
from drill.tui.words import Words

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
def real(home: Path) -> RealHouse:
    house = RealHouse(home)
    (home / "decks").mkdir(parents=True)
    (home / "decks" / "in-e.toml").write_text(IN_E + "tempo = 100\n", encoding="utf-8")
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


def at_the_run(user: User) -> None:
    user.see("▸ In E", "untried")
    user.press("d", sees=("In E", "E major", "run 1 of 1"))
    user.press("r", sees=("E major", "Enter opens the microphone", "One bar at 100"))


@BOTH
def test_a_take_is_recorded_told_and_marked(microphone: Heard, user: User) -> None:
    at_the_run(user)
    user.golden("take-ready")
    assert "microphone open" not in user.shown
    user.press("enter", sees=("count-in", "microphone open", "break off"))
    shown = user.see("recording  0:0", "microphone open", "end the take")
    assert re.search(r"\[█* *\] +-\d+ dB", shown)
    assert not microphone.closed
    shown = user.see("25 of 29 notes heard as asked.", "once more")
    assert was_closed(microphone)
    assert "microphone open" not in shown
    flat = " ".join(shown.split())
    assert "Cell on 2: G for G sharp" in flat
    assert "cell on 7: G for F sharp" in flat
    user.golden("take-told", shown)
    if "✗" not in shown:
        user.press("tab")
    # The first cell with a slip stands first: 2 is F sharp G sharp A F sharp.
    user.golden("take-staff", user.see("F♯✓", "G♯✗", "A✓", "notes 5 to"))
    user.press("right", sees=("notes 9 to", "G♯✓"))
    user.press("left", "left", sees=("notes 1 to", "E✓"))
    words = Words(user.trainer.studio.wishes.names, ASCII)
    assert text_of(take_lines(user.on(TakeScreen)._view, words, *user.size)).isascii()


def test_a_take_is_kept_only_where_the_player_says_so(
    real: RealHouse, trainer: Trainer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "takes"
    folder.mkdir()
    monkeypatch.chdir(folder)
    (folder / "mine.wav").write_text("another", encoding="utf-8")

    with at_keys(trainer) as user:
        at_the_run(user)
        user.press("enter", sees="25 of 29 notes")
        assert [each.name for each in folder.iterdir()] == ["mine.wav"]
        assert not kept_takes(real.house.places.takes)
        user.press("s", sees=("Keep the take as", "a new file here"))
        user.type("mine", "enter", sees="mine.wav is there already")
        user.press("enter", sees=("Keep the take as", "1-2-3-1-in-e-major-up.wav"))
        user.press("enter", sees=("kept: ", "25 of 29 notes"))
        user.press("s", *"mine", "enter", sees="mine.wav is there already")
        user.press("down", "enter", sees=("kept: ", "mine.wav"))
        shown = user.press("r", sees="kept for the next hand-in")
        assert "for the teacher" not in shown
        user.press("r")  # one take is one
    for name in ("1-2-3-1-in-e-major-up.wav", "mine.wav"):
        with wave.open(str(folder / name)) as file:
            assert file.getframerate() == RATE
            assert 8 < file.getnframes() / RATE < 20
    kept = (folder / "1-2-3-1-in-e-major-up.wav").stat()
    assert kept.st_mode & 0o077 == 0
    (result,) = kept_takes(real.house.places.takes)
    assert (result.notes, result.right) == (29, 25)


def test_the_tempo_of_the_next_take_is_set_on_the_take(user: User) -> None:
    at_the_run(user)
    user.press("up", sees="One bar at 104")
    user.press("down", sees="One bar at 100")
    user.press("enter", sees=("25 of 29 notes", "next take is counted in at 100"))
    user.press("up", "up", sees=("25 of 29 notes", "next take is counted in at 108"))
    user.press("enter", sees="microphone open")
    assert user.on(TakeScreen)._view.tempo == 108
    user.press("escape", sees="broken off")


def test_tempi_are_kept_as_on_the_horn_where_the_player_says_so(
    real: RealHouse, trainer: Trainer, microphone: Heard
) -> None:
    def on_the_horn() -> list[float | None]:
        with real.house.reading() as store:
            return [each.tempo for each in store.answers() if each.kind == PLAYED_IN_TIME]

    with at_keys(trainer) as user:
        at_the_run(user)
        user.press("enter", sees="25 of 29 notes")
        assert on_the_horn() == []
        user.press("t", sees=("Tempi are kept", "25 of 29 notes"))
        microphone.again(CLEAN)
        shown = user.press("enter", sees=("All 29 notes", "Kept on the horn, E major, up"))
        assert "a step faster is next" not in shown
        user.press("t", sees="not kept from now on")
    kept = on_the_horn()
    assert len(kept) == 7
    assert set(kept) == {100.0}


def test_a_take_is_told_where_its_tempo_cannot_be_kept(
    user: User, microphone: Heard, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(room: Room, log: Log) -> None:
        raise StoreError("answers.db: the disk is full")

    at_the_run(user)
    user.press("t", sees="Tempi are kept")
    monkeypatch.setattr(Room, "keep", full)
    microphone.again(CLEAN)
    user.press("enter", sees=("the disk is full", "All 29 notes", "once more"))


def test_the_player_ends_a_take_breaks_it_off_and_sets_it(microphone: Heard, user: User) -> None:
    at_the_run(user)
    user.press("left", "k", sees=("One bar at 96", "wear headphones"))
    user.press("right", "k", sees=("One bar at 100", "stops after the count-in"))
    user.press("s", "r", "tab")  # there is no take yet
    user.press("enter", sees="recording  0:02")
    user.press("escape", sees=("broken off: nothing is kept", "record"))
    assert microphone.closed
    microphone.closed = False
    user.press("enter", sees="recording  0:05")
    user.press("enter", sees=("notes heard as asked", "once more"))
    assert microphone.closed
    microphone.closed = False
    user.press("enter", sees="microphone open")
    user.press("question_mark")  # another screen: the microphone is closed
    user.see("Open the microphone and record")
    user.pause(0.2)
    assert microphone.closed
    user.press("escape", sees="broken off")
    user.press("escape", sees="run 1 of 1")


def test_while_a_take_is_begun_or_heard_only_it_can_be_ended(
    user: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    gate, heard = threading.Event(), CommandErrands.hear
    others = ("tab", "left", "right", "up", "k", "t", "s", "r")

    def waiting(*asked: Any, **more: Any) -> Any:
        gate.wait(20)
        return heard(*asked, **more)

    monkeypatch.setattr(CommandErrands, "hear", waiting)
    at_the_run(user)
    before = user.on(TakeScreen)._view
    user.press("enter", sees="recording")
    user.press(*others)
    user.see("hearing the take")
    user.press(*others)
    gate.set()
    user.see("25 of 29 notes heard as asked.", "once more")
    after = user.on(TakeScreen)._view
    kept = ("tempo", "clicks", "logged", "staff")
    assert [getattr(after, each) for each in kept] == [getattr(before, each) for each in kept]
    assert not user.on(TakeScreen).handed_in


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

    with at_keys(trainer, 60, 20) as user:
        at_the_run(user)
        shown = user.press("enter", sees=(told, "record"))
        assert "microphone open" not in shown
        assert all(each.closed for each in made)


def test_without_a_microphone_to_open_it_is_said(real: RealHouse) -> None:
    with at_keys(with_microphone(real, None, lambda: 0.0), 60, 20) as user:
        at_the_run(user)
        user.press("enter", sees="there is no microphone to open here")


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

    with at_keys(trainer, 60, 20) as user:
        at_the_run(user)
        user.press("enter")
        user.until(lambda: len(opened) == 1)
        user.press("escape", "enter")
        user.until(lambda: len(opened) == 2)
        gates[0].set()
        user.until(lambda: opened[0].closed)
        gates[1].set()
        user.see("recording")
        assert not was_closed(opened[1])
        user.press("escape", sees="broken off")
        assert was_closed(opened[1])


def test_a_take_is_heard_to_its_end_under_the_help_and_broken_off_by_a_key(
    real: RealHouse, microphone: Heard
) -> None:
    goes_on = threading.Event()

    class Slow(CommandErrands):
        def hear(self, *args: Any, **more: Any) -> Any:
            goes_on.wait(20)
            return super().hear(*args, **more)

    streams = StringIO(), StringIO(), StringIO()
    slow = Slow(Tools(real.house, *streams, lambda: MORNING, {}))
    made = with_microphone(real, lambda: microphone, microphone.clock)
    made.studio.context = replace(made.studio.context, errands=slow)
    with at_keys(made) as user:
        at_the_run(user)
        user.press("enter", sees=("hearing the take", "break off"))
        user.press("question_mark", sees="Open the microphone and record")
        user.press("escape", sees="hearing the take")
        user.press("t", "left")  # nothing is set meanwhile
        goes_on.set()
        user.see("25 of 29 notes heard as asked.", "counted in at 100")
        goes_on.clear()
        microphone.again(SLIPS)
        user.press("enter", sees="hearing the take")
        user.press("escape", sees=("broken off", "record"))
        goes_on.set()
        user.pause(0.3)
        assert "heard as asked" not in user.shown
