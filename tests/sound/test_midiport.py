"""MIDI instruments in a process of their own; the instrument here is a script."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from drill.hearing.keys import KeyCell
from drill.sound.midiport import MidiError, MidiPort

SCRIPT = """
import sys, time
print("open Keys", flush=True)
print("on 0.10 60 80", flush=True)
print("off 0.35 60 0", flush=True)
print("nonsense", flush=True)
{end}
"""


def port(tmp_path: Path, end: str = "sys.stdin.read()", text: str = SCRIPT) -> MidiPort:
    script = tmp_path / "keys.py"
    script.write_text(text.format(end=end))
    return MidiPort(command=(sys.executable, str(script)))


def taken(keys: MidiPort, many: int) -> list[tuple[str, float, int, int]]:
    found = []
    for _ in range(400):
        found += keys.take()
        if len(found) >= many:
            return found
        time.sleep(0.01)
    raise AssertionError(found)


def test_strokes_come_as_they_are_played(tmp_path: Path) -> None:
    keys = port(tmp_path)
    assert keys.name == "Keys"
    assert taken(keys, 2) == [("on", 0.1, 60, 80), ("off", 0.35, 60, 0)]
    keys.close()


def test_a_lost_instrument_is_one_line(tmp_path: Path) -> None:
    keys = port(tmp_path, end="")
    taken(keys, 2)
    with pytest.raises(MidiError, match="lost"):
        taken(keys, 1)
    keys.close()


def test_what_cannot_be_opened_says_why(tmp_path: Path) -> None:
    with pytest.raises(MidiError, match="no MIDI on this machine"):
        port(tmp_path, text='print("fault no MIDI on this machine (none)")')
    with pytest.raises(MidiError, match="does not answer"):
        port(tmp_path, text="")


def test_the_process_says_one_line_where_there_is_no_instrument() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "drill.sound.midiport", "no such instrument of mine"],
        stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.stdout.startswith("fault ")
    assert len(done.stdout.splitlines()) == 1


FAKE_MIDO = """
import threading

def set_backend(way, load):
    pass

def get_input_names():
    return ["Keys"]

class open_input:
    def __init__(self, name):
        pass
    def __enter__(self):
        return self
    def __exit__(self, *told):
        pass
    def __iter__(self):
        threading.Event().wait()
"""
"""An instrument on which nobody plays."""


def test_the_process_ends_with_the_drill_though_nothing_is_played(tmp_path: Path) -> None:
    """A drill that was killed ends nothing by itself: only its end of the pipe goes."""
    (tmp_path / "mido.py").write_text(FAKE_MIDO)
    path = os.pathsep.join((str(tmp_path), *sys.path))
    with subprocess.Popen(
        [sys.executable, "-m", "drill.sound.midiport"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": path},
    ) as process:  # fmt: skip
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stdout.readline() == "open Keys\n"
        process.stdin.close()
        try:
            assert process.wait(30) == 0
        finally:
            process.kill()


@pytest.mark.slow
@pytest.mark.quiet
def test_a_virtual_instrument_answers_through_a_real_server(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A JACK server of its own, without hardware; the ports and the driver are real."""
    rtmidi = pytest.importorskip("rtmidi")
    jackd = shutil.which("jackd")
    if jackd is None or rtmidi.API_UNIX_JACK not in rtmidi.get_compiled_api():
        pytest.skip("no JACK server here")
    monkeypatch.setenv("JACK_DEFAULT_SERVER", "drill-test")
    server = subprocess.Popen(
        [jackd, "-r", "-n", "drill-test", "-d", "dummy"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        time.sleep(2)
        horn = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name="wind horn")
        horn.open_virtual_port("notes")
        with pytest.raises(MidiError, match="no such MIDI instrument; there is: wind horn"):
            MidiPort("tuba")
        keys = MidiPort("HORN")
        cell = KeyCell((60, 62, 64, 60))
        for pitch in (60, 62, 63, 60):
            horn.send_message([0x90, pitch, 90])
            time.sleep(0.15)
            horn.send_message([0x80, pitch, 0])
        for stroke in taken(keys, 8):
            cell.tell(stroke)
        keys.close()
        heard = cell.answer(0.3)
        assert heard is not None
        assert [note.heard for note in heard.notes] == [60, 62, 63, 60]
        assert [note.outcome.value for note in heard.notes] == ["right", "right", "wrong", "right"]
        horn.close_port()
    finally:
        server.terminate()
        server.wait(5)
