"""Which library is used, and what a real ALSA device is given by each."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from alsa_file import environment, file_device, need, need_alsa, recorded, until
from sound_probe import cents, equal_tempered, pitch

from drill.errors import UsageError
from drill.sound.device import _faded, candidates, forced, open_output
from drill.sound.limits import Backend
from drill.sound.output import SilentOutput, SoundError
from drill.sound.player import Player
from drill.sound.take import Event, Take, verdict_take
from drill.sound.tone import RATE


def test_simpleaudio_only_where_it_is_safe() -> None:
    """On Python 3.12 and later it crashes when a sound ends (its issues 72 and 74)."""
    any_one, both = Backend.AUTO, {"installed": lambda name: True}
    assert candidates(any_one, version=(3, 11), **both) == (
        Backend.SIMPLEAUDIO,
        Backend.MINIAUDIO,
    )
    assert candidates(any_one, version=(3, 12), **both) == (Backend.MINIAUDIO,)
    assert candidates(
        Backend.AUTO, version=(3, 11), installed=lambda name: name == "miniaudio"
    ) == (Backend.MINIAUDIO,)
    assert candidates(any_one, version=(3, 11), installed=lambda name: False) == ()
    assert candidates(Backend.SILENT) == (Backend.SILENT,)


def test_the_environment_forces_a_backend() -> None:
    assert forced({}) is Backend.AUTO
    assert forced({"DRILL_SOUND": "auto"}) is Backend.AUTO
    assert forced({"DRILL_SOUND": " Silent "}) is Backend.SILENT
    with pytest.raises(UsageError, match="expected one of " + ", ".join(Backend)):
        forced({"DRILL_SOUND": "loud"})


def test_without_a_library_the_reason_is_said() -> None:
    with pytest.raises(SoundError, match="no audio library is installed"):
        open_output(Backend.SILENT, lambda: 0.0, skip=(Backend.SILENT,))


def test_silence_keeps_time() -> None:
    now = 10.0
    output = SilentOutput(lambda: now)
    assert output.start(bytes(2 * RATE)) == 10.0  # one second
    now = 10.9
    assert output.playing()
    now = 11.1
    assert not output.playing()
    output.start(bytes(2 * RATE))
    output.stop()
    assert not output.playing()


@pytest.mark.parametrize("backend", ["simpleaudio", "miniaudio"])
@pytest.mark.parametrize(("cell", "program"), [((58, 60, 62, 58), 65), ((41, 43, 45, 41), 57)])
def test_a_real_device_is_given_the_cell_at_concert_pitch(
    tmp_path: Path, backend: str, cell: tuple[int, ...], program: int
) -> None:
    """1-2-3-1 in written G on alto sounds B flat C D B flat (common practice)."""
    need_alsa()
    need(backend)
    played = file_device(tmp_path)
    # Without the room, whose tail of the note before would move the estimate.
    player = Player(room=False, environment=environment(tmp_path, DRILL_SOUND=backend))
    assert player.play(verdict_take(cell, program), stale_s=0)
    assert until(lambda: player.playing() is not None), player.poll()
    assert until(lambda: player.idle)
    assert player.state.backend == backend
    player.close(5.0)
    rate, samples = recorded(played)
    step = round(0.35 * rate)
    assert 3.8 * step < len(samples) < 4.8 * step
    for index, midi in enumerate(cell):
        heard = pitch(samples[index * step : (index + 1) * step], rate)
        assert abs(cents(heard, equal_tempered(midi))) < 2, (index, heard)
    assert player.poll() is None


def test_a_new_take_takes_the_place_of_the_old(tmp_path: Path) -> None:
    """Only the last of a burst is heard whole; a half-hour take does not hold it up."""
    need_alsa()
    need("simpleaudio")
    played = file_device(tmp_path)
    player = Player(environment=environment(tmp_path, DRILL_SOUND="simpleaudio"))
    for midi in (50, 55, 60):
        player.play(Take((Event(midi, 0.0, 0.5),), 0.6), stale_s=0)
    assert until(lambda: player.playing() is not None)
    assert until(lambda: player.idle)
    player.close(5.0)
    rate, samples = recorded(played)
    assert abs(cents(pitch(samples, rate), equal_tempered(60))) < 2


def test_a_sound_that_is_cut_off_fades_under_the_next_one() -> None:
    """Else the jump would be heard as a click."""
    old = memoryview(np.full(400, 8000, np.int16).tobytes())
    faded = np.frombuffer(_faded(old, np.zeros(500, np.int16).tobytes()), np.int16)
    assert (faded[0], faded[399], len(faded)) == (8000, 0, 500)
    assert np.abs(np.diff(faded.astype(int))).max() <= 8000 / 399 + 1
    loud = np.full(500, 32000, np.int16).tobytes()
    assert np.frombuffer(_faded(old, loud), np.int16).max() == 32767
