"""Prompts that ask which note was different: what is heard, drawn, kept and shared."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

from practising import deck, sit_down

from drill.memory.model import predict
from drill.practice.effects import Ask, Prompt, Sound
from drill.practice.sounding import take_of

TURNS = 6


def place(prompt: Prompt) -> int:
    """The right answer, from 1."""
    assert prompt.question.altered is not None
    return prompt.question.altered.place + 1


def test_a_cell_is_heard_twice_the_second_time_with_one_note_altered(tmp_path: Path) -> None:
    player = sit_down(tmp_path, kinds=("different",), prompts=TURNS).begin()
    prompt = player.prompt
    assert prompt.kind == "different"
    assert [type(effect) for effect in player.effects] == [Ask, Sound]
    sound = player.of(Sound)[0]
    assert isinstance(sound, Sound)
    assert sound.midi == prompt.sounds
    off = [
        at
        for at, (first, second) in enumerate(zip(sound.midi, sound.second, strict=True), 1)
        if first != second
    ]
    assert off == [place(prompt)]
    # Alto sounds a major sixth lower than written (common practice).
    assert sound.midi == tuple(note.midi - 9 for note in prompt.cell.notes)


def test_each_hearing_is_counted_and_the_answer_is_kept(tmp_path: Path) -> None:
    player = sit_down(tmp_path, kinds=("different",), prompts=1, missed_again=False).begin()
    prompt = player.prompt
    player.hear().hear().answer(str(place(prompt)))
    (log,) = player.logs
    assert log.answer.right
    assert log.answer.kind == "different"
    assert json.loads(log.answer.details) == {
        "heard": 3,
        "place": place(prompt),
        "note": str(prompt.question.altered.note),  # type: ignore[union-attr]
    }
    assert player.over


def test_a_miss_is_not_typed_again_and_comes_back_altered_anew(tmp_path: Path) -> None:
    player = sit_down(tmp_path, kinds=("different",), prompts=5 * TURNS).begin()
    player.play(lambda prompt: str(place(prompt) % 4 + 1))
    assert not any(prompt.again for prompt in player.prompts)
    closing = [prompt for prompt in player.prompts if prompt.closing]
    assert len(closing) == 5 * TURNS // 10, "a tenth of the prompts"
    assert all(prompt.question.altered for prompt in closing)


def test_the_same_seed_alters_the_same_notes(tmp_path: Path) -> None:
    def drawn(folder: str, seed: int) -> list[tuple[str, object]]:
        (tmp_path / folder).mkdir()
        player = sit_down(tmp_path / folder, seed=seed, kinds=("different",), prompts=TURNS)
        player.begin().play(lambda prompt: str(place(prompt)))
        return [(prompt.item.id, prompt.question.altered) for prompt in player.prompts]

    first = drawn("a", 5)
    assert first == drawn("b", 5)
    assert first != drawn("c", 6)
    assert len({altered for _, altered in first}) > 1


def test_the_key_s_evidence_is_shared_and_no_spelling_is_claimed(tmp_path: Path) -> None:
    player = sit_down(tmp_path, deck(keys='["G"]'), kinds=("different", "degree"), prompts=8)
    asked = [item for item in player.desk.syllabus.items if item.id.endswith(":different")]
    plain = next(item for item in player.desk.syllabus.items if item not in asked)
    assert asked
    assert {item.key for item in asked} == {plain.key}
    assert all(item.facts == () for item in asked)
    before = predict(player.desk.memory, plain, player.now).p
    player.begin()
    while player.prompt.kind != "different":
        player.answer(" ".join(str(note.name) for note in player.prompt.cell.notes))
        before = predict(player.desk.memory, plain, player.now).p
    player.answer(str(place(player.prompt)))
    assert predict(player.desk.memory, plain, player.now).p > before


def test_other_kinds_alter_nothing(tmp_path: Path) -> None:
    player = sit_down(tmp_path, kinds=("degree",))
    assert not [entry for entry in player.desk.syllabus.entries.values() if entry.alterations]


def test_the_take_is_the_tonic_the_cell_a_breath_and_the_cell_again() -> None:
    """Held tonic, then two cells at one pace, the second after a silence."""
    take = take_of(Sound((60, 62, 64, 60), 65, 60, (60, 62, 65, 60)), volume=0.3, a4=442)
    assert [event.midi for event in take.events] == [60, 60, 62, 64, 60, 60, 62, 65, 60]
    onsets = [event.onset_s for event in take.events]
    steps = [round(b - a, 6) for a, b in pairwise(onsets[1:])]
    assert steps[:3] == steps[4:] == [0.5] * 3
    assert steps[3] > 1.0
    last = take.events[-1]
    assert last.onset_s + last.sounding_s <= take.length_s
    assert (take.volume, take.a4) == (0.3, 442)
    assert len(take_of(Sound((60,), 65)).events) == 1
    assert len(take_of(Sound((60,), 65, 60)).events) == 2
