"""``drill take``: a recording in, a teacher's lines out."""

from __future__ import annotations

import json
import re
import shutil
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from desk_tools import Ran, ran
from horn_player import IN_E
from kept_takes import read_recording
from scipy.io import wavfile

from drill.commands import progress, take
from drill.errors import DataError, DrillError, UsageError
from drill.memory.kinds import PLAYED_IN_TIME
from drill.memory.store import Store
from drill.places import places
from drill.practice.time.tempi import ON_HORN, book_of, read_kept
from drill.reports.takes import kept_takes
from drill.sound.capture import RATE

TAKES = Path(__file__).parents[1] / "hearing" / "takes"
RUN = ("--pattern", "1-2-3-1", "--key", "E", "--instrument", "alto_sax", "--up", "--tempo", "100")


def taken(home: Path, *words: str) -> Ran:
    return ran(take, words, home)


def test_five_slips_are_named_in_words(tmp_path: Path) -> None:
    said = taken(tmp_path, str(TAKES / "alto-slips.ogg"), *RUN).out
    assert "25 of 29 notes heard as asked." in said
    assert "Cell on 2: G for G sharp" in said
    assert "cell on 3: F sharp for G sharp" in said
    assert "cell on 7: G for F sharp" in said
    assert "Not heard: cell on 5: B." in said
    assert "Went back once: at the cell on 6." in said


def test_a_clean_take_is_called_clean(tmp_path: Path) -> None:
    said = taken(tmp_path, str(TAKES / "alto-clean.ogg"), *RUN).out.splitlines()
    assert said[1] == "All 29 notes heard as asked."
    assert said[2].startswith("Steady within 15 ms, at the tempo asked, 100.")
    assert "slurred" in said[4]
    assert not any("Listen" in line or "Not heard" in line for line in said)


def test_the_swing_asked_and_played_are_told(tmp_path: Path) -> None:
    said = taken(tmp_path, str(TAKES / "alto-swung.ogg"), *RUN, "--swing", "2").out
    assert "Swing 1.9 to 1; asked 2.0." in said or "Swing 2.0 to 1; asked 2.0." in said
    slow = taken(tmp_path, str(TAKES / "alto-swung.ogg"), *RUN[:-1], "90").out
    assert "tempo 100; asked 90" in slow


def test_the_json_has_fields_that_stay(tmp_path: Path) -> None:
    made = json.loads(taken(tmp_path, str(TAKES / "alto-slips.ogg"), *RUN, "--json").out)
    assert set(made) == {
        "notes", "doubts", "restarts", "tune_cents", "spread_ms", "lead_ms", "drift_percent",
        "swing", "shape_r", "slurred_share", "say",
    }  # fmt: skip
    assert set(made["notes"][0]) == {
        "index", "asked", "heard", "verdict", "on_s", "off_s", "cents", "db", "slurred",
    }  # fmt: skip
    # Written E5 .. on alto sounds a major sixth lower; G3 is MIDI 55.
    assert made["notes"][0]["asked"] == 55
    assert [note["verdict"] for note in made["notes"]].count("wrong") == 3
    assert made["restarts"] == [20]
    assert made["say"][0].startswith("25 of 29")


def test_the_page_stands_alone_and_marks_each_note(tmp_path: Path) -> None:
    page = tmp_path / "take.html"
    taken(tmp_path, str(TAKES / "alto-slips.ogg"), *RUN, "--html", str(page))
    text = page.read_text("utf-8")
    assert text.count("<g><title>") == 29
    assert text.count(": wrong</title>") == 3
    assert text.count(": not heard</title>") == 1
    # Each head half a gap higher or lower for each step, against the run as it is written.
    made = json.loads(taken(tmp_path, str(TAKES / "alto-slips.ogg"), *RUN, "--json").out)
    heights = [float(y) for y in re.findall(r'<circle cx="[^"]*" cy="([^"]*)"', text)]
    assert len(heights) == len(made["notes"])
    asked = [note["asked"] for note in made["notes"]]
    for (one, y), (other, below) in pairwise(zip(asked[:12], heights[:12], strict=True)):
        assert (one > other) == (y < below)
        assert abs(y - below) <= 2 * 4  # a third at most, and half a gap of eight a step
    # What was heard in its place.
    assert '✗ wrong</td><td class="text">F♯</td>' in text
    assert "in the treble clef" in text
    assert "<script" not in text
    assert "default-src" in text


def test_the_player_reads_note_names_in_a_chosen_language(tmp_path: Path) -> None:
    said = taken(tmp_path, str(TAKES / "alto-slips.ogg"), *RUN, "--names", "german").out
    assert "Gis" in said
    assert "Not heard: cell on 5: H." in said


def test_another_line_than_the_one_asked_is_said(tmp_path: Path) -> None:
    words = ("--pattern", "thirds", "--key", "Ab", "--instrument", "alto_sax", "--up")
    said = taken(tmp_path, str(TAKES / "alto-clean.ogg"), *words).out
    assert "this may be another line" in said


@pytest.mark.parametrize("kind", ["silence", "talk", "clipped"])
def test_what_is_no_take_is_one_clear_line(tmp_path: Path, kind: str) -> None:
    rng = np.random.default_rng(3)
    time = np.arange(6 * 22050) / 22050
    if kind == "silence":
        samples = np.zeros(len(time))
    elif kind == "talk":  # a gliding voice with gaps, 90 to 180 Hz
        pitch = 130 + 45 * np.sin(2 * np.pi * 0.7 * time) + 10 * rng.normal(size=6).repeat(22050)
        voice = np.sign(np.sin(2 * np.pi * np.cumsum(pitch) / 22050))
        samples = voice * 0.2 * (np.sin(2 * np.pi * 3 * time) > -0.3)
    else:
        samples = np.sign(np.sin(2 * np.pi * 200 * time))
    wavfile.write(tmp_path / "a.wav", 22050, (samples * 32767).astype("<i2"))
    lines = taken(tmp_path, str(tmp_path / "a.wav"), *RUN).out.splitlines()
    assert len(lines) <= 3
    wanted = {"silence": "No note of the line was heard", "talk": "another line",
              "clipped": "clipped"}[kind]  # fmt: skip
    assert any(wanted in line or "No note of the line" in line for line in lines[1:])


def test_faults_of_the_file_are_one_line(tmp_path: Path) -> None:
    film = tmp_path / "film.mp4"
    film.write_bytes(b"\x00\x00\x00\x20ftypisom" + b"\x00" * 900)
    empty = tmp_path / "empty.wav"
    empty.touch()
    for path, fault in ((film, DataError), (empty, DataError), (tmp_path, UsageError)):
        with pytest.raises(fault):
            taken(tmp_path, str(path), *RUN)


def test_the_run_must_be_named_and_be_one(tmp_path: Path) -> None:
    file = str(TAKES / "alto-clean.ogg")
    with pytest.raises(UsageError, match="name the run"):
        taken(tmp_path, file)
    with pytest.raises(UsageError, match="a take is of one run"):
        taken(tmp_path, file, "--pattern", "thirds", "--key", "G,D")
    with pytest.raises(UsageError, match="20 to 400"):
        taken(tmp_path, file, "--pattern", "thirds", "--tempo", "0")


def test_a_midi_take_needs_no_extra(tmp_path: Path) -> None:
    import mido

    file, track = mido.MidiFile(ticks_per_beat=480), mido.MidiTrack()
    file.tracks.append(track)
    for pitch in (55, 57, 58, 55):
        track.append(mido.Message("note_on", note=pitch, velocity=70))
        track.append(mido.Message("note_off", note=pitch, time=240))
    file.save(tmp_path / "played.mid")
    asked = mido.MidiFile(ticks_per_beat=480)
    asked.tracks.append(mido.MidiTrack())
    for pitch in (55, 57, 59, 55):
        asked.tracks[0].append(mido.Message("note_on", note=pitch, velocity=70))
        asked.tracks[0].append(mido.Message("note_off", note=pitch, time=240))
    asked.save(tmp_path / "asked.mid")
    said = taken(
        tmp_path, str(tmp_path / "played.mid"), "--against", str(tmp_path / "asked.mid")
    ).out
    assert "3 of 4 notes heard as asked." in said
    assert "Note 3: B flat for B" in said or "Note 3: A sharp for B" in said


def test_labels_are_counted_at_home(tmp_path: Path) -> None:
    labels = tmp_path / "labels.txt"
    labels.write_text("6 wrong\n12 wrong # G for F\n17 missing\n3 wrong\n")
    file = str(TAKES / "alto-slips.ogg")
    said = taken(tmp_path, file, *RUN, "--label", str(labels)).out
    assert "Labels: 4 of 29 notes not right, 3 flagged; 1 false flag." in said
    assert "Called wrong: 2 rightly, 1 falsely." in said
    assert "Passed over: note 3." in said
    labels.write_text("30 wrong\n")
    with pytest.raises(DataError, match=r"labels\.txt:1: expected a note's number, 1 to 29"):
        taken(tmp_path, file, *RUN, "--label", str(labels))


def test_recording_needs_somebody_and_a_new_file(tmp_path: Path) -> None:
    file = tmp_path / "new.wav"
    with pytest.raises(UsageError, match="--keep"):
        taken(tmp_path, str(file), "--record", *RUN)
    shutil.copy(TAKES / "alto-cell.ogg", file)
    with pytest.raises(UsageError, match="already"):
        taken(tmp_path, str(file), "--record", "--keep", *RUN)
    with pytest.raises(UsageError, match="into a file"):
        taken(tmp_path, "-", "--record", "--keep", *RUN)
    with pytest.raises(UsageError, match="no folder .*: make it first"):
        taken(tmp_path, str(tmp_path / "none" / "new.wav"), "--record", "--keep", *RUN)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--result",), "--result goes with --deck"),
        (("--html", "-", "--json"), "only one of"),
        (("--keep",), "--keep goes with --record"),
        (("--clicks",), "--clicks goes with --record"),
    ],
)
def test_what_does_not_go_together_is_said_before_anything_is_kept(
    tmp_path: Path, words: tuple[str, ...], said: str
) -> None:
    with pytest.raises(UsageError, match=said):
        taken(tmp_path, str(TAKES / "alto-clean.ogg"), *RUN, "--log", *words)
    assert not places({"DRILL_HOME": str(tmp_path)}).answers.exists()


@pytest.mark.skipif(sys.platform != "linux", reason="a system without a sound card is made so")
def test_without_a_microphone_it_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PULSE_SERVER", "unix:/nowhere")
    with pytest.raises(DrillError, match="microphone"):
        taken(tmp_path, str(tmp_path / "new.wav"), "--record", "--keep", *RUN)
    assert capfd.readouterr().err == ""  # nothing of the sound library's own


def test_a_run_is_judged_in_time_as_a_typed_one_is(tmp_path: Path) -> None:
    swung = str(TAKES / "alto-swung.ogg")
    assert "In time at 100: locked in" in taken(tmp_path, swung, *RUN, "--swing", "2").out
    # At another tempo than it was played the beat runs away from it.
    slower = taken(tmp_path, swung, *RUN[:-1], "92", "--swing", "2").out
    assert "In time at 92: right, but " in slower
    slips = taken(tmp_path, str(TAKES / "alto-slips.ogg"), *RUN).out
    assert "In time" not in slips  # it was begun again: the beat went on
    free = taken(tmp_path, swung, *RUN[:-2]).out
    assert "In time" not in free


def test_a_result_is_kept_for_the_hand_in_without_sound(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="--result goes with --deck"):
        taken(tmp_path, str(TAKES / "alto-slips.ogg"), *RUN, "--result")
    deck = tmp_path / "in-e.toml"
    deck.write_text(IN_E)
    words = ("--deck", str(deck), "--tempo", "100", "--result")
    for _ in range(2):
        taken(tmp_path, str(TAKES / "alto-slips.ogg"), *words)
    kept = kept_takes(tmp_path / "takes.json")
    assert [(each.notes, each.right, each.wrong) for each in kept] == [(29, 25, 3)] * 2
    assert kept[0].said[0].startswith("25 of 29")
    assert kept[0].title == "1-2-3-1 in E major, up"
    assert (tmp_path / "takes.json").stat().st_size < 3000
    (square,) = kept[0].squares
    assert (square.key, square.shape) == ("E:major", "1-2-3-1/up")
    assert (square.notes, square.right) == (29, 25)


SWUNG = (*RUN[:-1], "100", "--swing", "2")


def test_three_takes_locked_in_are_a_tempo_on_the_horn(tmp_path: Path) -> None:
    swung = str(TAKES / "alto-swung.ogg")
    told = [taken(tmp_path, swung, *SWUNG, "--log").out.splitlines()[-1] for _ in range(3)]
    # The rule of what is typed in time: three in a row, then three rungs of 24 in an octave.
    assert told[0].endswith("up: locked in (1 of 3 in a row); next 100.")
    assert told[1].endswith("up: locked in (2 of 3 in a row); next 100.")
    assert told[2].endswith(f"up: locked in; next {round(100 * 2 ** (3 / 24))}.")
    with Store.open(places({"DRILL_HOME": str(tmp_path)}).answers) as store:
        answers = tuple(store.answers())
    assert len(answers) == 3 * 7
    assert {answer.kind for answer in answers} == {PLAYED_IN_TIME}
    assert not any(answer.teaches for answer in answers)
    key, shape = "E:major", "1-2-3-1/up"
    on_horn, typed = book_of(answers, kinds=ON_HORN).held(shape, key), book_of(answers)
    assert on_horn is not None
    assert on_horn.locked_bpm == 100
    assert typed.held(shape, key) is None  # what is played says nothing of what is typed
    kept = read_kept(answers[0].details)
    assert kept is not None
    assert kept.spread_ms >= 15
    assert kept.off_ms == ()
    assert "In time at 109" in taken(tmp_path, swung, *SWUNG[:-4], "--tempo", "next").out


def test_progress_shows_the_tempo_on_the_horn_apart(tmp_path: Path) -> None:
    deck = tmp_path / "e.toml"
    deck.write_text(
        'title = "E"\npatterns = ["1-2-3-1"]\nscales = ["major"]\n'
        'keys = ["E"]\ndirections = ["up"]\ninstrument = "alto_sax"\n'
    )
    words = ("--deck", str(deck), "--tempo", "100", "--swing", "2", "--log")
    for _ in range(3):
        taken(tmp_path, str(TAKES / "alto-swung.ogg"), *words)
    found = json.loads(ran(progress, ("--deck", str(deck), "--json"), tmp_path).out)
    square = found["patterns"][0]
    assert square["locked_in_tempo_on_the_horn"] == 100
    assert square["locked_in_tempo"] is None
    assert "On the horn" in ran(progress, ("--deck", str(deck)), tmp_path).out


def test_a_take_with_slips_or_without_a_tempo_makes_no_step(tmp_path: Path) -> None:
    swung = str(TAKES / "alto-swung.ogg")
    with pytest.raises(UsageError, match="--log keeps a tempo"):
        taken(tmp_path, swung, *RUN[:-2], "--log")
    line = str(TAKES.parents[1] / "fixtures" / "none.mid")
    with pytest.raises(UsageError, match="tempi are kept of runs"):
        taken(tmp_path, swung, "--against", line, "--log")
    slips = taken(tmp_path, str(TAKES / "alto-slips.ogg"), *RUN, "--log").out
    assert "Nothing was kept in the log" in slips
    slow = taken(tmp_path, swung, *RUN[:-1], "92", "--log").out.splitlines()[-1]
    assert "right, but " in slow
    assert "in a row" not in slow
    assert int(slow.rpartition("next ")[2].rstrip(".")) < 92


@pytest.mark.slow
def test_ten_minutes_are_heard(tmp_path: Path) -> None:
    once = read_recording(TAKES / "alto-clean.ogg")
    many = int(595 * RATE / len(once))
    long = tmp_path / "long.wav"
    wavfile.write(long, RATE, (np.tile(once, many) * 32767).astype(np.int16))
    said = taken(tmp_path, str(long), *RUN).out.splitlines()
    assert said[0] == "1-2-3-1 in E major, up:"
    assert "29 notes heard as asked" in said[1]
