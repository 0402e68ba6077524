"""``drill hear``: what is written is read by outside readers; what is played ends by itself.

Outside readers: scipy.io.wavfile (RIFF, linear PCM) and mido (Standard MIDI Files 1.0).
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import mido
import numpy as np
import pytest
from desk_tools import Ran, ran
from scipy.io import wavfile

from drill import cli
from drill.commands import hear
from drill.commands.hear import metronome, play_all
from drill.errors import DrillError, ExitCode, FaultsError, UsageError
from drill.sound.sounding import Playing
from drill.sound.take import TAIL_S, Event, Take
from drill.theory.metre import Metronome


def heard(home: Path, *words: str) -> Ran:
    return ran(hear, words, home)


def notes_of(path: Path) -> list[tuple[int, float, float]]:
    """Pitch, onset and end in seconds of every note on channel 1, as mido reads them."""
    found, sounding, now = [], {}, 0.0
    for message in mido.MidiFile(path):
        now += message.time
        if message.type == "note_on" and message.velocity and message.channel == 0:
            sounding[message.note] = now
        elif message.type in ("note_on", "note_off") and message.channel == 0:
            found.append((message.note, sounding.pop(message.note), now))
    return sorted(found, key=lambda note: note[1])


def clicks_of(path: Path) -> list[float]:
    """Onsets of the percussion channel in seconds."""
    now, found = 0.0, []
    for message in mido.MidiFile(path):
        now += message.time
        if message.type == "note_on" and message.velocity and message.channel == 9:
            found.append(now)
    return found


def test_the_run_is_written_at_concert_pitch_and_told(tmp_path: Path) -> None:
    """Alto in written G sounds concert B flat (common practice): B flat 3 is MIDI 58."""
    file = tmp_path / "g.mid"
    done = heard(
        tmp_path, "1-2-3-1", "--key", "G", "--instrument", "alto_sax", "--up", "--tempo", "120",
        "--midi", str(file),
    )  # fmt: skip
    assert done.code is ExitCode.OK
    first, manner, written = done.out.splitlines()
    assert first == (
        "G major, 1-2-3-1, up; Alto saxophone in Eb, sounds Bb major: G A B G | A B C A | "
        "B C D B | C D E C | D E F# D | E F# G E | F# G A F# | G"
    )
    assert manner == "tempo 120, 2 to a beat, straight, slurred, rise-and-fall; A4 = 440 Hz"
    assert written == f"written: {file}"
    notes = notes_of(file)
    assert [pitch for pitch, _, _ in notes][:5] == [58, 60, 62, 58, 60]
    assert len(notes) == 29
    assert [onset for _, onset, _ in notes] == pytest.approx(
        [0.25 * n for n in range(29)], abs=0.002
    )


def test_up_then_down_and_the_top_tonic_once_where_joined(tmp_path: Path) -> None:
    file = tmp_path / "x.mid"
    heard(tmp_path, "1-2-3-1", "--midi", str(file))
    apart = [pitch for pitch, _, _ in notes_of(file)]
    heard(tmp_path, "1-2-3-1", "--joined", "--midi", str(file))
    joined = [pitch for pitch, _, _ in notes_of(file)]
    assert (len(apart), len(joined)) == (58, 57)
    assert apart[28:30] == [72, 72]
    assert joined[27:29] == [71, 72]


def test_the_wav_lasts_as_long_as_its_bars(tmp_path: Path) -> None:
    """28 eighths and a half note are 16 beats; with a bar of count-in 20 beats of 60/90 s."""
    file = tmp_path / "x.wav"
    heard(
        tmp_path, "1-2-3-1", "--up", "--tempo", "90", "--count-in", "--clicks", "all",
        "--wav", str(file),
    )  # fmt: skip
    rate, samples = wavfile.read(file)
    assert rate == 44100
    assert samples.dtype == np.int16
    assert len(samples) / rate == pytest.approx(20 * 60 / 90 + TAIL_S, abs=0.01)
    assert 1000 < np.abs(samples.astype(int)).max() < 32767
    again = tmp_path / "y.wav"
    heard(
        tmp_path, "1-2-3-1", "--up", "--tempo", "90", "--count-in", "--clicks", "all",
        "--volume", "0.1", "--wav", str(again),
    )  # fmt: skip
    assert np.abs(wavfile.read(again)[1]).max() < np.abs(samples).max() / 3


@pytest.mark.parametrize(
    ("options", "beats"),
    [
        (["--clicks", "all"], range(4, 20)),
        (["--clicks", "2-and-4"], range(5, 20, 2)),
        (["--clicks", "gaps:1:1"], [*range(4, 8), *range(12, 16)]),
        (["--clicks", "gaps"], [*range(4, 12), *range(16, 20)]),
        (["--subdivide"], [4 + n / 2 for n in range(32)]),
        ([], []),
    ],
)
def test_the_clicks(tmp_path: Path, options: list[str], beats: list[float]) -> None:
    """At 60 a beat is a second; every beat of the count-in clicks."""
    file = tmp_path / "x.mid"
    heard(tmp_path, "1-2-3-1", "--up", "--tempo", "60", "--count-in", *options, "--midi", str(file))
    assert clicks_of(file) == pytest.approx([0, 1, 2, 3, *beats], abs=0.003)


@pytest.mark.parametrize(("swing", "ratio"), [("3:2", 1.5), ("triplet", 2.0), ("soloist", 1.6763)])
def test_swing_moves_the_eighths_off_the_beat(tmp_path: Path, swing: str, ratio: float) -> None:
    """By tempo at 120: 2.0483 - 0.0031 x 120 (line after Friberg & Sundström 2002)."""
    file = tmp_path / "x.mid"
    heard(tmp_path, "1-2-3-1", "--up", "--tempo", "120", "--swing", swing, "--midi", str(file))
    onsets = [onset for _, onset, _ in notes_of(file)]
    long, short = onsets[1] - onsets[0], onsets[2] - onsets[1]
    assert long / short == pytest.approx(ratio, rel=0.02)


def test_articulation_shape_and_pitch(tmp_path: Path) -> None:
    file = tmp_path / "x.mid"
    words = ["1-2-3-1", "--up", "--tempo", "60", "--midi", str(file)]
    heard(tmp_path, *words, "--articulation", "staccato", "--shape", "level")
    lengths = [end - onset for _, onset, end in notes_of(file)][:-1]
    assert lengths == pytest.approx([0.25] * 28, abs=0.005)  # half of an eighth at 60
    velocities = [m.velocity for m in mido.MidiFile(file) if m.type == "note_on"]
    assert len(set(velocities[:-1])) == 1
    done = heard(tmp_path, *words, "--a4", "442")
    assert done.out.splitlines()[-2].endswith("A4 = 442 Hz")
    velocities = [m.velocity for m in mido.MidiFile(file) if m.type == "note_on" and m.velocity]
    assert velocities == sorted(velocities)
    assert velocities[0] < velocities[-1]


def test_random_slurs_are_drawn_by_the_seed(tmp_path: Path) -> None:
    def written(seed: str) -> bytes:
        file = tmp_path / "x.mid"
        heard(tmp_path, "1-2-3-1", "--articulation", "random", "--seed", seed, "--midi", str(file))
        return file.read_bytes()

    assert written("1") == written("1")
    assert written("1") != written("2")


def test_a_deck_says_how_it_is_played(tmp_path: Path) -> None:
    deck = tmp_path / "swung.toml"
    deck.write_text(
        'title = "Swung"\ninstrument = "tenor_sax"\npatterns = ["thirds"]\nkeys = ["D"]\n'
        'directions = ["up"]\ntempo = 96\nswing = "triplet"\narticulation = "two-and-two"\n'
    )
    file = tmp_path / "x.mid"
    done = heard(tmp_path, str(deck), "--midi", str(file))
    assert "tempo 96, 2 to a beat, swing 2.00 to 1, two-and-two, rise-and-fall" in done.out
    assert "Tenor saxophone in Bb, sounds C major" in done.out
    # Tenor sounds a major ninth lower (common practice); General MIDI program 67 from 1.
    assert notes_of(file)[0][0] in (48, 60)
    programs = [m.program for m in mido.MidiFile(file) if m.type == "program_change"]
    assert programs == [66]
    done = heard(tmp_path, str(deck), "--tempo", "60", "--swing", "straight", "--midi", str(file))
    assert "tempo 60, 2 to a beat, straight, two-and-two" in done.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["no-such-thing"], "no-such-thing"),
        (["1-2-3-1", "--tempo", "999"], "tempo is 999; expected 20 to 400"),
        (["1-2-3-1", "--clicks", "3"], "clicks are '3'; expected all, 2-and-4, gaps"),
        (["1-2-3-1", "--clicks", "gaps:0:2"], "gaps:2:1 (bars of click, of silence)"),
        (["1-2-3-1", "--swing", "9"], "swing is '9'"),
        (["1-2-3-1", "--volume", "3"], "volume"),
        (["1-2-3-1", "--a4", "400"], "hertz, 430 to 450"),
        (["1-2-3-1", "--notes", "9"], "notes in a beat: 9; expected 1 to 4"),
        (["1-2-3-1", "--key", "H"], "H"),
        (["1-2-3-1", "--wav", "-", "--midi", "-"], "only one file can go to standard output"),
        (["1-2-3-1", "--wav", "-"], "bytes are not written to a terminal"),
        (["1-2-3-1", "--tempo", "20", "--notes", "1", "--key", "all"], "at most 1800"),
    ],
)
def test_what_cannot_be_is_said_in_one_line(tmp_path: Path, words: list[str], said: str) -> None:
    with pytest.raises(UsageError) as refused:
        heard(tmp_path, *words, *([] if "--wav" in words else ["--wav", str(tmp_path / "x.wav")]))
    assert said in str(refused.value)
    assert len(str(refused.value).splitlines()) == 1
    assert not (tmp_path / "x.wav").exists()


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    with pytest.raises(DrillError, match="cannot be written"):
        heard(tmp_path, "1-2-3-1", "--wav", str(tmp_path / "no" / "folder.wav"))
    (tmp_path / "bad.toml").write_text("title = 3\n")
    with pytest.raises(FaultsError):
        heard(tmp_path, str(tmp_path / "bad.toml"), "--wav", str(tmp_path / "x.wav"))
    assert sorted(path.name for path in tmp_path.glob("*.wav")) == []


def test_the_words_of_clicks() -> None:
    assert metronome(None, 2, False) is None
    assert metronome("ALL", 2, False) == Metronome()
    assert metronome("2-and-4", 3, True) == Metronome(division=3, beats=(2, 4))
    assert metronome("gaps:4:2", 1, False) == Metronome(sounding_bars=4, silent_bars=2)
    assert metronome(None, 2, True) == Metronome(division=2)


def pitches(path: Path) -> list[int]:
    return [note for note, _ in notes_on(path)]


def notes_on(path: Path) -> list[tuple[int, float]]:
    """MIDI number and second of each note, read by mido."""
    at, found = 0.0, []
    for message in mido.MidiFile(path):
        at += message.time
        if message.type == "note_on" and message.velocity and message.channel != 9:
            found.append((message.note, at))
    return found


def test_so_many_times_and_faster_each_time(tmp_path: Path) -> None:
    """Twice is the same notes again; a rise makes the second time shorter by the tempi."""
    once, twice, rising = (tmp_path / f"{name}.mid" for name in ("a", "b", "c"))
    words = ["1-2-3-1", "--up", "--tempo", "60"]
    heard(tmp_path, *words, "--midi", str(once))
    heard(tmp_path, *words, "--times", "2", "--midi", str(twice))
    assert pitches(twice) == pitches(once) * 2
    waves = {}
    for rise in (0, 60):
        file = tmp_path / f"{rise}.wav"
        heard(tmp_path, *words, "--times", "2", "--rise", str(rise), "--wav", str(file))
        rate, samples = wavfile.read(file)
        waves[rise] = len(samples) / rate - TAIL_S
    # 16 beats: 16 s at 60, 8 s at 120.
    assert waves == {0: pytest.approx(32, abs=0.01), 60: pytest.approx(24, abs=0.01)}
    assert not rising.exists()


def test_an_upbeat_stands_before_the_bar_line(tmp_path: Path) -> None:
    """One note before the first beat: with a bar counted in, half a beat before its end."""
    file = tmp_path / "p.wav"
    heard(
        tmp_path, "1-2-3-1", "--up", "--tempo", "60", "--count-in", "--pickup", "1",
        "--clicks", "all", "--wav", str(file),
    )  # fmt: skip
    plain = tmp_path / "q.wav"
    heard(tmp_path, "1-2-3-1", "--up", "--tempo", "60", "--count-in", "--clicks", "all", "--wav",
          str(plain))  # fmt: skip
    # With the clicks taken out of both, what is left begins with the first note.
    first = [begin_of(wavfile.read(path)[1]) for path in (file, plain)]
    assert first == [pytest.approx(3.5, abs=0.02), pytest.approx(4.0, abs=0.02)]


def begin_of(samples: np.ndarray) -> float:
    """The second of the first sound that lasts a tenth of a second: a click is shorter."""
    loud = np.abs(samples.astype(float)) > 150
    step = 441
    parts = [loud[at : at + step].any() for at in range(0, len(loud), step)]
    run = next(n for n in range(len(parts)) if all(parts[n : n + 10]))
    return run * step / 44100


@pytest.mark.parametrize("words", [["--times", "101"], ["--times", "-1"], ["--count-in", "3"],
                                   ["--metre", "8/4"], ["--pickup", "99"]])  # fmt: skip
def test_numbers_out_of_bounds_are_wrong_usage(
    tmp_path: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["hear", "1-2-3-1", *words, "--wav", str(tmp_path / "n.wav")]) == 2
    assert "expected" in capsys.readouterr().err
    assert not (tmp_path / "n.wav").exists()


# Playing.

TAKE = Take((Event(60, 0.0, 1.0),), 1.1)


class Fake:
    """A player that is heard for so many looks, or never."""

    def __init__(self, looks: int, notice: str | None = None) -> None:
        self.looks = looks
        self.notice = notice
        self.did: list[str] = []
        self.failed = notice is not None

    @property
    def idle(self) -> bool:
        self.looks -= 1
        return self.looks < 0

    @property
    def beginning(self) -> Playing | None:
        return None if self.notice else Playing(TAKE, 0.0)

    def play(self, take: Take, *, stale_s: float) -> bool:
        assert stale_s == 0
        self.did.append("play")
        return True

    def stop(self) -> None:
        self.did.append("stop")

    def close(self) -> None:
        self.did.append("close")

    def poll(self) -> str | None:
        return self.notice


def test_playing_ends_with_the_sound() -> None:
    player = Fake(5)
    said: list[str] = []
    waits: list[float] = []
    assert play_all(player, (TAKE,), said.append, waits.append) is ExitCode.OK  # type: ignore[arg-type]
    assert player.did == ["play", "stop", "close"]
    assert len(waits) == 5
    assert said == []


def test_no_sound_is_one_notice_and_a_failure() -> None:
    said: list[str] = []
    player = Fake(5, "No sound: no device. The drill goes on without it.")
    code = play_all(player, (TAKE,), said.append, lambda _: None)  # type: ignore[arg-type]
    assert code is ExitCode.FAILURE
    assert said == ["No sound: no device."]


def test_ctrl_c_is_silence_at_once() -> None:
    player = Fake(100)

    def interrupted(_: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        play_all(player, (TAKE,), lambda _: None, interrupted)  # type: ignore[arg-type]
    assert player.did == ["play", "stop", "close"]


def command(home: Path, *words: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "drill", "hear", *words],
        env={**os.environ, "DRILL_HOME": str(home), "DRILL_SOUND": "silent"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_the_command_plays_and_ends(tmp_path: Path) -> None:
    played = command(tmp_path, "1-2-3-1", "--up", "--tempo", "400")
    out, err = played.communicate(timeout=60)
    assert played.returncode == 0, err
    assert out.startswith("C major, 1-2-3-1, up: C D E C | ")
    assert err == ""


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
def test_the_command_ends_on_ctrl_c_with_130(tmp_path: Path) -> None:
    played = command(tmp_path, "1-2-3-1", "--tempo", "20")
    assert played.stdout is not None
    for _ in range(3):
        played.stdout.readline()
    time.sleep(0.5)
    played.send_signal(signal.SIGINT)
    _, err = played.communicate(timeout=30)
    assert played.returncode == 130
    assert err == "drill: interrupted\n"


def test_bytes_go_through_a_pipe_and_words_beside_it(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "drill", "hear", "1-2-3-1", "--up", "--midi", "-"],
        env={**os.environ, "DRILL_HOME": str(tmp_path)},
        capture_output=True,
        check=True,
    )
    assert done.stdout.startswith(b"MThd")
    assert b"C major" in done.stderr
    file = tmp_path / "x.mid"
    file.write_bytes(done.stdout)
    assert len(notes_of(file)) == 29
