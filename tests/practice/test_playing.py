"""Answers on the horn, heard through a microphone of sampled saxophone (tests/hearing)."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from horn_player import KeyPort, Microphone, cell
from practising import Player, deck, sit_down

from drill.hearing.values import Heard, Known
from drill.memory.kinds import PLAYED
from drill.practice import machine
from drill.practice.playing import Horn, HornPhase, Keys, read_played
from drill.sound.capture import RATE
from drill.sound.output import SoundError


def seated(tmp_path: Path) -> Player:
    return sit_down(
        tmp_path, deck(instrument='"alto_sax"', keys='["E"]', patterns='["return3"]',
                       directions='["up"]'),
    ).begin()  # fmt: skip


def horn_for(player: Player, microphone: Microphone) -> Horn:
    return Horn(lambda: microphone, player.desk.syllabus, microphone.clock, lambda: False)


def wait_for(horn: Horn, seconds: float) -> Heard | Known | None:
    for _ in range(int(seconds * 100)):
        found = horn.listen()
        if found is not None:
            return found
    return None


def answered(player: Player, text: str) -> machine.Step:
    return machine.answer(player.desk, player.state, text, player.now, 2.0, played=True)


def degree(player: Player) -> int:
    return player.prompt.cell.degree - 1


def test_a_played_cell_answers_and_is_evidence_of_its_own_kind(tmp_path: Path) -> None:
    player, microphone = seated(tmp_path), Microphone()
    horn = horn_for(player, microphone)
    horn.ask(player.prompt)
    microphone.play(cell(degree(player)))
    heard = wait_for(horn, 4)
    assert isinstance(heard, Heard)
    played = read_played(player.prompt, heard, horn.shift(), player.desk.marker.language)
    assert played.text == " ".join(str(note.name) for note in player.prompt.cell.notes)
    item = player.prompt.item
    player.take(
        machine.answer(player.desk, player.state, played.text, player.now, 2.0, played=True)
    )
    row = player.logs[-1].answer
    assert (row.kind, row.right, row.item) == (PLAYED, True, item.id)
    assert row.teaches


def test_another_cell_is_wrong_note_by_note(tmp_path: Path) -> None:
    player, microphone = seated(tmp_path), Microphone()
    horn = horn_for(player, microphone)
    horn.ask(player.prompt)
    other = degree(player) - 1 if degree(player) else 1
    microphone.play(cell(other))
    heard = wait_for(horn, 5)
    assert isinstance(heard, Heard)
    played = read_played(player.prompt, heard, horn.shift(), player.desk.marker.language)
    assert played.text is not None
    player.take(
        machine.answer(player.desk, player.state, played.text, player.now, 2.0, played=True)
    )
    assert not player.logs[-1].answer.right


def test_what_was_not_heard_is_asked_for_again(tmp_path: Path) -> None:
    player, microphone = seated(tmp_path), Microphone()
    horn = horn_for(player, microphone)
    horn.ask(player.prompt)
    microphone.play(cell(degree(player), notes=2))
    heard = wait_for(horn, 5)
    assert isinstance(heard, Heard)
    played = read_played(player.prompt, heard, horn.shift(), player.desk.marker.language)
    assert played.text is None
    assert played.unheard == (2, 3)
    horn.again()
    microphone.play(cell(degree(player)))
    assert isinstance(wait_for(horn, 5), Heard)


def test_silence_is_waited_through_and_the_microphone_is_closed(tmp_path: Path) -> None:
    player, microphone = seated(tmp_path), Microphone()
    horn = horn_for(player, microphone)
    before = horn.open
    horn.ask(player.prompt)
    assert (before, horn.open) == (False, True)
    assert wait_for(horn, 3) is None
    horn.rest()
    assert microphone.closed
    assert not horn.open
    assert horn.listen() is None


def test_nothing_is_heard_while_the_program_sounds(tmp_path: Path) -> None:
    player, microphone = seated(tmp_path), Microphone()
    sounding = [True]
    horn = Horn(lambda: microphone, player.desk.syllabus, microphone.clock, lambda: sounding[0])
    horn.ask(player.prompt)
    microphone.play(cell(degree(player)))
    assert wait_for(horn, 3) is None
    sounding[0] = False
    microphone.play(cell(degree(player)))
    assert isinstance(wait_for(horn, 4), Heard)


def test_a_long_note_tells_the_players_pitch(tmp_path: Path) -> None:
    player, microphone = seated(tmp_path), Microphone()
    horn = horn_for(player, microphone)
    horn.tune()
    assert horn.phase is HornPhase.LONG_NOTE
    time = np.arange(2 * RATE) / RATE
    hertz = 440 * 2 ** ((58 - 69) / 12 - 20 / 1200)
    partials = [np.sin(2 * np.pi * k * hertz * time) / k for k in range(1, 9)]
    microphone.play(np.sum(partials, axis=0) * 0.1)
    known = wait_for(horn, 5)
    assert isinstance(known, Known)
    assert known.pitch == 58
    assert known.tune_cents == pytest.approx(-20, abs=3)


def test_a_lost_microphone_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    player, microphone = seated(tmp_path), Microphone()

    def lost() -> np.ndarray:
        raise SoundError("the microphone was lost")

    horn = horn_for(player, microphone)
    horn.ask(player.prompt)
    monkeypatch.setattr(microphone, "take", lost)
    with pytest.raises(SoundError, match="lost"):
        horn.listen()


def test_a_midi_instrument_answers_the_same_way(tmp_path: Path) -> None:
    player = seated(tmp_path)
    pitches = player.desk.syllabus.sounding(player.prompt.question.run.key, player.prompt.cell)

    port = KeyPort()
    keys = Keys(lambda: port, player.desk.syllabus, lambda: 0.0)
    keys.tune()
    assert keys.phase is HornPhase.CELL  # no long note is needed
    port.play(pitches)
    keys.ask(player.prompt)
    assert keys.listen() is None  # what was played before the prompt stood is no answer to it
    port.play(pitches)
    heard = keys.listen()
    assert isinstance(heard, Heard)
    played = read_played(player.prompt, heard, keys.shift(), player.desk.marker.language)
    assert played.text == " ".join(str(note.name) for note in player.prompt.cell.notes)
    assert keys.listen() is None  # told once
    keys.rest()
    assert port.closed


def test_a_cell_broken_off_on_midi_can_be_played_again_at_once(tmp_path: Path) -> None:
    """As on the screens: the same prompt stands, and nobody asks for it a second time."""
    player, port, now = seated(tmp_path), KeyPort(), [0.0]
    pitches = player.desk.syllabus.sounding(player.prompt.question.run.key, player.prompt.cell)
    keys = Keys(lambda: port, player.desk.syllabus, lambda: now[0])
    keys.ask(player.prompt)
    port.play(pitches[:2])
    assert keys.listen() is None  # the player may be thinking
    now[0] = 2.0
    heard = keys.listen()
    assert isinstance(heard, Heard)
    assert read_played(player.prompt, heard, keys.shift(), player.desk.marker.language).text is None
    port.play(pitches)
    assert isinstance(keys.listen(), Heard)


def test_in_a_room_that_stays_loud_a_cell_is_answered_once(tmp_path: Path) -> None:
    """The last note is not waited for without end, and what was answered is heard no more."""
    player, microphone = seated(tmp_path), Microphone()
    horn = horn_for(player, microphone)
    horn.ask(player.prompt)
    played = cell(degree(player), notes=2)
    microphone.play(played)
    assert isinstance(wait_for(horn, 5), Heard)
    fan = np.random.default_rng(2).normal(0, np.abs(played).max() / 8, 3 * RATE)
    microphone.play(fan, after_s=0)
    assert wait_for(horn, 6) is None
