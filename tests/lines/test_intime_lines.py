"""Playing in time in lines: words between the bouts, stamped notes in them, and the JSON."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from silent_player import SilentPlayer

from drill.clock import monotonic
from drill.decks.schema import Compass, Deck
from drill.errors import DrillError, UsageError
from drill.lines.intime import TimeLines
from drill.lines.stamping import StampedLines, stamped
from drill.lines.tapping import ByMicrophone
from drill.memory.kinds import Kind
from drill.memory.store import Store
from drill.practice.machine import plan_for
from drill.practice.room import Room
from drill.practice.time.bout import Setting
from drill.practice.time.course import TimePlan, time_desk, time_plan
from drill.practice.time.strokes import Stroke
from drill.sound.capture import Microphone
from drill.sound.latency import LatencySource
from drill.sound.output import SoundError
from drill.sound.sounding import Playing
from drill.sound.take import Take
from drill.terms import Direction, Key, Name, Note
from drill.theory.language import Language
from drill.theory.patterns import find_pattern

C_MAJOR = Key(Name("C"), "major")
F_SHARP_MINOR = Key(Name("F", 1), "natural_minor")
DECK = Deck(
    "One run",
    "tenor_sax",
    (find_pattern("1-2-3-1"),),
    (F_SHARP_MINOR,),
    scales=("natural_minor",),
    directions=(Direction.UP,),
    degrees=(1, 2),
    tempo=60,
)
NOTES = "F# G# A F# G# A B G#".split()
"""F sharp minor, 1-2-3-1 on 1 and on 2: three sharps (common practice)."""


class Script:
    """A source that types: words at once, ``play`` a note on each beat of the open bout."""

    def __init__(self, *steps: str | list[tuple[str, float]]) -> None:
        self.now = 100.0
        self.ended = False
        self._lines = self._typed(steps)
        self._next: Stroke | None = None

    def clock(self) -> float:
        return self.now

    def _typed(self, steps: tuple[str | list[tuple[str, float]], ...]) -> Iterator[Stroke]:
        pause = 0.0
        for step in steps:
            if isinstance(step, str):
                yield Stroke(step, self.now + pause)
                pause = 0.0
            else:  # seconds from when the line before was read
                began, pause = self.now, 30.0
                for text, at in step:
                    yield Stroke(text, began + at)

    def line(self, until: float | None) -> Stroke | None:
        if self._next is None:
            self._next = next(self._lines, None)
        if self._next is None:
            self.ended = until is None
            self.now = self.now if until is None else until
            return None
        if until is not None and self._next.at > until:
            self.now = until
            return None
        line, self._next = self._next, None
        self.now = max(self.now, line.at)
        return line


def on_beats(off: float = 0.0, notes: list[str] = NOTES) -> list[tuple[str, float]]:
    """A note a second: 60 beats a minute after a bar of count-in."""
    return [(note, 4.0 + n + off) for n, note in enumerate(notes)]


def lines(
    folder: Path,
    script: Script,
    *,
    as_json: bool = False,
    muted: bool = False,
    of: Deck = DECK,
    player: SilentPlayer | None = None,
    language: Language = Language.ENGLISH,
    words: bool = False,
) -> tuple[str, list[Any]]:
    """What is written, and the answers kept."""
    count = iter(range(1000))
    room = Room(Store.open(folder / "answers.db"), language)
    out = io.StringIO()
    with closing(room.store):
        syllabus = room.syllabus(of)
        plan = time_plan(plan_for(of, _noon()), Setting())
        desk = time_desk(room, syllabus, plan, 1, lambda: f"id-{next(count)}")
        TimeLines(
            room,
            desk,
            script,
            out,
            lambda text: print(f"({text})", file=out),
            player or SilentPlayer(script.clock, muted=muted),
            utc_now=_noon,
            monotonic=script.clock,
            microphone=ByMicrophone({}, script.clock, lambda _: None, _no_microphone),
            json=as_json,
            words=words,
        ).run()
        return out.getvalue(), list(room.answers())


def _no_microphone() -> Microphone:
    raise SoundError("no microphone can be opened (a test)")


def _noon() -> Any:
    from datetime import UTC, datetime

    return datetime(2026, 3, 2, 12, tzinfo=UTC)


def test_a_bout_in_lines(tmp_path: Path) -> None:
    text, rows = lines(tmp_path, Script("", on_beats(-0.03), "quit"))
    told = text.splitlines()
    assert told[1] == (
        "1. F# natural minor (3 sharps: F# C# G#), 1-2-3-1, going up, in time; cells on 1 2, "
        "a bar each, a note a beat, tempo 60: enter plays"
    )
    assert told[2] == (
        "locked in: 30 ms before the beat, spread 0 ms, no drift (keys and terminal: about 10 ms)"
    )
    assert told[3:5] == ["every note right", "played at 60; next tempo 60, the same again"]
    assert told[-3:-1] == [
        "end: 1 of 1 locked in",
        "  F# natural minor, 1-2-3-1 up: 60",
    ]
    assert [row.typed for row in rows] == ["F# G# A F#", "G# A B G#"]
    assert {(row.kind, row.tempo, row.right) for row in rows} == {(Kind.TIME.value, 60.0, True)}


@pytest.mark.parametrize(("source", "times"), [("ASSUMED", 1), ("CALIBRATED", 0)])
def test_that_nobody_knows_how_late_the_output_is_is_said_once(
    tmp_path: Path, source: str, times: int
) -> None:
    script = Script("", on_beats(), "", on_beats(), "quit")

    class Output(SilentPlayer):
        def playing(self) -> Playing | None:
            found = super().playing()
            return found and replace(found, source=LatencySource[source])

    text, _ = lines(tmp_path, script, player=Output(script.clock))
    assert text.count("played at 60") == 2
    assert text.count("how late this output sounds is known only to within") == times


def test_the_end_says_that_it_is_enough_for_today(tmp_path: Path) -> None:
    """Both cells of the deck were played: nothing is due, and nothing is new."""
    text, _ = lines(tmp_path, Script("", on_beats(-0.03), "quit"))
    assert text.splitlines()[-1].startswith("Enough for today: ")
    told, _ = lines(tmp_path / "json", Script("", on_beats(-0.03), "quit"), as_json=True)
    end = json.loads(told.splitlines()[-1])
    assert end["kind"] == "end"
    assert end["enough_for_today"] is True
    assert end["due_today"] == 0


def test_a_wrong_note_is_named_and_the_tempo_falls(tmp_path: Path) -> None:
    notes = ["F#", "G", *NOTES[2:]]
    text, rows = lines(tmp_path, Script("", on_beats(0, notes), "quit"))
    assert "wrong notes: " in text
    assert "7 of 8 notes right\nnot right: " in text
    assert "next tempo 55, slower" in text
    assert [row.right for row in rows] == [False, True]


def test_a_deck_that_lets_nothing_new_in_says_so(tmp_path: Path) -> None:
    closed = replace(DECK, practice=replace(DECK.practice, new_cells=0))
    text, _ = lines(tmp_path, Script(""), of=closed)
    assert "end: 0 of 0 locked in\n(nothing to ask: no cell of this deck was asked before" in text


def test_runs_that_the_horn_cannot_play_are_told_at_the_head(tmp_path: Path) -> None:
    compass = Compass(low=Note("C", 0, 4), high=Note("C", 0, 5))
    two = (find_pattern("ninths5"), find_pattern("thirds"))
    narrow = replace(DECK, instrument="flute", patterns=two, keys=(C_MAJOR,), compass=compass)
    text, _ = lines(tmp_path, Script("quit"), of=replace(narrow, scales=("major",), degrees=()))
    assert text.splitlines()[1].startswith("note: ninth arpeggios in C major up is left out: ")


def test_the_end_names_a_run_as_reports_do(tmp_path: Path) -> None:
    """The way of coming down that is usual is not told; no id of the log is seen."""
    down = replace(DECK, directions=(Direction.DOWN,), degrees=(8, 7))
    notes = "F# E D F# E D C# E".split()  # 8-7-6-8, 7-6-5-7
    text, _ = lines(tmp_path, Script("", on_beats(0.0, notes), "quit"), of=down)
    assert "  F# natural minor, 1-2-3-1 down: 60" in text.splitlines()


def test_the_end_names_keys_as_the_player_does(tmp_path: Path) -> None:
    flat = replace(DECK, keys=(Key(Name("B", -1), "major"),), scales=("major",))
    for language, words, named in (
        (Language.GERMAN, False, "B major"),
        (Language.ENGLISH, True, "B flat major"),
    ):
        asked = "Bb C D Bb C D Eb C".replace("Bb", "B" if language is Language.GERMAN else "Bb")
        notes = asked.replace("Eb", "Es").split() if language is Language.GERMAN else asked.split()
        script = Script("", on_beats(0.0, notes), "quit")
        folder = tmp_path / language.value
        text, _ = lines(folder, script, of=flat, language=language, words=words)
        assert f"  {named}, 1-2-3-1 up: 60" in text.splitlines()


def test_a_click_that_was_given_up_is_not_kept_as_heard(tmp_path: Path) -> None:
    """Not muted, and yet nothing sounds: a device that failed a moment ago."""

    class Failed(SilentPlayer):
        def play(self, take: Take, *, stale_s: float = 0.0) -> bool:
            return False

    script = Script("", on_beats(0.02), "quit")
    text, rows = lines(tmp_path, script, as_json=True, player=Failed(script.clock))
    _, started, timing, *_ = map(json.loads, text.splitlines())
    assert (started["sound"], timing["sound"]) == (False, False)
    assert [json.loads(row.details)["sound"] for row in rows] == [False, False]


def test_a_measured_terminal_is_told_to_a_program_too(tmp_path: Path) -> None:
    text, _ = lines(
        tmp_path, Script("measure", [("", 0.5 * n) for n in range(12)], "quit"), as_json=True
    )
    assert {"kind": "measured", "jitter_s": 0.01} in map(json.loads, text.splitlines())
    text, _ = lines(tmp_path / "few", Script("measure"), as_json=True)
    assert {"kind": "measured", "jitter_s": None} in map(json.loads, text.splitlines())


def test_words_between_the_bouts(tmp_path: Path) -> None:
    script = Script("help", "faster", "slower", "hear", "mute", "mute", "what", "quit")
    text, rows = lines(tmp_path, script)
    assert "enter plays: after the count-in" in text
    assert "tempo 63: enter plays" in text  # the next step engraved on a metronome
    assert "sound off\nsound on\n" in text
    assert text.count("enter plays the bout; help shows") == 1
    assert text.endswith("end: 0 of 0 locked in\n")
    assert rows == []


def test_without_sound_nothing_is_played_in_lines(tmp_path: Path) -> None:
    text, rows = lines(tmp_path, Script("", "quit"), muted=True)
    assert "sound is off, and in lines the beat is only heard" in text
    assert rows == []


def test_quit_while_the_click_has_not_begun_ends_the_practice(tmp_path: Path) -> None:
    class Waiting(SilentPlayer):
        def playing(self) -> Playing | None:
            return None

    script = Script("", [("quit", 1.0)])
    text, rows = lines(tmp_path, script, player=Waiting(script.clock))
    assert text.endswith("enter plays\nend: 0 of 0 locked in\n")
    assert (rows, script.now) == ([], 101.0)


def test_a_latency_that_cannot_be_kept_ends_no_practice(tmp_path: Path) -> None:
    class Full(SilentPlayer):
        def calibrate(self, late_s: float, source: LatencySource = LatencySource.HEARD) -> float:
            raise DrillError("the disk is full")

    taps = [("", 0.6 * at) for at in range(1, 40)]
    script = Script("calibrate", taps, "quit", "quit")
    text, _ = lines(tmp_path, script, player=Full(script.clock))
    assert "the disk is full\n" in text
    assert text.endswith("end: 0 of 0 locked in\n")


def test_nothing_typed_and_quit_in_a_bout_leave_no_trace(tmp_path: Path) -> None:
    text, rows = lines(tmp_path, Script("", [("quit", 5.0)]))
    assert text.endswith("end: 0 of 0 locked in\n")
    text, _ = lines(tmp_path, Script("", [("F#", 4.0), ("exit", 5.0)]))
    assert text.endswith("end: 0 of 0 locked in\n")
    text, more = lines(tmp_path, Script("", [("??", 5.0), ("quit", 60.0)]))
    assert "nothing was typed that is a note: nothing was marked" in text
    assert rows == more == []


def test_a_held_enter_measures_the_terminal(tmp_path: Path) -> None:
    gaps = [0.5, 0.031, 0.075, 0.020, 0.052, 0.090, 0.033, 0.061, 0.015, 0.048, 0.082]
    held = [("", sum(gaps[:n])) for n in range(len(gaps) + 1)]
    text, _ = lines(tmp_path, Script("measure", held, "quit"))
    assert "hold Enter until told\nkeys and terminal add about " in text
    assert "about 10 ms" not in text


def test_the_objects_of_json(tmp_path: Path) -> None:
    text, _ = lines(tmp_path, Script("", on_beats(0.02), "quit"), as_json=True)
    bout, started, timing, after, end = map(json.loads, text.splitlines())
    assert (bout["kind"], bout["tonic"], bout["scale"]) == ("bout", "F#", "natural_minor")
    assert bout["concert_key"] == "E natural minor"  # tenor sounds a major second (ninth) lower
    assert bout["due_s"] == [4.0 + n for n in range(8)]
    assert [cell["label"] for cell in bout["cells"]] == ["1", "2"]
    assert (bout["tempo"], bout["notes_per_beat"], bout["over_s"]) == (60, 1, 12.0)
    assert (bout["locked_in_at"], bout["estimate"]) == (None, None)
    assert started == {"kind": "started", "number": 1, "at": 100.0, "sound": True}
    assert (timing["outcome"], timing["locked_in"], timing["accuracy"]) == ("locked-in", True, 1.0)
    assert (timing["lead_ms"], timing["spread_ms"], timing["drift_ms_per_beat"]) == (20.0, 0, 0)
    assert timing["beat_ms"] == 1000.0
    assert timing["notes"][0]["off_ms"] == pytest.approx(20.0)
    assert [cell["right"] for cell in timing["cells"]] == [True, True]
    assert (timing["tempo"], timing["next_tempo"]) == (60, 60)
    assert (after["kind"], after["number"]) == ("bout", 2)
    assert end == {
        "kind": "end",
        "bouts": 1,
        "locked_in": 1,
        "tempi": [{"pattern": "1-2-3-1/up", "key": "F#:natural_minor", "tempo": 60}],
        "enough_for_today": True,
        "due_today": 0,
        "due_tomorrow": 2,
    }


def test_a_pipe_is_refused_in_one_sentence_but_for_programs() -> None:
    with pytest.raises(UsageError, match=r"^in time needs a terminal on standard input, "):
        stamped(io.StringIO(), monotonic, as_json=False)


def test_lines_are_stamped_at_the_read() -> None:
    back, front = os.pipe()
    source = StampedLines(os.fdopen(back, encoding="utf-8"), monotonic)
    assert source.line(monotonic() + 0.01) is None
    assert not source.ended
    before = monotonic()
    os.write(front, "G♯\r\nA".encode())
    line = source.line(None)
    assert line is not None
    assert line.text == "G♯"
    assert before <= line.at <= monotonic()
    os.close(front)
    last = source.line(None)
    assert last is not None
    assert last.text == "A"
    assert source.line(None) is None
    assert source.ended


def test_the_command_refuses_a_pipe_and_speaks_json_over_one(tmp_path: Path) -> None:
    home = {**os.environ, "DRILL_HOME": str(tmp_path), "DRILL_SOUND": "silent"}
    command = [sys.executable, "-m", "drill", "--plain", "--ask", "time", "--seed", "1"]

    def drill(*more: str, text: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [*command, *more], input=text, env=home, capture_output=True, text=True, check=False
        )

    refused = drill(text="\n")
    assert refused.returncode == 2
    assert refused.stdout == ""
    assert refused.stderr.startswith("drill: in time needs a terminal on standard input")
    assert len(refused.stderr.splitlines()) == 1
    spoken = drill("--json", "--tempo", "90", "--letters", "--eighths", text="slower\nquit\n")
    assert spoken.returncode == 0
    first, second, end = map(json.loads, spoken.stdout.splitlines())
    assert (first["tempo"], second["tempo"]) == (90, 88)
    assert first["letters"] is True
    assert first["notes_per_beat"] == 2
    assert end["kind"] == "end"


def test_a_deck_without_cells_of_its_own_is_refused(tmp_path: Path) -> None:
    from drill.errors import DataError

    room = Room(Store.open(tmp_path / "answers.db"))
    with closing(room.store):
        syllabus = room.syllabus(replace(DECK), ("signature",))
        with pytest.raises(DataError, match="no cells to play in time"):
            time_desk(room, syllabus, TimePlan(), 1, lambda: "id")


def test_calibrating_by_a_microphone_that_is_not_there(tmp_path: Path) -> None:
    text, rows = lines(tmp_path, Script("microphone", "quit"), as_json=True)
    objects = [json.loads(line) for line in text.splitlines() if line.startswith("{")]
    assert {"kind": "calibrated", "latency_s": None} in objects
    assert not rows
    text, _ = lines(tmp_path, Script("microphone", "quit"))
    assert "no microphone can be opened (a test)" in text.splitlines()
